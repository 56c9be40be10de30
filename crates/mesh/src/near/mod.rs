//! What of a surface lies nearest, along a ray, or within a box?
//!
//! * [`Tree`]: boxes about boxes about triangles, made once for a mesh and then only asked;
//! * [`nearest`](Tree::nearest) points and [`rays`](Tree::first_hit), singly and many at once;
//! * [`build`] makes the tree.
//!
//! Boxes are kept as `f32`, rounded outward; triangles and all answers are `f64`.
//!
//! One surprise: the same question to the same tree always has the same answer, but of two places equally
//! near, or two triangles met on their common edge, it is the tree that decides which is named.

mod build;
mod nearest;
mod ray;

pub use nearest::{Near, nearest_on_triangle};
pub use ray::{Hit, Ray};

use crate::Mesh;

/// Deep enough for every tree that [`build`] makes.
const DEPTH: usize = 64;

#[derive(Debug, Clone, Copy)]
struct Node {
    low: [f32; 3],
    high: [f32; 3],
    /// Of an inner node its first child, the second follows; of a leaf its first triangle in the tree's order.
    first: u32,
    /// Triangles in a leaf; 0 for an inner node.
    count: u32,
}

/// A tree of boxes over the triangles of one mesh, which it copies.
///
/// Triangles whose corners are not all finite, or not all there, are in no box and are never found.
#[derive(Debug, Clone)]
pub struct Tree {
    nodes: Vec<Node>,
    /// Numbers of the triangles in the mesh, in the tree's order.
    order: Vec<u32>,
    /// Their corners, in the same order.
    corners: Vec<[[f64; 3]; 3]>,
}

impl Tree {
    /// Time in proportion to n log n; larger meshes use all cores.
    pub fn of(mesh: &Mesh) -> Tree {
        build::tree(mesh)
    }

    /// Triangles that can be found.
    pub fn len(&self) -> usize {
        self.order.len()
    }

    pub fn is_empty(&self) -> bool {
        self.order.is_empty()
    }

    /// Calls `visit` with every triangle whose own box meets this one, borders counted.
    pub fn each_in_box(&self, low: [f64; 3], high: [f64; 3], mut visit: impl FnMut(u32)) {
        self.each_slot_in_box(low, high, |slot| visit(self.order[slot]));
    }

    /// Triangles whose own boxes meet this one, in rising order.
    pub fn in_box(&self, low: [f64; 3], high: [f64; 3]) -> Vec<u32> {
        let mut found = Vec::new();
        self.each_in_box(low, high, |t| found.push(t));
        found.sort_unstable();
        found
    }

    /// As [`Tree::each_in_box`], by place in the tree's order.
    pub(crate) fn each_slot_in_box(
        &self,
        low: [f64; 3],
        high: [f64; 3],
        mut visit: impl FnMut(usize),
    ) {
        if self.nodes.is_empty() {
            return;
        }
        let (low32, high32) = (low.map(build::round_down), high.map(build::round_up));
        let mut stack = [0u32; DEPTH];
        let mut waiting = 1;
        while waiting > 0 {
            waiting -= 1;
            let mut at = stack[waiting] as usize;
            loop {
                let node = &self.nodes[at];
                let apart = (0..3).any(|k| node.low[k] > high32[k] || node.high[k] < low32[k]);
                if apart {
                    break;
                }
                if node.count > 0 {
                    for slot in node.first as usize..(node.first + node.count) as usize {
                        let (l, h) = box_of(&self.corners[slot]);
                        if (0..3).all(|k| l[k] <= high[k] && h[k] >= low[k]) {
                            visit(slot);
                        }
                    }
                    break;
                }
                stack[waiting] = node.first + 1;
                waiting += 1;
                at = node.first as usize;
            }
        }
    }

    /// The corners of a triangle by its place in the tree's order.
    pub(crate) fn slot(&self, slot: usize) -> (u32, &[[f64; 3]; 3]) {
        (self.order[slot], &self.corners[slot])
    }
}

/// The box about three corners.
pub(crate) fn box_of(corners: &[[f64; 3]; 3]) -> ([f64; 3], [f64; 3]) {
    let [a, b, c] = corners;
    (
        [0, 1, 2].map(|k| a[k].min(b[k]).min(c[k])),
        [0, 1, 2].map(|k| a[k].max(b[k]).max(c[k])),
    )
}

#[cfg(test)]
pub(crate) mod tests {
    use super::*;

    /// Numbers between 0 and 1 without order, the same every time.
    pub(crate) struct Shuffled(pub u64);

    impl Shuffled {
        pub(crate) fn next(&mut self) -> f64 {
            self.0 = self
                .0
                .wrapping_mul(6_364_136_223_846_793_005)
                .wrapping_add(1_442_695_040_888_963_407);
            (self.0 >> 11) as f64 / (1u64 << 53) as f64
        }

        pub(crate) fn place(&mut self, reach: f64) -> [f64; 3] {
            [0; 3].map(|_| (self.next() * 2.0 - 1.0) * reach)
        }
    }

    /// Small triangles all over a cube, some without area, some far out.
    pub(crate) fn litter(count: usize) -> Mesh {
        let mut shuffled = Shuffled(11);
        let mut mesh = Mesh::default();
        for i in 0..count {
            let at = shuffled.place(if i % 97 == 0 { 5000.0 } else { 50.0 });
            let first = mesh.vertices.len() as u32;
            for _ in 0..3 {
                let off = shuffled.place(if i % 31 == 0 { 0.0 } else { 3.0 });
                mesh.vertices.push([0, 1, 2].map(|k| at[k] + off[k]));
            }
            mesh.triangles.push([first, first + 1, first + 2]);
        }
        mesh
    }

    #[test]
    fn boxes_find_what_asking_every_triangle_finds() {
        let mesh = litter(3000);
        let tree = Tree::of(&mesh);
        let mut shuffled = Shuffled(5);
        for _ in 0..300 {
            let (a, b) = (shuffled.place(60.0), shuffled.place(20.0));
            let low = a;
            let high = [0, 1, 2].map(|k| a[k] + b[k].abs());
            let all: Vec<u32> = (0..mesh.triangles.len() as u32)
                .filter(|&t| {
                    let (l, h) = box_of(&mesh.corners(t as usize));
                    (0..3).all(|k| l[k] <= high[k] && h[k] >= low[k])
                })
                .collect();
            assert_eq!(tree.in_box(low, high), all);
        }
    }

    #[test]
    fn an_empty_mesh_and_corners_that_are_no_numbers_give_no_answer() {
        let nothing = Tree::of(&Mesh::default());
        assert!(nothing.is_empty() && nothing.nearest([0.0; 3]).is_none());
        assert!(nothing.in_box([-1.0; 3], [1.0; 3]).is_empty());
        assert!(
            nothing
                .first_hit(&Ray::new([0.0; 3], [0.0, 0.0, 1.0]))
                .is_none()
        );
        let mut mesh = litter(50);
        mesh.vertices[4] = [f64::NAN, 0.0, 0.0];
        mesh.vertices[9] = [f64::INFINITY, 0.0, 0.0];
        mesh.triangles.push([0, 1, 5000]);
        let tree = Tree::of(&mesh);
        assert_eq!(tree.len(), 48);
        assert!(tree.nearest([0.0; 3]).is_some());
        assert!(tree.nearest([f64::NAN; 3]).is_none());
    }
}
