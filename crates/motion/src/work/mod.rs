//! What is kept beside a photograph, a clip or a marker file so that its readings can be made again?
//!
//! Points come one after the other and may be missing for a while: they are kept by name, and readings come from
//! those that are there. A photograph: [`photo`]; a clip: [`clip`]; a file of markers: [`markers`].

pub mod clip;
pub mod markers;
pub mod photo;

pub use clip::ClipWork;
pub use markers::MarkerWork;
pub use photo::{PhotoReadings, PhotoWork, View};

use crate::MotionError;
use crate::rise::RiseReadings;
use crate::steps::{KnownLength, Point, Spot, USUAL_SCALE_ERROR};
use quantity::Estimate;
use serde_json::{Value, json};
use std::collections::BTreeMap;
use terms::Side;

/// Raised when the same work would give other numbers.
pub const METHOD_VERSION: u32 = 1;

/// Points by their keys; several places for a key that asks for several, none where none is to be seen.
pub type Spots = BTreeMap<String, Vec<Spot>>;

/// A point that is asked for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Wanted {
    pub key: String,
    /// Of one foot; `None` for what belongs to the picture.
    pub side: Option<Side>,
    pub name: &'static str,
    /// Where it lies.
    pub hint: &'static str,
    /// Any number of places instead of one.
    pub many: bool,
    /// Readings come without it.
    pub optional: bool,
}

/// Ends of a known length in the picture, at the distance of the leg.
pub const KNOWN_FROM: &str = "known-from";
pub const KNOWN_TO: &str = "known-to";

fn wanted(
    side: Option<Side>,
    key: &str,
    name: &'static str,
    hint: &'static str,
    optional: bool,
) -> Wanted {
    Wanted {
        key: side.map_or_else(|| key.to_owned(), |s| format!("{}-{key}", s.word())),
        side,
        name,
        hint,
        many: false,
        optional,
    }
}

pub(crate) fn length_wanted() -> [Wanted; 2] {
    let hint = "one end of a ruler or of another known length, as far from the camera as the foot";
    [
        wanted(None, KNOWN_FROM, "Known length, one end", hint, true),
        wanted(None, KNOWN_TO, "Known length, other end", hint, true),
    ]
}

/// The key of a leg's point.
pub fn point_key(side: Side, point: Point) -> String {
    format!("{}-{}", side.word(), point_name(point))
}

fn point_name(point: Point) -> &'static str {
    match point {
        Point::LegUpper => "leg-upper",
        Point::LegLower => "leg-lower",
        Point::HeelUpper => "heel-upper",
        Point::HeelLower => "heel-lower",
    }
}

/// The four points of a leg seen from behind.
pub(crate) fn leg_wanted(side: Side) -> [Wanted; 4] {
    let all = [
        (
            Point::LegUpper,
            "Leg, upper",
            "middle of the lower leg, a hand's breadth over the ankle",
        ),
        (
            Point::LegLower,
            "Leg, lower",
            "middle of the lower leg, just over the ankle",
        ),
        (
            Point::HeelUpper,
            "Heel, upper",
            "middle of the heel bone, where the tendon meets it",
        ),
        (
            Point::HeelLower,
            "Heel, lower",
            "middle of the heel bone, just over the sole",
        ),
    ];
    all.map(|(point, name, hint)| wanted(Some(side), point_name(point), name, hint, false))
}

pub(crate) fn one(spots: &Spots, key: &str) -> Option<Spot> {
    match spots.get(key)?.as_slice() {
        [one] => Some(*one),
        _ => None,
    }
}

pub(crate) fn known_length(spots: &Spots, mm: Option<f64>) -> Option<KnownLength> {
    Some(KnownLength {
        from: one(spots, KNOWN_FROM)?,
        to: one(spots, KNOWN_TO)?,
        mm: mm?,
        relative_error: USUAL_SCALE_ERROR,
    })
}

/// # Errors
/// A place that is no number or lies outside the picture.
pub(crate) fn check_spots(spots: &Spots, width: usize, height: usize) -> Result<(), MotionError> {
    let (most_x, most_y) = (width as f64, height as f64);
    for spot in spots.values().flatten() {
        let inside = (-0.5..most_x).contains(&spot.x) && (-0.5..most_y).contains(&spot.y);
        if !inside {
            return Err(MotionError::OutOfRange {
                what: "the place of a point",
                found: if (-0.5..most_x).contains(&spot.x) {
                    spot.y
                } else {
                    spot.x
                },
                expected: "a place inside the picture",
            });
        }
    }
    Ok(())
}

pub(crate) fn kept(measure: &str, side: Option<Side>, estimate: Estimate) -> Value {
    json!({
        "measure": measure,
        "side": side,
        "estimate": estimate,
        "method_version": METHOD_VERSION,
    })
}

/// A list `readings` of a clip or of markers, each with measure, side, value, error, unit and method version.
pub fn kept_rises(readings: &RiseReadings) -> Value {
    let mut list = Vec::new();
    let mut turns = Vec::new();
    for leg in &readings.legs {
        let side = Some(leg.side);
        let all = [
            ("heel_rise_best_height", leg.best_height),
            ("heel_rise_mean_height", leg.mean_height),
            ("heel_rise_travel", leg.travel),
            ("heel_rise_decay", leg.decay),
            ("heel_to_leg_standing", leg.standing),
            ("heel_rise_turn", leg.turn.as_ref().map(|t| t.change)),
        ];
        list.extend(
            all.into_iter()
                .filter_map(|(measure, e)| Some(kept(measure, side, e?))),
        );
        turns.push(json!({
            "side": leg.side,
            "count": leg.count,
            "verdict": leg.turn.as_ref().map(|t| t.verdict.words()),
            "probability": leg.turn.as_ref().map(|t| t.probability),
        }));
    }
    json!({ "readings": list, "rule": readings.rule, "legs": turns })
}
