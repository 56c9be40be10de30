//! A therapy programme as data: phases, exercises, the rule for more and less load, and goals; one file in
//! `knowledge/programme/`, checked when read.

use crate::file_fault::{self, FileFault};
use crate::ladder::SourceNote;
use serde::{Deserialize, Serialize};
use std::sync::LazyLock;

/// A whole programme.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Programme {
    pub key: String,
    pub title: String,
    pub load: LoadRule,
    #[serde(rename = "phase")]
    pub phases: Vec<Phase>,
    #[serde(rename = "exercise")]
    pub exercises: Vec<Exercise>,
    #[serde(rename = "goal")]
    pub goals: Vec<Goal>,
}

/// When the load goes up, stays, or goes down.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct LoadRule {
    /// The most pain that is allowed while doing it, 0 to 10.
    pub pain_limit: f64,
    pub words: String,
    pub more: String,
    pub stay: String,
    pub less: String,
    pub source: SourceNote,
}

/// A part of the programme, from its beginning `until` something is reached.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Phase {
    /// A choice of the question `therapy_phase`.
    pub key: String,
    pub title: String,
    pub words: String,
    pub until: String,
    /// Keys of exercises.
    pub exercises: Vec<String>,
    pub source: SourceNote,
}

/// An exercise with the amounts of the protocol; `None` where no source has one.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Exercise {
    /// As its drawing is called.
    pub key: String,
    #[serde(default)]
    pub sets: Option<u32>,
    #[serde(default)]
    pub repetitions: Option<u32>,
    #[serde(default)]
    pub times_a_day: Option<u32>,
    #[serde(default)]
    pub hold_s: Option<u32>,
    pub asked: Asked,
    pub source: SourceNote,
}

/// Which question of the sheet of what was given holds each amount.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Asked {
    pub sets: Option<String>,
    pub repetitions: Option<String>,
    pub times_a_day: Option<String>,
    pub hold_s: Option<String>,
    pub load_kg: Option<String>,
    pub distance_m: Option<String>,
}

impl Asked {
    pub fn all(&self) -> impl Iterator<Item = &str> {
        [
            &self.sets,
            &self.repetitions,
            &self.times_a_day,
            &self.hold_s,
            &self.load_kg,
            &self.distance_m,
        ]
        .into_iter()
        .filter_map(Option::as_deref)
    }
}

/// For what a goal stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum GoalOf {
    Discharge,
    /// Beside those of discharge.
    Running,
}

/// A number of a check that has to be reached.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Goal {
    pub of: GoalOf,
    pub words: String,
    /// A question of the sheet of what was given.
    pub item: String,
    #[serde(default)]
    pub at_least: Option<f64>,
    #[serde(default)]
    pub at_most: Option<f64>,
    pub source: SourceNote,
}

impl Goal {
    pub fn met_by(&self, value: f64) -> bool {
        self.at_least.is_none_or(|least| value >= least)
            && self.at_most.is_none_or(|most| value <= most)
    }

    /// Recalled and never read: it is shown, and decides nothing alone.
    pub fn is_unconfirmed(&self) -> bool {
        self.source.letter == 'u'
    }
}

/// The folder as it was when the program was built; a test holds it against the folder on disk.
pub const BUILT_IN_FILES: &[(&str, &str)] = &[(
    "tendon.toml",
    include_str!(concat!(
        env!("CARGO_MANIFEST_DIR"),
        "/../../knowledge/programme/tendon.toml"
    )),
)];

impl Programme {
    /// # Errors
    /// The first thing that is none: a phase, exercise, question or provenance that does not exist, a goal
    /// without a limit.
    pub fn from_text(file: &str, text: &str) -> Result<Programme, FileFault> {
        let read: Programme = file_fault::read(file, text)?;
        read.check(file)?;
        Ok(read)
    }

    /// The programme as it was when the program was built.
    ///
    /// # Panics
    /// If the built-in programme is broken, which this crate's tests rule out.
    pub fn built_in() -> &'static Programme {
        static BUILT_IN: LazyLock<Programme> = LazyLock::new(|| {
            let (file, text) = BUILT_IN_FILES[0];
            match Programme::from_text(file, text) {
                Ok(programme) => programme,
                Err(fault) => panic!("the built-in programme is broken: {fault}"),
            }
        });
        &BUILT_IN
    }

    pub fn phase(&self, key: &str) -> Option<&Phase> {
        self.phases.iter().find(|p| p.key == key)
    }

    /// The phase after a phase; `None` after the last, and for none of them.
    pub fn phase_after(&self, key: &str) -> Option<&Phase> {
        let place = self.phases.iter().position(|p| p.key == key)?;
        self.phases.get(place + 1)
    }

    pub fn exercise(&self, key: &str) -> Option<&Exercise> {
        self.exercises.iter().find(|e| e.key == key)
    }

    pub fn goals_of(&self, of: GoalOf) -> impl Iterator<Item = &Goal> {
        self.goals.iter().filter(move |g| g.of == of)
    }

    pub fn all_sources(&self) -> impl Iterator<Item = &SourceNote> {
        std::iter::once(&self.load.source)
            .chain(self.phases.iter().map(|p| &p.source))
            .chain(self.exercises.iter().map(|e| &e.source))
            .chain(self.goals.iter().map(|g| &g.source))
    }

    fn check(&self, file: &str) -> Result<(), FileFault> {
        let unknown = |what, found: &str, expected| FileFault::unknown(file, what, found, expected);
        let asked = |key: &str| exam::question(key).is_some_and(|q| q.sheet == exam::Sheet::Given);
        let a_question = "a question of the sheet of what was given";
        for phase in &self.phases {
            if let Some(none) = phase.exercises.iter().find(|e| self.exercise(e).is_none()) {
                return Err(unknown("the exercise", none, "an exercise of the file"));
            }
        }
        for key in self.exercises.iter().flat_map(|e| e.asked.all()) {
            if !asked(key) {
                return Err(unknown("the question", key, a_question));
            }
        }
        for goal in &self.goals {
            if !asked(&goal.item) {
                return Err(unknown("the question", &goal.item, a_question));
            }
            if goal.at_least.is_none() && goal.at_most.is_none() {
                return Err(unknown(
                    "the goal",
                    &goal.words,
                    "at_least or at_most beside it",
                ));
            }
        }
        self.all_sources()
            .try_for_each(|source| file_fault::check_source(file, source))
    }
}
