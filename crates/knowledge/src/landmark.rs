//! Points that can be placed on a film.

use crate::drawing::Drawing;
use crate::source::Provenance;
use serde::{Deserialize, Serialize};
use terms::{LandmarkKey, SourceKey, View};

/// A point with its definition, its picture and the error a reader usually makes placing it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Landmark {
    pub key: LandmarkKey,
    pub view: View,
    /// Name for lists and labels.
    pub name: String,
    /// What the point is.
    pub definition: String,
    /// How to find it on the film, for the hint beside the loupe.
    pub where_words: String,
    pub drawing: Drawing,
    /// Standard deviation of placing the point, the same in every direction, in millimetres on the foot.
    ///
    /// # Uncertainty
    /// A starting value for a reader whose own error is not known yet.
    pub usual_error_mm: f64,
    pub error_source: SourceKey,
    pub error_provenance: Provenance,
    /// The view can be read without it.
    pub optional: bool,
    /// Place in the placing order of its view, from 0.
    pub order: usize,
    pub note: Option<String>,
}

/// A landmark as its file writes it.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct LandmarkEntry {
    pub key: LandmarkKey,
    pub view: View,
    pub name: String,
    pub definition: String,
    pub where_words: String,
    /// On the view's drawing, in its millimetres.
    pub point: [f64; 2],
    /// Width of the picture's window in the drawing's millimetres.
    #[serde(default = "usual_window")]
    pub window: f64,
    pub usual_error_mm: f64,
    pub error_source: SourceKey,
    pub error_provenance: Provenance,
    #[serde(default)]
    pub optional: bool,
    #[serde(default)]
    pub note: Option<String>,
}

fn usual_window() -> f64 {
    70.0
}
