//! Left against right: a healthy other leg is the fairest comparison there is.

use super::leg::LegReadings;
use quantity::{Estimate, Unit};
use serde::Serialize;
use terms::Side;

/// # Sign
/// Differences are left less right; shares are left over right.
///
/// # Sources
/// `SleeswijkVisser2025` (abstract): no difference between the sides in 500 people, so that the other leg is a
/// fair comparison where it is healthy.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Between {
    /// Rises that count.
    pub count: Option<i64>,
    /// Mean height of the rises.
    pub mean_height: Option<Estimate>,
    pub mean_height_share: Option<f64>,
    pub standing: Option<Estimate>,
    /// Change of the heel's angle from standing to the top.
    pub change: Option<Estimate>,
}

/// `None` for readings of one side alone.
pub fn between(a: &LegReadings, b: &LegReadings) -> Option<Between> {
    let (left, right) = match (a.side, b.side) {
        (Side::Left, Side::Right) => (a, b),
        (Side::Right, Side::Left) => (b, a),
        _ => return None,
    };
    let less = |l: Option<Estimate>, r: Option<Estimate>| match (l, r) {
        (Some(l), Some(r)) if l.unit == r.unit => Some(Estimate::new(
            l.value - r.value,
            l.standard_error.hypot(r.standard_error),
            l.unit,
        )),
        _ => None,
    };
    Some(Between {
        count: match (left.count, right.count) {
            (Some(l), Some(r)) => Some(l as i64 - r as i64),
            _ => None,
        },
        mean_height: less(left.mean_height, right.mean_height),
        mean_height_share: match (left.mean_height, right.mean_height) {
            (Some(l), Some(r))
                if r.value > 0.0 && l.unit == r.unit && l.unit == Unit::Millimetre =>
            {
                Some(l.value / r.value)
            }
            _ => None,
        },
        standing: less(left.standing, right.standing),
        change: less(left.turn.map(|t| t.change), right.turn.map(|t| t.change)),
    })
}
