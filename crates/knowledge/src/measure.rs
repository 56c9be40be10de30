//! How a reading is built from points: a small closed language read from `knowledge/measures/*.toml`.
//!
//! This file holds the types only; `reading` evaluates them (with exact derivatives) and nothing else does.
//!
//! # Frames
//! Every construction is evaluated in the view's own frame in millimetres (or, without a scale, in
//! pixels corrected for their aspect), never in image axes:
//! * lateral: x forward (heel to toe), y up;
//! * dorsoplantar: x towards the outer side of the foot, y towards the toes;
//! * hindfoot alignment and ankle front: x towards the outer side, y up (towards the knee).
//!
//! # Sign
//! The direction of a line is `θ = atan2(dy, dx)` from its first to its last point, and
//! `turn(a, b) = θ(b) − θ(a)` wrapped to (−180°, 180°].

use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use terms::{LandmarkKey, MeasureKey, SourceKey, View};
use quantity::Unit;

/// A point: one landmark, or the midpoint of two.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(untagged)]
pub enum PointExpr {
    Landmark(LandmarkKey),
    Midpoint { mid: [LandmarkKey; 2] },
}

/// A directed line.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(untagged)]
pub enum LineExpr {
    /// Through two points, directed from the first to the second.
    Through { from: PointExpr, to: PointExpr },
    /// Bisector of two lines that run the same way (for instance the tangents to the upper and lower
    /// margin of a bone): direction halfway between theirs, through the mean of the four points.
    Bisector { upper: [PointExpr; 2], lower: [PointExpr; 2] },
}

/// What is read off the points and lines. Angles in degrees, lengths in millimetres.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(tag = "kind", rename_all = "kebab-case", deny_unknown_fields)]
pub enum Value {
    /// `offset + sign · turn(from, to)`, wrapped to (−180°, 180°] unless `offset` is 180.
    Turn { from: String, to: String, #[serde(default = "plus_one")] sign: f64, #[serde(default)] offset: f64 },
    /// `sign · θ(line)` against the floor.
    Elevation { line: String, #[serde(default = "plus_one")] sign: f64 },
    /// Height of a point above the floor.
    Height { point: PointExpr },
    /// Height of `point` minus height of `minus`.
    HeightDifference { point: PointExpr, minus: PointExpr },
    /// Height of `point` over the distance from `back` to `front` along the floor.
    HeightRatio { point: PointExpr, back: PointExpr, front: PointExpr },
    /// Signed distance from `from` to `to` along the view's x axis (the floor, on the lateral view).
    Along { from: PointExpr, to: PointExpr },
    /// Percent of the chord `chord` (first to second point) that lies before the foot of the
    /// perpendicular from `edge`.
    Uncovered { chord: [PointExpr; 2], edge: PointExpr },
    /// Distance along x from `line`, prolonged to the height of `point`, to `point`.
    HorizontalOffset { line: String, point: PointExpr },
}

fn plus_one() -> f64 {
    1.0
}

/// One measure as written in its file.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Measure {
    pub key: MeasureKey,
    /// The trade's name, for the page.
    pub name: String,
    /// A shorter one for tables.
    pub short: String,
    pub view: View,
    pub unit: Unit,
    /// What plus means, in words ("+ = sole-side apex, arch down").
    pub sign_words: String,
    /// One or two sentences: which lines, which points.
    pub construction_words: String,
    /// Raised whenever the construction changes; stored with every reading.
    pub version: u32,
    #[serde(default)]
    pub lines: BTreeMap<String, LineExpr>,
    pub value: Value,
    /// How the reading moves when the foot or the beam is turned; see `docs` of the folder.
    pub projection: Projection,
    /// Where the construction comes from.
    pub sources: Vec<SourceKey>,
    /// Higher comes first in lists.
    #[serde(default)]
    pub importance: u32,
}

/// What a turned foot does to the reading.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Projection {
    pub model: ProjectionModel,
    /// In words, with what is known and what is not.
    pub words: String,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum ProjectionModel {
    /// Every line of the measure lies in the plane of the film when the foot is straight; a foot
    /// turned by `t` about the upright axis shortens the horizontal part: `tan a' = tan a / cos t`.
    InPlaneLines,
    /// Heights keep their size; distances along the floor shorten by `cos t`.
    Heights,
    /// Not modelled; a sentence says so on the reading.
    NotModelled,
}
