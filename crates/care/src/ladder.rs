//! The rungs as data: one file each in `knowledge/ladder/`, checked when read.

use crate::checks;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use std::sync::LazyLock;

/// A source, and how much of it was read for this statement: r, a, c or u.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SourceNote {
    pub key: String,
    pub letter: char,
}

impl SourceNote {
    /// `Alvarez2006, abstract`; what is no paper's is common practice, or recalled.
    pub fn words(&self) -> String {
        match (self.key.as_str(), self.letter) {
            ("common-practice", 'u') => "recalled, unconfirmed".to_owned(),
            ("common-practice", _) => "common practice".to_owned(),
            (key, 'a') => format!("{key}, abstract"),
            (key, 'u') => format!("{key}, recalled, unconfirmed"),
            (key, 'c') => format!("{key}, common practice"),
            (key, _) => format!("{key}, read"),
        }
    }
}

/// When a rung's turn comes in a stage.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Place {
    First,
    Next,
    IfNotHeld,
    IfItFails,
    /// As soon as the stage is found.
    OnFinding,
    /// For a flare of pain only.
    Flare,
    /// Only in a specialist's hands.
    Specialist,
}

impl Place {
    pub fn words(self) -> &'static str {
        match self {
            Place::First => "first",
            Place::Next => "beside it",
            Place::IfNotHeld => "if the foot is not held",
            Place::IfItFails => "if the first rungs fail",
            Place::OnFinding => "as soon as it is found",
            Place::Flare => "for a flare of pain only",
            Place::Specialist => "only in a specialist's hands",
        }
    }
}

/// Why a rung belongs to a stage.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ForStage {
    pub place: Place,
    pub why: String,
}

#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Evidence {
    pub strength: String,
    pub words: String,
    pub source: SourceNote,
}

/// What to look at, and when.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Look {
    pub when: String,
    /// Days after the rung was begun, from and until; `None` where the words name no day.
    #[serde(default)]
    pub days: Option<[u16; 2]>,
    pub what: String,
}

/// `when` is `always` or the key of a check that has to be other than clear.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Caution {
    pub when: String,
    pub words: String,
    pub source: SourceNote,
}

/// A turn that an answer brings, in stages that do not bring it themselves.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Also {
    /// A question of the story, and the choice that brings it.
    pub question: String,
    pub answer: String,
    pub stages: Vec<String>,
    pub place: Place,
    pub why: String,
}

/// One rung of the ladder.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Rung {
    pub key: String,
    pub order: u32,
    pub title: String,
    pub words: String,
    pub dose: Vec<String>,
    /// It asks somebody else: an alarm sign does not hold it back.
    #[serde(default)]
    pub refers: bool,
    pub how_long: String,
    /// For which pain.
    pub pain: String,
    pub success: String,
    pub failure: String,
    /// Keys of the rungs that follow when it fails, and of those to go back to.
    pub up: Vec<String>,
    pub down: Vec<String>,
    /// Keys of checks.
    pub rule_out: Vec<String>,
    pub sources: Vec<SourceNote>,
    /// By stage: `I` to `IV`, or a child's `green`, `amber`, `red`.
    pub stage: BTreeMap<String, ForStage>,
    #[serde(default)]
    pub also: Vec<Also>,
    #[serde(default)]
    pub evidence: Vec<Evidence>,
    #[serde(default)]
    pub look: Vec<Look>,
    #[serde(default)]
    pub caution: Vec<Caution>,
}

/// Why a rung's file was refused. One sentence.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum LadderError {
    #[error("{file}: found {found}; expected a rung like the others of the file; correct the line")]
    NotARung { file: String, found: String },
    #[error("{file}: found {what} '{found}'; expected one of {expected}; correct the word")]
    UnknownWord {
        file: String,
        what: &'static str,
        found: String,
        expected: String,
    },
    #[error(
        "{file}: found the rung '{key}' a second time; expected each key once; rename one of them"
    )]
    Twice { file: String, key: String },
}

/// Stages that a rung may be for.
pub const STAGES: [&str; 7] = ["I", "II", "III", "IV", "green", "amber", "red"];

/// All rungs, lowest first.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Ladder {
    rungs: Vec<Rung>,
}

macro_rules! files {
    ($($key:literal),+ $(,)?) => {
        &[$((
            concat!($key, ".toml"),
            include_str!(concat!(env!("CARGO_MANIFEST_DIR"), "/../../knowledge/ladder/", $key, ".toml")),
        )),+]
    };
}

/// The folder as it was when the program was built; a test holds it against the folder on disk.
pub const BUILT_IN_FILES: &[(&str, &str)] = files![
    "calm",
    "wrap",
    "boot",
    "tablets",
    "therapy",
    "orthosis",
    "hinged-afo",
    "gauntlet",
    "solid-afo",
    "footwear",
    "injection",
    "surgery",
    "child-watch",
    "child-help",
    "child-refer",
];

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    #[serde(default)]
    rung: Vec<Rung>,
}

impl Ladder {
    /// Reads a ladder from its files, each with the name to tell in a fault.
    ///
    /// # Errors
    /// The first rung that is none, that names a check, stage, rung or provenance that does not exist, or
    /// that no other rung and no stage leads to.
    pub fn from_texts(files: &[(&str, &str)]) -> Result<Ladder, LadderError> {
        let mut rungs: Vec<Rung> = Vec::new();
        let mut from: Vec<&str> = Vec::new();
        for (file, text) in files {
            let read = toml::from_str::<File>(text).map_err(|e| not_a_rung(file, text, &e))?;
            for rung in read.rung {
                check_words(file, &rung)?;
                if rungs.iter().any(|r| r.key == rung.key) {
                    return Err(LadderError::Twice {
                        file: (*file).to_owned(),
                        key: rung.key,
                    });
                }
                rungs.push(rung);
                from.push(file);
            }
        }
        for (rung, file) in rungs.iter().zip(&from) {
            check_ways(file, rung, &rungs)?;
        }
        rungs.sort_by_key(|r| r.order);
        Ok(Ladder { rungs })
    }

    /// The ladder as it was when the program was built.
    ///
    /// # Panics
    /// If the built-in ladder is broken, which this crate's tests rule out.
    pub fn built_in() -> &'static Ladder {
        static BUILT_IN: LazyLock<Ladder> =
            LazyLock::new(|| match Ladder::from_texts(BUILT_IN_FILES) {
                Ok(ladder) => ladder,
                Err(fault) => panic!("the built-in ladder is broken: {fault}"),
            });
        &BUILT_IN
    }

    pub fn rungs(&self) -> &[Rung] {
        &self.rungs
    }

    pub fn rung(&self, key: &str) -> Option<&Rung> {
        self.rungs.iter().find(|r| r.key == key)
    }
}

impl Rung {
    /// Every source that the rung names anywhere.
    pub fn all_sources(&self) -> impl Iterator<Item = &SourceNote> {
        let evidence = self.evidence.iter().map(|e| &e.source);
        self.sources
            .iter()
            .chain(evidence)
            .chain(self.caution.iter().map(|c| &c.source))
    }
}

fn not_a_rung(file: &str, text: &str, error: &toml::de::Error) -> LadderError {
    let line = error
        .span()
        .map(|s| text[..s.start.min(text.len())].lines().count().max(1));
    let found = error.message().replace('\n', ", ");
    let found = line.map_or(found.clone(), |l| format!("at line {l} {found}"));
    LadderError::NotARung {
        file: file.to_owned(),
        found,
    }
}

/// Ways up and down lead to rungs that exist, and none leads to itself.
fn check_ways(file: &str, rung: &Rung, all: &[Rung]) -> Result<(), LadderError> {
    for way in rung.up.iter().chain(&rung.down) {
        if *way == rung.key || all.iter().all(|r| r.key != *way) {
            let keys: Vec<&str> = all
                .iter()
                .map(|r| r.key.as_str())
                .filter(|k| *k != rung.key)
                .collect();
            return Err(LadderError::UnknownWord {
                file: file.to_owned(),
                what: "the way to the rung",
                found: way.clone(),
                expected: keys.join(", "),
            });
        }
    }
    Ok(())
}

fn check_words(file: &str, rung: &Rung) -> Result<(), LadderError> {
    let unknown = |what, found: &str, expected: &[&str]| LadderError::UnknownWord {
        file: file.to_owned(),
        what,
        found: found.to_owned(),
        expected: expected.join(", "),
    };
    for stage in rung.stage.keys() {
        if !STAGES.contains(&stage.as_str()) {
            return Err(unknown("the stage", stage, &STAGES));
        }
    }
    for also in &rung.also {
        let choices = exam::question(&also.question).and_then(|q| match q.kind {
            exam::Kind::Choice { choices } if q.sheet == exam::Sheet::Person => Some(choices),
            _ => None,
        });
        let Some(choices) = choices else {
            return Err(unknown(
                "the question",
                &also.question,
                &["a choice of the story"],
            ));
        };
        if choices.iter().all(|c| c.key != also.answer) {
            let keys: Vec<&str> = choices.iter().map(|c| c.key).collect();
            return Err(unknown("the answer", &also.answer, &keys));
        }
        if let Some(stage) = also.stages.iter().find(|s| !STAGES.contains(&s.as_str())) {
            return Err(unknown("the stage", stage, &STAGES));
        }
    }
    for check in &rung.rule_out {
        if !checks::KEYS.contains(&check.as_str()) {
            return Err(unknown("the check", check, &checks::KEYS));
        }
    }
    for caution in &rung.caution {
        // A caution on a check that the rung does not run would never be shown.
        if caution.when != "always" && !rung.rule_out.contains(&caution.when) {
            let ours: Vec<&str> = ["always"]
                .into_iter()
                .chain(rung.rule_out.iter().map(String::as_str))
                .collect();
            return Err(unknown("the caution's check", &caution.when, &ours));
        }
    }
    for source in rung.all_sources() {
        if !"racu".contains(source.letter) {
            return Err(unknown(
                "the provenance",
                &source.letter.to_string(),
                &["r", "a", "c", "u"],
            ));
        }
    }
    Ok(())
}
