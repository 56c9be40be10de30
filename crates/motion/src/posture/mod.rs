//! What do photographs of a standing foot say: heel against leg from behind, toes seen outside, arch from the side?
//!
//! * lines from edges of the skin: [`edges`]; from behind: [`behind`]; from the side: [`side`]
//!
//! Positions are in pixels of the picture, x to the right, y down. A picture from behind shows the left foot on the
//! left.

pub mod behind;
pub mod edges;
pub mod side;

pub use behind::{BehindMarks, BehindReadings, LineMark, read_behind};
pub use side::{SideMarks, SideReadings, read_side};

use crate::steps::Spot;

/// Standard error of a value of some points, each off by `sd` in both directions, by differences.
pub(crate) fn placed_sd<const N: usize>(
    points: [Spot; N],
    sd: f64,
    value: impl Fn(&[Spot; N]) -> f64,
) -> f64 {
    let step = 0.25;
    let mut square = 0.0;
    for i in 0..N {
        for across in [true, false] {
            let moved = |by: f64| {
                let mut p = points;
                if across {
                    p[i].x += by;
                } else {
                    p[i].y += by;
                }
                value(&p)
            };
            let slope = (moved(step) - moved(-step)) / (2.0 * step);
            square += (slope * sd).powi(2);
        }
    }
    square.sqrt()
}
