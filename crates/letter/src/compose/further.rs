//! What a practice may have recorded beyond one visit, as plain facts for letters.
//!
//! Everything here may be missing. What is missing makes no sentence: its section is left out, or says that
//! nothing is recorded where a reader would otherwise think that it was looked at.

use care::log::Entry;
use exam::Leg;
use quantity::Unit;
use terms::{MeasureKey, Side};

#[derive(Debug, Clone, Default)]
pub struct Further<'a> {
    pub child: ChildFacts<'a>,
    /// What was given or done up to the day of the visit, and every check of it.
    pub care: &'a [Entry],
    /// How readings and findings changed since an earlier visit.
    pub change: Vec<ChangeLine>,
    /// What the person and the clinician agreed to reach, each in its own words.
    pub goals: Vec<&'a str>,
    /// What must not be done, each with its reason: words and reason.
    pub not_to_do: Vec<(&'a str, &'a str)>,
    /// What the surgeon is asked, in the clinician's words.
    pub question: Option<&'a str>,
    /// Legs that were measured for a brace.
    pub legs: Legs<'a>,
    /// The brace or shoe that is ordered, in the clinician's words.
    pub order: Option<&'a str>,
    /// What the person agreed to have told to a school or an employer; `None`: nothing was agreed.
    pub told: Option<Told<'a>>,
}

/// Who came with a child, and what was agreed to.
#[derive(Debug, Clone, Copy, Default)]
pub struct ChildFacts<'a> {
    /// Such as `her mother`.
    pub accompanied_by: Option<&'a str>,
    /// Who agreed to what, in the clinician's words.
    pub consent: Option<&'a str>,
}

/// The sheets of both legs; `None` where a leg was not measured.
#[derive(Debug, Clone, Copy, Default)]
pub struct Legs<'a> {
    pub left: Option<&'a Leg>,
    pub right: Option<&'a Leg>,
}

impl<'a> Legs<'a> {
    pub fn of(&self, side: Side) -> Option<&'a Leg> {
        match side {
            Side::Left => self.left,
            Side::Right => self.right,
        }
    }
}

/// May a difference between two visits be called a change?
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Verdict {
    Changed,
    /// Not more than the error of measuring.
    NoChangeShown,
    /// Why not, as the keys of `change-why-` messages.
    CannotTell(Vec<&'static str>),
    /// A score: does it matter to people, by how many of so many published sizes?
    Matters {
        by: usize,
        of: usize,
    },
}

/// What is compared.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Compared {
    /// A reading of a film.
    Reading(MeasureKey),
    /// A question of the examination.
    Question(&'static str),
}

/// One value then and now.
#[derive(Debug, Clone, PartialEq)]
pub struct ChangeLine {
    pub of: Compared,
    pub side: Option<Side>,
    pub from: f64,
    pub to: f64,
    /// Of a reading; a question has its own.
    pub unit: Option<Unit>,
    /// The day of the earlier value, in words.
    pub since: String,
    pub verdict: Verdict,
    /// Now less then; `None` where the two may not be compared.
    pub by: Option<f64>,
    /// The smallest difference that is more than error.
    pub smallest: Option<f64>,
}

/// What somebody outside care may be told.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Told<'a> {
    /// What is the matter, only in words that the person agreed to; `None`: no reason is given.
    pub reason: Option<&'a str>,
    /// What the person can do.
    pub can: Vec<&'a str>,
    /// What the person should not do, or needs.
    pub cannot: Vec<&'a str>,
    pub needs: Vec<&'a str>,
    /// The last day for which it holds, in words.
    pub until: Option<&'a str>,
    /// Who agreed, and when, in words.
    pub agreed: Option<&'a str>,
}
