//! Points in an upright plane through time, whoever found them: a tracked clip, or markers in space.

use crate::MotionError;
use crate::steps::{How, Point, Setup, Steps};
use crate::track::CameraMove;
use terms::Side;

/// A point at a moment: x to the right, y up, seen from behind; pixels or millimetres.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Seen {
    pub(crate) x: f64,
    pub(crate) y: f64,
    pub(crate) sd_x: f64,
    pub(crate) sd_y: f64,
    pub(crate) how: How,
}

#[derive(Debug, Clone)]
pub(crate) struct LegSeries {
    pub(crate) side: Side,
    /// In the order of [`Point::ALL`].
    pub(crate) points: [Vec<Option<Seen>>; 4],
}

impl LegSeries {
    pub(crate) fn at(&self, point: Point, frame: usize) -> Option<Seen> {
        *self.points[point as usize].get(frame)?
    }
}

/// What the plane's unit is worth.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Scale {
    Millimetres { per_unit: f64, relative_error: f64 },
    Unknown,
}

#[derive(Debug, Clone)]
pub(crate) struct Series {
    pub(crate) times_s: Vec<f64>,
    pub(crate) legs: Vec<LegSeries>,
    pub(crate) scale: Scale,
    pub(crate) setup: Setup,
    /// Rises a minute that a metronome asked for.
    pub(crate) beat_per_min: Option<f64>,
    /// Standard error that the camera's movement adds to every height, in the plane's unit.
    pub(crate) steady_sd: f64,
    /// Frames whose camera movement is unknown.
    pub(crate) camera_unknown: usize,
}

/// Standard error of a place after the camera's movement was taken out, pixels: a fit through six corners and
/// more, each good to a twentieth of a pixel.
const STEADIED_SD_PX: f64 = 0.05;
/// Where the background told nothing: a phone on a stand moves less than this, one in a hand more; said so.
const UNSTEADIED_SD_PX: f64 = 1.0;

impl Series {
    /// The track in the marked frame's pixels, corrections by hand over what was followed.
    pub(crate) fn of_steps(steps: &Steps) -> Result<Self, MotionError> {
        steps.checked()?;
        let scale = match &steps.known_length {
            None => Scale::Unknown,
            Some(known) => Scale::Millimetres {
                per_unit: known.mm_per_px()?,
                relative_error: known.relative_error,
            },
        };
        let count = steps.times_s.len();
        let camera_unknown = steps.track.camera.iter().filter(|c| c.is_none()).count();
        let legs = steps
            .marks
            .legs
            .iter()
            .map(|leg| LegSeries {
                side: leg.side,
                points: Point::ALL.map(|point| {
                    (0..count)
                        .map(|frame| seen(steps, leg.side, point, frame))
                        .collect()
                }),
            })
            .collect();
        Ok(Self {
            times_s: steps.times_s.clone(),
            legs,
            scale,
            setup: steps.setup,
            beat_per_min: steps.beat_per_min,
            steady_sd: if camera_unknown == 0 {
                STEADIED_SD_PX
            } else {
                UNSTEADIED_SD_PX
            },
            camera_unknown,
        })
    }
}

fn seen(steps: &Steps, side: Side, point: Point, frame: usize) -> Option<Seen> {
    let camera = steps.track.camera[frame].unwrap_or(CameraMove::STILL);
    let by_hand = steps
        .marks
        .corrections
        .iter()
        .rev()
        .find(|c| c.frame == frame && c.side == side && c.point == point);
    let ((x, y), sd_x, sd_y, how) = match by_hand {
        Some(c) => ((c.at.x, c.at.y), 1.0, 1.0, How::Hand),
        None => {
            // A foreseen place is for the eye that looks for the point; nothing is measured on it.
            let place = steps.track.place(side, point, frame);
            let p = place.filter(|p| p.how != How::Foreseen)?;
            ((p.x, p.y), p.sd_x, p.sd_y, p.how)
        }
    };
    let (x, y) = camera.back((x, y));
    Some(Seen {
        x,
        y: -y,
        sd_x,
        sd_y,
        how,
    })
}
