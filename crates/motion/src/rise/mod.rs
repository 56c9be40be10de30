//! What do followed points say of heel rises: how many, how high, how fast, and whether the heel turns inward?
//!
//! * points in an upright plane: [`series`]; the heel against the leg: [`angle`]; rises: [`rises`]; what a gap may hide: [`gap`]; how fast: [`tempo`]
//! * the turn at the top: [`turn`]; all readings of a leg: [`leg`]; left against right: [`between`]
//!
//! The angle is the one seen from behind. A heel that pitches as it lifts shows the same tilt larger (tan θ over
//! cos of the pitch): the sign of a turn is never changed by it, its size is.

pub mod angle;
pub mod between;
mod gap;
pub mod leg;
pub mod rises;
pub(crate) mod series;
mod tempo;
pub mod turn;

pub use angle::HeelAngle;
pub use between::{Between, between};
pub use leg::{Instant, LegReadings, Note, Rise, Strip};
pub use rises::Rule;
pub use turn::{Turn, Verdict};

use crate::MotionError;
use crate::steps::Steps;
use quantity::Unit;
use serde::Serialize;
use series::{Scale, Series};

/// All readings of a clip.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct RiseReadings {
    pub legs: Vec<LegReadings>,
    /// Left against right, where both are in the clip.
    pub between: Option<Between>,
    /// Millimetres with a known length, else distances of the leg's two points ([`Unit::Ratio`]).
    pub height_unit: Unit,
    /// The rule by which rises count, in words.
    pub rule: String,
    pub notes: Vec<Note>,
}

/// From the steps alone; the same steps give the same readings.
///
/// # Errors
/// Steps of another form, or that do not belong to a clip.
pub fn read(steps: &Steps) -> Result<RiseReadings, MotionError> {
    read_series(&Series::of_steps(steps)?, steps.rule)
}

pub(crate) fn read_series(series: &Series, rule: Rule) -> Result<RiseReadings, MotionError> {
    check_rule(rule)?;
    let legs: Vec<LegReadings> = series
        .legs
        .iter()
        .map(|leg| leg::read_leg(series, leg, rule))
        .collect();
    let mut notes = Vec::new();
    if series.camera_unknown > 0 {
        notes.push(Note::CameraUnknown {
            frames: series.camera_unknown,
        });
    }
    let height_unit = match series.scale {
        Scale::Millimetres { .. } => Unit::Millimetre,
        Scale::Unknown => {
            notes.push(Note::NoKnownLength);
            Unit::Ratio
        }
    };
    Ok(RiseReadings {
        between: match &legs[..] {
            [a, b] => between(a, b),
            _ => None,
        },
        legs,
        height_unit,
        rule: rule.words(),
        notes,
    })
}

fn check_rule(rule: Rule) -> Result<(), MotionError> {
    let (what, found, good, expected) = match rule {
        Rule::AnyRise => return Ok(()),
        Rule::ShareOfFirst { share } => (
            "the share of the first height",
            share,
            0.05..=1.0,
            "0.05 to 1",
        ),
        Rule::Height { mm } => ("the least height", mm, 1.0..=300.0, "1 to 300 mm"),
    };
    if good.contains(&found) {
        Ok(())
    } else {
        Err(MotionError::OutOfRange {
            what,
            found,
            expected,
        })
    }
}
