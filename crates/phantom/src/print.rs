//! What does a footprint of known indices look like?
//!
//! A [`PrintSpec`] is an outline of discs, their common tangents and one round notch for the arch; every breadth,
//! length, area and angle of it follows from its radii by formula ([`PrintTruth`]). [`sheet`] puts it on a grid at
//! any turn, mirror, pitch and tilt, with noise, blotches and the skin's own gaps; [`standing`] prints the phantom's
//! own skin. Everything is invented.
//!
//! Frame: millimetres, x from the rearmost heel forwards, y to the inner side, the heel's centre and the second toe
//! at y = 0.

mod light;
mod outline;
mod pair;
mod paper;

pub use light::{LightSpec, Shadow};
pub use outline::{PrintOutline, PrintTruth};
pub use pair::side_by_side;
pub use paper::{PaperSpec, PrintSheet, load_series, sheet, standing};

use crate::skin::build::Dice;
use serde::{Deserialize, Serialize};
use terms::Side;

/// Everything an outline is made from.
///
/// # Units
/// Millimetres.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PrintSpec {
    pub side: Side,
    pub heel_radius: f64,
    /// Both discs of the ball have this radius.
    pub ball_radius: f64,
    /// Centres of the inner and the outer disc of the ball.
    pub inner_ball: [f64; 2],
    pub outer_ball: [f64; 2],
    /// Depth of the arch's notch below the inner tangent; its ends are the tangent's own.
    pub arch_depth: f64,
    /// Radii of the toes, great toe first, and where they lie across; the second lies at zero.
    pub toe_radii: [f64; 5],
    pub toe_across: [f64; 5],
    /// Between ball and toes.
    pub toe_gap: f64,
}

impl PrintSpec {
    /// A plain adult's foot.
    pub fn plain(side: Side) -> PrintSpec {
        PrintSpec {
            side,
            heel_radius: 26.0,
            ball_radius: 20.0,
            inner_ball: [158.0, 17.0],
            outer_ball: [146.0, -28.0],
            arch_depth: 28.0,
            toe_radii: [11.5, 6.5, 6.0, 5.5, 5.5],
            toe_across: [24.0, 0.0, -14.0, -27.0, -39.5],
            toe_gap: 6.0,
        }
    }

    /// Somebody's: high arches, flat feet, children, broad and slender.
    pub fn random(seed: u64) -> PrintSpec {
        let mut dice = Dice::new(seed);
        let size = dice.between(0.62, 1.12);
        let heel = dice.between(23.0, 29.0);
        let ball = dice.between(17.0, 22.0);
        let inner = [dice.between(150.0, 166.0), dice.between(14.0, 20.0)];
        let outer = [
            inner[0] - dice.between(4.0, 14.0),
            -dice.between(25.0, 31.0),
        ];
        let plain = PrintSpec::plain(Side::Right);
        let mut spec = PrintSpec {
            side: if dice.unit() < 0.5 {
                Side::Left
            } else {
                Side::Right
            },
            heel_radius: heel,
            ball_radius: ball,
            inner_ball: inner,
            outer_ball: outer,
            arch_depth: dice.between(8.0, 42.0),
            toe_radii: plain.toe_radii.map(|r| r * dice.between(0.93, 1.06)),
            toe_across: plain.toe_across,
            toe_gap: dice.between(4.5, 8.0),
        };
        spec.scale(size);
        spec
    }

    fn scale(&mut self, by: f64) {
        let all = [
            &mut self.heel_radius,
            &mut self.ball_radius,
            &mut self.arch_depth,
            &mut self.toe_gap,
        ];
        all.into_iter()
            .chain(&mut self.inner_ball)
            .chain(&mut self.outer_ball)
            .chain(&mut self.toe_radii)
            .chain(&mut self.toe_across)
            .for_each(|v| *v *= by);
    }
}
