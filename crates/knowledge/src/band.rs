//! Which yardsticks apply to a person's reading, and do they agree?
//!
//! Nothing is averaged. Each row that can judge gives its own limits; where they disagree both the
//! narrowest and the widest span are told, and the words are 'sources differ'.

use crate::folder::Knowledge;
use crate::yardstick::{Applies, Person, Yardstick, YardstickKind};
use quantity::{Unit, Z_975};
use serde::Serialize;
use terms::MeasureKey;

/// A span of values, open where an end is missing.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize)]
pub struct Limits {
    pub lower: Option<f64>,
    pub upper: Option<f64>,
}

impl Limits {
    pub fn contains(&self, value: f64) -> bool {
        self.lower.is_none_or(|l| value >= l) && self.upper.is_none_or(|u| value <= u)
    }
}

/// One applying row and the limits it sets.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Limit<'k> {
    pub yardstick: &'k Yardstick,
    pub limits: Limits,
}

/// All that the knowledge folder says about a reading of one person.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Band<'k> {
    /// Every row of the measure, in the order of the files, with whether it applies.
    pub rows: Vec<(&'k Yardstick, Applies)>,
    /// Rows that apply and may judge.
    pub limits: Vec<Limit<'k>>,
    /// Rows that apply and would set limits, but may not judge: known from memory only, picked by
    /// literature norms, or held back for a stated reason.
    pub shown_only: Vec<Limit<'k>>,
    /// Values which every judging source accepts; `None` without one, or where no value pleases all.
    pub agreed: Option<Limits>,
    /// From the lowest to the highest value that some judging source accepts; `None` without one.
    pub widest: Option<Limits>,
    /// Two judging sources set the same end differently, by more than rounding.
    pub sources_differ: bool,
}

impl Yardstick {
    /// The limits this row sets, if it is of a kind that sets any.
    ///
    /// A norm sets its mean ± 1.96 standard deviations, or the printed range where there is one. A
    /// band that holds fewer than nine in ten people is no limit: those outside are no rarity.
    pub fn limits(&self) -> Option<Limits> {
        match self.kind {
            YardstickKind::Norm { mean, sd } => Some(match self.printed_range {
                Some([lower, upper]) => Limits {
                    lower: Some(lower),
                    upper: Some(upper),
                },
                None => Limits {
                    lower: Some(mean - Z_975 * sd),
                    upper: Some(mean + Z_975 * sd),
                },
            }),
            YardstickKind::Band { .. } if self.share.is_some_and(|share| share < 0.9) => None,
            YardstickKind::Band { lower, upper } => Some(Limits {
                lower: Some(lower),
                upper: Some(upper),
            }),
            YardstickKind::AbnormalAbove { cut } => Some(Limits {
                lower: None,
                upper: Some(cut),
            }),
            YardstickKind::AbnormalBelow { cut } => Some(Limits {
                lower: Some(cut),
                upper: None,
            }),
            _ => None,
        }
    }
}

impl Knowledge {
    /// Every yardstick of a measure for a person, the limits they set, and whether they agree.
    pub fn band(&self, measure: &MeasureKey, person: &Person) -> Band<'_> {
        let rows: Vec<(&Yardstick, Applies)> = self
            .yardsticks(measure)
            .into_iter()
            .map(|y| (y, y.applies_to(person)))
            .collect();
        let unit = self.measure(measure).map_or(Unit::Degree, |m| m.unit);
        band_of(rows, unit)
    }

    /// The same for an examination item.
    pub fn item_band(&self, item: &str, person: &Person) -> Band<'_> {
        let rows: Vec<(&Yardstick, Applies)> = self
            .item_yardsticks(item)
            .into_iter()
            .map(|y| (y, y.applies_to(person)))
            .collect();
        let unit = self.item(item).map_or(Unit::Count, |i| i.unit);
        band_of(rows, unit)
    }
}

/// Ends closer than this are the same for practice: half a degree, millimetre, percent or point.
fn rounding(unit: Unit) -> f64 {
    if unit == Unit::Ratio { 0.005 } else { 0.5 }
}

fn band_of(rows: Vec<(&Yardstick, Applies)>, unit: Unit) -> Band<'_> {
    let applying = rows.iter().filter(|(_, applies)| applies.yes());
    let (limits, shown_only): (Vec<Limit>, Vec<Limit>) = applying
        .filter_map(|(yardstick, _)| {
            Some(Limit {
                yardstick,
                limits: yardstick.limits()?,
            })
        })
        .partition(|limit| limit.yardstick.may_decide());
    let lowers: Vec<f64> = limits.iter().filter_map(|l| l.limits.lower).collect();
    let uppers: Vec<f64> = limits.iter().filter_map(|l| l.limits.upper).collect();
    let spread = |ends: &[f64]| match (min(ends), max(ends)) {
        (Some(a), Some(b)) => b - a > rounding(unit),
        _ => false,
    };
    let sources_differ = spread(&lowers) || spread(&uppers);
    let agreed = Limits {
        lower: max(&lowers),
        upper: min(&uppers),
    };
    let empty = matches!((agreed.lower, agreed.upper), (Some(a), Some(b)) if a > b);
    let some = !limits.is_empty();
    Band {
        agreed: (some && !empty).then_some(agreed),
        widest: some.then(|| Limits {
            lower: min(&lowers),
            upper: max(&uppers),
        }),
        sources_differ,
        rows,
        limits,
        shown_only,
    }
}

fn min(ends: &[f64]) -> Option<f64> {
    ends.iter().copied().reduce(f64::min)
}

fn max(ends: &[f64]) -> Option<f64> {
    ends.iter().copied().reduce(f64::max)
}
