//! Which vertices stick out of their surroundings?
//!
//! A vertex is held against the ring around it: how far it lies from the ring's middle, square to the ring, in
//! units of the ring's own size. One surprise: neither the ring's direction nor its area depends on where the
//! vertex in its middle is, so even the longest spike cannot hide itself.

use super::{Done, Rings, V, What, add, cross, dot, length, median, scaled, sub};
use crate::Mesh;
use crate::topology::{Topology, next, previous};
use rayon::prelude::*;

/// A vertex sticks out when it is farther off than this many radii of its ring. A sound surface bent to a right
/// angle within one ring reaches 0.5.
const REACH: f64 = 0.9;
/// And farther than this many times what is usual on this surface, or all of a rough one would be spikes.
const BEYOND_USUAL: f64 = 8.0;
/// A spike of several vertices is taken down from its tip, ring by ring.
const ROUNDS: usize = 8;

/// What was set back.
#[derive(Debug, Clone, PartialEq)]
pub struct SetBack {
    pub done: Done,
    /// How far the farthest was moved.
    pub farthest: f64,
}

/// A vertex beside its ring.
#[derive(Debug, Clone, Copy)]
pub(super) struct Off {
    /// Out of the ring's middle, along the ring's direction.
    pub by: f64,
    /// Radius of the ring, as if it were a regular hexagon.
    pub radius: f64,
    middle: V,
}

/// `None` on borders and where the ring has no area.
pub(super) fn off(mesh: &Mesh, topology: &Topology, v: u32) -> Option<Off> {
    let leaving = topology.leaving(v);
    let at = mesh.vertices[v as usize];
    let (mut area, mut sum) = ([0.0; 3], [0.0; 3]);
    for &h in leaving {
        topology.opposite(h)?;
        topology.opposite(previous(h))?;
        let a = sub(mesh.vertices[topology.end(h) as usize], at);
        let b = sub(mesh.vertices[topology.end(next(h)) as usize], at);
        area = add(area, cross(a, b));
        sum = add(sum, a);
    }
    let double = length(area);
    if leaving.is_empty() || double <= 0.0 {
        return None;
    }
    let to_middle = scaled(sum, 1.0 / leaving.len() as f64);
    Some(Off {
        by: -dot(to_middle, area) / double,
        radius: (double / (2.0 * 2.598)).sqrt(),
        middle: add(at, to_middle),
    })
}

/// Sets spikes back into their surroundings.
pub fn set_back(mesh: &mut Mesh, topology: &Topology, rings: &Rings) -> SetBack {
    let offs: Vec<Option<(f64, f64)>> = (0..mesh.vertices.len() as u32)
        .into_par_iter()
        .map(|v| off(mesh, topology, v).map(|o| (o.by.abs(), o.radius)))
        .collect();
    let every = (offs.len() / 50_000).max(1);
    let mut some: Vec<f64> = offs.iter().step_by(every).flatten().map(|o| o.0).collect();
    let usual = median(&mut some).unwrap_or(0.0);
    let sticks = |by: f64, radius: f64| by > REACH * radius && by > BEYOND_USUAL * usual;
    let mut suspects: Vec<u32> = (0..offs.len() as u32)
        .filter(|&v| offs[v as usize].is_some_and(|(by, radius)| sticks(by, radius)))
        .collect();
    let mut moved: Vec<(u32, V)> = Vec::new();
    for _ in 0..ROUNDS {
        let found: Vec<(u32, Off)> = suspects
            .iter()
            .filter_map(|&v| off(mesh, topology, v).map(|o| (v, o)))
            .filter(|(_, o)| sticks(o.by.abs(), o.radius))
            .collect();
        if found.is_empty() {
            break;
        }
        // The farthest of neighbours goes first: the others may only look far off because of it.
        let by_of = |v: u32| {
            found
                .binary_search_by_key(&v, |f| f.0)
                .map_or(0.0, |i| found[i].1.by.abs())
        };
        let first: Vec<&(u32, Off)> = found
            .iter()
            .filter(|(v, o)| {
                rings.of_vertex(*v as usize).iter().all(|&w| {
                    let other = by_of(w);
                    other < o.by.abs() || (other == o.by.abs() && w > *v)
                })
            })
            .collect();
        for (v, o) in first {
            moved.push((*v, mesh.vertices[*v as usize]));
            mesh.vertices[*v as usize] = o.middle;
        }
        let mut again: Vec<u32> = found
            .iter()
            .flat_map(|(v, _)| rings.of_vertex(*v as usize).iter().copied().chain([*v]))
            .collect();
        again.sort_unstable();
        again.dedup();
        suspects = again;
    }
    let mut done = Done::new(What::Spikes);
    let mut farthest: f64 = 0.0;
    // Stable, so the first of each is where it was at the beginning.
    moved.sort_by_key(|m| m.0);
    moved.dedup_by_key(|m| m.0);
    // Some were set back between neighbours that still stuck out.
    for _ in 0..3 {
        for (v, _) in &moved {
            if let Some(o) = off(mesh, topology, *v) {
                mesh.vertices[*v as usize] = o.middle;
            }
        }
    }
    for (v, from) in moved {
        done.at(from);
        farthest = farthest.max(length(sub(from, mesh.vertices[v as usize])));
    }
    SetBack { done, farthest }
}
