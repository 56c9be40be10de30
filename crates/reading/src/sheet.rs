//! What comes out: readings with their error, measures that had to be refused, and warnings.

use quantity::Estimate;
use serde::{Deserialize, Serialize};
use terms::{LandmarkKey, MeasureKey, Side, Stance, View};

/// Everything read from one set of points.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct ReadingSheet {
    pub view: View,
    pub side: Option<Side>,
    pub stance: Stance,
    /// The most important measure first.
    pub readings: Vec<Reading>,
    pub refused: Vec<Refused>,
    pub warnings: Vec<Warning>,
    /// How the foot lies on the film; `None` where the points do not say.
    pub frame: Option<FrameFacts>,
}

impl ReadingSheet {
    pub fn reading(&self, measure: &MeasureKey) -> Option<&Reading> {
        self.readings.iter().find(|r| r.measure == *measure)
    }

    pub fn refusal(&self, measure: &MeasureKey) -> Option<&Refused> {
        self.refused.iter().find(|r| r.measure == *measure)
    }
}

/// One measured value.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Reading {
    pub measure: MeasureKey,
    pub view: View,
    pub side: Option<Side>,
    /// Value and standard error; the error is the root of the sum of the squared parts.
    pub estimate: Estimate,
    pub error_parts: ErrorParts,
    /// The shift that a foot turned at random by the film's `yaw_sd_deg` gives the reading on average
    /// (reading minus truth), in the unit of the reading. It is not taken off.
    pub rotation_bias: f64,
    /// The landmarks it was read from, floor points included where the floor plays a part.
    pub points_used: Vec<LandmarkKey>,
    /// Version of the construction.
    pub method_version: u32,
    pub stance: Stance,
    /// What one has to know to use it, each one sentence.
    pub notes: Vec<String>,
    pub drawing: Drawing,
}

/// Standard errors by their cause, in the unit of the reading. A part is zero where its cause cannot
/// move the reading, or was switched off.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
pub struct ErrorParts {
    /// Placing of the measured points.
    pub points: f64,
    /// Millimetres per pixel.
    pub scale: f64,
    /// Rotation of the foot about the upright axis.
    pub rotation: f64,
    /// The floor: placing of its two points, or tilt of the film's edge that stands in for it.
    pub floor: f64,
}

impl ErrorParts {
    /// # Assumptions
    /// The four causes are independent.
    pub fn total(&self) -> f64 {
        let Self {
            points,
            scale,
            rotation,
            floor,
        } = *self;
        (points * points + scale * scale + rotation * rotation + floor * floor).sqrt()
    }
}

/// A measure that was not read.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Refused {
    pub measure: MeasureKey,
    pub why: Refusal,
    /// What was found, what was expected, what to do.
    pub sentence: String,
}

impl Refused {
    pub fn new(measure: MeasureKey, why: Refusal) -> Self {
        Self {
            measure,
            sentence: why.to_string(),
            why,
        }
    }
}

/// Why a measure was not read.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, thiserror::Error)]
#[serde(tag = "why", rename_all = "kebab-case")]
pub enum Refusal {
    #[error("not read: {} not placed; place {}", named(.points, "is", "are"), them(.points))]
    MissingPoints { points: Vec<LandmarkKey> },
    #[error("not read: the point {point} has a coordinate that is not a number; place it again")]
    NotANumber { point: LandmarkKey },
    #[error("not read: the point {point}: {fault}; place it again")]
    BadCovariance { point: LandmarkKey, fault: String },
    #[error(
        "not read: the point {point} lies outside the film of {width_px} × {height_px} pixels; place it again or check that the points belong to this film"
    )]
    OutsideFilm {
        point: LandmarkKey,
        width_px: u32,
        height_px: u32,
    },
    #[error("not read: {first} and {second} lie on the same spot; move one of them")]
    SameSpot {
        first: LandmarkKey,
        second: LandmarkKey,
    },
    #[error("not read: {what}; check {}", list(.points))]
    NoAngle {
        what: String,
        points: Vec<LandmarkKey>,
    },
    #[error(
        "not read: no scale for millimetres ({reason}); give a ball, a known length or the pixel size"
    )]
    NoScale { reason: String },
    #[error("not read: {reason}")]
    NoFrame { reason: String },
    #[error(
        "not read: the level of the floor is not known; place floor_back and floor_front on the line on which the foot stands"
    )]
    NoFloorLevel,
    #[error("not read: {fault}; mend the measure in the knowledge folder")]
    BrokenMeasure { fault: String },
}

fn list(points: &[LandmarkKey]) -> String {
    let words: Vec<&str> = points.iter().map(LandmarkKey::as_str).collect();
    match words.as_slice() {
        [] => "the points".into(),
        [one] => (*one).into(),
        [head @ .., last] => format!("{} and {last}", head.join(", ")),
    }
}

fn named(points: &[LandmarkKey], one: &str, more: &str) -> String {
    format!(
        "{} {}",
        list(points),
        if points.len() == 1 { one } else { more }
    )
}

fn them(points: &[LandmarkKey]) -> &'static str {
    if points.len() == 1 { "it" } else { "them" }
}

/// Something that does not stop the reading but must be looked at.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Warning {
    pub kind: WarningKind,
    pub sentence: String,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum WarningKind {
    /// The side said and the side that the points show differ.
    SideContradiction,
    /// Two points seem to have been exchanged.
    Exchanged,
    /// Points of another view, or that nobody knows.
    ForeignPoints,
    OutsideFilm,
    SameSpot,
    NotStanding,
    /// The film lies so far from straight that its edges cannot stand in for the floor.
    Askew,
    /// Placing errors had to be guessed.
    GuessedError,
    /// A fact of the film is not usable.
    FilmFacts,
    /// The direction of the foot was assumed.
    Assumed,
}

impl Warning {
    pub fn new(kind: WarningKind, sentence: impl Into<String>) -> Self {
        Self {
            kind,
            sentence: sentence.into(),
        }
    }
}

/// How the foot lies on the film.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct FrameFacts {
    /// Direction of the view's x axis (forward, or to the outer side) in film pixels, y down.
    pub x_axis_px: [f64; 2],
    /// Direction of the view's y axis (up, or to the toes).
    pub y_axis_px: [f64; 2],
    /// The view's axes are a mirror image of the usual x right, y up.
    pub mirrored: bool,
    pub floor: FloorFrom,
    /// The side that the points show, where the view tells it (dorsoplantar, film not mirrored).
    pub side_shown: Option<Side>,
}

/// What serves as floor.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum FloorFrom {
    /// Two points placed on it.
    Points,
    /// The edge of the film, for directions only; it gives no level.
    FilmEdge,
}

/// What to draw over the film for a reading.
///
/// # Units
/// Pixels of the stored image, y down; angles in degrees.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct Drawing {
    pub segments: Vec<[[f64; 2]; 2]>,
    pub arc: Option<Arc>,
    /// Where the value is written.
    pub label_at: [f64; 2],
}

/// An arc from `from_deg` to `to_deg`, measured from the film's x axis towards its y axis (clockwise on
/// the screen); `to_deg` may be smaller than `from_deg`.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Arc {
    pub centre: [f64; 2],
    pub radius: f64,
    pub from_deg: f64,
    pub to_deg: f64,
}

impl Arc {
    /// `steps + 1` points along the arc.
    pub fn polyline(&self, steps: usize) -> Vec<[f64; 2]> {
        let steps = steps.max(1);
        (0..=steps)
            .map(|i| {
                let share = i as f64 / steps as f64;
                let a = (self.from_deg + share * (self.to_deg - self.from_deg)).to_radians();
                [
                    self.centre[0] + self.radius * a.cos(),
                    self.centre[1] + self.radius * a.sin(),
                ]
            })
            .collect()
    }
}
