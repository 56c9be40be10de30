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
    /// Standard deviation of placing the point in millimetres on the foot: the same in every direction, or
    /// across the border where the point lies on one.
    ///
    /// # Uncertainty
    /// A starting value for a reader whose own error is not known yet.
    pub usual_error_mm: f64,
    /// The point may slide along a border of bone that it must not leave.
    pub border: Option<Border>,
    pub error_source: SourceKey,
    pub error_provenance: Provenance,
    /// When its bone appears on a film; `None` for bones that are there from birth.
    pub appears: Option<Appears>,
    /// The view can be read without it.
    pub optional: bool,
    /// Place in the placing order of its view, from 0.
    pub order: usize,
    pub note: Option<String>,
}

/// The years over which a bone that starts as cartilage comes to be seen on films.
///
/// # Units
/// Years of age; children differ by this much and girls are earlier.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Appears {
    /// With its article: `the navicular`.
    pub bone: String,
    pub from_years: f64,
    pub until_years: f64,
    pub source: SourceKey,
    pub provenance: Provenance,
}

impl Landmark {
    /// What a child's age says of the point: that its bone is, or may be, still cartilage. `None` where the
    /// bone is there, or the age is not known. It warns and keeps nobody from placing the point.
    pub fn at_age(&self, years: Option<f64>) -> Option<String> {
        let (appears, years) = (self.appears.as_ref()?, years?);
        let span = format!(
            "it appears between {} and {} years{}",
            appears.from_years,
            appears.until_years,
            if appears.provenance == Provenance::Unconfirmed {
                ", unconfirmed"
            } else {
                ""
            }
        );
        let bone = &appears.bone;
        if years < appears.from_years {
            Some(format!(
                "At this age {bone} is still cartilage and not on the film ({span}): leave the point out."
            ))
        } else if years < appears.until_years {
            Some(format!(
                "At this age {bone} may still be cartilage ({span}): where no bone is seen, leave the point out."
            ))
        } else {
            None
        }
    }
}

/// The border of a bone that a point lies on: a shaft's edge, a wall, a joint surface seen from its side. A
/// reader sees sharply how far out the border is, less so where along it the point belongs.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Border {
    /// The landmark that the border runs to.
    pub towards: LandmarkKey,
    /// Standard deviation of placing the point along the border, in millimetres on the foot.
    pub along_mm: f64,
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
    #[serde(default)]
    pub border: Option<Border>,
    #[serde(default)]
    pub appears: Option<Appears>,
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
