//! Scores: is a change of pain or function large enough to matter to people, and do the sources agree?
//!
//! All sources stay. A row that is unconfirmed, or not for this person or this first value, is shown and
//! has no voice. A size with two ends ("3 to 4") is held against the larger; between them it is a maybe.

use crate::words::{amount, decimals, signed};
use knowledge::{Applies, Knowledge, Person, Provenance, YardstickKind};
use quantity::{Unit, written_short};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use terms::{SourceKey, YardstickKey};

/// What a row says of a change.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Levels {
    /// People call it better or worse.
    Matters,
    /// It exceeds the error of asking again.
    BeyondError,
}

/// One published important change of a score.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct ImportantChange {
    pub key: YardstickKey,
    pub unit: Unit,
    pub of: Levels,
    /// Lower and upper end; equal where one number is printed.
    pub size: [f64; 2],
    /// The row speaks only where the first value lay between these.
    pub start: Option<[f64; 2]>,
    /// "slightly better", "much better", where the source grades.
    pub calls: Option<String>,
    pub source: SourceKey,
    pub provenance: Provenance,
    pub population: String,
    pub note: Option<String>,
    /// Why it stands here and does not decide.
    pub shown_only: Option<String>,
}

/// What the folder says about changes of an examination item or score, for a person.
pub fn important_changes(
    knowledge: &Knowledge,
    item: &str,
    person: &Person,
) -> Vec<ImportantChange> {
    knowledge
        .item_yardsticks(item)
        .into_iter()
        .filter_map(|row| {
            let (of, size, start) = match row.kind {
                YardstickKind::MeaningfulChange {
                    change,
                    change_upper,
                    start,
                } => (
                    Levels::Matters,
                    [change, change_upper.unwrap_or(change)],
                    start,
                ),
                YardstickKind::SmallestChange { change, .. } => {
                    (Levels::BeyondError, [change, change], None)
                }
                _ => return None,
            };
            let shown_only = match row.applies_to(person) {
                Applies::Yes if row.provenance.may_decide_alone() => row.shown_only.clone(),
                Applies::Yes => Some("unconfirmed".into()),
                Applies::No(why) | Applies::CannotTell(why) => Some(why),
            };
            Some(ImportantChange {
                key: row.key.clone(),
                unit: row.unit,
                of,
                size,
                start,
                calls: row.calls.clone(),
                source: row.source.clone(),
                provenance: row.provenance,
                population: row.population.clone(),
                note: row.note.clone(),
                shown_only,
            })
        })
        .collect()
}

/// What one row says of the change at hand.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Voice {
    pub row: ImportantChange,
    /// The change reaches the size; `None`: it lies between the size's two ends.
    pub reached: Option<bool>,
    /// Why it has no voice; `None`: it has one.
    pub silent: Option<String>,
}

/// Which way the score is better.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Better {
    Less,
    More,
}

/// Is the change large enough to matter?
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Importance {
    /// Later less earlier.
    pub change: f64,
    pub start: Option<f64>,
    pub verdict: Agreement,
    /// By source: does any of its sizes that has a voice hold?
    pub reached: usize,
    pub sources: usize,
    /// A published error of asking again is not exceeded.
    pub within_error: Option<bool>,
    /// Every row, in the order of the files, those without a voice too.
    pub voices: Vec<Voice>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Agreement {
    /// Every source with a voice calls it large enough.
    All,
    /// Some do, or a change lies between the two ends of a size.
    Some,
    None,
    /// No source has a voice.
    NotKnown,
}

/// Holds a change of a score against every published important change.
///
/// `start` is the first value: rows for a span of first values are silent without it. A source with several
/// grades counts by its smallest; the grades stand in [`Importance::voices`].
pub fn important(change: f64, start: Option<f64>, list: &[ImportantChange]) -> Importance {
    let start = start.filter(|s| s.is_finite());
    let size = change.abs();
    let voices: Vec<Voice> = list
        .iter()
        .map(|row| Voice {
            reached: if size >= row.size[1] {
                Some(true)
            } else if size >= row.size[0] {
                None
            } else {
                Some(false)
            },
            silent: silent(change, start, row),
            row: row.clone(),
        })
        .collect();
    let mut by_source: BTreeMap<&SourceKey, Option<bool>> = BTreeMap::new();
    for v in speaking(&voices, Levels::Matters) {
        let said = by_source.entry(&v.row.source).or_insert(Some(false));
        *said = match (*said, v.reached) {
            (Some(true), _) | (_, Some(true)) => Some(true),
            (None, _) | (_, None) => None,
            (Some(false), Some(false)) => Some(false),
        };
    }
    let sources = by_source.len();
    let reached = by_source.values().filter(|r| **r == Some(true)).count();
    let verdict = if sources == 0 {
        Agreement::NotKnown
    } else if reached == sources {
        Agreement::All
    } else if by_source.values().all(|r| *r == Some(false)) {
        Agreement::None
    } else {
        Agreement::Some
    };
    let errors: Vec<bool> = speaking(&voices, Levels::BeyondError)
        .map(|v| size <= v.row.size[1])
        .collect();
    Importance {
        change,
        start,
        verdict,
        reached,
        sources,
        within_error: (!errors.is_empty()).then(|| errors.contains(&true)),
        voices,
    }
}

fn speaking(voices: &[Voice], of: Levels) -> impl Iterator<Item = &Voice> {
    voices
        .iter()
        .filter(move |v| v.silent.is_none() && v.row.of == of)
}

fn silent(change: f64, start: Option<f64>, row: &ImportantChange) -> Option<String> {
    if !change.is_finite() {
        return Some("the change is not a number".into());
    }
    if let Some([from, to]) = row.start {
        let span = format!("{} to {}", written_short(from, 1), written_short(to, 1));
        match start {
            None => {
                return Some(format!(
                    "it is for a first value of {span}, which is not known"
                ));
            }
            Some(s) if s < from || s > to => {
                return Some(format!("it is for a first value of {span}"));
            }
            Some(_) => {}
        }
    }
    row.shown_only.clone()
}

impl ImportantChange {
    /// "2 points (BackMCID2021, abstract only, back pain in hospital)"
    pub fn words(&self) -> String {
        let d = decimals(self.unit) + 1;
        let short = |v: f64| written_short(v, d);
        let size = if self.size[0] == self.size[1] {
            short(self.size[0])
        } else {
            format!("{} to {}", short(self.size[0]), short(self.size[1]))
        };
        let calls = self
            .calls
            .as_ref()
            .map_or(String::new(), |c| format!(" {c}"));
        format!(
            "{size}{}{calls} ({}, {}, {})",
            self.unit.suffix(),
            self.source,
            self.provenance.words(),
            self.population
        )
    }
}

impl Importance {
    /// Sentences for page and letter: `what` is the score's name ("Pain").
    pub fn words(&self, what: &str, better: Better) -> String {
        let unit = self.voices.first().map_or(Unit::Points, |v| v.row.unit);
        if !self.change.is_finite() {
            return format!("{what}: the change is not a number.");
        }
        if self.change == 0.0 {
            return format!("{what}: no change.");
        }
        let towards = match (self.change < 0.0, better) {
            (true, Better::Less) | (false, Better::More) => "better",
            _ => "worse",
        };
        let head = format!(
            "{what} changed by {} ({towards})",
            signed(self.change, unit)
        );
        let mut said = match self.verdict {
            Agreement::NotKnown => {
                format!("{head}; no source that may decide says how large a change matters.")
            }
            Agreement::All if self.sources == 1 => {
                format!("{head}: enough to matter by the one source that speaks to it.")
            }
            Agreement::All => {
                format!("{head}: enough to matter by all {} sources.", self.sources)
            }
            Agreement::None => format!("{head}: less than any source calls enough to matter."),
            Agreement::Some => format!(
                "{head}: sources differ, {} of {} call it enough to matter.",
                self.reached, self.sources
            ),
        };
        if self.within_error == Some(true)
            && let Some(v) = speaking(&self.voices, Levels::BeyondError)
                .max_by(|a, b| a.row.size[1].total_cmp(&b.row.size[1]))
        {
            said += &format!(
                " It does not exceed the error of asking again: {}.",
                v.row.words()
            );
        }
        said
    }

    /// Every published size with its source, those without a voice and why last.
    pub fn sizes(&self) -> String {
        let mut said = String::new();
        let rows = |silent: bool| -> Vec<String> {
            self.voices
                .iter()
                .filter(|v| v.row.of == Levels::Matters && v.silent.is_some() == silent)
                .map(|v| match &v.silent {
                    None => v.row.words(),
                    Some(why) => format!("{}: {why}", v.row.words()),
                })
                .collect()
        };
        for (title, rows) in [("Sizes", rows(false)), ("Shown only", rows(true))] {
            if !rows.is_empty() {
                said += &format!("{title}: {}. ", rows.join("; "));
            }
        }
        said.trim_end().to_owned()
    }

    /// The size of the change with its unit, without sign.
    pub fn amount(&self) -> String {
        let unit = self.voices.first().map_or(Unit::Points, |v| v.row.unit);
        amount(self.change.abs(), unit)
    }
}
