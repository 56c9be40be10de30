//! How does a file of markers in space (C3D, an open format) become the same curves as a clip?
//!
//! * bytes to markers: [`c3d`]; markers to an upright plane behind the foot: [`plane`]

pub mod c3d;
mod cells;
pub mod plane;

pub use c3d::{MarkerFile, open};
pub use plane::{Roles, read_markers};
