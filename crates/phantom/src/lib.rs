//! A parametric standing foot and its films: truth known by construction.
//!
//! * what a foot is made of and how one is asked for: [`foot`]
//! * the bones' own shapes: [`bones`]; how they stand: [`pose`]; soft tissue: [`skin`]
//! * scans of the skin: [`scan`]; children: [`child`]; points on the bones: [`landmarks`]; true values: [`truth`]
//! * prints of its sole and of outlines with known indices: [`print`]
//! * a lower leg rising in a clip from behind: [`clip`]
//! * films of it: [`render`] draws, [`expose`] exposes and writes; [`meshfile`] brings bones from files.
//!
//! World frame: millimetres, x forward, y up, z to the person's right, floor at y = 0.

pub mod bones;
pub mod child;
pub mod clip;
pub mod foot;
pub mod landmarks;
pub mod pose;
pub mod print;
pub mod scan;
pub mod skin;
pub mod truth;

pub mod expose;
pub mod meshfile;
pub mod render;

pub use foot::{Age, BadSpec, Bone, Foot, FootSpec, build};
pub use mesh::Mesh;
pub use pose::Pose;
pub use truth::Camera;
