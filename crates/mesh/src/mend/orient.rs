//! Which side of a surface is outside?
//!
//! Neighbours are made to agree, the minority turning; then each piece as a whole is turned outward by the sign
//! of the volume that it holds, its borders closed by lids. One surprise: a shallow bowl has an outside by this,
//! the side that a body lying in it would not touch.

use super::{Done, V, What, add, cross, dot, scaled, sub};
use crate::Mesh;
use crate::topology::{Components, EdgeKind, Topology, triangle};
use rayon::prelude::*;

/// Turns triangles so that two on an edge run alike. The second step counts edges where that cannot be.
pub(super) fn agree(mesh: &mut Mesh, topology: &mut Topology) -> [Done; 2] {
    let (mut turned, mut one_sided) = (Done::new(What::Turned), Done::new(What::OneSided));
    // Asked of sides in their order, which is quicker than of edges.
    let sides = (0..3 * topology.triangle_count() as u32).into_par_iter();
    let any = sides.with_min_len(16_384).any(|h| {
        topology.opposite(h).is_none()
            && topology
                .edge_of(h)
                .is_some_and(|e| topology.kind(e) == EdgeKind::Turned)
    });
    if !any {
        return [turned, one_sided];
    }
    let count = mesh.triangles.len();
    let mut state = vec![State::Unseen; count];
    for seed in 0..count {
        if state[seed] != State::Unseen {
            continue;
        }
        state[seed] = State::Kept;
        let mut piece = vec![seed as u32];
        let mut at = 0;
        let mut over = 0;
        while let Some(&t) = piece.get(at) {
            at += 1;
            for h in 3 * t..3 * t + 3 {
                let (across, wanted) = match topology.opposite(h) {
                    Some(across) => (across, state[t as usize]),
                    None => {
                        let Some(e) = topology.edge_of(h) else {
                            continue;
                        };
                        let &[a, b] = topology.on_edge(e) else {
                            continue;
                        };
                        (if a == h { b } else { a }, state[t as usize].other())
                    }
                };
                let other = triangle(across) as usize;
                if state[other] == State::Unseen {
                    state[other] = wanted;
                    over += usize::from(wanted == State::Over);
                    piece.push(other as u32);
                } else if state[other] != wanted && h < across {
                    one_sided.at(mesh.vertices[topology.start(h) as usize]);
                }
            }
        }
        if 2 * over > piece.len() {
            for &t in &piece {
                state[t as usize] = state[t as usize].other();
            }
        }
    }
    let mut over = Vec::new();
    for (t, state) in state.into_iter().enumerate() {
        if state == State::Over {
            turned.at(super::faces::middle(&mesh.vertices, &mesh.triangles[t]));
            mesh.triangles[t].swap(1, 2);
            over.push(t as u32);
        }
    }
    topology.turn(&over);
    [turned, one_sided]
}

#[derive(Clone, Copy, PartialEq)]
enum State {
    Unseen,
    Kept,
    Over,
}

impl State {
    fn other(self) -> State {
        match self {
            State::Kept => State::Over,
            _ => State::Kept,
        }
    }
}

/// Turns every piece outward that faces inward as a whole.
pub(super) fn outward(mesh: &mut Mesh, topology: &mut Topology) -> Done {
    let mut done = Done::new(What::InsideOut);
    let components = topology.components();
    let volumes = volume_with_lids(mesh, topology, &components);
    if volumes.iter().all(|v| *v >= 0.0) {
        return done;
    }
    let mut noted = vec![false; volumes.len()];
    let mut over = Vec::new();
    for t in 0..mesh.triangles.len() {
        let Some(c) = components.of_triangle(t).map(|c| c as usize) else {
            continue;
        };
        if volumes[c] < 0.0 {
            if !noted[c] {
                noted[c] = true;
                done.at(super::faces::middle(&mesh.vertices, &mesh.triangles[t]));
            }
            mesh.triangles[t].swap(1, 2);
            over.push(t as u32);
        }
    }
    topology.turn(&over);
    done
}

/// Enclosed volume of each component, every border closed by a lid: a fan about its middle.
///
/// # Units
/// The mesh's unit, cubed.
///
/// # Sign
/// Negative where the component faces inward.
pub fn volume_with_lids(mesh: &Mesh, topology: &Topology, components: &Components) -> Vec<f64> {
    let mut sums = vec![0.0; components.count()];
    // About a point near the surface, or the digits of far-off scans would be lost.
    let about = mesh.vertices.first().copied().unwrap_or_default();
    let cone = |a: V, b: V, c: V| dot(sub(a, about), cross(sub(b, about), sub(c, about))) / 6.0;
    let cones: Vec<f64> = (0..mesh.triangles.len())
        .into_par_iter()
        .with_min_len(4096)
        .map(|t| match components.of_triangle(t) {
            Some(_) => {
                let [p, q, r] = mesh.corners(t);
                cone(p, q, r)
            }
            None => 0.0,
        })
        .collect();
    for (t, cone) in cones.into_iter().enumerate() {
        if let Some(c) = components.of_triangle(t) {
            sums[c as usize] += cone;
        }
    }
    for rim in topology.rims() {
        let Some(c) = rim
            .half_edges
            .first()
            .and_then(|&h| components.of_triangle(triangle(h) as usize))
        else {
            continue;
        };
        let sides = || {
            rim.half_edges
                .iter()
                .map(|&h| [topology.start(h), topology.end(h)].map(|v| mesh.vertices[v as usize]))
        };
        let sum = sides().fold([0.0; 3], |sum, [a, _]| add(sum, a));
        let middle = scaled(sum, 1.0 / rim.half_edges.len() as f64);
        sums[c as usize] += sides().map(|[a, b]| cone(b, a, middle)).sum::<f64>();
    }
    sums
}
