//! The published cases, each as a function of the mesh, and their table.
//!
//! Targets carry how they were read: S figure read on a page, A in an abstract, M from memory, C computed
//! from a closed form or series, D derived.

#![allow(dead_code)]

pub mod grid;
pub mod plates;
pub mod shells;
pub mod table;
