//! Which kind of device, and why: for each kind what speaks for it, against it, and what is not known; from
//! `knowledge/devices/`, checked when read.
//!
//! It compares and never chooses.

use crate::file_fault::{self, FileFault};
use crate::ladder::{Ladder, SourceNote};
use crate::propose::{Proposal, Standing};
use exam::{Examination, Kind, Story};
use serde::{Deserialize, Serialize};
use std::sync::LazyLock;

#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Speaks {
    For,
    Against,
}

/// One fact and what it means for some kinds.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Line {
    /// Keys of rungs.
    pub of: Vec<String>,
    pub speaks: Speaks,
    /// A question of the story or of the foot, with the answers that bring the line.
    #[serde(default)]
    pub question: Option<String>,
    #[serde(default)]
    pub is: Vec<String>,
    /// Weight by height squared, kg/m².
    #[serde(default)]
    pub mass_index_at_least: Option<f64>,
    pub words: String,
    pub source: SourceNote,
}

#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Lines {
    pub devices: Vec<String>,
    #[serde(rename = "line")]
    pub lines: Vec<Line>,
}

/// The folder as it was when the program was built; a test holds it against the folder on disk.
pub const BUILT_IN_FILES: &[(&str, &str)] = &[(
    "choice.toml",
    include_str!(concat!(
        env!("CARGO_MANIFEST_DIR"),
        "/../../knowledge/devices/choice.toml"
    )),
)];

/// One kind of device for one foot.
#[derive(Debug, Clone, PartialEq)]
pub struct Compared {
    pub key: String,
    pub title: String,
    /// How the ladder has it for this foot; `None`: not for the stages that are possible.
    pub standing: Option<Standing>,
    /// The ladder's own reason by stage.
    pub why: Vec<String>,
    pub speaks_for: Vec<Reason>,
    pub speaks_against: Vec<Reason>,
    /// Questions that no one answered and that a line asks for, each once.
    pub not_known: Vec<&'static str>,
}

#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Reason {
    pub words: String,
    pub source: SourceNote,
}

impl Lines {
    /// # Errors
    /// The first line that names a rung, question, answer or provenance that does not exist, or no fact.
    pub fn from_text(file: &str, text: &str) -> Result<Lines, FileFault> {
        let read: Lines = file_fault::read(file, text)?;
        for line in &read.lines {
            read.check(file, line)?;
        }
        Ok(read)
    }

    /// # Panics
    /// If the built-in lines are broken, which this crate's tests rule out.
    pub fn built_in() -> &'static Lines {
        static BUILT_IN: LazyLock<Lines> = LazyLock::new(|| {
            let (file, text) = BUILT_IN_FILES[0];
            match Lines::from_text(file, text) {
                Ok(lines) => lines,
                Err(fault) => panic!("the built-in lines on devices are broken: {fault}"),
            }
        });
        &BUILT_IN
    }

    fn check(&self, file: &str, line: &Line) -> Result<(), FileFault> {
        let unknown = |what, found: &str, expected| FileFault::unknown(file, what, found, expected);
        for key in line.of.iter().chain(&self.devices) {
            if Ladder::built_in().rung(key).is_none() {
                return Err(unknown("the device", key, "a rung of the ladder"));
            }
        }
        match (&line.question, line.mass_index_at_least) {
            (Some(key), None) => {
                let choices = match exam::question(key).map(|q| q.kind) {
                    Some(Kind::Choice { choices }) => choices,
                    _ => return Err(unknown("the question", key, "a choice of the form")),
                };
                let none = line
                    .is
                    .iter()
                    .find(|is| choices.iter().all(|c| c.key != is.as_str()));
                if let Some(none) = none {
                    return Err(unknown("the answer", none, "an answer of its question"));
                }
            }
            (None, Some(_)) => {}
            _ => {
                return Err(unknown(
                    "the line",
                    &line.words,
                    "a question or a mass index, and one of them only",
                ));
            }
        }
        file_fault::check_source(file, &line.source)
    }
}

/// Every kind for one foot, in the order of the file.
pub fn compare(story: &Story, exam: &Examination, proposal: &Proposal) -> Vec<Compared> {
    let lines = Lines::built_in();
    lines
        .devices
        .iter()
        .map(|key| {
            let rung = proposal
                .rung(key)
                .or_else(|| proposal.held.iter().find(|r| r.key == *key));
            let mut out = Compared {
                key: key.clone(),
                title: Ladder::built_in()
                    .rung(key)
                    .map_or_else(|| key.clone(), |r| r.title.clone()),
                standing: rung.map(|r| r.standing),
                why: rung.map(|r| r.why.clone()).unwrap_or_default(),
                speaks_for: Vec::new(),
                speaks_against: Vec::new(),
                not_known: Vec::new(),
            };
            for line in lines.lines.iter().filter(|l| l.of.contains(key)) {
                match brought(line, story, exam) {
                    Ok(false) => {}
                    Ok(true) => {
                        let reason = Reason {
                            words: line.words.clone(),
                            source: line.source.clone(),
                        };
                        match line.speaks {
                            Speaks::For => out.speaks_for.push(reason),
                            Speaks::Against => out.speaks_against.push(reason),
                        }
                    }
                    Err(open) => {
                        if !out.not_known.contains(&open) {
                            out.not_known.push(open);
                        }
                    }
                }
            }
            out
        })
        .collect()
}

/// Does what was found bring the line? `Err`: what is not known, in words.
fn brought(line: &Line, story: &Story, exam: &Examination) -> Result<bool, &'static str> {
    if let Some(least) = line.mass_index_at_least {
        let weight = story.number("weight_kg").value().ok_or("Weight")?;
        let height = story.number("height_cm").value().ok_or("Height")?;
        return Ok(weight / (height / 100.0).powi(2) >= least);
    }
    let key = line.question.as_deref().unwrap_or_default();
    let found = story
        .choice(key)
        .value()
        .or_else(|| exam.choice(key).value());
    match found {
        Some(found) => Ok(line.is.iter().any(|is| is == found)),
        None => Err(exam::question(key).map_or("", |q| q.words)),
    }
}
