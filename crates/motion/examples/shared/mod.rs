//! Invented clips as frames, with marks set where the phantom knows them.
#![allow(dead_code)]

use motion::frames::{Frame, Frames};
use motion::steps::{KnownLength, LegMarks, Marks, Spot, Steps};
use motion::{MotionError, follow};
use phantom::clip::{Clip, ClipSpec};

/// A clip drawn as it is asked for.
pub struct Drawn<'a>(pub &'a Clip);

impl Frames for Drawn<'_> {
    fn count(&self) -> usize {
        self.0.count()
    }

    fn time_s(&self, frame: usize) -> Option<f64> {
        self.0.truth().times_s.get(frame).copied()
    }

    fn frame(&mut self, frame: usize) -> Result<Frame, MotionError> {
        let (spec, count) = (self.0.spec(), self.0.count());
        let bytes = (frame < count).then(|| self.0.frame(frame));
        bytes
            .and_then(|b| Frame::new(spec.width, spec.height, b))
            .ok_or(MotionError::NoSuchFrame { frame, count })
    }
}

/// Marks where the truth has them in a frame, each moved by `off` pixels in turn.
pub fn marks(clip: &Clip, frame: usize, off: &[(f64, f64)]) -> Marks {
    let legs = clip.truth().legs.iter().map(|leg| {
        let spot = |i: usize| {
            let (x, y) = leg.spots[frame][i];
            let (dx, dy) = off.get(i).copied().unwrap_or((0.0, 0.0));
            Spot::new(x + dx, y + dy)
        };
        LegMarks {
            side: leg.side,
            leg_upper: spot(0),
            leg_lower: spot(1),
            heel_upper: spot(2),
            heel_lower: spot(3),
        }
    });
    Marks {
        frame,
        legs: legs.collect(),
        corrections: Vec::new(),
    }
}

/// A ruler of 200 mm in the picture, its scale good to 1 %.
pub fn ruler(spec: &ClipSpec) -> KnownLength {
    let y = spec.height as f64 - 20.0;
    KnownLength {
        from: Spot::new(20.0, y),
        to: Spot::new(20.0 + 200.0 * spec.px_per_mm, y),
        mm: 200.0,
        relative_error: 0.01,
    }
}

/// Followed from marks set in `frame`, with the ruler.
pub fn steps(clip: &Clip, marks: Marks) -> Steps {
    let mut frames = Drawn(clip);
    let track = follow(&mut frames, &marks).expect("an invented clip is followed");
    let spec = clip.spec();
    let mut steps = Steps::new(
        (spec.width, spec.height),
        clip.truth().times_s.clone(),
        marks,
        track,
    );
    steps.known_length = Some(ruler(spec));
    steps
}
