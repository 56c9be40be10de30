//! Where does a reading lie against what is published, and how sure is that?
//!
//! Every yardstick of the measure gets a row: whether it applies to the person, where the value lies,
//! and how probable it is that the true value lies outside, given the reading's error. The summary
//! comes only from rows that apply and may decide; a row known from memory, a patient group or a group
//! picked by literature norms is shown beside them and decides nothing.
//!
//! Ages are never interpolated: the row whose printed ages hold the child's completed years is used as it
//! stands, and its note names the age that was printed.

use crate::sheet::Reading;
use knowledge::{Applies, Knowledge, Limits, Person, Yardstick, YardstickKind};
use quantity::{Estimate, Unit};
use serde::Serialize;
use statrs::distribution::{ContinuousCDF, Normal};
use terms::SourceKey;

/// Where a reading lies against limits, by its 95 % interval.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Place {
    /// The whole interval lies within.
    Inside,
    /// The whole interval lies beyond one limit.
    Outside(Beyond),
    /// The interval holds a limit: the reading cannot tell.
    Straddles,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Beyond {
    Below,
    Above,
}

/// One yardstick and the reading.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct YardstickRow {
    pub yardstick: Yardstick,
    /// `None` where the row sets no limits (a mean without spread, a reliability figure).
    pub place: Option<Place>,
    /// Probability that the true value lies outside the row's limits, given the reading's error.
    pub probability_outside: Option<f64>,
    pub limits: Option<Limits>,
    /// Yes, or why not.
    pub applies: Applies,
    /// Takes part in the summary.
    pub decides: bool,
    /// Why a row that applies decides nothing.
    pub shown_only_because: Option<String>,
}

/// What all deciding rows say together.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Summary {
    Inside,
    Outside(Beyond),
    Straddles,
    /// By one source the reading is inside, by another outside.
    SourcesDiffer,
    /// No row applies and may decide.
    NoYardstick,
}

impl Summary {
    pub fn words(self) -> &'static str {
        match self {
            Summary::Inside => "within the published limits",
            Summary::Outside(Beyond::Above) => "above the published limits",
            Summary::Outside(Beyond::Below) => "below the published limits",
            Summary::Straddles => "too close to a limit to tell",
            Summary::SourcesDiffer => "sources differ",
            Summary::NoYardstick => "no published limit applies",
        }
    }
}

/// The spans that the deciding sources accept.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct SourceBand {
    /// Accepted by every deciding source; `None` where no value pleases all.
    pub agreed: Option<Limits>,
    /// From the lowest to the highest value that some deciding source accepts.
    pub widest: Limits,
    /// Label it 'sources differ'.
    pub sources_differ: bool,
    pub sources: usize,
}

/// A reading held against everything published for its measure.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Comparison {
    pub estimate: Estimate,
    pub rows: Vec<YardstickRow>,
    pub summary: Summary,
    /// `None` without a deciding row.
    pub band: Option<SourceBand>,
    /// What one has to know, each one sentence.
    pub notes: Vec<String>,
}

impl Comparison {
    /// The sources that decided, each once.
    pub fn deciding_sources(&self) -> Vec<&SourceKey> {
        let deciding = self.rows.iter().filter(|r| r.decides);
        let mut sources: Vec<&SourceKey> = deciding.map(|r| &r.yardstick.source).collect();
        sources.sort();
        sources.dedup();
        sources
    }
}

/// Holds a reading against the yardsticks of its measure.
///
/// # Uncertainty
/// Probabilities take the reading's error as normal with its standard error; the yardsticks' own
/// sampling error is not in them.
pub fn against(knowledge: &Knowledge, reading: &Reading, person: &Person) -> Comparison {
    let yardsticks = knowledge.yardsticks(&reading.measure);
    compare(&yardsticks, reading, person)
}

/// The same with the yardsticks given.
pub fn compare(yardsticks: &[&Yardstick], reading: &Reading, person: &Person) -> Comparison {
    let mut comparison = held_against(yardsticks, reading.estimate, person);
    if reading.stance == terms::Stance::NotStanding {
        let note = "The film was not taken standing; the yardsticks are for standing feet.";
        comparison.notes.insert(0, note.into());
    }
    comparison
}

/// A value however it was come by, against the yardsticks given.
pub fn held_against(yardsticks: &[&Yardstick], estimate: Estimate, person: &Person) -> Comparison {
    let rows: Vec<YardstickRow> = yardsticks
        .iter()
        .map(|y| row(y, &estimate, person))
        .collect();
    let mut notes = Vec::new();
    if person.age_years.is_none()
        && rows
            .iter()
            .any(|r| matches!(&r.applies, Applies::CannotTell(why) if why.contains("age")))
    {
        notes.push("The age is not known: yardsticks that depend on it were left out; give the date of birth.".into());
    }
    let summary = summary(&rows);
    Comparison {
        estimate,
        summary,
        band: band(&rows),
        rows,
        notes,
    }
}

fn row(y: &Yardstick, estimate: &Estimate, person: &Person) -> YardstickRow {
    let limits = shown_limits(y);
    let mut applies = y.applies_to(person);
    if matches!(y.kind, YardstickKind::Group { .. }) {
        applies =
            Applies::No("it is of patients or of feet picked for their shape, not a norm".into());
    }
    let probability_outside = limits.map(|l| probability_outside(estimate, &l));
    let place = limits.map(|l| place(estimate, &l));
    let judges = applies.yes() && y.limits().is_some();
    let shown_only_because = (judges && !y.may_decide()).then(|| why_shown_only(y));
    YardstickRow {
        yardstick: y.clone(),
        place,
        probability_outside,
        limits,
        decides: judges && y.may_decide(),
        applies,
        shown_only_because,
    }
}

/// The limits that judge, or for a named degree and an aim the span to show.
fn shown_limits(y: &Yardstick) -> Option<Limits> {
    y.limits().or(match y.kind {
        YardstickKind::Grade { lower, upper, .. } | YardstickKind::Target { lower, upper } => {
            Some(Limits { lower, upper })
        }
        _ => None,
    })
}

fn why_shown_only(y: &Yardstick) -> String {
    if !y.provenance.may_decide_alone() {
        "known from memory only: nobody here has read the source".into()
    } else if y.selected_group {
        "its people were picked by literature norms, so its spread is too narrow".into()
    } else {
        y.shown_only
            .clone()
            .unwrap_or_else(|| "it may not decide".into())
    }
}

fn place(estimate: &Estimate, limits: &Limits) -> Place {
    let (low, high) = estimate.interval_95();
    match limits {
        Limits { lower: Some(l), .. } if high < *l => Place::Outside(Beyond::Below),
        Limits { upper: Some(u), .. } if low > *u => Place::Outside(Beyond::Above),
        l if l.contains(low) && l.contains(high) => Place::Inside,
        _ => Place::Straddles,
    }
}

/// Probability that a normal value lies outside the limits; 0 or 1 for a value without error.
pub fn probability_outside(estimate: &Estimate, limits: &Limits) -> f64 {
    let Ok(normal) = Normal::new(estimate.value, estimate.standard_error) else {
        return if limits.contains(estimate.value) {
            0.0
        } else {
            1.0
        };
    };
    let below = limits.lower.map_or(0.0, |l| normal.cdf(l));
    let above = limits.upper.map_or(0.0, |u| normal.sf(u));
    (below + above).min(1.0)
}

fn summary(rows: &[YardstickRow]) -> Summary {
    let mut places = rows.iter().filter(|r| r.decides).filter_map(|r| r.place);
    let Some(first) = places.next() else {
        return Summary::NoYardstick;
    };
    let (mut inside, mut above, mut below, mut straddles) = (false, false, false, false);
    for place in std::iter::once(first).chain(places) {
        match place {
            Place::Inside => inside = true,
            Place::Outside(Beyond::Above) => above = true,
            Place::Outside(Beyond::Below) => below = true,
            Place::Straddles => straddles = true,
        }
    }
    match (inside, above, below) {
        (true, false, false) if !straddles => Summary::Inside,
        (false, true, false) if !straddles => Summary::Outside(Beyond::Above),
        (false, false, true) if !straddles => Summary::Outside(Beyond::Below),
        // A row that cannot tell contradicts nobody.
        (true, false, false)
        | (false, true, false)
        | (false, false, true)
        | (false, false, false) => Summary::Straddles,
        _ => Summary::SourcesDiffer,
    }
}

fn band(rows: &[YardstickRow]) -> Option<SourceBand> {
    let limits: Vec<Limits> = rows
        .iter()
        .filter(|r| r.decides)
        .filter_map(|r| r.limits)
        .collect();
    let unit = rows.iter().find(|r| r.decides)?.yardstick.unit;
    let low = |f: fn(f64, f64) -> f64| limits.iter().filter_map(|l| l.lower).reduce(f);
    let high = |f: fn(f64, f64) -> f64| limits.iter().filter_map(|l| l.upper).reduce(f);
    let agreed = Limits {
        lower: low(f64::max),
        upper: high(f64::min),
    };
    let widest = Limits {
        lower: low(f64::min),
        upper: high(f64::max),
    };
    let empty = matches!((agreed.lower, agreed.upper), (Some(a), Some(b)) if a > b);
    // The ends of one kind differ by more than rounding.
    let rounding = if unit == Unit::Ratio { 0.005 } else { 0.5 };
    let apart =
        |a: Option<f64>, b: Option<f64>| a.zip(b).is_some_and(|(a, b)| (a - b).abs() > rounding);
    Some(SourceBand {
        agreed: (!empty).then_some(agreed),
        widest,
        sources_differ: apart(agreed.lower, widest.lower) || apart(agreed.upper, widest.upper),
        sources: limits.len(),
    })
}
