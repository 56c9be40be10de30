//! What is true of a phantom film, as JSON for checks and demonstrations?

use super::{MadeOf, PhantomFilm};
use serde_json::{Map, Value, json};

impl PhantomFilm {
    /// How the film was taken and where its true points lie.
    ///
    /// # Units
    /// As the names say: `_px` film pixels with the first pixel's centre at (0, 0), `_mm`, `_deg`. Places
    /// in millimetres are in the world's frame.
    pub fn facts(&self) -> Value {
        let e = &self.exposure;
        let in_space: Map<String, Value> = self
            .landmarks_mm
            .iter()
            .map(|(key, at)| (key.to_string(), json!(at)))
            .collect();
        let on_film: Map<String, Value> = self
            .landmarks_px
            .iter()
            .map(|(key, at)| (key.to_string(), json!(at)))
            .collect();
        json!({
            "format": "phantom film truth",
            "version": 1,
            "words": match self.made_of {
                MadeOf::InventedFoot => "Computed from an invented foot; true by construction.",
                MadeOf::BonesFromFiles => {
                    "Computed from bones from mesh files; points found by rule, true for the film."
                }
            },
            "view": e.view.key(),
            "side": self.side.word(),
            "width_px": self.width,
            "height_px": self.height,
            "source_to_detector_mm": e.source_to_detector_mm,
            "object_to_detector_mm": e.object_to_detector_mm,
            "beam_angle_deg": e.beam_angle_deg,
            "foot_rotation_deg": e.foot_rotation_deg,
            "detector_spacing_mm": self.detector_spacing_mm,
            "magnification": self.magnification,
            "ball": self.ball,
            "aim_mm": self.aim_mm,
            "true_values_in_space": self.truth.as_ref().map(|t| &t.in_space),
            "true_values_on_film": self.truth.as_ref().map(|t| &t.on_film),
            "points_mm": in_space,
            "points_px": on_film,
        })
    }
}
