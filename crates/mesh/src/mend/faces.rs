//! Which triangles are no triangles, or there twice?

use super::{Done, V, What, cross, length, sub};
use crate::Mesh;
use crate::topology::{EdgeKind, Topology, next, previous, triangle};
use rayon::prelude::*;

/// Drops triangles with a corner that is missing, no number, or named twice.
pub(super) fn drop_faulty(mesh: &mut Mesh) -> Done {
    let mut done = Done::new(What::Faulty);
    let placed: Vec<bool> = mesh
        .vertices
        .par_iter()
        .with_min_len(4096)
        .map(|v| v.iter().all(|c| c.is_finite()))
        .collect();
    let sound = |&[a, b, c]: &[u32; 3]| {
        let there = |v: u32| placed.get(v as usize).copied().unwrap_or(false);
        there(a) && there(b) && there(c) && a != b && b != c && c != a
    };
    if !placed.contains(&false) && mesh.triangles.par_iter().with_min_len(4096).all(sound) {
        return done;
    }
    let vertices = &mesh.vertices;
    mesh.triangles.retain(|t| {
        let sound = sound(t);
        if !sound {
            done.at(vertices
                .get(t[0] as usize)
                .copied()
                .unwrap_or([f64::NAN; 3]));
        }
        sound
    });
    // What no triangle uses must not spoil bounds.
    for (v, placed) in mesh.vertices.iter_mut().zip(placed) {
        if !placed {
            *v = [0.0; 3];
        }
    }
    done
}

/// Of triangles on the same three corners keeps the first. Looks only where edges are not sound, or where
/// two triangles share all their edges.
pub(super) fn drop_doubled(mesh: &mut Mesh, topology: &Topology) -> Done {
    let mut done = Done::new(What::Doubled);
    let mut suspects: Vec<([u32; 3], u32)> = (0..mesh.triangles.len() as u32)
        .into_par_iter()
        .with_min_len(4096)
        .filter(|&t| {
            let across = topology.neighbours(t);
            // Sound edges are known without asking more.
            let odd = (0..3u32)
                .filter(|&k| across[k as usize].is_none())
                .any(|k| {
                    topology.edge_of(3 * t + k).is_some_and(|e| {
                        matches!(topology.kind(e), EdgeKind::Crowded | EdgeKind::Turned)
                    })
                });
            odd || (across[0].is_some() && across[0] == across[1] && across[1] == across[2])
        })
        .map(|t| {
            let mut corners = mesh.triangles[t as usize];
            corners.sort_unstable();
            (corners, t)
        })
        .collect();
    suspects.sort_unstable();
    let mut drop = vec![false; mesh.triangles.len()];
    let mut any = false;
    for pair in suspects.windows(2) {
        if pair[0].0 == pair[1].0 {
            drop[pair[1].1 as usize] = true;
            any = true;
        }
    }
    if any {
        drop_marked(mesh, &drop, &mut done);
    }
    done
}

/// Drops the marked triangles and notes where they were.
pub(super) fn drop_marked(mesh: &mut Mesh, drop: &[bool], done: &mut Done) {
    let vertices = &mesh.vertices;
    let mut marked = drop.iter();
    mesh.triangles.retain(|t| {
        let dropped = marked.next().copied().unwrap_or(false);
        if dropped {
            done.at(middle(vertices, t));
        }
        !dropped
    });
}

pub(super) fn middle(vertices: &[V], t: &[u32; 3]) -> V {
    let [a, b, c] = t.map(|v| vertices[v as usize]);
    [0, 1, 2].map(|k| (a[k] + b[k] + c[k]) / 3.0)
}

/// Height of a triangle over its longest side, and which side that is.
fn least_height(vertices: &[V], t: &[u32; 3]) -> (f64, usize) {
    let c = t.map(|v| vertices[v as usize]);
    let sides = [0, 1, 2].map(|k| length(sub(c[(k + 1) % 3], c[k])));
    let longest = (0..3).fold(0, |best, k| if sides[k] > sides[best] { k } else { best });
    let area = length(cross(sub(c[1], c[0]), sub(c[2], c[0])));
    let height = if sides[longest] > 0.0 {
        area / sides[longest]
    } else {
        0.0
    };
    (height, longest)
}

/// Triangles lower than `least`: where the longest side has a sound neighbour the two share out their corners
/// anew, which leaves no gap; otherwise they are dropped.
pub(super) fn part_flat(mesh: &mut Mesh, topology: &Topology, least: f64) -> Done {
    let mut done = Done::new(What::Flat);
    let flat: Vec<u32> = (0..mesh.triangles.len() as u32)
        .into_par_iter()
        .with_min_len(4096)
        .filter(|&t| least_height(&mesh.vertices, &mesh.triangles[t as usize]).0 <= least)
        .collect();
    if flat.is_empty() {
        return done;
    }
    let mut touched = vec![false; mesh.triangles.len()];
    let mut drop = vec![false; mesh.triangles.len()];
    for t in flat {
        if touched[t as usize] {
            continue;
        }
        let (height, side) = least_height(&mesh.vertices, &mesh.triangles[t as usize]);
        let h = 3 * t + side as u32;
        let parted = topology
            .opposite(h)
            .filter(|&o| !touched[triangle(o) as usize])
            .and_then(|o| {
                let (a, b) = (topology.start(h), topology.end(h));
                let (c, d) = (topology.start(previous(h)), topology.start(previous(o)));
                let joined = topology
                    .leaving(c)
                    .iter()
                    .any(|&g| topology.end(g) == d || topology.start(previous(g)) == d);
                let new = [[a, d, c], [d, b, c]];
                let better = new
                    .iter()
                    .all(|n| least_height(&mesh.vertices, n).0 > height);
                (c != d && !joined && better && next(o) != h).then_some((triangle(o), new))
            });
        match parted {
            Some((o, [first, second])) => {
                done.at(middle(&mesh.vertices, &mesh.triangles[t as usize]));
                mesh.triangles[t as usize] = first;
                mesh.triangles[o as usize] = second;
                touched[t as usize] = true;
                touched[o as usize] = true;
            }
            // Only what has no area at all may go: a sliver keeps the surface closed.
            None if height <= 0.0 => drop[t as usize] = true,
            None => {}
        }
    }
    drop_marked(mesh, &drop, &mut done);
    done
}
