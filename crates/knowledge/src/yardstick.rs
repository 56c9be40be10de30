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

/// A yardstick as its file writes it: flat, so that every field has a line of its own.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct YardstickEntry {
    pub key: YardstickKey,
    pub measure: Option<MeasureKey>,
    pub item: Option<String>,
    pub population: String,
    pub age_min: Option<f64>,
    pub age_max: Option<f64>,
    pub sex: SexWord,
    pub n: Option<u32>,
    pub kind: String,
    pub mean: Option<f64>,
    pub sd: Option<f64>,
    pub median: Option<f64>,
    pub lower: Option<f64>,
    pub upper: Option<f64>,
    pub cut: Option<f64>,
    pub name: Option<String>,
    pub percent: Option<f64>,
    pub value: Option<f64>,
    pub form: Option<ReliabilityForm>,
    pub raters: Option<Raters>,
    pub change: Option<f64>,
    pub change_upper: Option<f64>,
    pub start_min: Option<f64>,
    pub start_max: Option<f64>,
    pub per_year: Option<f64>,
    pub printed_range: Option<[f64; 2]>,
    pub share: Option<f64>,
    pub standard_error: Option<f64>,
    #[serde(default)]
    pub derived: bool,
    #[serde(default)]
    pub selected_group: bool,
    pub shown_only: Option<String>,
    pub calls: Option<String>,
    pub source: SourceKey,
    pub via: Option<SourceKey>,
    pub provenance: Provenance,
    pub note: Option<String>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "lowercase")]
pub(crate) enum SexWord {
    Both,
    Female,
    Male,
}

/// A fault inside one entry: the field, what was found, what was expected.
pub(crate) type FieldFault = (&'static str, String, String);

/// The kinds, each with the fields it must have and those it may have.
const KINDS: &[(&str, &[&str], &[&str])] = &[
    ("norm", &["mean", "sd"], &["printed_range"]),
    ("mean-only", &["mean"], &["standard_error", "printed_range"]),
    ("median", &["median"], &[]),
    ("band", &["lower", "upper"], &["share", "calls"]),
    ("abnormal-above", &["cut"], &["calls"]),
    ("abnormal-below", &["cut"], &["calls"]),
    ("grade", &["name"], &["lower", "upper"]),
    ("target", &[], &["lower", "upper"]),
    ("group", &[], &["mean", "sd", "lower", "upper"]),
    ("percentile", &["percent", "value"], &[]),
    ("range-of-means", &["lower", "upper"], &[]),
    (
        "reliability",
        &["form", "raters"],
        &["value", "lower", "upper"],
    ),
    ("reading-error", &["sd", "raters"], &[]),
    ("limits-of-agreement", &["lower", "upper"], &["raters"]),
    ("smallest-change", &["change"], &["raters"]),
    (
        "meaningful-change",
        &["change"],
        &["change_upper", "start_min", "start_max", "calls"],
    ),
    ("age-rate", &["per_year"], &[]),
    ("absolute-error", &["mean"], &["sd"]),
];

impl YardstickEntry {
    fn given(&self) -> Vec<&'static str> {
        let all = [
            ("mean", self.mean.is_some()),
            ("sd", self.sd.is_some()),
            ("median", self.median.is_some()),
            ("lower", self.lower.is_some()),
            ("upper", self.upper.is_some()),
            ("cut", self.cut.is_some()),
            ("name", self.name.is_some()),
            ("percent", self.percent.is_some()),
            ("value", self.value.is_some()),
            ("form", self.form.is_some()),
            ("raters", self.raters.is_some()),
            ("change", self.change.is_some()),
            ("change_upper", self.change_upper.is_some()),
            ("start_min", self.start_min.is_some()),
            ("start_max", self.start_max.is_some()),
            ("per_year", self.per_year.is_some()),
            ("printed_range", self.printed_range.is_some()),
            ("share", self.share.is_some()),
            ("standard_error", self.standard_error.is_some()),
            ("calls", self.calls.is_some()),
        ];
        all.into_iter()
            .filter(|(_, given)| *given)
            .map(|(field, _)| field)
            .collect()
    }

    /// Everything that can be wrong within the row itself.
    pub(crate) fn faults(&self) -> Vec<FieldFault> {
        let mut out = self.kind_faults();
        for (field, value) in [
            ("mean", self.mean),
            ("sd", self.sd),
            ("median", self.median),
            ("lower", self.lower),
            ("upper", self.upper),
            ("cut", self.cut),
            ("percent", self.percent),
            ("value", self.value),
            ("change", self.change),
            ("change_upper", self.change_upper),
            ("start_min", self.start_min),
            ("start_max", self.start_max),
            ("per_year", self.per_year),
            ("share", self.share),
            ("standard_error", self.standard_error),
            ("age_min", self.age_min),
            ("age_max", self.age_max),
        ] {
            if let Some(v) = value.filter(|v| !v.is_finite()) {
                out.push((field, format!("{field} = {v}"), "a finite number".into()));
            }
        }
        for (field, value) in [
            ("sd", self.sd),
            ("standard_error", self.standard_error),
            ("change", self.change),
        ] {
            if let Some(v) = value.filter(|v| *v <= 0.0) {
                out.push((field, format!("{field} = {v}"), "a number above 0".into()));
            }
        }
        let ends = [
            ("lower", "upper", self.lower, self.upper),
            ("age_min", "age_max", self.age_min, self.age_max),
            ("change", "change_upper", self.change, self.change_upper),
            ("start_min", "start_max", self.start_min, self.start_max),
            (
                "printed_range",
                "printed_range",
                self.printed_range.map(|r| r[0]),
                self.printed_range.map(|r| r[1]),
            ),
        ];
        for (low_field, high_field, low, high) in ends {
            if let (Some(a), Some(b)) = (low, high)
                && a > b
            {
                let found = if low_field == high_field {
                    format!("{low_field} = [{a}, {b}]")
                } else {
                    format!("{low_field} = {a} and {high_field} = {b}")
                };
                out.push((low_field, found, "the smaller number first".into()));
            }
        }
        for (field, value, limit) in [
            ("age_min", self.age_min, 130.0),
            ("age_max", self.age_max, 130.0),
            ("share", self.share, 1.0),
            ("percent", self.percent, 100.0),
        ] {
            if let Some(v) = value.filter(|v| !(0.0..=limit).contains(v)) {
                out.push((
                    field,
                    format!("{field} = {v}"),
                    format!("a number from 0 to {limit}"),
                ));
            }
        }
        if self.measure.is_some() == self.item.is_some() {
            let found = if self.measure.is_some() {
                "both a measure and an item"
            } else {
                "neither a measure nor an item"
            };
            out.push((
                "key",
                found.into(),
                "exactly one of measure and item".into(),
            ));
        }
        if self.start_min.is_some() != self.start_max.is_some() {
            out.push((
                "start_min",
                "one end of the span of first values".into(),
                "both start_min and start_max".into(),
            ));
        }
        if self.derived && self.note.is_none() {
            out.push((
                "derived",
                "derived = true without a note".into(),
                "a note that says how it was worked out".into(),
            ));
        }
        out
    }

    fn kind_faults(&self) -> Vec<FieldFault> {
        let Some((_, must, may)) = KINDS.iter().find(|(name, _, _)| *name == self.kind) else {
            let known: Vec<&str> = KINDS.iter().map(|(name, _, _)| *name).collect();
            return vec![(
                "kind",
                format!("kind = {:?}", self.kind),
                format!("one of {}", known.join(", ")),
            )];
        };
        let given = self.given();
        let mut out = Vec::new();
        for field in must.iter().filter(|f| !given.contains(f)) {
            out.push((
                "kind",
                format!("kind = {:?} without `{field}`", self.kind),
                format!("the field `{field}`"),
            ));
        }
        for field in given
            .into_iter()
            .filter(|f| !must.contains(f) && !may.contains(f))
        {
            out.push((
                field,
                format!("`{field}` in a row of kind {:?}", self.kind),
                format!("only {}", list(must, may)),
            ));
        }
        if must.is_empty() && self.mean.is_none() && self.lower.is_none() && self.upper.is_none() {
            out.push((
                "kind",
                format!("kind = {:?} without a number", self.kind),
                format!("at least one of {}", list(must, may)),
            ));
        }
        out
    }

    /// The row as the rest of the program sees it; `None` if [`Self::faults`] has something to say.
    pub(crate) fn checked(self, unit: Unit) -> Option<Yardstick> {
        if !self.faults().is_empty() {
            return None;
        }
        let (lower, upper) = (self.lower, self.upper);
        let kind = match self.kind.as_str() {
            "norm" => YardstickKind::Norm {
                mean: self.mean?,
                sd: self.sd?,
            },
            "mean-only" => YardstickKind::MeanOnly { mean: self.mean? },
            "median" => YardstickKind::Median {
                median: self.median?,
            },
            "band" => YardstickKind::Band {
                lower: lower?,
                upper: upper?,
            },
            "abnormal-above" => YardstickKind::AbnormalAbove { cut: self.cut? },
            "abnormal-below" => YardstickKind::AbnormalBelow { cut: self.cut? },
            "grade" => YardstickKind::Grade {
                name: self.name?,
                lower,
                upper,
            },
            "target" => YardstickKind::Target { lower, upper },
            "group" => YardstickKind::Group {
                mean: self.mean,
                sd: self.sd,
                lower,
                upper,
            },
            "percentile" => YardstickKind::Percentile {
                percent: self.percent?,
                value: self.value?,
            },
            "range-of-means" => YardstickKind::RangeOfMeans {
                lower: lower?,
                upper: upper?,
            },
            "reliability" => YardstickKind::Reliability {
                form: self.form?,
                raters: self.raters?,
                value: self.value,
                lower,
                upper,
            },
            "reading-error" => YardstickKind::ReadingError {
                sd: self.sd?,
                raters: self.raters?,
            },
            "limits-of-agreement" => YardstickKind::LimitsOfAgreement {
                lower: lower?,
                upper: upper?,
                raters: self.raters,
            },
            "smallest-change" => YardstickKind::SmallestChange {
                change: self.change?,
                raters: self.raters,
            },
            "meaningful-change" => YardstickKind::MeaningfulChange {
                change: self.change?,
                change_upper: self.change_upper,
                start: self.start_min.zip(self.start_max).map(<[f64; 2]>::from),
            },
            "age-rate" => YardstickKind::AgeRate {
                per_year: self.per_year?,
            },
            "absolute-error" => YardstickKind::AbsoluteError {
                mean: self.mean?,
                sd: self.sd,
            },
            _ => return None,
        };
        Some(Yardstick {
            key: self.key,
            measure: self.measure,
            item: self.item,
            unit,
            population: self.population,
            age_min: self.age_min,
            age_max: self.age_max,
            sex: match self.sex {
                SexWord::Both => None,
                SexWord::Female => Some(Sex::Female),
                SexWord::Male => Some(Sex::Male),
            },
            n: self.n,
            kind,
            printed_range: self.printed_range,
            share: self.share,
            standard_error: self.standard_error,
            derived: self.derived,
            selected_group: self.selected_group,
            shown_only: self.shown_only,
            calls: self.calls,
            source: self.source,
            via: self.via,
            provenance: self.provenance,
            note: self.note,
        })
    }
}

fn list(must: &[&str], may: &[&str]) -> String {
    must.iter()
        .chain(may)
        .copied()
        .collect::<Vec<_>>()
        .join(", ")
}
