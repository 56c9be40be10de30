//! The project's own commands. `cargo xtask` lists them.
#![allow(clippy::disallowed_methods)] // the clock is read here and in the binary only

mod measured;
mod servers;
mod setup;
mod sh;
mod steps;

use sh::Outcome;

const HELP: &str = "\
cargo xtask demo [--no-serve] [--out DIR] [--port N]
    build, make a demo practice in DIR (default demo/), run the whole job for its first patient,
    write films, readings, annotated film and letter there, then serve the page on 127.0.0.1
cargo xtask test [STEP...]
    everything that must hold before a change lands; steps: format lint rust python browser
    schemathesis licences
cargo xtask figures [NAME...]
    compute the slow figures (coverage, accuracy, robustness) into bench/figures.json
cargo xtask bench [NAME...]
    measure speed side by side with the reference into bench/results.json and bench/RESULTS.md
cargo xtask openapi
    write the description of every address that answers data to docs/openapi.json
cargo xtask setup
    only bring in what the other commands need
";

fn main() {
    let args: Vec<String> = std::env::args().skip(1).collect();
    let rest: Vec<&str> = args.iter().skip(1).map(String::as_str).collect();
    let done: Outcome = match args.first().map(String::as_str) {
        Some("demo") => steps::demo(&rest),
        Some("test") => steps::test(&rest),
        Some("figures") => measured::figures(&rest),
        Some("bench") => measured::bench(&rest),
        Some("openapi") => steps::openapi(),
        Some("setup") => setup::for_tests(),
        None | Some("help" | "--help" | "-h") => {
            print!("{HELP}");
            Ok(())
        }
        Some(other) => Err(format!(
            "found the command {other:?}; expected demo, test, figures, bench, openapi or setup"
        )),
    };
    if let Err(sentence) = done {
        eprintln!("\n✗ {sentence}");
        std::process::exit(1);
    }
}
