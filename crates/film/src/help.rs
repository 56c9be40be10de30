//! Help for the hand: proposals that the reader takes or leaves; nothing here places a point.
//!
//! All positions are film pixels (x right, y down, first pixel's centre at 0, 0).

mod axis;
mod ball;
mod circle;
mod edge;

pub use axis::{Axis, axis_from_edges, axis_near};
pub use ball::ball_near;
pub use circle::{Circle, circle_through};
pub use edge::{Edge, Grey, snap_to_edge};
