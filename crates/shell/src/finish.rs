//! What is done to an extracted surface: crumbs dropped, rounded edges and letters given the triangles they need.
//!
//! The lattice is as wide as walls allow; where the surface is curved more, edges are halved and their middles
//! put on the field's zero. Letters are raised from the finished surface: a stroke is narrower than a cell.

use crate::field::Near;
use crate::layout::V;
use mesh::Mesh;
use rayon::prelude::*;

/// A surface whose vertices know the place of the layout nearest to them.
pub(crate) struct Skin {
    pub mesh: Mesh,
    pub near: Vec<Near>,
    /// The corners of the lattice's edge that a vertex lies on.
    pub on: Vec<[u32; 2]>,
}

/// What lies on no edge of the lattice.
const ON_NONE: [u32; 2] = [u32::MAX; 2];

/// A vertex for the middle of an edge, where there is to be one.
pub(crate) type Middle = Option<([f64; 3], Near)>;
/// An edge, and the vertex at its middle.
type Halved = ([u32; 2], ([f64; 3], Near));

impl Skin {
    pub fn vertex(&self, n: u32) -> V {
        V::from(self.mesh.vertices[n as usize])
    }

    /// The largest piece. A field can leave crumbs where a wedge runs out against the shell's border; nothing
    /// could be made of them.
    pub fn whole(self) -> Skin {
        let Skin { mesh, near, on } = self;
        let mut root: Vec<u32> = (0..mesh.vertices.len() as u32).collect();
        for t in &mesh.triangles {
            let a = find(&mut root, t[0]);
            for v in [t[1], t[2]] {
                let (a, b) = (find(&mut root, a), find(&mut root, v));
                // The lowest number names a piece.
                root[a.max(b) as usize] = a.min(b);
            }
        }
        for v in 0..root.len() {
            root[v] = root[root[v] as usize];
        }
        if root.iter().all(|r| *r == root[0]) {
            return Skin { mesh, near, on };
        }
        let mut volumes = vec![0.0; root.len()];
        for (n, t) in mesh.triangles.iter().enumerate() {
            let [a, b, c] = mesh.corners(n).map(V::from);
            volumes[root[t[0] as usize] as usize] += a.dot(&b.cross(&c)) / 6.0;
        }
        let largest = (0..root.len() as u32)
            .max_by(|a, b| volumes[*a as usize].total_cmp(&volumes[*b as usize]))
            .unwrap_or(0);
        let mut number = vec![u32::MAX; root.len()];
        let mut out = Skin {
            mesh: Mesh::default(),
            near: Vec::new(),
            on: Vec::new(),
        };
        for (v, r) in root.iter().enumerate() {
            if *r == largest {
                number[v] = out.near.len() as u32;
                out.near.push(near[v]);
                out.on.push(on[v]);
                out.mesh.vertices.push(mesh.vertices[v]);
            }
        }
        out.mesh.triangles = mesh
            .triangles
            .iter()
            .filter(|t| root[t[0] as usize] == largest)
            .map(|t| t.map(|v| number[v as usize]))
            .collect();
        out
    }

    /// Halves the edges between marked ends that are wanted and for which there is a middle; every triangle at them is cut along.
    ///
    /// Looks `among` some triangles, which must be all that have two marked ends, and adds those it makes. Gives
    /// the straight middles, in the order of the new vertices.
    pub fn halve(
        &mut self,
        among: &mut Vec<u32>,
        ends: &[bool],
        wanted: impl Fn(&Skin, u32, u32) -> bool + Sync,
        middle: impl Fn(&Skin, u32, u32) -> Middle + Sync,
    ) -> Vec<V> {
        let skin = &*self;
        // In a closed surface every edge runs upward in one triangle and downward in another.
        let mut edges: Vec<Halved> = among
            .par_iter()
            .map(|n| skin.mesh.triangles[*n as usize])
            .flat_map_iter(|t| (0..3).map(move |k| [t[k], t[(k + 1) % 3]]))
            .filter(|e| e[0] < e[1] && e.iter().all(|v| ends[*v as usize]))
            .filter(|e| wanted(skin, e[0], e[1]))
            .filter_map(|e| Some((e, middle(skin, e[0], e[1])?)))
            .collect();
        if edges.is_empty() {
            return Vec::new();
        }
        edges.par_sort_unstable_by_key(|e| e.0);
        let first = self.near.len() as u32;
        let touched = {
            let mut touched = vec![false; self.near.len()];
            for ([a, b], _) in &edges {
                touched[*a as usize] = true;
                touched[*b as usize] = true;
            }
            touched
        };
        let halved = |a: u32, b: u32| -> Option<u32> {
            if !(touched[a as usize] && touched[b as usize]) {
                return None;
            }
            let key = [a.min(b), a.max(b)];
            let at = edges.binary_search_by_key(&key, |e| e.0).ok()?;
            Some(first + at as u32)
        };
        let place = |v: u32| -> V {
            if v < first {
                self.vertex(v)
            } else {
                V::from(edges[(v - first) as usize].1.0)
            }
        };
        // A cut triangle's first part takes its place, the others come after all.
        let parts: Vec<(usize, Vec<[u32; 3]>)> = among
            .par_iter()
            .map(|n| (*n as usize, self.mesh.triangles[*n as usize]))
            .filter(|(_, t)| t.iter().filter(|v| touched[**v as usize]).count() > 1)
            .map(|(n, t)| (n, cut(t, &halved, &place)))
            .filter(|(_, parts)| parts.len() > 1)
            .collect();
        let straight = edges
            .iter()
            .map(|([a, b], _)| (self.vertex(*a) + self.vertex(*b)) / 2.0)
            .collect();
        let before = self.mesh.triangles.len() as u32;
        for (n, parts) in &parts {
            self.mesh.triangles[*n] = parts[0];
            self.mesh.triangles.extend(&parts[1..]);
        }
        among.extend(before..self.mesh.triangles.len() as u32);
        for (_, (p, near)) in &edges {
            self.mesh.vertices.push(*p);
            self.near.push(*near);
            self.on.push(ON_NONE);
        }
        straight
    }

    /// The triangles at marked vertices.
    pub fn at(&self, marked: &[bool]) -> Vec<u32> {
        let triangles = self.mesh.triangles.par_iter().enumerate();
        triangles
            .filter(|(_, t)| t.iter().any(|v| marked[*v as usize]))
            .map(|(n, _)| n as u32)
            .collect()
    }

    /// Puts vertices that [`Skin::halve`] made, middles of edges, back on their edges where a triangle `among`
    /// those it looked at would be turned over against the normals about it.
    pub fn hold_back(&mut self, among: &[u32], normals: &[V], straight: &[V]) {
        let first = normals.len();
        let new = |v: u32| v as usize >= first;
        for _ in 0..3 {
            let skin = &*self;
            let turned: Vec<[u32; 3]> = among
                .par_iter()
                .map(|n| skin.mesh.triangles[*n as usize])
                .filter(|t| t.iter().any(|v| new(*v)))
                .filter(|t| {
                    let [a, b, c] = t.map(|v| skin.vertex(v));
                    let across = (b - a).cross(&(c - a));
                    let about: V = t.iter().filter_map(|v| normals.get(*v as usize)).sum();
                    about != V::zeros() && across.dot(&about) < 0.5 * across.norm() * about.norm()
                })
                .collect();
            if turned.is_empty() {
                break;
            }
            for v in turned.iter().flatten().filter(|v| new(**v)) {
                self.mesh.vertices[*v as usize] = straight[*v as usize - first].into();
            }
        }
    }

    /// Outward normals of the vertices that are wanted, from the triangles about them; zero for the others.
    pub fn normals(&self, wanted: &[bool]) -> Vec<V> {
        let mut out = vec![V::zeros(); self.near.len()];
        for t in &self.mesh.triangles {
            if t.iter().any(|v| wanted[*v as usize]) {
                let [a, b, c] = t.map(|v| self.vertex(v));
                let across = (b - a).cross(&(c - a));
                for v in t {
                    out[*v as usize] += across;
                }
            }
        }
        for n in out.iter_mut().filter(|n| **n != V::zeros()) {
            *n = n.try_normalize(1e-12).unwrap_or_default();
        }
        out
    }
}

/// The tetrahedron, or the side of one, that an edge of the surface lies in, from the lattice's edges that its
/// ends lie on.
///
/// What moves within it stays clear of all other tetrahedra's triangles.
pub(crate) enum Room {
    Side([V; 3]),
    Whole([V; 4]),
}

impl Room {
    pub fn of(a: [u32; 2], b: [u32; 2], corner: impl Fn(u32) -> V) -> Option<Room> {
        if a == ON_NONE || b == ON_NONE {
            return None;
        }
        let common = a.iter().find(|c| b.contains(c));
        Some(match common {
            Some(&c) => {
                let other = |e: [u32; 2]| if e[0] == c { e[1] } else { e[0] };
                Room::Side([c, other(a), other(b)].map(corner))
            }
            None => Room::Whole([a[0], a[1], b[0], b[1]].map(corner)),
        })
    }

    /// A way within the room that is nearest to a direction, of length 1.
    pub fn along(&self, way: V) -> Option<V> {
        match self {
            Room::Side([a, b, c]) => {
                let normal = (b - a).cross(&(c - a)).try_normalize(1e-12)?;
                (way - normal * normal.dot(&way)).try_normalize(0.3)
            }
            Room::Whole(_) => Some(way),
        }
    }

    /// Does a place lie well inside?
    pub fn holds(&self, p: V) -> bool {
        const WITHIN: f64 = 0.01;
        match self {
            Room::Side([a, b, c]) => {
                let whole = (b - a).cross(&(c - a));
                let scale = whole.norm_squared().max(1e-12).recip();
                [(b, c), (c, a), (a, b)]
                    .iter()
                    .all(|(u, v)| (*u - p).cross(&(*v - p)).dot(&whole) * scale > WITHIN)
            }
            Room::Whole(t) => {
                let volume = |t: &[V; 4]| (t[1] - t[0]).cross(&(t[2] - t[0])).dot(&(t[3] - t[0]));
                let whole = volume(t);
                (0..4).all(|k| {
                    let mut part = *t;
                    part[k] = p;
                    volume(&part) / whole > WITHIN
                })
            }
        }
    }
}

/// The name of a vertex's piece, its path shortened on the way.
fn find(root: &mut [u32], mut v: u32) -> u32 {
    while root[v as usize] != v {
        let next = root[root[v as usize] as usize];
        root[v as usize] = next;
        v = next;
    }
    v
}

/// A triangle cut at the middles of its edges.
fn cut(
    t: [u32; 3],
    halved: &impl Fn(u32, u32) -> Option<u32>,
    place: &impl Fn(u32) -> V,
) -> Vec<[u32; 3]> {
    let m = [0, 1, 2].map(|k| halved(t[k], t[(k + 1) % 3]));
    match m.iter().flatten().count() {
        0 => vec![t],
        1 => {
            let k = m.iter().position(Option::is_some).unwrap_or(0);
            let (a, b, c) = (t[k], t[(k + 1) % 3], t[(k + 2) % 3]);
            let ab = m[k].unwrap_or(a);
            vec![[a, ab, c], [ab, b, c]]
        }
        2 => {
            // `k` is the edge that stays whole.
            let k = m.iter().position(Option::is_none).unwrap_or(0);
            let (a, b, c) = (t[k], t[(k + 1) % 3], t[(k + 2) % 3]);
            let (bc, ca) = (m[(k + 1) % 3].unwrap_or(b), m[(k + 2) % 3].unwrap_or(c));
            let mut out = vec![[bc, c, ca]];
            if (place(a) - place(bc)).norm_squared() <= (place(b) - place(ca)).norm_squared() {
                out.extend([[a, b, bc], [a, bc, ca]]);
            } else {
                out.extend([[a, b, ca], [b, bc, ca]]);
            }
            out
        }
        _ => {
            let [ab, bc, ca] = [0, 1, 2].map(|k| m[k].unwrap_or(t[k]));
            vec![[t[0], ab, ca], [ab, t[1], bc], [ca, bc, t[2]], [ab, bc, ca]]
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const NEAR: Near = Near {
        distance: 0.0,
        ray: 0.0,
        length: 0.0,
    };

    fn tetrahedron(from: u32, size: f64) -> ([[f64; 3]; 4], [[u32; 3]; 4]) {
        let corners = [
            [0.0, 0.0, 0.0],
            [size, 0.0, 0.0],
            [0.0, size, 0.0],
            [0.0, 0.0, size],
        ];
        let faces = [[0, 2, 1], [0, 1, 3], [1, 2, 3], [0, 3, 2]];
        (corners, faces.map(|t| t.map(|v: u32| v + from)))
    }

    #[test]
    fn the_largest_piece_is_kept() {
        let (a, s) = tetrahedron(0, 1.0);
        let (b, t) = tetrahedron(4, 2.0);
        let skin = Skin {
            mesh: Mesh {
                vertices: [a, b].concat(),
                triangles: [s, t].concat(),
            },
            near: vec![NEAR; 8],
            on: vec![ON_NONE; 8],
        };
        let whole = skin.whole();
        assert_eq!(whole.near.len(), 4);
        assert!((whole.mesh.volume() - 8.0 / 6.0).abs() < 1e-12);
    }

    #[test]
    fn halved_edges_leave_a_closed_surface_of_the_same_volume() {
        let (vertices, triangles) = tetrahedron(0, 3.0);
        for wanted in 0..64u32 {
            let mut skin = Skin {
                mesh: Mesh {
                    vertices: vertices.to_vec(),
                    triangles: triangles.to_vec(),
                },
                near: vec![NEAR; 4],
                on: vec![ON_NONE; 4],
            };
            let number = |a: u32, b: u32| match (a, b) {
                (0, b) => b - 1,
                (1, b) => b + 1,
                _ => 5,
            };
            skin.halve(
                &mut vec![0, 1, 2, 3],
                &[true; 4],
                |_, a, b| wanted & (1 << number(a, b)) != 0,
                |s, a, b| Some((((s.vertex(a) + s.vertex(b)) / 2.0).into(), NEAR)),
            );
            assert_eq!(skin.near.len() as u32, 4 + wanted.count_ones());
            assert_eq!(mesh::check::closed(&skin.mesh), None, "{wanted:b}");
            assert!((skin.mesh.volume() - 4.5).abs() < 1e-9);
        }
    }
}
