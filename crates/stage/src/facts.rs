//! Everything a stage may rest on, gathered for one foot.
//!
//! Readings come in as value, error, unit and stance, whoever made them. Only a reading of a film known
//! to be taken standing decides; any other is shown and no more.

use crate::thresholds::{Threshold, built_in, of_folder};
use exam::{Examination, RedFlags, Story};
use knowledge::Knowledge;
use quantity::Estimate;
use std::borrow::Cow;
use std::collections::BTreeMap;
use terms::{Side, Stance};

/// One reading as far as staging needs it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FilmReading {
    pub estimate: Estimate,
    pub stance: Stance,
}

impl FilmReading {
    /// A reading that may decide: standing, and a number with an error.
    pub fn usable(&self) -> bool {
        self.stance == Stance::Standing
            && self.estimate.value.is_finite()
            && self.estimate.standard_error.is_finite()
            && self.estimate.standard_error >= 0.0
    }
}

/// The facts about one foot.
#[derive(Debug, Clone)]
pub struct Facts<'a> {
    pub side: Side,
    pub person: &'a Story,
    pub exam: &'a Examination,
    pub flags: &'a RedFlags,
    /// By measure key. Where a measure was read twice, the last of the list that may decide.
    pub readings: BTreeMap<String, FilmReading>,
    /// The cuts that numbers are held against.
    pub thresholds: Cow<'a, [Threshold]>,
    pub knowledge: &'a Knowledge,
    /// Rows and criteria that the knowledge folder ought to have and has not.
    pub lacking: Vec<&'static str>,
    /// Criteria of the folder that can never speak, a sentence each.
    pub never_speaking: Vec<String>,
}

impl<'a> Facts<'a> {
    /// Facts without a film, with the built-in knowledge.
    pub fn new(side: Side, person: &'a Story, exam: &'a Examination, flags: &'a RedFlags) -> Self {
        let thresholds = Cow::Borrowed(built_in());
        Facts {
            side,
            person,
            exam,
            flags,
            readings: BTreeMap::new(),
            thresholds,
            knowledge: Knowledge::built_in(),
            lacking: Vec::new(),
            never_speaking: Vec::new(),
        }
    }

    /// The same with another knowledge folder.
    pub fn with_knowledge(self, knowledge: &'a Knowledge) -> Self {
        if std::ptr::eq(knowledge, Knowledge::built_in()) {
            return self;
        }
        let (thresholds, mut lacking) = of_folder(knowledge);
        lacking.extend(crate::book::lacking(knowledge));
        Facts {
            thresholds: Cow::Owned(thresholds),
            knowledge,
            lacking,
            never_speaking: crate::book::never_speaking(knowledge),
            ..self
        }
    }

    /// Adds a reading; one that may decide is never replaced by one that may not.
    pub fn add_reading(&mut self, measure: &str, reading: FilmReading) {
        let keep = self
            .readings
            .get(measure)
            .is_some_and(|old| old.usable() && !reading.usable());
        if !keep {
            self.readings.insert(measure.to_owned(), reading);
        }
    }

    pub fn age(&self) -> Option<f64> {
        self.person.number("age_years").value()
    }

    /// Under 18; `None` without an age.
    pub fn is_child(&self) -> Option<bool> {
        self.age().map(|age| age < 18.0)
    }
}
