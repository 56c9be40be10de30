//! Figures about the readings themselves: does the stated interval hold, what does a turned foot do?
//!
//! Everything here is computed from seeds that are passed in, so that a figure can be computed again.
//! The point sets of [`invented`] are made up and belong to nobody.

mod coverage;
mod draws;
mod invented;
mod yaw;

pub use coverage::{Coverage, TruthFile, coverage};
pub use draws::Draws;
pub use invented::{invented_cases, invented_film, invented_points};
pub use yaw::{YawPoint, yaw_curve};
