//! Which corners are meant to be one?
//!
//! Only corners on borders and the ends of edges that are hardly longer than nothing: everything else is joined
//! already. One surprise: corners are taken in their order, each into the first one near enough, so that a chain
//! of near corners does not draw together from end to end.

use super::{Done, V, What, dot, sub};
use crate::Mesh;
use crate::topology::Topology;
use rayon::prelude::*;

/// Joins corners on borders closer than `distance`, and the ends of edges shorter than it.
///
/// Triangles that lose a corner by it name one twice afterwards. Returns whether anything was joined.
pub(super) fn weld(mesh: &mut Mesh, topology: &Topology, distance: f64) -> Option<Done> {
    let on_rim = topology.rim_vertices();
    let square = distance * distance;
    let mut to: Vec<u32> = (0..mesh.vertices.len() as u32).collect();
    let mut done = Done::new(What::Welded);
    let mut near = Near::new(&mesh.vertices, &on_rim, distance);
    for v in 0..mesh.vertices.len() {
        if on_rim[v]
            && let Some(first) = near.first_or_added(v as u32, &mesh.vertices, square)
        {
            to[v] = first;
            done.at(mesh.vertices[v]);
        }
    }
    // Joining moves an end by no more than the distance, or along a chain of edges as short as this.
    let short: Vec<u32> = (0..topology.edge_count() as u32)
        .into_par_iter()
        .with_min_len(4096)
        .filter(|&e| {
            let [a, b] = topology.ends(e).map(|v| mesh.vertices[v as usize]);
            let d = sub(a, b);
            dot(d, d) <= 9.0 * square
        })
        .collect();
    for e in short {
        let [a, b] = topology.ends(e).map(|v| root(&to, v));
        let d = sub(mesh.vertices[a as usize], mesh.vertices[b as usize]);
        if a != b && dot(d, d) <= square {
            to[a.max(b) as usize] = a.min(b);
            done.at(mesh.vertices[a as usize]);
        }
    }
    if done.count == 0 {
        return None;
    }
    for t in &mut mesh.triangles {
        *t = t.map(|v| root(&to, v));
    }
    Some(done)
}

/// Every vertex points to itself or to a lower one.
fn root(to: &[u32], mut v: u32) -> u32 {
    while to[v as usize] != v {
        v = to[v as usize];
    }
    v
}

const NONE: u32 = u32::MAX;

/// Corners by the cube of space that they lie in, in a table of chains.
struct Near {
    low: V,
    side: f64,
    heads: Vec<u32>,
    next: Vec<u32>,
}

impl Near {
    fn new(vertices: &[V], asked: &[bool], distance: f64) -> Near {
        let mut low = [f64::INFINITY; 3];
        let mut high = [f64::NEG_INFINITY; 3];
        for v in vertices {
            for k in 0..3 {
                low[k] = low[k].min(v[k]);
                high[k] = high[k].max(v[k]);
            }
        }
        let extent = (0..3).map(|k| high[k] - low[k]).fold(0.0, f64::max);
        let count = asked.iter().filter(|a| **a).count();
        Near {
            low: low.map(|c| c - distance),
            // Cubes may not be so small that their numbers run out.
            side: (4.0 * distance).max(extent * 1e-7).max(f64::MIN_POSITIVE),
            heads: vec![NONE; (2 * count).next_power_of_two().max(16)],
            next: vec![NONE; vertices.len()],
        }
    }

    fn slot(&self, cube: [i64; 3]) -> usize {
        let mixed = (cube[0] as u64).wrapping_mul(0x9E37_79B9_7F4A_7C15)
            ^ (cube[1] as u64).wrapping_mul(0xC2B2_AE3D_27D4_EB4F)
            ^ (cube[2] as u64).wrapping_mul(0x1656_67B1_9E37_79F9);
        let mixed = (mixed ^ (mixed >> 29)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        (mixed >> 32) as usize & (self.heads.len() - 1)
    }

    fn cube(&self, at: V, shift: V) -> [i64; 3] {
        [0, 1, 2].map(|k| ((at[k] + shift[k] - self.low[k]) / self.side).floor() as i64)
    }

    /// The first corner near enough; where there is none this one becomes a first.
    fn first_or_added(&mut self, v: u32, vertices: &[V], square: f64) -> Option<u32> {
        let at = vertices[v as usize];
        let reach = square.sqrt();
        let low = self.cube(at, [-reach; 3]);
        let high = self.cube(at, [reach; 3]);
        let mut best = NONE;
        for i in low[0]..=high[0] {
            for j in low[1]..=high[1] {
                for k in low[2]..=high[2] {
                    let mut other = self.heads[self.slot([i, j, k])];
                    while other != NONE {
                        let d = sub(at, vertices[other as usize]);
                        if dot(d, d) <= square && other < best {
                            best = other;
                        }
                        other = self.next[other as usize];
                    }
                }
            }
        }
        if best != NONE {
            return Some(best);
        }
        let slot = self.slot(self.cube(at, [0.0; 3]));
        self.next[v as usize] = self.heads[slot];
        self.heads[slot] = v;
        None
    }
}
