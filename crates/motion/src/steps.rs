//! What was done to a clip, as data: marks, the track, corrections by hand. From these alone the readings come.

use crate::MotionError;
use crate::rise::Rule;
use crate::track::CameraMove;
use serde::{Deserialize, Serialize};
use terms::Side;

pub const FORMAT: &str = "tiebeam-motion";
pub const VERSION: u32 = 1;

/// A place in a frame, in its pixels; whole numbers at pixel centres, x to the right, y down.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Spot {
    pub x: f64,
    pub y: f64,
}

impl Spot {
    pub fn new(x: f64, y: f64) -> Self {
        Self { x, y }
    }

    pub(crate) fn is_finite(self) -> bool {
        self.x.is_finite() && self.y.is_finite()
    }
}

/// The four points of a leg seen from behind, upper and lower of each line.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Point {
    /// Middle of the lower leg, above.
    LegUpper,
    /// Middle of the lower leg, above the ankle.
    LegLower,
    /// Middle of the heel bone's back, above.
    HeelUpper,
    /// Middle of the heel bone's back, below.
    HeelLower,
}

impl Point {
    pub const ALL: [Point; 4] = [
        Point::LegUpper,
        Point::LegLower,
        Point::HeelUpper,
        Point::HeelLower,
    ];

    pub fn words(self) -> &'static str {
        match self {
            Point::LegUpper => "upper point of the lower leg",
            Point::LegLower => "lower point of the lower leg",
            Point::HeelUpper => "upper point of the heel",
            Point::HeelLower => "lower point of the heel",
        }
    }

    /// The other point of its line.
    pub fn partner(self) -> Point {
        match self {
            Point::LegUpper => Point::LegLower,
            Point::LegLower => Point::LegUpper,
            Point::HeelUpper => Point::HeelLower,
            Point::HeelLower => Point::HeelUpper,
        }
    }
}

/// The four points of one leg, set by hand in the marked frame.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct LegMarks {
    pub side: Side,
    pub leg_upper: Spot,
    pub leg_lower: Spot,
    pub heel_upper: Spot,
    pub heel_lower: Spot,
}

impl LegMarks {
    pub fn spot(&self, point: Point) -> Spot {
        match point {
            Point::LegUpper => self.leg_upper,
            Point::LegLower => self.leg_lower,
            Point::HeelUpper => self.heel_upper,
            Point::HeelLower => self.heel_lower,
        }
    }
}

/// A point set by hand in a later or earlier frame; following goes on from it.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Correction {
    pub frame: usize,
    pub side: Side,
    pub point: Point,
    pub at: Spot,
}

/// What is set by hand before following.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Marks {
    /// The frame the points stand in.
    pub frame: usize,
    pub legs: Vec<LegMarks>,
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub corrections: Vec<Correction>,
}

/// How a place came about.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum How {
    Followed,
    /// Foreseen over a short gap in which the point was not seen.
    Foreseen,
    Hand,
}

/// Where a point is in a frame.
///
/// # Uncertainty
/// `sd_x`, `sd_y`: standard error of following, against the spot that was marked; how well the mark lies on the
/// anatomy is not in it.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Place {
    pub x: f64,
    pub y: f64,
    pub sd_x: f64,
    pub sd_y: f64,
    pub how: How,
}

/// A point through the clip; `None` in a frame where it was lost.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct PointTrack {
    pub side: Side,
    pub point: Point,
    pub places: Vec<Option<Place>>,
}

/// All points through the clip, and the camera's own movement.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Track {
    pub points: Vec<PointTrack>,
    /// `None` in a frame in which the background did not tell.
    pub camera: Vec<Option<CameraMove>>,
    /// Corners of the background that were followed.
    pub corners: usize,
}

impl Track {
    pub fn of(&self, side: Side, point: Point) -> Option<&PointTrack> {
        self.points
            .iter()
            .find(|t| t.side == side && t.point == point)
    }

    pub fn place(&self, side: Side, point: Point, frame: usize) -> Option<Place> {
        *self.of(side, point)?.places.get(frame)?
    }
}

/// A length known in the marked frame, at the distance of the leg.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct KnownLength {
    pub from: Spot,
    pub to: Spot,
    pub mm: f64,
    /// Relative standard error of the scale: the ends as placed, and the ruler nearer or further than the heel.
    pub relative_error: f64,
}

/// Relative error of a scale where nobody says better: the ruler 2 cm nearer or further than the heel at 1.5 m.
///
/// # Sources
/// Geometry: the scale errs by depth over distance. That nobody lays a ruler better than 2 cm is common practice.
pub const USUAL_SCALE_ERROR: f64 = 0.015;

impl KnownLength {
    /// Millimetres in a pixel.
    ///
    /// # Errors
    /// No length, no distance between its ends, or an error that is none.
    pub fn mm_per_px(&self) -> Result<f64, MotionError> {
        let out_of_range = |what, found, expected| MotionError::OutOfRange {
            what,
            found,
            expected,
        };
        if !(self.mm.is_finite() && (1.0..=5000.0).contains(&self.mm)) {
            return Err(out_of_range(
                "the known length in millimetres",
                self.mm,
                "1 to 5000",
            ));
        }
        if !(0.0..=0.5).contains(&self.relative_error) {
            return Err(out_of_range(
                "the relative error of the scale",
                self.relative_error,
                "0 to 0.5",
            ));
        }
        let px = (self.to.x - self.from.x).hypot(self.to.y - self.from.y);
        if px.is_finite() && px >= 10.0 {
            Ok(self.mm / px)
        } else {
            Err(MotionError::PointsTooClose {
                line: "known length",
                found: px,
                least: 10.0,
            })
        }
    }
}

/// How the picture was taken and how well the points were set; each has a usual value.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Setup {
    /// Standard error of the camera's direction against the long axis of the foot, degrees.
    pub yaw_sd_deg: f64,
    /// How much further forward the shank leans than the line of the heel while standing, degrees: between them
    /// a camera that looks askew sees an angle that is not there.
    pub lean_difference_deg: f64,
    /// Standard error of the upright in the picture, degrees.
    pub roll_sd_deg: f64,
    /// Standard error with which a mark is set on the anatomy, in pixels across the line.
    pub placing_sd_px: f64,
}

impl Default for Setup {
    /// # Assumptions
    /// Common practice, published nowhere that was read: a camera set up by eye behind the foot looks up to 10°
    /// askew (standard error 5°); a shank leans some 8° further forward than the back of the heel; a level held
    /// by hand is 1° off; a mark is set to 2 pixels.
    fn default() -> Self {
        Self {
            yaw_sd_deg: 5.0,
            lean_difference_deg: 8.0,
            roll_sd_deg: 1.0,
            placing_sd_px: 2.0,
        }
    }
}

impl Setup {
    /// # Errors
    /// A value no set-up has.
    pub fn checked(&self) -> Result<(), MotionError> {
        let all = [
            ("the error of the camera's direction", self.yaw_sd_deg, 30.0),
            (
                "the lean of the shank",
                self.lean_difference_deg.abs(),
                45.0,
            ),
            ("the error of the upright", self.roll_sd_deg, 30.0),
            ("the error of a mark in pixels", self.placing_sd_px, 200.0),
        ];
        for (what, found, most) in all {
            if !(0.0..=most).contains(&found) {
                return Err(MotionError::OutOfRange {
                    what,
                    found,
                    expected: "a standard error or angle of usual size",
                });
            }
        }
        Ok(())
    }
}

/// Everything done to a clip.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Steps {
    pub format: String,
    pub version: u32,
    pub width: usize,
    pub height: usize,
    pub times_s: Vec<f64>,
    pub marks: Marks,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub known_length: Option<KnownLength>,
    #[serde(default)]
    pub setup: Setup,
    #[serde(default)]
    pub rule: Rule,
    /// Rises a minute that a metronome asked for: 30 in the endurance form (`SVthesis`, read).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub beat_per_min: Option<f64>,
    pub track: Track,
}

impl Steps {
    /// Steps of a followed clip with the usual set-up and rule.
    pub fn new(
        (width, height): (usize, usize),
        times_s: Vec<f64>,
        marks: Marks,
        track: Track,
    ) -> Self {
        Self {
            format: FORMAT.into(),
            version: VERSION,
            width,
            height,
            times_s,
            marks,
            known_length: None,
            setup: Setup::default(),
            rule: Rule::default(),
            beat_per_min: None,
            track,
        }
    }

    /// # Errors
    /// Another form or version, times that do not grow, or a track of another clip.
    pub fn checked(&self) -> Result<(), MotionError> {
        if self.format != FORMAT || self.version != VERSION {
            return Err(MotionError::StepsForm {
                found: self.format.chars().take(40).collect(),
                version: self.version,
            });
        }
        let no = |found: String| Err(MotionError::StepsDoNotFit { found });
        let frames = self.times_s.len();
        if let Some(frame) = (0..frames).find(|i| {
            !self.times_s[*i].is_finite() || (*i > 0 && self.times_s[*i] <= self.times_s[i - 1])
        }) {
            return Err(MotionError::TimesDoNotGrow { frame });
        }
        match frames {
            0 => return Err(MotionError::NoFrames { least: 2 }),
            1 => return Err(MotionError::OneFrame { least: 2 }),
            _ => {}
        }
        check_marks(&self.marks, frames, self.width, self.height)?;
        if self.track.camera.len() != frames {
            return no(format!(
                "{frames} times and {} moves of the camera",
                self.track.camera.len()
            ));
        }
        if self.track.camera.iter().flatten().any(|m| !m.is_sound()) {
            return no("a move no camera makes".into());
        }
        for leg in &self.marks.legs {
            for point in Point::ALL {
                match self.track.of(leg.side, point) {
                    Some(t) if t.places.len() == frames => {}
                    Some(t) => {
                        return no(format!(
                            "{} places of {frames} for the {} of the {} leg",
                            t.places.len(),
                            point.words(),
                            leg.side.word()
                        ));
                    }
                    None => {
                        return no(format!(
                            "no track of the {} of the {} leg",
                            point.words(),
                            leg.side.word()
                        ));
                    }
                }
            }
        }
        let sound = |p: &Place| {
            [p.x, p.y, p.sd_x, p.sd_y]
                .iter()
                .all(|v| v.abs() < FURTHEST_PX)
                && p.sd_x >= 0.0
                && p.sd_y >= 0.0
        };
        let places = self.track.points.iter().flat_map(|t| t.places.iter());
        if places.flatten().any(|p| !sound(p)) {
            return no("a place that is no number".into());
        }
        if let Some(found) = self.beat_per_min.filter(|b| !(5.0..=120.0).contains(b)) {
            return Err(MotionError::OutOfRange {
                what: "the beat in rises a minute",
                found,
                expected: "5 to 120",
            });
        }
        self.setup.checked()
    }
}

/// No place of a clip lies further from its frame than this.
pub(crate) const FURTHEST_PX: f64 = 1e6;

/// Least distance of the two points of a line, pixels: with less an angle is worth nothing.
pub(crate) const LEAST_LINE_PX: f64 = 12.0;

/// # Errors
/// No leg, more than two, the same twice, a point outside the frame, lines too short or upside down, a
/// correction outside the clip.
pub fn check_marks(
    marks: &Marks,
    frames: usize,
    width: usize,
    height: usize,
) -> Result<(), MotionError> {
    if marks.legs.is_empty() {
        return Err(MotionError::NoLeg);
    }
    if marks.legs.len() > 2 {
        return Err(MotionError::TooManyLegs {
            count: marks.legs.len(),
        });
    }
    if let [a, b] = marks.legs[..]
        && a.side == b.side
    {
        return Err(MotionError::LegTwice {
            side: a.side.word(),
        });
    }
    if marks.frame >= frames {
        return Err(MotionError::NoSuchFrame {
            frame: marks.frame,
            count: frames,
        });
    }
    let inside = |s: Spot| {
        s.is_finite()
            && s.x >= 0.0
            && s.y >= 0.0
            && s.x <= (width.saturating_sub(1)) as f64
            && s.y <= (height.saturating_sub(1)) as f64
    };
    for leg in &marks.legs {
        for point in Point::ALL {
            if !inside(leg.spot(point)) {
                return Err(MotionError::MarkOutside {
                    side: leg.side.word(),
                    point: point.words(),
                });
            }
        }
        check_line("line of the lower leg", leg.leg_upper, leg.leg_lower)?;
        check_line("line of the heel", leg.heel_upper, leg.heel_lower)?;
    }
    for c in &marks.corrections {
        if c.frame >= frames {
            return Err(MotionError::NoSuchFrame {
                frame: c.frame,
                count: frames,
            });
        }
        if !inside(c.at) {
            return Err(MotionError::MarkOutside {
                side: c.side.word(),
                point: c.point.words(),
            });
        }
    }
    Ok(())
}

/// # Errors
/// A line too short to have a direction, or upside down.
pub(crate) fn check_line(line: &'static str, upper: Spot, lower: Spot) -> Result<(), MotionError> {
    let found = (lower.x - upper.x).hypot(lower.y - upper.y);
    if !found.is_finite() || found < LEAST_LINE_PX {
        return Err(MotionError::PointsTooClose {
            line,
            found,
            least: LEAST_LINE_PX,
        });
    }
    if lower.y <= upper.y {
        return Err(MotionError::UpsideDown { line });
    }
    Ok(())
}
