//! The same surface with another number of triangles.
//!
//! More: the longest edges are halved, so that each triangle becomes two to four. Fewer: the shortest edges
//! are closed, one by one, never where the surface would pinch or fold. Each closed edge takes two
//! triangles, each halved one adds two, so the number asked for is met to one triangle.

use crate::Mesh;
use rayon::prelude::*;
use std::cmp::Reverse;
use std::collections::BinaryHeap;

/// A closed surface with `triangles` triangles; new vertices are brought to where `settled` says.
pub(super) fn with(
    mesh: &Mesh,
    triangles: usize,
    settled: impl Fn([f64; 3]) -> [f64; 3] + Sync,
) -> Mesh {
    let mut mesh = mesh.clone();
    while mesh.triangles.len() + 1 < triangles {
        mesh = finer(&mesh, triangles, &settled);
    }
    if mesh.triangles.len() > triangles {
        mesh = coarser(mesh, triangles, &settled);
    }
    mesh
}

fn edge_key(a: u32, b: u32) -> u64 {
    u64::from(a.min(b)) << 32 | u64::from(a.max(b))
}

fn square(mesh: &Mesh, a: u32, b: u32) -> f64 {
    let (p, q) = (mesh.vertices[a as usize], mesh.vertices[b as usize]);
    (0..3).map(|k| (p[k] - q[k]).powi(2)).sum()
}

/// Up to four times as many triangles.
fn finer(mesh: &Mesh, triangles: usize, settled: &(impl Fn([f64; 3]) -> [f64; 3] + Sync)) -> Mesh {
    let mut edges: Vec<u64> = mesh
        .triangles
        .iter()
        .flat_map(|t| [0, 1, 2].map(|k| edge_key(t[k], t[(k + 1) % 3])))
        .collect();
    edges.par_sort_unstable();
    edges.dedup();
    let wanted = ((triangles - mesh.triangles.len()) / 2).clamp(1, edges.len());
    let mut by_length: Vec<(u64, u64)> = edges
        .par_iter()
        .map(|&e| (square(mesh, (e >> 32) as u32, e as u32).to_bits(), e))
        .collect();
    // Bits of positive numbers are ordered as the numbers are.
    by_length.par_sort_unstable_by_key(|&(length, e)| (Reverse(length), e));
    let mut halved: Vec<u64> = by_length[..wanted].iter().map(|&(_, e)| e).collect();
    halved.par_sort_unstable();

    let first = mesh.vertices.len() as u32;
    let middles: Vec<[f64; 3]> = halved
        .par_iter()
        .map(|&e| {
            let (p, q) = (
                mesh.vertices[(e >> 32) as usize],
                mesh.vertices[e as u32 as usize],
            );
            settled([0, 1, 2].map(|k| 0.5 * (p[k] + q[k])))
        })
        .collect();
    let middle = |a: u32, b: u32| {
        halved
            .binary_search(&edge_key(a, b))
            .ok()
            .map(|i| first + i as u32)
    };
    let triangles = mesh
        .triangles
        .par_iter()
        .flat_map_iter(|&[a, b, c]| split([a, b, c], [middle(a, b), middle(b, c), middle(c, a)]))
        .collect();
    let mut vertices = mesh.vertices.clone();
    vertices.extend(middles);
    Mesh {
        vertices,
        triangles,
    }
}

/// A triangle whose sides have a vertex in the middle, or not.
fn split([a, b, c]: [u32; 3], [ab, bc, ca]: [Option<u32>; 3]) -> Vec<[u32; 3]> {
    match (ab, bc, ca) {
        (None, None, None) => vec![[a, b, c]],
        (Some(m), None, None) => vec![[a, m, c], [m, b, c]],
        (None, Some(m), None) => vec![[b, m, a], [m, c, a]],
        (None, None, Some(m)) => vec![[c, m, b], [m, a, b]],
        (Some(m), Some(n), None) => vec![[m, b, n], [a, m, n], [a, n, c]],
        (None, Some(m), Some(n)) => vec![[m, c, n], [b, m, n], [b, n, a]],
        (Some(n), None, Some(m)) => vec![[m, a, n], [c, m, n], [c, n, b]],
        (Some(x), Some(y), Some(z)) => vec![[a, x, z], [x, b, y], [z, y, c], [x, y, z]],
    }
}

/// Triangles around each vertex while edges are closed.
struct Closing {
    mesh: Mesh,
    around: Vec<Vec<u32>>,
    alive: Vec<bool>,
    /// How often a vertex has moved: an edge measured before is out of date.
    moved: Vec<u32>,
}

type Edge = Reverse<(u64, u32, u32, u32, u32)>;

fn coarser(mesh: Mesh, triangles: usize, settled: &impl Fn([f64; 3]) -> [f64; 3]) -> Mesh {
    let mut around = vec![Vec::with_capacity(6); mesh.vertices.len()];
    for (i, t) in mesh.triangles.iter().enumerate() {
        t.iter().for_each(|&v| around[v as usize].push(i as u32));
    }
    let mut left = mesh.triangles.len();
    let mut closing = Closing {
        alive: vec![true; left],
        moved: vec![0; mesh.vertices.len()],
        mesh,
        around,
    };
    let mut heap: BinaryHeap<Edge> = BinaryHeap::with_capacity(left * 2);
    for t in &closing.mesh.triangles {
        for k in 0..3 {
            let (a, b) = (t[k], t[(k + 1) % 3]);
            if a < b {
                heap.push(Reverse((square(&closing.mesh, a, b).to_bits(), a, b, 0, 0)));
            }
        }
    }
    while left > triangles {
        let Some(Reverse((_, a, b, moved_a, moved_b))) = heap.pop() else {
            break;
        };
        if closing.moved[a as usize] != moved_a || closing.moved[b as usize] != moved_b {
            continue;
        }
        if closing.close(a, b, settled) {
            left -= 2;
            closing.measure(a, &mut heap);
        }
    }
    closing.finished()
}

impl Closing {
    fn neighbours(&self, v: u32) -> Vec<u32> {
        let mut list: Vec<u32> = self.around[v as usize]
            .iter()
            .flat_map(|&t| self.mesh.triangles[t as usize])
            .filter(|&w| w != v)
            .collect();
        list.sort_unstable();
        list.dedup();
        list
    }

    /// Draws `b` into `a`, if the surface stays a surface.
    fn close(&mut self, a: u32, b: u32, settled: &impl Fn([f64; 3]) -> [f64; 3]) -> bool {
        let (near_a, near_b) = (self.neighbours(a), self.neighbours(b));
        let common = near_a
            .iter()
            .filter(|v| near_b.binary_search(v).is_ok())
            .count();
        if common != 2 || near_a.len() + near_b.len() < 8 {
            return false;
        }
        let (p, q) = (
            self.mesh.vertices[a as usize],
            self.mesh.vertices[b as usize],
        );
        let middle = settled([0, 1, 2].map(|k| 0.5 * (p[k] + q[k])));
        let folds = |v: u32, other: u32| {
            self.around[v as usize].iter().any(|&t| {
                let corners = self.mesh.triangles[t as usize];
                if corners.contains(&other) {
                    return false;
                }
                let old = corners.map(|c| self.mesh.vertices[c as usize]);
                let new = corners.map(|c| {
                    if c == v {
                        middle
                    } else {
                        self.mesh.vertices[c as usize]
                    }
                });
                let (n, m) = (normal(old), normal(new));
                let dot: f64 = (0..3).map(|k| n[k] * m[k]).sum();
                let lengths: f64 = [n, m]
                    .iter()
                    .map(|n| n.iter().map(|c| c * c).sum::<f64>().sqrt())
                    .product();
                dot <= 0.3 * lengths
            })
        };
        if folds(a, b) || folds(b, a) {
            return false;
        }
        self.mesh.vertices[a as usize] = middle;
        let (kept, dead): (Vec<u32>, Vec<u32>) = std::mem::take(&mut self.around[b as usize])
            .into_iter()
            .partition(|&t| !self.mesh.triangles[t as usize].contains(&a));
        for t in dead {
            self.alive[t as usize] = false;
            for v in self.mesh.triangles[t as usize] {
                self.around[v as usize].retain(|&other| other != t);
            }
        }
        for &t in &kept {
            for v in &mut self.mesh.triangles[t as usize] {
                if *v == b {
                    *v = a;
                }
            }
        }
        self.around[a as usize].extend(kept);
        self.moved[a as usize] += 1;
        self.moved[b as usize] = u32::MAX;
        true
    }

    fn measure(&self, a: u32, heap: &mut BinaryHeap<Edge>) {
        for v in self.neighbours(a) {
            let (low, high) = (a.min(v), a.max(v));
            let length = square(&self.mesh, low, high).to_bits();
            let moved = |v: u32| self.moved[v as usize];
            heap.push(Reverse((length, low, high, moved(low), moved(high))));
        }
    }

    fn finished(self) -> Mesh {
        let triangles: Vec<[u32; 3]> = self
            .mesh
            .triangles
            .iter()
            .zip(&self.alive)
            .filter(|&(_, &alive)| alive)
            .map(|(&t, _)| t)
            .collect();
        without_unused(&Mesh {
            vertices: self.mesh.vertices,
            triangles,
        })
    }
}

fn normal([a, b, c]: [[f64; 3]; 3]) -> [f64; 3] {
    let u = [0, 1, 2].map(|k| b[k] - a[k]);
    let v = [0, 1, 2].map(|k| c[k] - a[k]);
    [
        u[1] * v[2] - u[2] * v[1],
        u[2] * v[0] - u[0] * v[2],
        u[0] * v[1] - u[1] * v[0],
    ]
}

/// The same triangles, without vertices that none of them names.
pub(super) fn without_unused(mesh: &Mesh) -> Mesh {
    let mut number = vec![u32::MAX; mesh.vertices.len()];
    let mut vertices = Vec::new();
    let triangles = mesh
        .triangles
        .iter()
        .map(|t| {
            t.map(|v| {
                let n = &mut number[v as usize];
                if *n == u32::MAX {
                    *n = vertices.len() as u32;
                    vertices.push(mesh.vertices[v as usize]);
                }
                *n
            })
        })
        .collect();
    Mesh {
        vertices,
        triangles,
    }
}
