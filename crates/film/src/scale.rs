//! How long is a pixel, in the plane of the bones: from the file, a ball, a known length, or unknown.
//!
//! A projection film enlarges: its pixel at the detector is longer than what it shows of the foot by
//! the magnification `M = SID / (SID − OID)` (source–image and object–image distance). Every answer
//! says in words which spacing was used, what was done to it, its relative error, and why.
//!
//! # Sources
//! DICOM PS3.3 10.7.1.3 and C.8.11.3 (PixelSpacing, ImagerPixelSpacing, calibration type,
//! EstimatedRadiographicMagnificationFactor). The distances of a standing foot film and the depth
//! errors below are common practice, unconfirmed; they widen the error and never narrow it.

mod from_file;
mod marked;

use quantity::PixelScale;
use serde::{Deserialize, Serialize};

/// Source–image distance of a standing foot film where the file is silent, in mm: common practice,
/// unconfirmed.
pub const USUAL_SOURCE_MM: (f64, f64) = (1000.0, 1100.0);
/// Distance of the foot's middle from the detector on such a film, in mm: common practice,
/// unconfirmed.
pub const USUAL_OBJECT_MM: (f64, f64) = (20.0, 80.0);
/// One standard deviation of the depth between what was calibrated and the bones, in mm: common
/// practice, unconfirmed.
pub const DEPTH_SE_MM: f64 = 10.0;

/// One standard error of the diameter of a calibration ball, in mm: common practice, unconfirmed.
pub const BALL_SE_MM: f64 = 0.1;
/// One standard error of a measured distance of the foot's middle from the detector, in mm: common
/// practice, unconfirmed.
pub const OBJECT_SE_MM: f64 = 10.0;
/// One standard error of a length known beforehand, read off a ruler, in mm: common practice, unconfirmed.
pub const LENGTH_SE_MM: f64 = 0.25;
/// One standard error of a mark set by hand on an edge or at an end, in film pixels: common practice,
/// unconfirmed; marks that scatter more about their circle widen it.
pub const MARK_SE_PX: f64 = 1.5;

fn ball_se_mm() -> f64 {
    BALL_SE_MM
}

fn length_se_mm() -> f64 {
    LENGTH_SE_MM
}

fn mark_se_px() -> f64 {
    MARK_SE_PX
}

/// Spacing of pixel centres in mm. Across is along a row (x), down along a column (y).
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Spacing {
    pub across_mm: f64,
    pub down_mm: f64,
}

impl Spacing {
    /// # Errors
    /// Why the two numbers cannot be the spacing of a radiograph.
    pub fn new(across_mm: f64, down_mm: f64) -> Result<Spacing, &'static str> {
        let both = [across_mm, down_mm];
        if both.iter().any(|v| !v.is_finite()) {
            Err("not a number")
        } else if both.iter().any(|v| *v <= 0.0) {
            Err("not above zero")
        } else if both.iter().any(|v| !(0.001..=10.0).contains(v)) {
            Err("no radiograph has pixels of that size")
        } else {
            Ok(Spacing { across_mm, down_mm })
        }
    }

    fn over(self, factor: f64) -> Spacing {
        Spacing {
            across_mm: self.across_mm / factor,
            down_mm: self.down_mm / factor,
        }
    }

    fn nearly(self, other: Spacing) -> bool {
        let near = |a: f64, b: f64| (a - b).abs() <= 0.001 * b;
        near(self.across_mm, other.across_mm) && near(self.down_mm, other.down_mm)
    }

    fn words(self) -> String {
        if (self.across_mm - self.down_mm).abs() <= 1e-6 * self.across_mm {
            format!("{:.4} mm", self.across_mm)
        } else {
            format!(
                "{:.4} mm across and {:.4} mm down",
                self.across_mm, self.down_mm
            )
        }
    }
}

/// How PixelSpacing was calibrated, where the file says so.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Calibration {
    /// Corrected for an assumed geometry.
    Geometry,
    /// Measured on an object of known size.
    Fiducial,
}

/// What the file says about spacing; values that make no sense are in `refused`, with the reason.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct SpacingFacts {
    pub pixel_spacing: Option<Spacing>,
    pub calibration: Option<Calibration>,
    /// At the front plane of the detector.
    pub imager_pixel_spacing: Option<Spacing>,
    pub magnification: Option<f64>,
    pub source_to_detector_mm: Option<f64>,
    pub source_to_patient_mm: Option<f64>,
    /// Height of a pixel over its width where that alone is known.
    pub pixel_aspect: Option<f64>,
    pub refused: Vec<String>,
}

impl SpacingFacts {
    /// Height of a pixel over its width; 1 where the file is silent.
    pub fn aspect(&self) -> f64 {
        self.imager_pixel_spacing
            .or(self.pixel_spacing)
            .map(|s| s.down_mm / s.across_mm)
            .or(self.pixel_aspect)
            .unwrap_or(1.0)
    }
}

/// What the reader wants the scale to come from. Points in film pixels; errors that nobody states are the
/// usual ones above.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(tag = "from", rename_all = "kebab-case")]
pub enum ScaleWish {
    /// The file's own spacing, with a measured distance of the foot's middle from the detector where
    /// somebody measured it.
    File { object: Option<ObjectDistance> },
    /// Points on the edge of a ball beside the foot.
    Ball {
        diameter_mm: f64,
        #[serde(default = "ball_se_mm")]
        diameter_se_mm: f64,
        edge_points_px: Vec<[f64; 2]>,
        #[serde(default = "mark_se_px")]
        point_se_px: f64,
    },
    /// The two ends of something of known length.
    KnownLength {
        from_px: [f64; 2],
        to_px: [f64; 2],
        length_mm: f64,
        #[serde(default = "length_se_mm")]
        length_se_mm: f64,
        #[serde(default = "mark_se_px")]
        point_se_px: f64,
    },
    /// Angles only.
    None,
}

/// Distance of the foot's middle from the detector.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct ObjectDistance {
    pub mm: f64,
    /// One standard error, in mm.
    pub se_mm: f64,
}

/// Where a known scale comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum ScaleSource {
    /// PixelSpacing, calibrated by the sender.
    CalibratedSpacing,
    /// Detector spacing and a magnification from the file or a measured distance.
    DetectorSpacing,
    /// Detector spacing and the usual magnification of such films: unconfirmed.
    UnconfirmedMagnification,
    Ball,
    KnownLength,
}

/// The scale, or why there is none.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(tag = "scale", rename_all = "kebab-case")]
pub enum ScaleAnswer {
    /// `words` name the spacing, its relative error (one standard error) and the reason for it.
    Known {
        #[serde(rename = "value")]
        scale: PixelScale,
        source: ScaleSource,
        words: String,
    },
    /// Angles still work, corrected for the pixel's aspect; millimetres are refused for `reason`.
    Unknown { reason: String, pixel_aspect: f64 },
}

impl ScaleAnswer {
    /// Height of a pixel over its width.
    pub fn pixel_aspect(&self) -> f64 {
        match self {
            ScaleAnswer::Known { scale, .. } => scale.mm_per_px_y / scale.mm_per_px_x,
            ScaleAnswer::Unknown { pixel_aspect, .. } => *pixel_aspect,
        }
    }

    pub fn known(&self) -> Option<PixelScale> {
        match self {
            ScaleAnswer::Known { scale, .. } => Some(*scale),
            ScaleAnswer::Unknown { .. } => None,
        }
    }
}

/// Chooses the scale.
///
/// # Units
/// Millimetres for each pixel, in the plane of the bones.
///
/// # Uncertainty
/// `relative_standard_error` joins the error of the calibration, of the points placed for it, and of
/// the depth between the calibrated thing and the bones.
pub fn choose(facts: &SpacingFacts, wish: &ScaleWish) -> ScaleAnswer {
    let result = match wish {
        ScaleWish::None => Err("no scale was asked for".to_owned()),
        ScaleWish::File { object } => from_file::choose(facts, *object),
        ScaleWish::Ball {
            diameter_mm,
            diameter_se_mm,
            edge_points_px,
            point_se_px,
        } => marked::ball(
            facts,
            *diameter_mm,
            *diameter_se_mm,
            edge_points_px,
            *point_se_px,
        ),
        ScaleWish::KnownLength {
            from_px,
            to_px,
            length_mm,
            length_se_mm,
            point_se_px,
        } => marked::length(
            facts,
            *from_px,
            *to_px,
            *length_mm,
            *length_se_mm,
            *point_se_px,
        ),
    };
    result.unwrap_or_else(|reason| ScaleAnswer::Unknown {
        reason,
        pixel_aspect: facts.aspect(),
    })
}

fn known(spacing: Spacing, relative_se: f64, source: ScaleSource, how: &str) -> ScaleAnswer {
    ScaleAnswer::Known {
        scale: PixelScale {
            mm_per_px_x: spacing.across_mm,
            mm_per_px_y: spacing.down_mm,
            relative_standard_error: relative_se,
        },
        source,
        words: format!(
            "{} for each pixel: {how}; relative standard error {:.1} %",
            spacing.words(),
            relative_se * 100.0
        ),
    }
}
