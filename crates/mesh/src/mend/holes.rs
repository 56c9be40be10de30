//! Where does a surface end, and how is a hole in it closed?
//!
//! A border up to [`MOST_SIDES`] long is closed with as little area as can be, cut as finely as the surface
//! around it and bent to go on from it without an edge (`patch`). Which borders are holes the caller says.
//!
//! # Sources
//! Least area by dividing the border: Barequet and Sharir, Filling gaps in the boundary of a polyhedron, 1995;
//! refinement and fairing: Liepa, Filling holes in meshes, 2003 (both unconfirmed: from memory).

use super::{Done, Rings, What, add, cross, length, patch, scaled, sub};
use crate::Mesh;
use crate::topology::{Rim, Topology};
use rayon::prelude::*;

/// Borders with more sides are left open: closing one takes time in proportion to their number cubed.
pub const MOST_SIDES: usize = 400;

/// One border.
#[derive(Debug, Clone, PartialEq)]
pub struct Hole {
    /// Its vertices, in the order in which the surface runs along it.
    pub vertices: Vec<u32>,
    pub closed: bool,
    pub rim_length: f64,
    /// Twice the greatest distance from the middle.
    pub across: f64,
    pub middle: [f64; 3],
    /// Area of a fan about the middle, as a vector: out of the surface, towards the lid's outside.
    pub facing: [f64; 3],
}

/// All borders of a surface, in the order of their lowest half-edges.
pub fn holes(mesh: &Mesh, topology: &Topology) -> Vec<Hole> {
    topology
        .rims()
        .iter()
        .map(|rim| hole(mesh, topology, rim))
        .collect()
}

fn hole(mesh: &Mesh, topology: &Topology, rim: &Rim) -> Hole {
    let vertices = rim.vertices(topology);
    let at = |i: usize| mesh.vertices[vertices[i % vertices.len()] as usize];
    let count = vertices.len();
    let sum = (0..count).fold([0.0; 3], |sum, i| add(sum, at(i)));
    let middle = scaled(sum, 1.0 / count.max(1) as f64);
    let sides = if rim.closed {
        count
    } else {
        count.saturating_sub(1)
    };
    let (mut rim_length, mut across, mut facing) = (0.0, 0.0f64, [0.0; 3]);
    for i in 0..sides {
        rim_length += length(sub(at(i + 1), at(i)));
        across = across.max(2.0 * length(sub(at(i), middle)));
        // The lid runs against the surface's own direction.
        let fan = cross(sub(at(i + 1), middle), sub(at(i), middle));
        facing = add(facing, scaled(fan, 0.5));
    }
    Hole {
        closed: rim.closed,
        rim_length,
        across,
        middle,
        facing,
        vertices,
    }
}

/// Closes the chosen holes; those that do not close by themselves or are too long stay open.
///
/// New vertices and triangles come after the old ones; `rings` must be the mesh's own.
pub fn fill(mesh: &mut Mesh, rings: &Rings, chosen: &[Hole]) -> Done {
    let mut done = Done::new(What::Holes);
    let patches: Vec<Option<patch::Patch>> = chosen
        .par_iter()
        .map(|hole| {
            let count = hole.vertices.len();
            let simple = hole.closed && (3..=MOST_SIDES).contains(&count);
            simple
                .then(|| patch::over(mesh, rings, &hole.vertices))
                .flatten()
        })
        .collect();
    for (hole, patch) in chosen.iter().zip(patches) {
        let Some(patch) = patch else { continue };
        done.at(hole.middle);
        let shift = mesh.vertices.len() as u32;
        mesh.vertices.extend(&patch.inside);
        let count = hole.vertices.len() as u32;
        mesh.triangles.extend(patch.triangles.iter().map(|t| {
            t.map(|v| {
                if v < count {
                    hole.vertices[v as usize]
                } else {
                    shift + v - count
                }
            })
        }));
    }
    done
}
