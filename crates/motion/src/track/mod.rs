//! How do points marked in one frame go through the clip, and how well is each place known?
//!
//! * brightness around a place: [`region`]; a step from frame to frame: [`flow`]; back to the first look: [`anchor`]
//! * where a hidden point is expected: [`habit`]
//! * the camera's own movement: [`camera`]; everything together: [`follow`]

pub(crate) mod anchor;
pub(crate) mod camera;
pub(crate) mod flow;
pub mod follow;
mod follower;
mod habit;
pub(crate) mod region;
pub mod step;

pub use camera::CameraMove;
pub use follow::{follow, follow_with};

/// A place in a frame: pixels to the right and down.
pub(crate) type At = (f64, f64);
