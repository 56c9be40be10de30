//! `tiebeam check`: is a knowledge folder whole, and does every criterion in it count?

use knowledge::Knowledge;
use std::path::Path;
use std::process::ExitCode;

pub fn run(folder: Option<&Path>) -> ExitCode {
    let Some(folder) = folder else {
        println!("built in: {}", counts(Knowledge::built_in()));
        return ExitCode::SUCCESS;
    };
    match Knowledge::load(folder) {
        Ok(knowledge) => {
            for note in unheard(&knowledge) {
                println!("{note}");
            }
            println!("{}: {}; no fault", folder.display(), counts(&knowledge));
            ExitCode::SUCCESS
        }
        Err(faults) => {
            for fault in &faults {
                eprintln!("{fault}");
            }
            eprintln!(
                "{}: {} found",
                folder.display(),
                plural(faults.len(), "fault")
            );
            ExitCode::FAILURE
        }
    }
}

/// Criteria that load and change nothing, a sentence each.
fn unheard(knowledge: &Knowledge) -> Vec<String> {
    let unread = stage::read_by_nothing(knowledge).into_iter().map(|key| {
        format!("The criterion {key} is part of no stage, so it changes nothing; name it in one, or take it out.")
    });
    unread.chain(stage::never_speaking(knowledge)).collect()
}

fn counts(knowledge: &Knowledge) -> String {
    let c = knowledge.counts();
    [
        plural(c.sources, "source"),
        plural(c.landmarks, "landmark"),
        plural(c.measures, "measure"),
        plural(c.items, "examination item"),
        plural(c.yardsticks, "yardstick"),
        format!(
            "{} {}",
            c.criteria,
            if c.criteria == 1 {
                "criterion"
            } else {
                "criteria"
            }
        ),
        plural(c.flags, "alarm flag"),
    ]
    .join(", ")
}

pub fn plural<N: std::fmt::Display + PartialEq + From<u8>>(n: N, word: &str) -> String {
    format!("{n} {word}{}", if n == N::from(1) { "" } else { "s" })
}
