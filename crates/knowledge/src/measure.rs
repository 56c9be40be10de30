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

use crate::source::Provenance;
use quantity::Unit;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use terms::{LandmarkKey, MeasureKey, SourceKey, View};

/// A point: one landmark, or the midpoint of two.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(
    untagged,
    expecting = "a point: a landmark's key, or { mid = [key, key] }"
)]
pub enum PointExpr {
    Landmark(LandmarkKey),
    Midpoint { mid: [LandmarkKey; 2] },
}

/// A directed line.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(
    untagged,
    expecting = "a line: { from = point, to = point }, or { upper = [point, point], lower = [point, point] }"
)]
pub enum LineExpr {
    /// Through two points, directed from the first to the second.
    Through { from: PointExpr, to: PointExpr },
    /// Bisector of two lines that run the same way (for instance the tangents to the upper and lower
    /// margin of a bone): direction halfway between theirs, through the mean of the four points.
    Bisector {
        upper: [PointExpr; 2],
        lower: [PointExpr; 2],
    },
}

/// What is read off the points and lines. Angles in degrees, lengths in millimetres.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(tag = "kind", rename_all = "kebab-case", deny_unknown_fields)]
pub enum Value {
    /// `offset + sign · turn(from, to)`, wrapped to (−180°, 180°] unless `offset` is 180.
    Turn {
        from: String,
        to: String,
        #[serde(default = "plus_one")]
        sign: f64,
        #[serde(default)]
        offset: f64,
    },
    /// `sign · θ(line)` against the floor.
    Elevation {
        line: String,
        #[serde(default = "plus_one")]
        sign: f64,
    },
    /// Height of a point above the floor.
    Height { point: PointExpr },
    /// Height of `point` minus height of `minus`.
    HeightDifference { point: PointExpr, minus: PointExpr },
    /// Height of `point` over the distance from `back` to `front` along the floor.
    HeightRatio {
        point: PointExpr,
        back: PointExpr,
        front: PointExpr,
    },
    /// Signed distance from `from` to `to` along the view's x axis (the floor, on the lateral view).
    Along { from: PointExpr, to: PointExpr },
    /// Percent of the chord `chord` (first to second point) that lies before the foot of the
    /// perpendicular from `edge`.
    Uncovered {
        chord: [PointExpr; 2],
        edge: PointExpr,
    },
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
    /// How well the construction is known: read, from an abstract, common practice or memory.
    pub provenance: Provenance,
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

impl PointExpr {
    /// The landmarks it needs.
    pub fn landmarks(&self) -> Vec<&LandmarkKey> {
        match self {
            PointExpr::Landmark(key) => vec![key],
            PointExpr::Midpoint { mid } => mid.iter().collect(),
        }
    }
}

impl LineExpr {
    /// The landmarks it needs, in the order in which they are written.
    pub fn landmarks(&self) -> Vec<&LandmarkKey> {
        match self {
            LineExpr::Through { from, to } => [from, to]
                .into_iter()
                .flat_map(PointExpr::landmarks)
                .collect(),
            LineExpr::Bisector { upper, lower } => upper
                .iter()
                .chain(lower)
                .flat_map(PointExpr::landmarks)
                .collect(),
        }
    }
}

impl Value {
    /// The named lines it needs.
    pub fn lines(&self) -> Vec<&str> {
        match self {
            Value::Turn { from, to, .. } => vec![from, to],
            Value::Elevation { line, .. } | Value::HorizontalOffset { line, .. } => vec![line],
            _ => Vec::new(),
        }
    }

    /// The points it needs beyond those of its lines.
    pub fn points(&self) -> Vec<&PointExpr> {
        match self {
            Value::Turn { .. } | Value::Elevation { .. } => Vec::new(),
            Value::Height { point } | Value::HorizontalOffset { point, .. } => vec![point],
            Value::HeightDifference { point, minus } => vec![point, minus],
            Value::HeightRatio { point, back, front } => vec![point, back, front],
            Value::Along { from, to } => vec![from, to],
            Value::Uncovered { chord, edge } => vec![&chord[0], &chord[1], edge],
        }
    }

    /// The unit this kind of value comes in.
    pub fn unit(&self) -> Unit {
        match self {
            Value::Turn { .. } | Value::Elevation { .. } => Unit::Degree,
            Value::Height { .. }
            | Value::HeightDifference { .. }
            | Value::Along { .. }
            | Value::HorizontalOffset { .. } => Unit::Millimetre,
            Value::HeightRatio { .. } => Unit::Ratio,
            Value::Uncovered { .. } => Unit::Percent,
        }
    }

    /// Does the value hang on where the floor is?
    pub fn needs_floor(&self) -> bool {
        matches!(
            self,
            Value::Elevation { .. }
                | Value::Height { .. }
                | Value::HeightDifference { .. }
                | Value::HeightRatio { .. }
                | Value::Along { .. }
        )
    }
}

impl Measure {
    /// Every landmark the measure needs, each once, sorted by key.
    pub fn landmarks(&self) -> Vec<&LandmarkKey> {
        let mut keys: Vec<&LandmarkKey> = self
            .lines
            .values()
            .flat_map(LineExpr::landmarks)
            .chain(
                self.value
                    .points()
                    .into_iter()
                    .flat_map(PointExpr::landmarks),
            )
            .collect();
        keys.sort();
        keys.dedup();
        keys
    }

    /// Millimetres cannot be told without the film's scale; angles, ratios and percent can.
    pub fn needs_scale(&self) -> bool {
        self.unit == Unit::Millimetre
    }
}
