//! How a yardstick is written in its file: which fields each kind has, and what can be wrong with them.

use crate::source::Provenance;
use crate::yardstick::{Raters, ReliabilityForm, Yardstick, YardstickKind};
use quantity::Unit;
use serde::Deserialize;
use terms::{MeasureKey, Sex, SourceKey, YardstickKey};

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
