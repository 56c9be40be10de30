//! How rough is a surface, and how is it smoothed without shrinking?
//!
//! Steps towards the middle of the ring and slightly larger steps away from it follow each other, which takes
//! short waves away and leaves long ones. Borders stay where they are.
//!
//! One surprise: what counts as short is told in triangle sides, not in millimetres; the caller who knows the
//! size of what must be kept chooses how often.
//!
//! # Sources
//! Taubin, A signal processing approach to fair surface design, SIGGRAPH 1995 (unconfirmed: from memory; the
//! tests hold shrinking and damping against their own measure).

use super::{Rings, V, add, length, median, scaled, spikes, sub};
use crate::Mesh;
use crate::topology::Topology;
use rayon::prelude::*;

const TOWARDS: f64 = 0.6307;
const AWAY: f64 = -0.6732;

/// How a surface is smoothed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Smoothing {
    pub rounds: u32,
    /// No vertex moves farther than this.
    pub most: f64,
}

/// What smoothing did, in the mesh's unit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Smoothed {
    /// [`roughness`] before and after.
    pub before: f64,
    pub after: f64,
    /// Farthest and root mean square way of a vertex.
    pub farthest: f64,
    pub typical: f64,
}

/// Standard deviation of the vertices about a smooth surface, as far as neighbours differ in it.
///
/// Twice the difference to the ring's middle leaves nothing of a bend and, of noise without relation between
/// neighbours on a regular mesh, 1.36 times its deviation (computed). Noise that neighbours share is not seen.
///
/// # Units
/// The mesh's.
pub fn roughness(mesh: &Mesh, topology: &Topology, rings: &Rings) -> f64 {
    let count = mesh.vertices.len();
    let every = (count / 15_000).max(1);
    let mut found: Vec<f64> = (0..count)
        .into_par_iter()
        .step_by(every)
        .filter_map(|v| {
            let by = |v: u32| spikes::off(mesh, topology, v).map(|o| o.by);
            let own = by(v as u32)?;
            let ring = rings.of_vertex(v);
            let mut sum = 0.0;
            for &w in ring {
                sum += by(w)?;
            }
            Some((own - sum / ring.len() as f64).abs())
        })
        .collect();
    // Median to deviation of a normal distribution: 1.4826.
    median(&mut found).map_or(0.0, |m| 1.4826 * m / 1.359)
}

/// Smooths the surface.
pub fn smooth(mesh: &mut Mesh, topology: &Topology, rings: &Rings, how: Smoothing) -> Smoothed {
    let before = roughness(mesh, topology, rings);
    let fixed = topology.rim_vertices();
    let start = mesh.vertices.clone();
    let mut from = start.clone();
    let mut to = start.clone();
    for _ in 0..how.rounds {
        for by in [TOWARDS, AWAY] {
            step(&from, &mut to, rings, &fixed, by);
            std::mem::swap(&mut from, &mut to);
        }
    }
    let mut farthest: f64 = 0.0;
    let mut squares = 0.0;
    for (v, (old, new)) in mesh.vertices.iter_mut().zip(start.iter().zip(&from)) {
        let way = sub(*new, *old);
        let long = length(way);
        let share = if long > how.most {
            how.most / long
        } else {
            1.0
        };
        *v = add(*old, scaled(way, share));
        farthest = farthest.max(long * share);
        squares += (long * share).powi(2);
    }
    Smoothed {
        before,
        after: roughness(mesh, topology, rings),
        farthest,
        typical: (squares / start.len().max(1) as f64).sqrt(),
    }
}

fn step(from: &[V], to: &mut [V], rings: &Rings, fixed: &[bool], by: f64) {
    to.par_iter_mut()
        .with_min_len(4096)
        .enumerate()
        .for_each(|(v, out)| {
            let ring = rings.of_vertex(v);
            let at = from[v];
            if fixed[v] || ring.is_empty() {
                *out = at;
                return;
            }
            let mut sum = [0.0; 3];
            for &w in ring {
                sum = add(sum, from[w as usize]);
            }
            let share = by / ring.len() as f64;
            *out = add(scaled(at, 1.0 - by), scaled(sum, share));
        });
}
