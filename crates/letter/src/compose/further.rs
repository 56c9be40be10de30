//! What a practice may have recorded beyond one visit, as plain facts for letters.
//!
//! Everything here may be missing. What is missing makes no sentence: its section is left out, or says that
//! nothing is recorded where a reader would otherwise think that it was looked at.

use quantity::Unit;
use terms::Side;

#[derive(Debug, Clone, Default)]
pub struct Further<'a> {
    pub child: ChildFacts<'a>,
    /// What was given or done so far, in the order of its beginning.
    pub given: Vec<Given<'a>>,
    /// How readings and findings changed since an earlier visit.
    pub change: Vec<ChangeLine<'a>>,
    /// The exercises of a therapy programme as they were prescribed.
    pub programme: Vec<ProgrammeLine<'a>>,
    /// What the person and the clinician agreed to reach, each in its own words.
    pub goals: Vec<&'a str>,
    /// What must not be done, each with its reason: words and reason.
    pub not_to_do: Vec<(&'a str, &'a str)>,
    /// What the surgeon is asked, in the clinician's words.
    pub question: Option<&'a str>,
    /// Sizes that a maker of braces needs.
    pub legs: LegMeasures,
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

/// A treatment, how long it was given, and with what result.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Given<'a> {
    pub what: &'a str,
    pub side: Option<Side>,
    /// Days in words.
    pub began: Option<&'a str>,
    pub ended: Option<&'a str>,
    pub result: Option<&'a str>,
}

/// May a difference between two visits be called a change?
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Verdict {
    Changed,
    /// Not more than the error of measuring.
    NoChangeShown,
    CannotTell,
}

/// One value then and now.
#[derive(Debug, Clone, PartialEq)]
pub struct ChangeLine<'a> {
    /// The name of a reading or a question.
    pub measure: &'a str,
    pub side: Option<Side>,
    pub from: f64,
    pub to: f64,
    pub unit: Unit,
    /// The day of the earlier value, in words.
    pub since: &'a str,
    pub verdict: Verdict,
    /// Now less then; `None` where the two may not be compared.
    pub by: Option<f64>,
    /// The smallest difference that is more than error.
    pub smallest: Option<f64>,
    /// Why it cannot be told, or from where the smallest difference is known.
    pub why: Option<&'a str>,
}

/// One exercise of a programme.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct ProgrammeLine<'a> {
    /// A key of the drawn exercises (see `figure::exercise`), or the exercise in words.
    pub exercise: &'a str,
    pub side: Option<Side>,
    pub sets: Option<u32>,
    pub repetitions: Option<u32>,
    pub times_a_day: Option<u32>,
    pub hold_s: Option<u32>,
    /// Band, weight or slope, in words.
    pub load: Option<&'a str>,
}

/// Sizes of both legs for a brace.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct LegMeasures {
    pub left: LegSide,
    pub right: LegSide,
}

/// Sizes of one leg, in millimetres.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct LegSide {
    pub foot_length_mm: Option<f64>,
    pub ball_width_mm: Option<f64>,
    pub heel_width_mm: Option<f64>,
    pub instep_girth_mm: Option<f64>,
    pub heel_instep_girth_mm: Option<f64>,
    pub ankle_girth_mm: Option<f64>,
    pub ankle_width_mm: Option<f64>,
    pub calf_girth_mm: Option<f64>,
    pub calf_height_mm: Option<f64>,
    pub knee_height_mm: Option<f64>,
}

impl LegMeasures {
    pub fn of(&self, side: Side) -> &LegSide {
        match side {
            Side::Left => &self.left,
            Side::Right => &self.right,
        }
    }

    pub fn is_empty(&self) -> bool {
        *self == Self::default()
    }
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
