//! What a change must exceed to be more than error: the smallest detectable change, in three tiers.
//!
//! The reader's own repeats where there are enough; else what is published; else not known. Every row stays,
//! the larger judges, and what is unconfirmed is shown and never decides.
//!
//! Surprise: published rows stay beside own repeats too. Own repeats hold the placing of points; a row from
//! films taken anew also holds how the foot was set down.

use crate::seen::{Reader, Seen};
use crate::words::{amount, counted};
use knowledge::{Applies, Knowledge, Person, Provenance, Raters, Yardstick, YardstickKind};
use quantity::{Unit, Z_975};
use serde::{Deserialize, Serialize};
use terms::{MeasureKey, SourceKey, YardstickKey};

/// Films a reader must have read twice before own repeats judge.
pub const FEWEST_FILMS: u32 = 10;

/// One reader's spread of a reading, from films read twice.
///
/// # Units
/// `within_sd` in the unit of the measure: √(Σd² / 2n) over the differences d of n films.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct OwnRepeats {
    pub reader: Reader,
    pub measure: MeasureKey,
    /// Version of the construction that was repeated.
    pub method_version: u32,
    pub films: u32,
    pub within_sd: f64,
}

impl OwnRepeats {
    /// Enough films, and a spread that can be.
    pub fn may_judge(&self) -> bool {
        self.films >= FEWEST_FILMS && self.within_sd.is_finite() && self.within_sd > 0.0
    }

    /// The change that error alone exceeds once in 20.
    ///
    /// # Uncertainty
    /// t(0.975; n) · √2 · SD: the SD itself comes from n differences, so its quantile is Student's with n
    /// degrees of freedom and not 1.96 (a new difference over that SD is exactly t with n).
    pub fn smallest_change(&self) -> f64 {
        t_975(f64::from(self.films)) * std::f64::consts::SQRT_2 * self.within_sd
    }
}

/// One published smallest change.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct PublishedYard {
    pub key: YardstickKey,
    /// In the unit of the measure.
    pub change: f64,
    /// Worked out from a reading's error or from limits of agreement, and not printed.
    pub derived: bool,
    pub source: SourceKey,
    pub provenance: Provenance,
    /// `None`: not said.
    pub raters: Option<Raters>,
    pub population: String,
    pub note: Option<String>,
    /// Why it stands here and does not decide; `None`: it may.
    pub shown_only: Option<String>,
}

impl PublishedYard {
    pub fn may_judge(&self) -> bool {
        self.shown_only.is_none() && self.change.is_finite() && self.change > 0.0
    }

    /// "5.5° (Hastings2011, abstract only, same reader, adults with …)"
    pub fn words(&self, unit: Unit) -> String {
        let raters = match self.raters {
            Some(Raters::Within) => ", same reader",
            Some(Raters::Between) => ", between readers",
            None => "",
        };
        format!(
            "{} ({}, {}{raters}, {}{})",
            amount(self.change, unit),
            self.source,
            self.provenance.words(),
            self.population,
            if self.derived { ", worked out" } else { "" }
        )
    }

    /// The row of the folder, if it is of a kind that says what a change must exceed.
    ///
    /// The error's SD gives 1.96 · √2 · SD; limits of agreement give the end farther from zero.
    fn of(row: &Yardstick, person: &Person) -> Option<PublishedYard> {
        let (change, worked_out, raters) = match row.kind {
            YardstickKind::SmallestChange { change, raters } => (change, false, raters),
            YardstickKind::ReadingError { sd, raters } => {
                (Z_975 * std::f64::consts::SQRT_2 * sd, true, Some(raters))
            }
            YardstickKind::LimitsOfAgreement {
                lower,
                upper,
                raters,
            } => (lower.abs().max(upper.abs()), true, raters),
            _ => return None,
        };
        let shown_only = match row.applies_to(person) {
            Applies::Yes if row.provenance.may_decide_alone() => row.shown_only.clone(),
            Applies::Yes => Some("unconfirmed".into()),
            Applies::No(why) | Applies::CannotTell(why) => Some(why),
        };
        Some(PublishedYard {
            key: row.key.clone(),
            change,
            derived: worked_out || row.derived,
            source: row.source.clone(),
            provenance: row.provenance,
            raters,
            population: row.population.clone(),
            note: row.note.clone(),
            shown_only,
        })
    }
}

/// Which of the three judges.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Tier {
    OwnRepeats,
    Published,
    NotKnown,
}

/// What stands ready to judge two readings of one measure.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct Yard {
    /// The repeats of the one reader of both; kept even where they are too few to judge.
    pub own: Option<OwnRepeats>,
    pub published: Vec<PublishedYard>,
}

impl Yard {
    pub fn not_known() -> Yard {
        Yard::default()
    }

    pub fn tier(&self) -> Tier {
        if self.own.as_ref().is_some_and(OwnRepeats::may_judge) {
            Tier::OwnRepeats
        } else if self.published.iter().any(PublishedYard::may_judge) {
            Tier::Published
        } else {
            Tier::NotKnown
        }
    }

    /// The published row that judges: for one reader the largest of those within a reader or not said, else
    /// the largest between readers; for two readers the largest of all, if one of them is between readers.
    pub fn judging_row(&self, two_readers: bool) -> Option<&PublishedYard> {
        let largest = |wanted: &dyn Fn(Option<Raters>) -> bool| {
            self.published
                .iter()
                .filter(|p| p.may_judge() && wanted(p.raters))
                .max_by(|a, b| a.change.total_cmp(&b.change))
        };
        let between = largest(&|r| r == Some(Raters::Between));
        if two_readers {
            between.and(largest(&|_| true))
        } else {
            largest(&|r| r != Some(Raters::Between)).or(between)
        }
    }

    /// Smallest and largest of the published changes that may judge.
    pub fn band(&self) -> Option<[f64; 2]> {
        let changes = || {
            self.published
                .iter()
                .filter(|p| p.may_judge())
                .map(|p| p.change)
        };
        Some([changes().reduce(f64::min)?, changes().reduce(f64::max)?])
    }

    /// Every yard that stands here, in one sentence.
    pub fn words(&self, unit: Unit) -> String {
        let mut said = Vec::new();
        if let Some(own) = &self.own {
            let films = counted(own.films as usize, "film", "films");
            said.push(if own.may_judge() {
                format!(
                    "{} (own repeats of {films})",
                    amount(own.smallest_change(), unit)
                )
            } else {
                format!("own repeats of {films}, {FEWEST_FILMS} needed")
            });
        }
        said.extend(self.published.iter().map(|p| match &p.shown_only {
            None => p.words(unit),
            Some(why) => format!("{}, shown only: {why}", p.words(unit)),
        }));
        if said.is_empty() {
            "How far two readings of an unchanged foot differ is not known.".into()
        } else {
            format!("Smallest change that shows: {}.", said.join("; "))
        }
    }
}

/// All yards of one measure: every reader's repeats and what is published for a person.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Yards {
    pub measure: MeasureKey,
    pub own: Vec<OwnRepeats>,
    pub published: Vec<PublishedYard>,
}

impl Yards {
    /// What the folder says about a measure, or an examination item of that key, for a person; with the
    /// repeats of all readers, of which those of this measure are kept.
    ///
    /// A printed smallest change takes the place of one worked out from the same source's error.
    pub fn of(
        knowledge: &Knowledge,
        measure: &MeasureKey,
        person: &Person,
        own: &[OwnRepeats],
    ) -> Yards {
        let mut rows: Vec<&Yardstick> = knowledge.yardsticks(measure);
        rows.extend(knowledge.item_yardsticks(measure.as_str()));
        let all: Vec<PublishedYard> = rows
            .iter()
            .filter_map(|row| PublishedYard::of(row, person))
            .collect();
        let printed = |p: &PublishedYard| {
            rows.iter().any(|r| {
                matches!(r.kind, YardstickKind::SmallestChange { raters, .. } if raters == p.raters)
                    && r.source == p.source
                    && r.key != p.key
            })
        };
        let is_error = |p: &PublishedYard| {
            rows.iter()
                .any(|r| r.key == p.key && matches!(r.kind, YardstickKind::ReadingError { .. }))
        };
        Yards {
            measure: measure.clone(),
            own: own
                .iter()
                .filter(|o| o.measure == *measure)
                .cloned()
                .collect(),
            published: all
                .iter()
                .filter(|p| !(is_error(p) && printed(p)))
                .cloned()
                .collect(),
        }
    }

    /// The yard for two readings: the own repeats only where one known reader read both by the version that
    /// was repeated.
    pub fn for_pair(&self, a: &Seen, b: &Seen) -> Yard {
        let reader = match (&a.taken.reader, &b.taken.reader) {
            (Some(x), Some(y)) if x.key == y.key => Some(x),
            _ => None,
        };
        let version = a.taken.method_version;
        let own = self.own.iter().find(|o| {
            reader.is_some_and(|r| r.key == o.reader.key)
                && o.method_version == version
                && b.taken.method_version == version
        });
        Yard {
            own: own.cloned(),
            published: self.published.clone(),
        }
    }
}

/// The 97.5 % quantile of Student's t.
pub(crate) fn t_975(df: f64) -> f64 {
    use statrs::distribution::{ContinuousCDF, StudentsT};
    StudentsT::new(0.0, 1.0, df).map_or(f64::INFINITY, |t| t.inverse_cdf(0.975))
}
