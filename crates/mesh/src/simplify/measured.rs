//! How far apart do both surfaces lie, where it is known which given place is near which new triangle?
//!
//! Every given place is asked for the new triangle nearest to it, which is the one that it was kept with or one near
//! by. Every new vertex and middle is asked for the nearest of the given triangles that were kept with the new ones
//! about it, and where that seems too far, for the nearest of all. One surprise: what seems near enough may lie
//! nearer yet; no distance is said to be less than it is.

use super::Strayed;
use super::collapse::{Draft, NONE, P};
use super::follow::off;
use crate::Mesh;
use crate::near::{Tree, nearest_on_triangle};
use crate::topology::{Topology, triangle};
use rayon::prelude::*;

/// From this share of the deviation on, the distance is looked for more widely.
const WORTH: f64 = 0.5;

/// Of `places` on either surface, or all where there are no more.
pub(super) fn strayed(given: &Mesh, draft: &Draft, deviation: f64, places: usize) -> Strayed {
    let mesh = &draft.mesh;
    let (tree, topology) = rayon::join(|| Tree::of(mesh), || Topology::of(mesh));
    let every = |all: usize| all.div_ceil(places.max(1)).max(1);
    let spots = |t: usize| draft.near_first[t] as usize..draft.near_first[t + 1] as usize;
    // Every so many of all places, whichever triangle they are near.
    let step = every(draft.near.len());
    let there: Vec<f64> = (0..mesh.triangles.len())
        .into_par_iter()
        .flat_map_iter(|t| {
            let corners = mesh.corners(t);
            let first = spots(t).start.next_multiple_of(step);
            (first..spots(t).end).step_by(step).map({
                let tree = &tree;
                move |i| {
                    let at = draft.near[i].at;
                    let known = off(at, nearest_on_triangle(at, &corners).0).sqrt();
                    let nearer = tree.nearest_within(at, known);
                    nearer.map_or(known, |n| n.distance)
                }
            })
        })
        .collect();
    let gathered = |place: P, t: usize, into: &mut Vec<(u32, f64)>| {
        let middles = draft.near[spots(t)].iter().filter(|spot| spot.of != NONE);
        into.extend(middles.map(|spot| (spot.of, off(spot.at, place))));
    };
    let around = |place: P, corners: &[u32], into: &mut Vec<(u32, f64)>| {
        for &v in corners {
            for &h in topology.leaving(v) {
                gathered(place, triangle(h) as usize, into);
            }
        }
    };
    let vertices = mesh.vertices.len();
    let place_of = |i: usize| {
        if i < vertices {
            return mesh.vertices[i];
        }
        let [a, b, c] = mesh.corners(i - vertices);
        [0, 1, 2].map(|k| (a[k] + b[k] + c[k]) / 3.0)
    };
    let mut back: Vec<(usize, f64)> = (0..vertices + mesh.triangles.len())
        .into_par_iter()
        .step_by(every(vertices + mesh.triangles.len()))
        .map_init(Vec::new, |near, i| {
            let place = place_of(i);
            near.clear();
            if i < vertices {
                around(place, &[i as u32], near);
                return (i, nearest_of(given, place, near));
            }
            let t = i - vertices;
            gathered(place, t, near);
            let own = nearest_of(given, place, near);
            if own < WORTH * deviation {
                return (i, own);
            }
            around(place, &mesh.triangles[t], near);
            (i, nearest_of(given, place, near))
        })
        .filter(|found| found.1.is_finite())
        .collect();
    // What seems too far may only have its nearest triangle elsewhere.
    let far: Vec<usize> = (0..back.len()).filter(|&n| back[n].1 > deviation).collect();
    if !far.is_empty() {
        let asked: Vec<(P, f64)> = far
            .iter()
            .map(|&n| (place_of(back[n].0), back[n].1))
            .collect();
        let tree = Tree::of(&within(given, &asked));
        for (n, (place, known)) in far.into_iter().zip(asked) {
            back[n].1 = tree
                .nearest_within(place, known)
                .map_or(known, |n| n.distance);
        }
    }
    let back: Vec<f64> = back.into_iter().map(|found| found.1).collect();
    let most = |all: &[f64]| all.iter().copied().fold(0.0, f64::max);
    let square = |all: &[f64]| all.iter().map(|d| d * d).sum::<f64>() / all.len().max(1) as f64;
    Strayed {
        there: most(&there),
        back: most(&back),
        typical: ((square(&there) + square(&back)) / 2.0).sqrt(),
        places: there.len() + back.len(),
    }
}

/// How far a place lies from those of some triangles whose middles are about as near as the nearest; each comes with
/// its middle's squared distance.
fn nearest_of(given: &Mesh, place: P, near: &[(u32, f64)]) -> f64 {
    let least = near.iter().map(|s| s.1).fold(f64::INFINITY, f64::min);
    let some = near.iter().filter(|s| s.1 <= 4.0 * least);
    some.map(|s| {
        off(
            nearest_on_triangle(place, &given.corners(s.0 as usize)).0,
            place,
        )
    })
    .fold(f64::INFINITY, f64::min)
    .sqrt()
}

/// With more places all of the surface is asked.
const FEW: usize = 64;

/// What of the given surface may lie within each place's distance of it.
fn within(given: &Mesh, asked: &[(P, f64)]) -> Mesh {
    if asked.len() > FEW {
        return given.clone();
    }
    let near = |t: &&[u32; 3]| {
        let corners = t.map(|v| {
            given
                .vertices
                .get(v as usize)
                .copied()
                .unwrap_or([f64::NAN; 3])
        });
        asked.iter().any(|(place, reach)| {
            (0..3).all(|k| {
                let [a, b, c] = corners.map(|p| p[k]);
                a.min(b).min(c) <= place[k] + reach && a.max(b).max(c) >= place[k] - reach
            })
        })
    };
    Mesh {
        vertices: given.vertices.clone(),
        triangles: given.triangles.par_iter().filter(near).copied().collect(),
    }
}
