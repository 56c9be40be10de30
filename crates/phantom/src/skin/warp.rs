//! From the plain foot's proportions to this one's: a smooth stretch of space, forwards and backwards.
//!
//! Heights are stretched from the floor, breadths from the middle line, and the ball is moved along the
//! foot; nothing tears or folds within the bounds that [`super::build::Build`] keeps to.

use super::build::Build;
use crate::bones::solid::P;

/// What the plain sculpture itself measures, as [`super::sizes`] measures it (mm at a scale of 1).
pub(super) const PLAIN: Build = Build {
    ball_breadth: 0.3708,
    heel_breadth: 0.2639,
    ankle_breadth: 0.2768,
    malleolus_height: 0.272,
    ball_length: 0.7245,
    instep: 1.0,
    arch: 0.0,
    padding_mm: 0.0,
    toes_mm: [0.0; 5],
    hallux_deg: 0.0,
};

#[derive(Debug, Clone, Copy)]
pub(super) struct Warp {
    length: f64,
    ball: f64,
    heel: f64,
    ankle: f64,
    ankle_up: f64,
    instep_up: f64,
    /// How far the ball lies before the plain one's, mm of the plan.
    forward: f64,
}

fn smooth(t: f64) -> f64 {
    let t = t.clamp(0.0, 1.0);
    t * t * (3.0 - 2.0 * t)
}

impl Warp {
    /// `stretch` is what the skeleton has of its own already; `unloaded` narrows and shortens.
    pub fn new(build: &Build, stretch: P, unloaded: bool) -> Warp {
        let (length, ball, heel) = if unloaded { UNLOADED } else { (1.0, 1.0, 1.0) };
        Warp {
            length,
            ball: ball * build.ball_breadth / PLAIN.ball_breadth / stretch.z,
            heel: heel * build.heel_breadth / PLAIN.heel_breadth / stretch.z,
            ankle: build.ankle_breadth / PLAIN.ankle_breadth / stretch.z,
            ankle_up: build.malleolus_height / PLAIN.malleolus_height / stretch.y,
            instep_up: build.instep / stretch.y,
            forward: (build.ball_length - PLAIN.ball_length) * 270.0,
        }
    }

    fn up(&self, x: f64) -> f64 {
        let t = smooth((x - 80.0) / 75.0);
        self.ankle_up + (self.instep_up - self.ankle_up) * t
    }

    fn out(&self, x: f64, y: f64) -> f64 {
        let foot = self.heel + (self.ball - self.heel) * smooth((x - 60.0) / 105.0);
        let leg = smooth((y - 35.0) / 40.0) * (1.0 - smooth((x - 95.0) / 30.0));
        foot + (self.ankle - foot) * leg
    }

    /// Moves the ball along the foot; heel, leg and toe tips stay.
    fn ahead(&self, x: f64) -> f64 {
        self.forward * smooth((x - 80.0) / 100.0) * (1.0 - smooth((x - 195.0) / 75.0))
    }

    /// From the plain sculpture to this foot.
    pub fn onto(&self, q: P) -> P {
        P::new(
            (q.x + self.ahead(q.x)) * self.length,
            q.y * self.up(q.x),
            q.z * self.out(q.x, q.y),
        )
    }

    /// From this foot to the plain sculpture.
    pub fn back(&self, q: P) -> P {
        let along = q.x / self.length;
        // The shift changes by less than 0.3 a millimetre, so each round is three times nearer at least.
        let x = (0..7).fold(along, |x, _| along - self.ahead(x));
        let y = q.y / self.up(x);
        P::new(x, y, q.z / self.out(x, y))
    }

    /// The most that a length can grow.
    pub fn most(&self) -> f64 {
        [
            self.length,
            self.ball,
            self.heel,
            self.ankle,
            self.ankle_up,
            self.instep_up,
        ]
        .into_iter()
        .fold(1.0, f64::max)
    }
}

/// Length, ball and heel breadth of the hanging foot beside the standing one.
///
/// # Sources
/// Length 3 to 5 mm (1.5 to 2 %) and ball breadth 3 to 5 mm less without weight: from memory, unconfirmed.
/// Part of the length comes from the arch itself, so less than that is taken here.
const UNLOADED: (f64, f64, f64) = (0.992, 0.962, 0.97);
