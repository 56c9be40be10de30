//! Triangle surfaces, without a clinical word.
//!
//! # Architecture invariant
//! Nothing here knows what a foot, a bone or a shell is. Lengths are millimetres once a surface has left
//! [`read`]; before that they are the file's own numbers.
//!
//! * [`surface`](mod@surface): the [`Mesh`] itself: vertices, triangles, bounds, volume;
//! * [`topology`]: what lies across an edge, what meets at a vertex, rims, components;
//! * [`near`]: nearest points, rays, boxes;
//! * [`read`](mod@read) and [`write`]: STL, OBJ, PLY, VTP, 3MF in; STL and 3MF out;
//! * [`check`]: is it fit to be made; crossings and walls;
//! * [`mend`]: torn, turned and rough surfaces made sound;
//! * [`simplify`](mod@simplify): the same surface from fewer triangles, and how far it strayed;
//! * [`iso`]: the closed surface on which a sampled field is zero;
//! * [`shapes`]: surfaces of known volume and genus.

pub mod check;
mod error;
pub mod iso;
pub mod mend;
pub mod near;
pub mod read;
pub mod shapes;
pub mod simplify;
pub mod surface;
pub mod topology;
pub mod write;

pub use error::MeshError;
pub use read::{Format, Unit, read};
pub use surface::Mesh;
