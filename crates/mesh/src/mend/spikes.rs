//! Which vertices stick out of their surroundings?
//!
//! A vertex is held against the ring around it: how far it lies from the ring's middle, square to the ring, in
//! units of the ring's own size. One surprise: neither the ring's direction nor its area depends on where the
//! vertex in its middle is, so even the longest spike cannot hide itself. On a border there is no ring: there a
//! vertex is held against the line between its two neighbours along the border.

use super::{Done, Rings, V, What, add, cross, dot, length, median, scaled, sub};
use crate::Mesh;
use crate::topology::{Topology, next, previous};
use rayon::prelude::*;

/// A vertex sticks out when it is farther off than this many radii of its ring. A sound surface bent to a right
/// angle within one ring reaches 0.5.
const REACH: f64 = 0.9;
/// A vertex on a border sticks out when it is farther from its neighbours' line than this many of the sides around.
/// The teeth of a border torn through even triangles reach 0.9.
const RIM_REACH: f64 = 2.0;
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

/// How far a vertex is off, from where it sticks out, and where it would lie.
#[derive(Debug, Clone, Copy)]
struct Away {
    by: f64,
    reach: f64,
    to: V,
    on_rim: bool,
}

/// `None` where nothing around tells.
fn away(mesh: &Mesh, topology: &Topology, rings: &Rings, v: u32) -> Option<Away> {
    match off(mesh, topology, v) {
        Some(o) => Some(Away {
            by: o.by.abs(),
            reach: REACH * o.radius,
            to: o.middle,
            on_rim: false,
        }),
        None => away_on_rim(mesh, topology, rings, v),
    }
}

/// `None` inside, and where more than one border passes.
fn away_on_rim(mesh: &Mesh, topology: &Topology, rings: &Rings, v: u32) -> Option<Away> {
    let leaving = topology.leaving(v);
    let mut out = leaving.iter().filter(|&&h| topology.on_rim(h));
    let mut into = leaving
        .iter()
        .map(|&h| previous(h))
        .filter(|&h| topology.on_rim(h));
    let (Some(&out_of), None, Some(in_to), None) =
        (out.next(), out.next(), into.next(), into.next())
    else {
        return None;
    };
    let place = |v: u32| mesh.vertices[v as usize];
    let at = place(v);
    let (from, to) = (place(topology.start(in_to)), place(topology.end(out_of)));
    let line = sub(to, from);
    let along = dot(sub(at, from), line) / dot(line, line).max(f64::MIN_POSITIVE);
    let by = length(sub(at, add(from, scaled(line, along.clamp(0.0, 1.0)))));
    // Sides beside the vertex, none of its own: they do not grow with it.
    let mut sides: Vec<f64> = rings
        .of_vertex(v as usize)
        .iter()
        .flat_map(|&w| rings.of_vertex(w as usize).iter().map(move |&x| (w, x)))
        .filter(|&(_, x)| x != v)
        .map(|(w, x)| length(sub(place(x), place(w))))
        .collect();
    let side = median(&mut sides)?;
    let middle = scaled(add(from, to), 0.5);
    let to = if leaving.len() > 1 {
        middle
    } else {
        // On the line its only triangle would have no height: it goes on from the one behind.
        let behind = topology.opposite(next(out_of))?;
        let apex = place(topology.start(previous(behind)));
        add(middle, scaled(sub(middle, apex), 0.5))
    };
    Some(Away {
        by,
        reach: RIM_REACH * side,
        to,
        on_rim: true,
    })
}

/// Sets spikes back into their surroundings.
pub fn set_back(mesh: &mut Mesh, topology: &Topology, rings: &Rings) -> SetBack {
    let all: Vec<Option<Away>> = (0..mesh.vertices.len() as u32)
        .into_par_iter()
        .map(|v| away(mesh, topology, rings, v))
        .collect();
    let every = (all.len() / 50_000).max(1);
    // A border's teeth lie in the surface and say nothing about how rough it is.
    let inside = |a: &&Away| !a.on_rim;
    let some = all.iter().step_by(every).flatten().filter(inside);
    let mut some: Vec<f64> = some.map(|a| a.by).collect();
    let usual = median(&mut some).unwrap_or(0.0);
    let sticks = |a: &Away| a.by > a.reach && a.by > BEYOND_USUAL * usual;
    let mut suspects: Vec<u32> = (0..all.len() as u32)
        .filter(|&v| all[v as usize].as_ref().is_some_and(sticks))
        .collect();
    let mut moved: Vec<(u32, V)> = Vec::new();
    for _ in 0..ROUNDS {
        let found: Vec<(u32, Away)> = suspects
            .iter()
            .filter_map(|&v| away(mesh, topology, rings, v).map(|a| (v, a)))
            .filter(|(_, a)| sticks(a))
            .collect();
        if found.is_empty() {
            break;
        }
        // The farthest of neighbours goes first: the others may only look far off because of it.
        let by_of = |v: u32| {
            found
                .binary_search_by_key(&v, |f| f.0)
                .map_or(0.0, |i| found[i].1.by)
        };
        let first: Vec<&(u32, Away)> = found
            .iter()
            .filter(|(v, a)| {
                rings.of_vertex(*v as usize).iter().all(|&w| {
                    let other = by_of(w);
                    other < a.by || (other == a.by && w > *v)
                })
            })
            .collect();
        for (v, a) in first {
            moved.push((*v, mesh.vertices[*v as usize]));
            mesh.vertices[*v as usize] = a.to;
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
            if let Some(a) = away(mesh, topology, rings, *v) {
                mesh.vertices[*v as usize] = a.to;
            }
        }
    }
    for (v, from) in moved {
        done.at(from);
        farthest = farthest.max(length(sub(from, mesh.vertices[v as usize])));
    }
    SetBack { done, farthest }
}
