//! Yardsticks: published norms, thresholds, patient groups and reliability figures, one row each.
//!
//! A row says what its source says and nothing more; nothing is averaged over sources. Whether rows
//! agree is the question of [`crate::band`].

use crate::source::Provenance;
use quantity::Unit;
use serde::{Deserialize, Serialize};
use terms::{MeasureKey, Sex, SourceKey, YardstickKey};

/// What a yardstick is held against.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
pub struct Person {
    pub age_years: Option<f64>,
    pub sex: Option<Sex>,
}

/// Does a yardstick speak about this person?
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub enum Applies {
    Yes,
    /// No, and why.
    No(String),
    /// Age or sex is not known, and the yardstick depends on it.
    CannotTell(String),
}

impl Applies {
    pub fn yes(&self) -> bool {
        *self == Applies::Yes
    }
}

/// What kind of statement a row is, with its numbers in the row's unit.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[non_exhaustive]
pub enum YardstickKind {
    /// Mean and standard deviation of people without complaint.
    Norm {
        mean: f64,
        sd: f64,
    },
    /// A mean whose spread was not printed.
    MeanOnly {
        mean: f64,
    },
    Median {
        median: f64,
    },
    /// Between these the source calls it normal.
    Band {
        lower: f64,
        upper: f64,
    },
    /// Above this the source calls it abnormal.
    AbnormalAbove {
        cut: f64,
    },
    /// Below this the source calls it abnormal.
    AbnormalBelow {
        cut: f64,
    },
    /// A named degree (`mild`, `severe`) between two values; open where a value is missing.
    Grade {
        name: String,
        lower: Option<f64>,
        upper: Option<f64>,
    },
    /// What an operation aims at; not a norm.
    Target {
        lower: Option<f64>,
        upper: Option<f64>,
    },
    /// Patients, or people picked for their foot: NOT a norm.
    Group {
        mean: Option<f64>,
        sd: Option<f64>,
        lower: Option<f64>,
        upper: Option<f64>,
    },
    /// `percent` of the people lie at or below `value`.
    Percentile {
        percent: f64,
        value: f64,
    },
    /// Means of several studies lie between these.
    RangeOfMeans {
        lower: f64,
        upper: f64,
    },
    /// Agreement within one reader or between readers.
    Reliability {
        form: ReliabilityForm,
        raters: Raters,
        value: Option<f64>,
        lower: Option<f64>,
        upper: Option<f64>,
    },
    /// Standard deviation of a reading's own error.
    ReadingError {
        sd: f64,
        raters: Raters,
    },
    /// 95 % of repeated measurements differ by between these.
    LimitsOfAgreement {
        lower: f64,
        upper: f64,
        /// `None`: not said whether by one reader or several.
        raters: Option<Raters>,
    },
    /// Change that exceeds the error of measuring.
    SmallestChange {
        change: f64,
        /// `None`: not said whether by one reader or several.
        raters: Option<Raters>,
    },
    /// Change that people call better or worse.
    MeaningfulChange {
        change: f64,
        /// Upper end where the source gives a span; `change` is its lower end.
        change_upper: Option<f64>,
        /// The row speaks only where the first value lay between these, ends included.
        start: Option<[f64; 2]>,
    },
    /// Change per year of age.
    AgeRate {
        per_year: f64,
    },
    /// Mean absolute error of an automatic finder, or of a reader, against a reference.
    AbsoluteError {
        mean: f64,
        sd: Option<f64>,
    },
}

impl YardstickKind {
    /// The word used in the files.
    pub fn key(&self) -> &'static str {
        use YardstickKind::*;
        match self {
            Norm { .. } => "norm",
            MeanOnly { .. } => "mean-only",
            Median { .. } => "median",
            Band { .. } => "band",
            AbnormalAbove { .. } => "abnormal-above",
            AbnormalBelow { .. } => "abnormal-below",
            Grade { .. } => "grade",
            Target { .. } => "target",
            Group { .. } => "group",
            Percentile { .. } => "percentile",
            RangeOfMeans { .. } => "range-of-means",
            Reliability { .. } => "reliability",
            ReadingError { .. } => "reading-error",
            LimitsOfAgreement { .. } => "limits-of-agreement",
            SmallestChange { .. } => "smallest-change",
            MeaningfulChange { .. } => "meaningful-change",
            AgeRate { .. } => "age-rate",
            AbsoluteError { .. } => "absolute-error",
        }
    }
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum ReliabilityForm {
    /// Intraclass correlation; the papers seldom say which form.
    Icc,
    WeightedKappa,
    Correlation,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Raters {
    /// The same reader again.
    Within,
    /// Different readers.
    Between,
}

/// One row of a published norm, threshold or reliability figure.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Yardstick {
    pub key: YardstickKey,
    /// The reading it is for; either this or `item`.
    pub measure: Option<MeasureKey>,
    /// The examination item it is for.
    pub item: Option<String>,
    /// Unit of the numbers: the measure's or item's own.
    pub unit: Unit,
    pub population: String,
    /// Completed years, both ends included: a person of 9.8 years is 9.
    pub age_min: Option<f64>,
    pub age_max: Option<f64>,
    /// `None`: both.
    pub sex: Option<Sex>,
    pub n: Option<u32>,
    pub kind: YardstickKind,
    /// The range printed beside a mean, where the source gives one.
    pub printed_range: Option<[f64; 2]>,
    /// Share of the people that lies in a band, 0 to 1, where the source says so.
    pub share: Option<f64>,
    /// Standard error of a mean, where that is what the source prints.
    pub standard_error: Option<f64>,
    /// A number of the row was worked out here from what the source prints; the note says how.
    pub derived: bool,
    /// The people were picked by literature norms, so their spread is too narrow to judge others by.
    pub selected_group: bool,
    /// Why the row stands beside a reading but never judges it: another kind of film, a spread that is
    /// hard to believe, a figure for a different question.
    pub shown_only: Option<String>,
    /// What the source calls a foot beyond the limit (`flat`, `high arch`).
    pub calls: Option<String>,
    pub source: SourceKey,
    /// The page on which the source's figure was seen, where it was not the source itself.
    pub via: Option<SourceKey>,
    pub provenance: Provenance,
    pub note: Option<String>,
}

impl Yardstick {
    /// Does it speak about this person?
    pub fn applies_to(&self, person: &Person) -> Applies {
        let ages = self.ages_words();
        if self.age_min.is_some() || self.age_max.is_some() {
            let Some(age) = person.age_years else {
                return Applies::CannotTell(format!("it is for {ages} and the age is not known"));
            };
            let years = age.floor();
            if self.age_min.is_some_and(|m| years < m) || self.age_max.is_some_and(|m| years > m) {
                return Applies::No(format!("it is for {ages}"));
            }
        }
        match (self.sex, person.sex) {
            (None, _) => Applies::Yes,
            (Some(wanted), Some(is)) if wanted == is => Applies::Yes,
            (Some(wanted), Some(_)) => Applies::No(format!("it is for {}", sex_words(wanted))),
            (Some(wanted), None) => Applies::CannotTell(format!(
                "it is for {} and the sex is not known",
                sex_words(wanted)
            )),
        }
    }

    /// "ages 5 to 12", "18 years and over", "any age".
    pub fn ages_words(&self) -> String {
        match (self.age_min, self.age_max) {
            (None, None) => "any age".into(),
            (Some(a), None) => format!("{a} years and over"),
            (None, Some(b)) => format!("up to {b} years"),
            (Some(a), Some(b)) if a == b => format!("age {a}"),
            (Some(a), Some(b)) => format!("ages {a} to {b}"),
        }
    }

    /// May this row take part in judging a reading, and not only stand beside it?
    pub fn may_decide(&self) -> bool {
        self.provenance.may_decide_alone() && !self.selected_group && self.shown_only.is_none()
    }
}

fn sex_words(sex: Sex) -> &'static str {
    match sex {
        Sex::Female => "women and girls",
        Sex::Male => "men and boys",
    }
}
