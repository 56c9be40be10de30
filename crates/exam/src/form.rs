//! What is asked: the one list from which pages build their inputs and sheets check their answers.
//!
//! The questions themselves stand in `questions/`, one file per sheet. Keys are unique over all sheets.

use crate::questions;
use serde::Serialize;
use std::sync::LazyLock;

/// Which sheet a question belongs to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Sheet {
    /// Once for each foot: [`crate::Examination`].
    Foot,
    /// Once for the person: [`crate::Story`].
    Person,
    /// Once for the visit: [`crate::RedFlags`].
    Flags,
    /// Once for each leg that is measured for a brace: [`crate::Leg`].
    Leg,
    /// Once for each thing given or done: [`crate::Given`].
    Given,
}

/// For whom a question is worth a place on the page. Nothing stops anybody from answering it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Who {
    Everyone,
    Adults,
    Children,
}

/// One answer that may be chosen.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct Choice {
    pub key: &'static str,
    pub words: &'static str,
}

/// What an answer looks like.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(tag = "kind", rename_all = "kebab-case")]
pub enum Kind {
    Choice {
        choices: &'static [Choice],
    },
    /// `min` and `max` are what can be true of a person, not what is normal.
    Number {
        unit: &'static str,
        min: f64,
        max: f64,
        whole: bool,
    },
    Text {
        max_chars: usize,
    },
}

/// One question.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Question {
    pub key: &'static str,
    pub sheet: Sheet,
    /// Heading under which it stands.
    pub section: &'static str,
    pub words: &'static str,
    pub kind: Kind,
    /// How to test, and what plus or a choice means. May be empty.
    pub help: &'static str,
    /// Keys of the sources file; `common-practice` where the trade does it so without one.
    pub sources: &'static [&'static str],
    pub who: Who,
}

impl Question {
    /// As finely as a measured answer is given: counts whole, what has no unit (a ratio near one) to a thousandth,
    /// the rest to a tenth.
    pub fn decimals(&self) -> usize {
        match self.kind {
            Kind::Number { whole: true, .. } => 0,
            Kind::Number { unit: "", .. } => 3,
            _ => 1,
        }
    }
}

static FORM: LazyLock<Vec<Question>> = LazyLock::new(questions::all);

/// Every question, in the order of a visit.
pub fn form() -> &'static [Question] {
    &FORM
}

/// The question with this key, on whichever sheet.
pub fn question(key: &str) -> Option<&'static Question> {
    FORM.iter().find(|q| q.key == key)
}

/// The headings of one sheet in order, each with its questions.
pub fn sections(sheet: Sheet) -> Vec<(&'static str, Vec<&'static Question>)> {
    let mut out: Vec<(&'static str, Vec<&'static Question>)> = Vec::new();
    for q in FORM.iter().filter(|q| q.sheet == sheet) {
        match out.last_mut() {
            Some((heading, list)) if *heading == q.section => list.push(q),
            _ => out.push((q.section, vec![q])),
        }
    }
    out
}
