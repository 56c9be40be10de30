#![no_main]

#[path = "../doors/open_film.rs"]
mod door;

// The fuzzer's own hook ends the process at any panic, also at one that `open` catches and turns into a
// sentence. Without it, only a panic that comes out of `open` or of the checks below ends the run.
libfuzzer_sys::fuzz_target!(init: std::panic::set_hook(Box::new(|_| ())), |bytes: &[u8]| door::comes_in(bytes));
