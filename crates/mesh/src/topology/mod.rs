//! How do the triangles of a surface hang together?
//!
//! The one place for adjacency: what lies across an edge, what meets at a vertex, rims and components, all in
//! flat arrays. Geometry is left to others. Any triangles are taken, also torn, turned and crowded ones.
//!
//! One surprise: a triangle that names a vertex twice, or one that is not there, takes part in nothing. Its
//! half-edges lie on no edge and it belongs to no component.

mod parts;

pub use parts::{Components, parts};

use crate::Mesh;
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

fn sides(&[a, b, c]: &[u32; 3]) -> [(u32, u32); 3] {
    [(a, b), (b, c), (c, a)]
}

/// Nearly all lists hold less than ten numbers.
fn sort(list: &mut [u64]) {
    if list.len() > 24 {
        return list.sort_unstable();
    }
    for i in 1..list.len() {
        let new = list[i];
        let mut at = i;
        while at > 0 && list[at - 1] > new {
            list[at] = list[at - 1];
            at -= 1;
        }
        list[at] = new;
    }
}

impl Topology {
    /// Linear in the number of triangles.
    pub fn of(mesh: &Mesh) -> Topology {
        let vertices = mesh.vertices.len();
        let start: Vec<u32> = mesh.triangles.iter().flatten().copied().collect();
        let sound = |t: &[u32; 3]| {
            t[0] != t[1]
                && t[1] != t[2]
                && t[2] != t[0]
                && t.iter().all(|&v| (v as usize) < vertices)
        };
        // Half-edges by the lower vertex of their edge, then each short list by the higher one.
        let mut first = vec![0u32; vertices + 1];
        let mut leaving_first = vec![0u32; vertices + 1];
        for t in mesh.triangles.iter().filter(|t| sound(t)) {
            for (from, to) in sides(t) {
                first[from.min(to) as usize + 1] += 1;
                leaving_first[from as usize + 1] += 1;
            }
        }
        for v in 0..vertices {
            first[v + 1] += first[v];
            leaving_first[v + 1] += leaving_first[v];
        }
        let used = first.last().copied().unwrap_or(0) as usize;
        // The higher vertex, then the half-edge, in one number each.
        let mut by_low = vec![0u64; used];
        let mut leaving = vec![0u32; used];
        let (mut at, mut leaving_at) = (first.clone(), leaving_first.clone());
        for (i, t) in mesh.triangles.iter().enumerate() {
            if !sound(t) {
                continue;
            }
            for (k, (from, to)) in sides(t).into_iter().enumerate() {
                let h = (3 * i + k) as u32;
                let at = &mut at[from.min(to) as usize];
                by_low[*at as usize] = u64::from(from.max(to)) << 32 | u64::from(h);
                *at += 1;
                let at = &mut leaving_at[from as usize];
                leaving[*at as usize] = h;
                *at += 1;
            }
        }
        let mut ends = Vec::with_capacity(used / 2);
        let mut edge_first = Vec::with_capacity(used / 2 + 1);
        let mut on_edge = Vec::with_capacity(used);
        let mut edge_of = vec![NONE; start.len()];
        let mut opposite = vec![NONE; start.len()];
        for low in 0..vertices {
            let list = &mut by_low[first[low] as usize..first[low + 1] as usize];
            sort(list);
            for same in list.chunk_by(|a, b| a >> 32 == b >> 32) {
                let edge = ends.len() as u32;
                edge_first.push(on_edge.len() as u32);
                ends.push([low as u32, (same[0] >> 32) as u32]);
                for &h in same {
                    edge_of[h as u32 as usize] = edge;
                    on_edge.push(h as u32);
                }
                if let &[a, b] = same {
                    let (a, b) = (a as u32, b as u32);
                    if start[a as usize] != start[b as usize] {
                        opposite[a as usize] = b;
                        opposite[b as usize] = a;
                    }
                }
            }
        }
        edge_first.push(used as u32);
        Topology {
            start,
            edge_of,
            opposite,
            ends,
            edge_first,
            on_edge,
            leaving_first,
            leaving,
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
        let mut seen = vec![false; self.start.len()];
        let mut counts = vec![0u32; self.vertex_count()];
        for v in 0..self.vertex_count() as u32 {
            for &h in self.leaving(v) {
                if seen[h as usize] {
                    continue;
                }
                counts[v as usize] += 1;
                let mut at = Some(h);
                while let Some(g) = at.filter(|&g| !seen[g as usize]) {
                    seen[g as usize] = true;
                    at = self.opposite(previous(g));
                }
                let mut at = self.opposite(h).map(next);
                while let Some(g) = at.filter(|&g| !seen[g as usize]) {
                    seen[g as usize] = true;
                    at = self.opposite(g).map(next);
                }
            }
        }
        counts
    }

    /// All borders, in the order of their lowest half-edges. Where two pass through one vertex, each keeps to
    /// its own triangles.
    pub fn rims(&self) -> Vec<Rim> {
        let mut seen = vec![false; self.start.len()];
        let mut rims = Vec::new();
        for h in 0..self.start.len() as u32 {
            if seen[h as usize] || !self.on_rim(h) {
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
