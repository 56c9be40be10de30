//! Shell finite elements: how a thin curved body of given material answers to loads.
//!
//! # Architecture invariant
//! Knows nothing of feet, of products or of files. Any consistent set of units may be used; with millimetres
//! and newtons, moduli and stresses are in megapascals.
//!
//! * [`material`], [`section`]: one layer's stiffness, a stack's;
//! * [`facet`]: one triangle with six freedoms a corner, from `membrane`, `plate` and `lean`;
//! * [`mesh`], [`model`], [`load`]: nodes and triangles, supports and springs, what pulls and presses;
//! * [`system`]: the equations, from `order`, [`pattern`] and [`factor`];
//! * [`stress`]: forces, moments and stresses, smoothed at the nodes; [`recovery`]: the same for many
//!   displacements at once;
//! * [`contact`]: a body at rest on a flat floor, from `floor`, `anchors` and
//!   `complementarity`;
//! * [`large`]: motion of any size, from `corotation` and `rotation`.

// Rows and columns are named as in the formulas they come from.
#![allow(clippy::needless_range_loop)]

mod anchors;
mod complementarity;
pub mod contact;
mod corotation;
mod error;
pub mod facet;
pub mod factor;
#[cfg(test)]
mod fixture;
mod flexibility;
mod floor;
pub mod large;
mod lean;
pub mod load;
pub mod material;
mod membrane;
pub mod mesh;
pub mod model;
mod order;
pub mod pattern;
mod plate;
pub mod recovery;
mod rotation;
pub mod section;
pub mod stress;
pub mod system;

pub use contact::{Candidate, Contact, Rest, Settled};
pub use error::FemError;
pub use facet::{Facet, Feeling, Frame};
pub use large::{Bent, Floor, Steps, bend};
pub use load::Load;
pub use material::{Isotropic, Orthotropic};
pub use mesh::{Mesh, Thickness};
pub use model::{Freedom, Mirror, Model, Spring, Supports};
pub use recovery::Recovery;
pub use section::{Layer, Section};
pub use stress::{Feelings, Stress, Through, feel, smooth};
pub use system::{Balance, Displacement, System};
