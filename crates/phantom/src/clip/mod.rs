//! What does a lower leg with its heel look like from behind while it rises, in a clip of known truth?
//!
//! * what a clip is asked for by: [`spec`]; how leg and heel move: [`pose`]; their skin: [`skin`]
//! * floor and wall: [`scene`]; the camera: [`view`]; pixels: [`draw`]
//!
//! World frame of a clip: millimetres, x to the right as seen from behind, y up, z forward (away from the camera),
//! floor at y = 0, the heel near the origin. Everything is invented and no picture of anybody.

mod draw;
mod pose;
mod scene;
mod skin;
pub mod spec;
mod texture;
mod view;

pub use draw::Clip;
pub use spec::{ClipSpec, Hidden, LegSpec, MARKS, MarkName};

use serde::Serialize;
use terms::Side;

/// What is true of a clip.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ClipTruth {
    pub times_s: Vec<f64>,
    pub legs: Vec<LegTruth>,
    /// Pixels in a millimetre at the distance of the heel.
    pub px_per_mm: f64,
}

/// What is true of a leg in each frame.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct LegTruth {
    pub side: Side,
    /// Heel against leg in the plane across the foot, eversion plus, degrees.
    pub front_deg: Vec<f64>,
    /// The same between the marks as this camera sees them.
    pub seen_deg: Vec<f64>,
    /// Of the heel's lower mark over where it stood, mm.
    pub height_mm: Vec<f64>,
    /// The four marks in pixels, in the order of [`MARKS`].
    pub spots: Vec<[(f64, f64); 4]>,
    pub rises: Vec<RiseTruth>,
}

/// What is true of a rise.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct RiseTruth {
    pub top_s: f64,
    pub height_mm: f64,
    /// Angle at the top less the angle standing, in the plane across the foot.
    pub change_deg: f64,
}
