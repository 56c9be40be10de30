#![no_main]

// The tests of the pages use more of it.
#[allow(dead_code)]
#[path = "../../crates/web/tests/web/common/mod.rs"]
mod common;
#[path = "../doors/page_bodies.rs"]
mod door;

use std::backtrace::Backtrace;

/// A panic ends the run wherever it is, also in a task that nobody waits for; but not one of other people's decoders, which
/// `film::open` catches and turns into a sentence.
fn watch() {
    std::panic::set_hook(Box::new(|panic| {
        let trace = Backtrace::force_capture().to_string();
        if !trace.contains("film::film::open") {
            eprintln!("{panic}\n{trace}");
            std::process::abort();
        }
    }));
}

libfuzzer_sys::fuzz_target!(init: watch(), |bytes: &[u8]| door::comes_in(bytes));
