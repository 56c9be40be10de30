//! What goes in: the points a reader placed on one view, and the facts of the film they lie on.
//!
//! The points file is the JSON of a [`PointSet`]: `format`, `version`, view, side and one entry for each
//! landmark. Points are stored in the pixels of the stored image, before any flip or turn of the display.

use quantity::PixelScale;
use serde::de::{Error as _, MapAccess, Visitor};
use serde::{Deserialize, Deserializer, Serialize};
use std::collections::BTreeMap;
use std::fmt;
use terms::{LandmarkKey, Side, Stance, View};

/// The `format` field of every points file.
pub const POINTS_FORMAT: &str = "tiebeam-points";
/// The version written now; older ones would be read here too.
pub const POINTS_VERSION: u32 = 1;
/// A points file holds a few dozen points; more than this is not one.
const LARGEST_FILE_BYTES: usize = 4 * 1024 * 1024;
const MOST_POINTS: usize = 1_000;

/// One landmark as placed.
///
/// # Units
/// Pixels of the stored image: x right, y down, the centre of the first pixel is (0, 0). Covariance in
/// square pixels, along the same axes.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PlacedPoint {
    pub x_px: f64,
    pub y_px: f64,
    /// Of the placing error. `None`: not known, the reader's own or the landmark's usual error is used.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub covariance_px2: Option<[[f64; 2]; 2]>,
}

impl PlacedPoint {
    /// A point whose placing error is not known.
    pub fn at(x_px: f64, y_px: f64) -> Self {
        Self {
            x_px,
            y_px,
            covariance_px2: None,
        }
    }
}

/// All points placed on one film.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(try_from = "PointsFile", into = "PointsFile")]
pub struct PointSet {
    pub view: View,
    /// As said by the person or the film; the points may contradict it.
    pub side: Option<Side>,
    pub points: BTreeMap<LandmarkKey, PlacedPoint>,
}

#[derive(Clone, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct PointsFile {
    format: String,
    version: u32,
    view: View,
    #[serde(default)]
    side: Option<Side>,
    #[serde(deserialize_with = "points_without_repeats")]
    points: BTreeMap<LandmarkKey, PlacedPoint>,
}

impl TryFrom<PointsFile> for PointSet {
    type Error = String;

    fn try_from(file: PointsFile) -> Result<Self, String> {
        if file.format != POINTS_FORMAT {
            let found: String = file.format.chars().take(40).collect();
            return Err(format!(
                "found the format {found:?}, expected {POINTS_FORMAT:?}"
            ));
        }
        if file.version != POINTS_VERSION {
            return Err(format!(
                "found version {}, expected {POINTS_VERSION}",
                file.version
            ));
        }
        Ok(Self {
            view: file.view,
            side: file.side,
            points: file.points,
        })
    }
}

impl From<PointSet> for PointsFile {
    fn from(set: PointSet) -> Self {
        Self {
            format: POINTS_FORMAT.into(),
            version: POINTS_VERSION,
            view: set.view,
            side: set.side,
            points: set.points,
        }
    }
}

/// A map in which a landmark written twice is a fault: the last would win in silence otherwise.
fn points_without_repeats<'de, D: Deserializer<'de>>(
    deserializer: D,
) -> Result<BTreeMap<LandmarkKey, PlacedPoint>, D::Error> {
    struct Points;
    impl<'de> Visitor<'de> for Points {
        type Value = BTreeMap<LandmarkKey, PlacedPoint>;

        fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
            f.write_str("points by landmark, each with x_px and y_px")
        }

        fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<Self::Value, A::Error> {
            let mut points = BTreeMap::new();
            while let Some((key, point)) = map.next_entry::<LandmarkKey, PlacedPoint>()? {
                if points.len() >= MOST_POINTS {
                    return Err(A::Error::custom(format!(
                        "found more than {MOST_POINTS} points"
                    )));
                }
                if let Some(_first) = points.insert(key.clone(), point) {
                    return Err(A::Error::custom(format!("found the point {key} twice")));
                }
            }
            Ok(points)
        }
    }
    deserializer.deserialize_map(Points)
}

/// Why a points file could not be read.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum PointsFileError {
    #[error(
        "found a points file of {found} bytes, expected at most {LARGEST_FILE_BYTES}; choose the JSON file that holds the points"
    )]
    TooLarge { found: usize },
    #[error(
        "found no points file: {fault} (line {line}, column {column}); expected JSON with format, version, view, side and points, as the film desk saves it"
    )]
    NotPoints {
        fault: String,
        line: usize,
        column: usize,
    },
}

impl PointSet {
    pub fn new(view: View, side: Option<Side>) -> Self {
        Self {
            view,
            side,
            points: BTreeMap::new(),
        }
    }

    /// Points at these film pixels, whose errors nobody stated.
    pub fn at_places<'a>(
        view: View,
        side: Option<Side>,
        places: impl IntoIterator<Item = (&'a LandmarkKey, &'a [f64; 2])>,
    ) -> Self {
        let placed =
            |(key, at): (&LandmarkKey, &[f64; 2])| (key.clone(), PlacedPoint::at(at[0], at[1]));
        Self {
            points: places.into_iter().map(placed).collect(),
            ..Self::new(view, side)
        }
    }

    /// Reads a points file.
    ///
    /// # Errors
    /// Too large, not JSON, another format or version, an unknown field, a key written twice, a
    /// coordinate that is no number.
    pub fn from_json(text: &str) -> Result<Self, PointsFileError> {
        if text.len() > LARGEST_FILE_BYTES {
            return Err(PointsFileError::TooLarge { found: text.len() });
        }
        serde_json::from_str(text).map_err(|e| {
            let (line, column) = (e.line(), e.column());
            let fault = e.to_string();
            let place = format!(" at line {line} column {column}");
            let fault = fault
                .strip_suffix(&place)
                .unwrap_or(&fault)
                .chars()
                // The file's own words may hold line breaks; the sentence stays on one line.
                .map(|c| if c.is_control() { ' ' } else { c })
                .take(200)
                .collect();
            PointsFileError::NotPoints {
                fault,
                line,
                column,
            }
        })
    }

    /// The points file of these points.
    pub fn to_json(&self) -> String {
        serde_json::to_string_pretty(self).unwrap_or_default()
    }
}

/// The standard deviation of a foot's rotation about the upright axis on a film taken in daily work.
///
/// # Sources
/// Common practice: a foot set by eye beside the detector. No figure was found in print.
pub const USUAL_YAW_SD_DEG: f64 = 5.0;

/// What is known of the film under the points.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct FilmFacts {
    pub width_px: u32,
    pub height_px: u32,
    /// Height of a pixel over its width; used where there is no scale. `None`: taken as 1.
    #[serde(default)]
    pub pixel_aspect: Option<f64>,
    /// Millimetres per pixel in the plane of the foot.
    #[serde(default)]
    pub scale: Option<PixelScale>,
    /// Why there is none, for the refusal of millimetres.
    #[serde(default)]
    pub no_scale_reason: Option<String>,
    pub stance: Stance,
    /// Standard deviation of the foot's rotation about the upright axis, in degrees; 0 switches its
    /// error off.
    #[serde(default = "usual_yaw")]
    pub yaw_sd_deg: f64,
}

fn usual_yaw() -> f64 {
    USUAL_YAW_SD_DEG
}

impl FilmFacts {
    /// A film of this size of which nothing else is known.
    pub fn of_size(width_px: u32, height_px: u32) -> Self {
        Self {
            width_px,
            height_px,
            pixel_aspect: None,
            scale: None,
            no_scale_reason: None,
            stance: Stance::Unknown,
            yaw_sd_deg: USUAL_YAW_SD_DEG,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn fault(text: &str) -> String {
        PointSet::from_json(text)
            .expect_err("a broken file")
            .to_string()
    }

    #[test]
    fn a_points_file_comes_back_as_it_was_written() {
        let mut set = PointSet::new(View::Lateral, Some(Side::Left));
        let key = LandmarkKey::new("nav_low").expect("a good key");
        set.points.insert(key.clone(), PlacedPoint::at(1.25, 3.0));
        let covariance_px2 = Some([[1.0, 0.25], [0.25, 2.0]]);
        let other = LandmarkKey::new("cuboid_low").expect("a good key");
        set.points.insert(
            other,
            PlacedPoint {
                covariance_px2,
                ..PlacedPoint::at(0.1, 0.2)
            },
        );
        let text = set.to_json();
        assert!(text.contains("\"format\": \"tiebeam-points\""), "{text}");
        assert_eq!(PointSet::from_json(&text), Ok(set));
    }

    #[test]
    fn every_broken_points_file_gets_a_sentence_that_names_the_fault() {
        assert!(fault("{").contains("EOF"), "{}", fault("{"));
        let head = r#"{"format":"tiebeam-points","version":1,"view":"lateral","#;
        let twice = format!(
            r#"{head}"points":{{"nav_low":{{"x_px":1,"y_px":2}},"nav_low":{{"x_px":1,"y_px":2}}}}}}"#
        );
        assert!(fault(&twice).contains("nav_low twice"), "{}", fault(&twice));
        let text = format!(r#"{head}"points":{{"nav_low":{{"x_px":"one","y_px":2}}}}}}"#);
        assert!(fault(&text).contains("expected f64"), "{}", fault(&text));
        let nan = format!(r#"{head}"points":{{"nav_low":{{"x_px":NaN,"y_px":2}}}}}}"#);
        assert!(fault(&nan).contains("expected value"), "{}", fault(&nan));
        let huge = format!(r#"{head}"points":{{"nav_low":{{"x_px":1e999,"y_px":2}}}}}}"#);
        assert!(fault(&huge).contains("out of range"), "{}", fault(&huge));
        let path = format!(r#"{head}"points":{{"../x":{{"x_px":1,"y_px":2}}}}}}"#);
        assert!(fault(&path).contains("the key"), "{}", fault(&path));
        let old = r#"{"format":"tiebeam-points","version":9,"view":"lateral","points":{}}"#;
        assert!(fault(old).contains("version 9"), "{}", fault(old));
        let other = r#"{"format":"x","version":1,"view":"lateral","points":{}}"#;
        assert!(
            fault(other).contains("expected \"tiebeam-points\""),
            "{}",
            fault(other)
        );
        let view = r#"{"format":"tiebeam-points","version":1,"view":"oblique","points":{}}"#;
        assert!(fault(view).contains("oblique"), "{}", fault(view));
        assert!(fault(&" ".repeat(LARGEST_FILE_BYTES + 1)).contains("bytes"));
    }
}
