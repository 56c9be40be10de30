//! How do the triangles of a surface hang together?
//!
//! The one place for adjacency: what lies across an edge, what meets at a vertex, rims and components, all in
//! flat arrays. Geometry is left to others. Any triangles are taken, also torn, turned and crowded ones.
//!
//! One surprise: a triangle that names a vertex twice, or one that is not there, takes part in nothing. Its
//! half-edges lie on no edge and it belongs to no component.

mod build;
mod parts;

pub use parts::{Components, parts};

use crate::Mesh;
use rayon::prelude::*;
use std::collections::BTreeSet;

/// Stands for "none" in the arrays.
const NONE: u32 = u32::MAX;

/// Adjacency of one mesh, as it was when this was made.
///
/// A **half-edge** is a side of a triangle: half-edge `3·t + k` runs from corner `k` of triangle `t` to the
/// next corner. Every half-edge lies on one **edge**, a pair of vertices.
#[derive(Debug, Clone, PartialEq)]
pub struct Topology {
    /// Start vertex of every half-edge.
    start: Vec<u32>,
    edge_of: Vec<u32>,
    opposite: Vec<u32>,
    ends: Vec<[u32; 2]>,
    /// `on_edge[edge_first[e]..edge_first[e + 1]]` are the half-edges on edge `e`.
    edge_first: Vec<u32>,
    on_edge: Vec<u32>,
    /// `leaving[leaving_first[v]..leaving_first[v + 1]]` are the half-edges that start at vertex `v`.
    leaving_first: Vec<u32>,
    leaving: Vec<u32>,
}

/// How many triangles lie on an edge, and whether they run alike.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum EdgeKind {
    /// One triangle: the surface ends here.
    Rim,
    /// Two triangles that run alike: the sound inner edge.
    Inner,
    /// Two triangles, one of them turned over.
    Turned,
    /// Three or more triangles.
    Crowded,
}

/// One border of a surface, in the order in which its triangles run: the surface lies to the left, seen from
/// outside. A triangle that fills it runs the other way.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Rim {
    pub half_edges: Vec<u32>,
    /// False where a turned or crowded edge cuts the border, so that it does not come back to its start.
    pub closed: bool,
}

impl Rim {
    /// The vertices passed; for a border that does not close, its last one too.
    pub fn vertices(&self, topology: &Topology) -> Vec<u32> {
        let mut vertices: Vec<u32> = self.half_edges.iter().map(|&h| topology.start(h)).collect();
        if let (false, Some(&last)) = (self.closed, self.half_edges.last()) {
            vertices.push(topology.end(last));
        }
        vertices
    }
}

/// The next half-edge of the same triangle.
#[inline]
pub fn next(half_edge: u32) -> u32 {
    if half_edge % 3 == 2 {
        half_edge - 2
    } else {
        half_edge + 1
    }
}

/// The half-edge before this one in the same triangle.
#[inline]
pub fn previous(half_edge: u32) -> u32 {
    if half_edge.is_multiple_of(3) {
        half_edge + 2
    } else {
        half_edge - 1
    }
}

/// The triangle that a half-edge is a side of.
#[inline]
pub fn triangle(half_edge: u32) -> u32 {
    half_edge / 3
}

fn replace(list: &mut [u32], from: u32, to: u32) {
    if let Some(place) = list.iter_mut().find(|h| **h == from) {
        *place = to;
    }
}

impl Topology {
    /// Linear in the number of triangles; larger meshes use all cores.
    pub fn of(mesh: &Mesh) -> Topology {
        build::topology(mesh)
    }

    /// Takes note that triangles were turned over, their second and third corner exchanged. As making it anew, but
    /// quicker where they are few; a triangle that takes part in nothing may not be among them.
    pub(crate) fn turn(&mut self, turned: &[u32]) {
        for &t in turned {
            let (first, last) = (3 * t, 3 * t + 2);
            let [b, c] = [first + 1, last].map(|h| self.start[h as usize]);
            self.start.swap(first as usize + 1, last as usize);
            for (edge, from, to) in [
                (self.edge_of[first as usize], first, last),
                (self.edge_of[last as usize], last, first),
            ] {
                let e = edge as usize;
                let range = self.edge_first[e] as usize..self.edge_first[e + 1] as usize;
                replace(&mut self.on_edge[range], from, to);
            }
            self.edge_of.swap(first as usize, last as usize);
            for (vertex, from, to) in [(b, first + 1, last), (c, last, first + 1)] {
                let v = vertex as usize;
                let range = self.leaving_first[v] as usize..self.leaving_first[v + 1] as usize;
                replace(&mut self.leaving[range], from, to);
            }
        }
        for &t in turned {
            for h in 3 * t..3 * t + 3 {
                let edge = self.edge_of[h as usize];
                let &[a, b] = self.on_edge(edge) else {
                    self.opposite[h as usize] = NONE;
                    continue;
                };
                let sound = self.start(a) != self.start(b);
                self.opposite[a as usize] = if sound { b } else { NONE };
                self.opposite[b as usize] = if sound { a } else { NONE };
            }
        }
    }

    pub fn triangle_count(&self) -> usize {
        self.start.len() / 3
    }

    pub fn edge_count(&self) -> usize {
        self.ends.len()
    }

    /// All vertices of the mesh, used or not.
    pub fn vertex_count(&self) -> usize {
        self.leaving_first.len() - 1
    }

    pub fn start(&self, half_edge: u32) -> u32 {
        self.start[half_edge as usize]
    }

    pub fn end(&self, half_edge: u32) -> u32 {
        self.start[next(half_edge) as usize]
    }

    /// The edge that a half-edge lies on; `None` in a triangle that takes part in nothing.
    pub fn edge_of(&self, half_edge: u32) -> Option<u32> {
        Some(self.edge_of[half_edge as usize]).filter(|&e| e != NONE)
    }

    /// Both vertices of an edge, the lower number first.
    pub fn ends(&self, edge: u32) -> [u32; 2] {
        self.ends[edge as usize]
    }

    /// The half-edges that lie on an edge, in rising order.
    pub fn on_edge(&self, edge: u32) -> &[u32] {
        let e = edge as usize;
        &self.on_edge[self.edge_first[e] as usize..self.edge_first[e + 1] as usize]
    }

    pub fn kind(&self, edge: u32) -> EdgeKind {
        match self.on_edge(edge) {
            [_] => EdgeKind::Rim,
            [a, _] if self.opposite(*a).is_some() => EdgeKind::Inner,
            [_, _] => EdgeKind::Turned,
            _ => EdgeKind::Crowded,
        }
    }

    /// The half-edge on the other side of a sound inner edge; it runs the other way.
    pub fn opposite(&self, half_edge: u32) -> Option<u32> {
        Some(self.opposite[half_edge as usize]).filter(|&h| h != NONE)
    }

    /// The triangles across the three sides, where those are sound inner edges.
    pub fn neighbours(&self, triangle_number: u32) -> [Option<u32>; 3] {
        [0, 1, 2].map(|k| self.opposite(3 * triangle_number + k).map(triangle))
    }

    /// The half-edges that start at a vertex, in rising order; one for each triangle there.
    pub fn leaving(&self, vertex: u32) -> &[u32] {
        let v = vertex as usize;
        &self.leaving[self.leaving_first[v] as usize..self.leaving_first[v + 1] as usize]
    }

    /// Is this half-edge on a rim?
    pub fn on_rim(&self, half_edge: u32) -> bool {
        self.edge_of(half_edge)
            .is_some_and(|e| self.on_edge(e).len() == 1)
    }

    /// For every vertex, whether the surface ends there.
    pub fn rim_vertices(&self) -> Vec<bool> {
        let mut on = vec![false; self.vertex_count()];
        for e in 0..self.ends.len() as u32 {
            if self.on_edge(e).len() == 1 {
                for v in self.ends(e) {
                    on[v as usize] = true;
                }
            }
        }
        on
    }

    /// The half-edges about the start of this one, counter-clockwise seen from outside, as far as sound inner
    /// edges lead. Where the fan has a beginning it starts there, otherwise with the given half-edge.
    pub fn fan(&self, half_edge: u32) -> Vec<u32> {
        let mut first = half_edge;
        while let Some(back) = self.opposite(first).map(next) {
            if back == half_edge {
                first = half_edge;
                break;
            }
            first = back;
        }
        let mut fan = vec![first];
        let mut at = first;
        while let Some(on) = self.opposite(previous(at)) {
            if on == first {
                break;
            }
            fan.push(on);
            at = on;
        }
        fan
    }

    /// How many separate fans of triangles meet at each vertex: 1 where the surface is two-manifold, 0 where
    /// no triangle is. Turned and crowded edges part fans too.
    pub fn fans(&self) -> Vec<u32> {
        (0..self.vertex_count() as u32)
            .into_par_iter()
            .with_min_len(4096)
            .map(|v| self.fans_at(v))
            .collect()
    }

    fn fans_at(&self, vertex: u32) -> u32 {
        let leaving = self.leaving(vertex);
        let Some(&first) = leaving.first() else {
            return 0;
        };
        let about = |h: u32| self.opposite(previous(h));
        let back = |h: u32| self.opposite(h).map(next);
        // Nearly always one fan holds all.
        let (mut seen, mut at) = (1, about(first));
        while let Some(h) = at.filter(|&h| h != first) {
            seen += 1;
            at = about(h);
        }
        if at.is_none() {
            at = back(first);
            while let Some(h) = at {
                seen += 1;
                at = back(h);
            }
        }
        if seen == leaving.len() {
            return 1;
        }
        let mut seen = vec![false; leaving.len()];
        let mut count = 0;
        for (i, &h) in leaving.iter().enumerate() {
            if seen[i] {
                continue;
            }
            count += 1;
            for g in self.fan(h) {
                if let Ok(at) = leaving.binary_search(&g) {
                    seen[at] = true;
                }
            }
        }
        count
    }

    /// All borders, in the order of their lowest half-edges. Where two pass through one vertex, each keeps to
    /// its own triangles.
    pub fn rims(&self) -> Vec<Rim> {
        let mut seen = vec![false; self.start.len()];
        let mut rims = Vec::new();
        for h in 0..self.start.len() as u32 {
            // Most sides have an opposite, which is the quickest to ask.
            if self.opposite[h as usize] != NONE || seen[h as usize] || !self.on_rim(h) {
                continue;
            }
            // Back to where an open border begins, or once round.
            let mut first = h;
            while let Some(before) = self.rim_before(first) {
                first = before;
                if first == h {
                    break;
                }
            }
            let mut half_edges = vec![first];
            seen[first as usize] = true;
            let mut at = first;
            let closed = loop {
                match self.rim_after(at) {
                    None => break false,
                    Some(on) if on == first => break true,
                    Some(on) => {
                        seen[on as usize] = true;
                        half_edges.push(on);
                        at = on;
                    }
                }
            };
            rims.push(Rim { half_edges, closed });
        }
        rims
    }

    fn rim_after(&self, half_edge: u32) -> Option<u32> {
        let mut at = next(half_edge);
        while !self.on_rim(at) {
            at = next(self.opposite(at)?);
        }
        Some(at)
    }

    fn rim_before(&self, half_edge: u32) -> Option<u32> {
        let mut at = previous(half_edge);
        while !self.on_rim(at) {
            at = previous(self.opposite(at)?);
        }
        Some(at)
    }

    /// The vertices that share an edge with this one, each once, in rising order.
    pub fn ring(&self, vertex: u32) -> Vec<u32> {
        let around: BTreeSet<u32> = self
            .leaving(vertex)
            .iter()
            .flat_map(|&h| [self.end(h), self.start(previous(h))])
            .collect();
        around.into_iter().collect()
    }
}

/// Is every vertex a corner of some triangle?
pub(crate) fn all_used(mesh: &Mesh) -> bool {
    let mut used = vec![false; mesh.vertices.len()];
    for &v in mesh.triangles.as_flattened() {
        used[v as usize] = true;
    }
    !used.contains(&false)
}

/// The same triangles without the vertices that none of them uses; the rest keep their order.
pub fn without_unused(mesh: &Mesh) -> Mesh {
    let mut number = vec![NONE; mesh.vertices.len()];
    for &v in mesh.triangles.iter().flatten() {
        number[v as usize] = 0;
    }
    let mut vertices = Vec::new();
    for (n, &v) in number.iter_mut().zip(&mesh.vertices) {
        if *n == 0 {
            *n = vertices.len() as u32;
            vertices.push(v);
        }
    }
    Mesh {
        vertices,
        triangles: mesh
            .triangles
            .iter()
            .map(|t| t.map(|v| number[v as usize]))
            .collect(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn flat(triangles: &[[u32; 3]]) -> Topology {
        let vertices = triangles.iter().flatten().max().map_or(0, |m| m + 1);
        Topology::of(&Mesh {
            vertices: vec![[0.0; 3]; vertices as usize],
            triangles: triangles.to_vec(),
        })
    }

    #[test]
    fn a_tetrahedron_has_six_inner_edges_and_no_rim() {
        let t = flat(&[[0, 2, 1], [0, 1, 3], [1, 2, 3], [2, 0, 3]]);
        assert_eq!((t.edge_count(), t.rims().len()), (6, 0));
        assert!((0..6).all(|e| t.kind(e) == EdgeKind::Inner));
        assert_eq!(t.fans(), [1, 1, 1, 1]);
        for h in 0..12 {
            let o = t.opposite(h).expect("closed");
            assert_eq!((t.start(h), t.end(h)), (t.end(o), t.start(o)));
            assert_eq!(t.fan(h).len(), 3);
        }
    }

    #[test]
    fn a_lone_triangle_has_one_rim_that_follows_it() {
        let t = flat(&[[0, 1, 2]]);
        let rims = t.rims();
        assert_eq!(rims.len(), 1);
        assert!(rims[0].closed);
        assert_eq!(rims[0].vertices(&t), [0, 1, 2]);
    }

    #[test]
    fn turning_triangles_in_place_is_as_making_it_anew() {
        let mut mesh = crate::shapes::torus(30.0, 8.0, 20, 12);
        let [a, b, _] = mesh.triangles[7];
        mesh.triangles.push([a, b, 100]);
        mesh.triangles.swap_remove(50);
        let mut topology = Topology::of(&mesh);
        for turned in [vec![3, 7, 8, 60, 61, 200], vec![7, 50], (0..300).collect()] {
            for &t in &turned {
                mesh.triangles[t as usize].swap(1, 2);
            }
            topology.turn(&turned);
            assert_eq!(topology, Topology::of(&mesh));
        }
    }

    #[test]
    fn rims_that_touch_at_a_vertex_stay_apart() {
        // A bow tie: two triangles that share vertex 0 only.
        let t = flat(&[[0, 1, 2], [0, 3, 4]]);
        let rims: Vec<Vec<u32>> = t.rims().iter().map(|r| r.vertices(&t)).collect();
        assert_eq!(rims, [vec![0, 1, 2], vec![0, 3, 4]]);
        assert_eq!(t.fans(), [2, 1, 1, 1, 1]);
        assert_eq!(t.components().count(), 2);
        assert_eq!(t.components_by_vertex().count(), 1);
    }

    #[test]
    fn turned_and_crowded_edges_are_told_apart_and_cut_rims() {
        let turned = flat(&[[0, 1, 2], [0, 1, 3]]);
        let shared = turned.edge_of(0).expect("a sound triangle");
        assert_eq!(turned.kind(shared), EdgeKind::Turned);
        assert!(turned.rims().iter().all(|r| !r.closed));
        let crowded = flat(&[[0, 1, 2], [1, 0, 3], [0, 1, 4]]);
        let shared = crowded.edge_of(0).expect("a sound triangle");
        assert_eq!(crowded.kind(shared), EdgeKind::Crowded);
        assert_eq!(crowded.components().count(), 1);
        let sides: usize = crowded.rims().iter().map(|r| r.half_edges.len()).sum();
        assert_eq!(sides, 6);
    }

    #[test]
    fn a_triangle_that_names_a_vertex_twice_takes_part_in_nothing() {
        let mesh = Mesh {
            vertices: vec![[0.0; 3]; 3],
            triangles: vec![[0, 1, 2], [1, 1, 2], [0, 1, 9]],
        };
        let t = Topology::of(&mesh);
        assert_eq!(t.edge_count(), 3);
        assert_eq!(t.edge_of(3), None);
        let c = t.components();
        assert_eq!(
            (c.of_triangle(0), c.of_triangle(1), c.of_triangle(2)),
            (Some(0), None, None)
        );
        assert_eq!(parts(&mesh, &c).len(), 1);
    }

    #[test]
    fn a_vertex_in_two_parts_is_copied_into_both() {
        let mesh = Mesh {
            vertices: (0..5).map(|i| [f64::from(i), 0.0, 0.0]).collect(),
            triangles: vec![[0, 1, 2], [3, 4, 0]],
        };
        let both = parts(&mesh, &Topology::of(&mesh).components());
        assert_eq!(both.len(), 2);
        assert_eq!(
            both[1].vertices,
            [[3.0, 0.0, 0.0], [4.0, 0.0, 0.0], [0.0; 3]]
        );
        assert_eq!(both[1].triangles, [[0, 1, 2]]);
    }
}
