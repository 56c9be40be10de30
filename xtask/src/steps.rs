//! `demo` and `test`: the two commands of the README.

use crate::servers::Servers;
use crate::setup;
use crate::sh::{Outcome, heading, root, run, run_in, run_with};
use std::time::Instant;

/// Builds the one binary with the feature set that the tests use, so that nothing is compiled twice.
pub fn build() -> Outcome {
    heading("build");
    run("cargo", &["build", "--workspace", "--bins"])
}

pub fn binary() -> String {
    let folder = std::env::var("CARGO_TARGET_DIR")
        .map(Into::into)
        .unwrap_or_else(|_| root().join("target"));
    folder.join("debug/tiebeam").display().to_string()
}

pub fn demo(args: &[&str]) -> Outcome {
    setup::for_build()?;
    build()?;
    let mut all = vec!["demo"];
    all.extend(args);
    heading("demo practice (invented people, computed films)");
    run(&binary(), &all)
}

type Step = (&'static str, &'static str, fn() -> Outcome);

const STEPS: &[Step] = &[
    ("format", "format", || {
        run("cargo", &["fmt", "--all", "--check"])
    }),
    ("lint", "clippy, warnings denied", || {
        run(
            "cargo",
            &[
                "clippy",
                "--workspace",
                "--all-targets",
                "--",
                "-D",
                "warnings",
            ],
        )
    }),
    ("rust", "Rust tests", rust),
    (
        "python",
        "second implementations in Python",
        crate::measured::python_checks,
    ),
    ("browser", "a whole visit in a real browser", browser),
    (
        "schemathesis",
        "every address that answers data, asked with made-up input",
        schemathesis,
    ),
    (
        "licences",
        "licences and sources of what is linked",
        licences,
    ),
];

/// Runs every step, or the named ones; goes on after a failure and says at the end what failed.
pub fn test(wanted: &[&str]) -> Outcome {
    if let Some(unknown) = wanted.iter().find(|w| !STEPS.iter().any(|s| s.0 == **w)) {
        return Err(format!(
            "found the step {unknown:?}; expected one of format lint rust python browser schemathesis licences"
        ));
    }
    setup::for_tests()?;
    let start = Instant::now();
    let mut report = Vec::new();
    for (name, words, step) in STEPS
        .iter()
        .filter(|s| wanted.is_empty() || wanted.contains(&s.0))
    {
        heading(words);
        let began = Instant::now();
        let outcome = step();
        if let Err(sentence) = &outcome {
            eprintln!("   ✗ {sentence}");
        }
        report.push((name, began.elapsed().as_secs(), outcome));
    }
    println!("\n── summary after {} s", start.elapsed().as_secs());
    for (name, seconds, outcome) in &report {
        println!(
            "   {} {name} ({seconds} s)",
            if outcome.is_ok() { "✓" } else { "✗" }
        );
    }
    let failed: Vec<&str> = report
        .iter()
        .filter(|r| r.2.is_err())
        .map(|r| *r.0)
        .collect();
    println!(
        "{} passed, {} failed",
        report.len() - failed.len(),
        failed.len()
    );
    if failed.is_empty() {
        Ok(())
    } else {
        Err(format!("failed: {}", failed.join(", ")))
    }
}

/// The conformance suite also runs on a database server and an object store; without them the step fails.
fn rust() -> Outcome {
    let servers = Servers::start()?;
    run_with(
        "cargo",
        &["test", "--workspace", "--no-fail-fast"],
        &[
            ("TIEBEAM_TEST_POSTGRES", &servers.postgres),
            ("TIEBEAM_TEST_S3", &servers.s3),
        ],
    )
}

fn browser() -> Outcome {
    build()?;
    run_in(
        &root().join("e2e"),
        "node",
        &["--test", "--test-concurrency=1", "tests/"],
    )
}

/// An invented practice with an account and a key; no answer may be a fault of ours.
fn schemathesis() -> Outcome {
    build()?;
    setup::python()?;
    run(
        &setup::python_path(),
        &["checks/addresses/run.py", &binary()],
    )
}

/// Writes the description of every address that answers data to `docs/openapi.json`.
pub fn openapi() -> Outcome {
    setup::for_build()?;
    run(
        "cargo",
        &[
            "build",
            "--workspace",
            "--bins",
            "--example",
            "write_openapi",
        ],
    )?;
    let folder = std::path::PathBuf::from(binary());
    let example = folder.with_file_name("examples").join("write_openapi");
    run(&example.display().to_string(), &[])
}

fn licences() -> Outcome {
    setup::python()?;
    run(&setup::python_path(), &["checks/licences.py"])
}
