//! How large feet are, how their sizes hang together, and how shoes are numbered.
//!
//! This file answers "is this length likely, and what goes with it": means, percentiles, lines through the
//! foot's length, changes under weight, children by age, and shoe-size rules. One surprise: breadth and
//! girth hang only loosely on length and the arch not at all; such a line gives a first guess with a
//! standard error and never replaces asking.

use crate::figure::{Wrong, sourced};
use crate::source::Provenance;
use crate::yardstick::Person;
use quantity::{Estimate, Unit};
use serde::{Deserialize, Serialize};
use terms::{Sex, SourceKey};

/// What is measured on a body. Each has one unit.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Dimension {
    /// Rearmost heel to the longest toe.
    FootLength,
    /// Rearmost heel to the inner ball, along the foot.
    BallLength,
    /// Across the ball, level.
    FootBreadth,
    /// Around the ball.
    BallGirth,
    HeelBreadth,
    /// Around heel and instep.
    HeelAnkleGirth,
    /// Across both malleoli.
    BimalleolarBreadth,
    LateralMalleolusHeight,
    AnkleGirth,
    Stature,
    BodyMass,
    /// Tuberosity above the floor.
    NavicularHeight,
    /// Navicular height by the foot's length to the first head.
    NavicularHeightTruncated,
    /// Height of the foot's back at half its length.
    DorsumHeight,
    /// That height by the foot's length to the first head.
    ArchHeightIndex,
    /// Highest place of the arch by foot length, from the heel.
    ArchApexPlace,
    /// Free height under the arch.
    ArchClearance,
    /// Length of the heel's pad by foot length.
    HeelPadLength,
    /// How far the inner outline leans from the outer.
    InnerOutlineAngle,
    /// Months in which a child's foot grows by half a shoe size.
    HalfSizeGrowth,
}

impl Dimension {
    pub fn words(self) -> &'static str {
        use Dimension::*;
        match self {
            FootLength => "foot length",
            BallLength => "length to the inner ball",
            FootBreadth => "breadth at the ball",
            BallGirth => "girth of the ball",
            HeelBreadth => "breadth of the heel",
            HeelAnkleGirth => "girth over heel and instep",
            BimalleolarBreadth => "breadth across the malleoli",
            LateralMalleolusHeight => "height of the outer malleolus",
            AnkleGirth => "girth of the ankle",
            Stature => "stature",
            BodyMass => "body mass",
            NavicularHeight => "height of the navicular",
            NavicularHeightTruncated => "height of the navicular by the length to the first head",
            DorsumHeight => "height of the foot's back at half its length",
            ArchHeightIndex => "arch height index",
            ArchApexPlace => "place of the highest arch, by foot length",
            ArchClearance => "free height under the arch",
            HeelPadLength => "length of the heel pad, by foot length",
            InnerOutlineAngle => "lean of the inner outline",
            HalfSizeGrowth => "months for half a shoe size",
        }
    }

    /// Unit of its numbers, by the word used in the files.
    pub fn unit(self) -> &'static str {
        use Dimension::*;
        match self {
            BodyMass => "kg",
            NavicularHeightTruncated | ArchHeightIndex | ArchApexPlace | HeelPadLength => "ratio",
            InnerOutlineAngle => "deg",
            HalfSizeGrowth => "months",
            _ => "mm",
        }
    }
}

/// How much weight was on the foot.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Bearing {
    Hanging,
    Sitting,
    Standing,
}

/// One statement about a size.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct BodySize {
    pub key: String,
    pub dimension: Dimension,
    pub kind: SizeKind,
    pub population: String,
    pub n: Option<u32>,
    /// Completed years, both ends included.
    pub age_min: Option<f64>,
    pub age_max: Option<f64>,
    /// `None`: both.
    pub sex: Option<Sex>,
    pub bearing: Option<Bearing>,
    pub sources: Vec<SourceKey>,
    pub provenance: Provenance,
    pub derived: bool,
    pub judgement: bool,
    pub note: Option<String>,
}

sourced!(BodySize);

/// What kind of statement it is, in the dimension's unit.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case", tag = "kind")]
pub enum SizeKind {
    /// Mean, spread, and the 5th, 50th and 95th percentile where they were printed or counted.
    Spread {
        mean: f64,
        sd: f64,
        percentiles: Option<[f64; 3]>,
    },
    MeanOnly {
        mean: f64,
    },
    /// `intercept + slope · on`, with the standard error of estimate.
    Line {
        on: Dimension,
        intercept: f64,
        slope: f64,
        correlation: f64,
        standard_error: f64,
    },
    /// Share of another dimension.
    Share {
        of: Dimension,
        mean: f64,
        sd: f64,
    },
    /// Typical values lie here; no share of people is said.
    Range {
        lower: f64,
        upper: f64,
    },
    /// Change from hanging free to standing; a fall is negative.
    UnderWeight {
        lower: f64,
        upper: f64,
    },
    /// Growth for each year of age.
    PerYear {
        rate: f64,
    },
    /// No useful relation to another dimension was found: ask for it, never scale it.
    Unrelated {
        to: Dimension,
    },
}

impl BodySize {
    /// Does it speak about this person? What is not known is not taken for a yes.
    pub fn is_about(&self, person: &Person) -> bool {
        let aged = match (self.age_min, self.age_max) {
            (None, None) => true,
            (min, max) => person.age_years.is_some_and(|age| {
                let years = age.floor();
                min.is_none_or(|m| years >= m) && max.is_none_or(|m| years <= m)
            }),
        };
        aged && self.sex.is_none_or(|sex| person.sex == Some(sex))
    }

    /// Standard deviations above the mean; `None` for a row without a spread.
    pub fn deviations(&self, value: f64) -> Option<f64> {
        match self.kind {
            SizeKind::Spread { mean, sd, .. } => Some((value - mean) / sd),
            _ => None,
        }
    }

    /// Where a value lies against the row's percentiles, in words; `None` without percentiles.
    pub fn place_words(&self, value: f64) -> Option<&'static str> {
        let SizeKind::Spread {
            percentiles: Some([low, middle, high]),
            ..
        } = self.kind
        else {
            return None;
        };
        Some(if value < low {
            "below 95 in 100"
        } else if value < middle {
            "in the lower half"
        } else if value <= high {
            "in the upper half"
        } else {
            "above 95 in 100"
        })
    }

    /// The first guess of this dimension from the one its line runs on; `None` for a row without a line,
    /// or whose unit is not millimetres.
    ///
    /// # Uncertainty
    /// The standard error of estimate of the line: what one person may differ by.
    pub fn guess_mm(&self, on: f64) -> Option<Estimate> {
        match self.kind {
            SizeKind::Line {
                intercept,
                slope,
                standard_error,
                ..
            } if self.dimension.unit() == "mm" && on.is_finite() => Some(Estimate::new(
                intercept + slope * on,
                standard_error,
                Unit::Millimetre,
            )),
            _ => None,
        }
    }
}

/// How a shoe size follows from a foot.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ShoeRule {
    pub key: String,
    pub name: String,
    pub words: String,
    /// The length that is numbered.
    pub measures: ShoeLength,
    /// Millimetres in the unit that is counted: 10, 25.4, or 1.
    pub unit_mm: f64,
    /// Sizes for each unit.
    pub per_unit: f64,
    /// Added to the count, lowest and highest where sources differ.
    pub offset: [f64; 2],
    /// From one size to the next that is made.
    pub step: f64,
    /// Whose shoes are numbered so, completed years, both ends included; `None`: anybody's.
    #[serde(default)]
    pub age_min: Option<f64>,
    #[serde(default)]
    pub age_max: Option<f64>,
    #[serde(default)]
    pub sex: Option<Sex>,
    pub sources: Vec<SourceKey>,
    pub provenance: Provenance,
    #[serde(default)]
    pub derived: bool,
    #[serde(default)]
    pub judgement: bool,
    #[serde(default)]
    pub note: Option<String>,
}

sourced!(ShoeRule);

#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", tag = "of", deny_unknown_fields)]
pub enum ShoeLength {
    Foot,
    /// The last is longer than the foot by this much.
    Last {
        longer_mm: [f64; 2],
    },
}

impl ShoeRule {
    /// Are this person's shoes numbered so? What is not known of a person speaks against no rule.
    pub fn is_for(&self, person: &Person) -> bool {
        let aged = person.age_years.is_none_or(|age| {
            let years = age.floor();
            self.age_min.is_none_or(|m| years >= m) && self.age_max.is_none_or(|m| years <= m)
        });
        let same = |sex: Sex| person.sex.is_none_or(|p| p == sex);
        aged && self.sex.is_none_or(same)
    }

    /// Lowest and highest size of a foot, on the steps that are made; `None` for a length that is none.
    ///
    /// # Uncertainty
    /// The span of the rule itself; makers differ by another size either way.
    pub fn sizes(&self, foot_length_mm: f64) -> Option<[f64; 2]> {
        if !(foot_length_mm.is_finite() && foot_length_mm > 0.0) {
            return None;
        }
        let [shorter, longer] = match self.measures {
            ShoeLength::Foot => [foot_length_mm; 2],
            ShoeLength::Last { longer_mm } => longer_mm.map(|more| foot_length_mm + more),
        };
        let size = |length: f64, offset: f64| {
            let size = length / self.unit_mm * self.per_unit + offset;
            (size / self.step).round() * self.step
        };
        Some([size(shorter, self.offset[0]), size(longer, self.offset[1])])
    }
}

/// A row as its file writes it.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct SizeEntry {
    pub key: String,
    pub dimension: Dimension,
    pub kind: String,
    pub unit: String,
    pub population: String,
    #[serde(default)]
    pub n: Option<u32>,
    #[serde(default)]
    pub age_min: Option<f64>,
    #[serde(default)]
    pub age_max: Option<f64>,
    #[serde(default)]
    pub sex: Option<Sex>,
    #[serde(default)]
    pub bearing: Option<Bearing>,
    #[serde(default)]
    pub mean: Option<f64>,
    #[serde(default)]
    pub sd: Option<f64>,
    #[serde(default)]
    pub percentiles: Option<[f64; 3]>,
    #[serde(default)]
    pub on: Option<Dimension>,
    #[serde(default)]
    pub intercept: Option<f64>,
    #[serde(default)]
    pub slope: Option<f64>,
    #[serde(default)]
    pub correlation: Option<f64>,
    #[serde(default)]
    pub standard_error: Option<f64>,
    #[serde(default)]
    pub lower: Option<f64>,
    #[serde(default)]
    pub upper: Option<f64>,
    #[serde(default)]
    pub rate: Option<f64>,
    pub sources: Vec<SourceKey>,
    pub provenance: Provenance,
    #[serde(default)]
    pub derived: bool,
    #[serde(default)]
    pub judgement: bool,
    #[serde(default)]
    pub note: Option<String>,
}

/// Kind, the fields it must have, the fields it may have.
const KINDS: &[(&str, &[&str], &[&str])] = &[
    ("spread", &["mean", "sd"], &["percentiles"]),
    ("mean-only", &["mean"], &[]),
    (
        "line",
        &["on", "intercept", "slope", "correlation", "standard_error"],
        &[],
    ),
    ("share", &["on", "mean", "sd"], &[]),
    ("range", &["lower", "upper"], &[]),
    ("under-weight", &["lower", "upper"], &[]),
    ("per-year", &["rate"], &[]),
    ("unrelated", &["on"], &[]),
];

impl SizeEntry {
    fn given(&self) -> Vec<&'static str> {
        let there = [
            ("mean", self.mean.is_some()),
            ("sd", self.sd.is_some()),
            ("percentiles", self.percentiles.is_some()),
            ("on", self.on.is_some()),
            ("intercept", self.intercept.is_some()),
            ("slope", self.slope.is_some()),
            ("correlation", self.correlation.is_some()),
            ("standard_error", self.standard_error.is_some()),
            ("lower", self.lower.is_some()),
            ("upper", self.upper.is_some()),
            ("rate", self.rate.is_some()),
        ];
        there
            .into_iter()
            .filter_map(|(field, given)| given.then_some(field))
            .collect()
    }

    pub(crate) fn faults(&self) -> Vec<Wrong> {
        let Some((_, must, may)) = KINDS.iter().find(|(name, _, _)| *name == self.kind) else {
            let known: Vec<&str> = KINDS.iter().map(|(name, _, _)| *name).collect();
            return vec![(
                "kind",
                format!("kind = {:?}", self.kind),
                format!("one of {}", known.join(", ")),
            )];
        };
        let mut out = Vec::new();
        if self.unit != self.dimension.unit() {
            out.push((
                "unit",
                format!("unit = {:?}", self.unit),
                format!(
                    "{:?}, the unit of the {}",
                    self.dimension.unit(),
                    self.dimension.words()
                ),
            ));
        }
        let given = self.given();
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
            let all: Vec<&str> = must.iter().chain(may.iter()).copied().collect();
            out.push((
                field,
                format!("`{field}` in a row of kind {:?}", self.kind),
                format!("only {}", all.join(", ")),
            ));
        }
        out.extend(self.number_faults());
        out
    }

    fn number_faults(&self) -> Vec<Wrong> {
        let mut out = Vec::new();
        let finite = [
            ("mean", self.mean),
            ("intercept", self.intercept),
            ("slope", self.slope),
            ("rate", self.rate),
        ];
        for (field, number) in finite {
            if let Some(number) = number.filter(|n| !n.is_finite()) {
                out.push((
                    field,
                    format!("{field} = {number}"),
                    "a finite number".to_owned(),
                ));
            }
        }
        for (field, number) in [("sd", self.sd), ("standard_error", self.standard_error)] {
            if let Some(number) = number.filter(|n| !(n.is_finite() && *n > 0.0)) {
                out.push((
                    field,
                    format!("{field} = {number}"),
                    "a number above 0".to_owned(),
                ));
            }
        }
        if let Some(r) = self.correlation.filter(|r| !(-1.0..=1.0).contains(r)) {
            out.push((
                "correlation",
                format!("correlation = {r}"),
                "a number from -1 to 1".to_owned(),
            ));
        }
        if let Some([a, b, c]) = self.percentiles
            && !(a < b && b < c)
        {
            out.push((
                "percentiles",
                format!("percentiles = [{a}, {b}, {c}]"),
                "the 5th, 50th and 95th, rising".to_owned(),
            ));
        }
        out.extend(crate::figure::band_faults(None, self.lower, self.upper));
        if let (Some(a), Some(b)) = (self.age_min, self.age_max)
            && a > b
        {
            out.push((
                "age_min",
                format!("age_min = {a} and age_max = {b}"),
                "the smaller number first".to_owned(),
            ));
        }
        if self.on == Some(self.dimension) {
            out.push((
                "on",
                format!("a {} on itself", self.dimension.words()),
                "another dimension".to_owned(),
            ));
        }
        out
    }

    /// The row as the rest of the program sees it; `None` if [`Self::faults`] has something to say.
    pub(crate) fn checked(self) -> Option<BodySize> {
        if !self.faults().is_empty() {
            return None;
        }
        let kind = match self.kind.as_str() {
            "spread" => SizeKind::Spread {
                mean: self.mean?,
                sd: self.sd?,
                percentiles: self.percentiles,
            },
            "mean-only" => SizeKind::MeanOnly { mean: self.mean? },
            "line" => SizeKind::Line {
                on: self.on?,
                intercept: self.intercept?,
                slope: self.slope?,
                correlation: self.correlation?,
                standard_error: self.standard_error?,
            },
            "share" => SizeKind::Share {
                of: self.on?,
                mean: self.mean?,
                sd: self.sd?,
            },
            "range" => SizeKind::Range {
                lower: self.lower?,
                upper: self.upper?,
            },
            "under-weight" => SizeKind::UnderWeight {
                lower: self.lower?,
                upper: self.upper?,
            },
            "per-year" => SizeKind::PerYear { rate: self.rate? },
            "unrelated" => SizeKind::Unrelated { to: self.on? },
            _ => return None,
        };
        Some(BodySize {
            key: self.key,
            dimension: self.dimension,
            kind,
            population: self.population,
            n: self.n,
            age_min: self.age_min,
            age_max: self.age_max,
            sex: self.sex,
            bearing: self.bearing,
            sources: self.sources,
            provenance: self.provenance,
            derived: self.derived,
            judgement: self.judgement,
            note: self.note,
        })
    }
}

sourced!(SizeEntry);
