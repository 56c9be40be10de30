//! The surface on which a sampled field is zero.
//!
//! Every cube of the lattice is cut into six tetrahedra about its long diagonal, the same way everywhere,
//! and each tetrahedron gives at most two triangles that lie inside it. The surface is therefore closed,
//! two-manifold and free of self-intersection whatever the field is: neighbouring tetrahedra share whole
//! faces, and no corner of a triangle lies on a corner of the lattice.
//!
//! The price is many triangles of poor shape; simplifying takes them away again.

use crate::Mesh;
use rayon::prelude::*;

/// A field sampled at the corners of cubes; negative inside.
#[derive(Debug, Clone, PartialEq)]
pub struct Lattice {
    pub origin: [f64; 3],
    pub step: f64,
    /// Corners along each axis.
    pub size: [usize; 3],
    /// `values[(k · size[1] + j) · size[0] + i]`.
    pub values: Vec<f32>,
}

impl Lattice {
    /// A lattice whose box holds both corners, filled with one value.
    pub fn filled(low: [f64; 3], high: [f64; 3], step: f64, value: f32) -> Lattice {
        let size = [0, 1, 2].map(|k| ((high[k] - low[k]) / step).ceil().max(1.0) as usize + 1);
        Lattice {
            origin: low,
            step,
            size,
            values: vec![value; size[0] * size[1] * size[2]],
        }
    }

    pub fn index(&self, i: usize, j: usize, k: usize) -> usize {
        (k * self.size[1] + j) * self.size[0] + i
    }

    pub fn place(&self, i: usize, j: usize, k: usize) -> [f64; 3] {
        [
            self.origin[0] + i as f64 * self.step,
            self.origin[1] + j as f64 * self.step,
            self.origin[2] + k as f64 * self.step,
        ]
    }
}

/// A crossing keeps this part of its edge away from both ends, so that rounding in a file never joins two.
const KEEP_OFF: f32 = 0.02;

/// Closed surface between negative and positive values, facing the positive ones.
///
/// Values at the border of the lattice count as outside: a body that runs out of its box is cut there.
pub fn extract(lattice: &Lattice) -> Mesh {
    extract_by(lattice, &|edge| (edge.straight(), ())).0
}

/// An edge of the lattice that the surface crosses, from its lower to its higher corner.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Edge {
    /// The corners' places in [`Lattice::values`].
    pub corners: [usize; 2],
    pub values: [f32; 2],
    pub from: [f64; 3],
    pub to: [f64; 3],
}

impl Edge {
    /// Share of the way at which a field that is straight between both corners is zero.
    pub fn straight(&self) -> f64 {
        f64::from(crossing(self.values[0], self.values[1]))
    }

    pub fn at(&self, t: f64) -> [f64; 3] {
        [0, 1, 2].map(|k| self.from[k] + (self.to[k] - self.from[k]) * t)
    }
}

/// A vertex and what is to be known of it.
type Known<T> = ([f64; 3], T);
/// Of a layer's corners the first vertex and the crossed edges, and the layer's vertices.
type Layer<T> = (Vec<(u32, u8)>, Vec<Known<T>>);

/// [`extract`], with the share of the way at which each crossed edge meets the surface, and what else is to be
/// known of every vertex.
///
/// A place anywhere on its edge keeps the surface closed and free of itself; so a field that is curved
/// between the corners can be met where it really is zero.
pub fn extract_by<T: Send + Sync + Copy>(
    lattice: &Lattice,
    place: &(impl Fn(&Edge) -> (f64, T) + Sync),
) -> (Mesh, Vec<T>) {
    let [nx, ny, nz] = lattice.size;
    if nx < 2 || ny < 2 || nz < 2 {
        return (Mesh::default(), Vec::new());
    }
    let slab = nx * ny;
    let solid = Solid::of(lattice);
    let reach = |d: usize| (d & 1) + ((d >> 1) & 1) * nx + ((d >> 2) & 1) * slab;

    // Which of the seven edges that leave a corner are crossed; only corners with one are named.
    let crossings: Vec<(Vec<(u32, u8)>, u32)> = (0..nz)
        .into_par_iter()
        .map(|k| {
            let mut masks = Vec::new();
            let mut count = 0;
            for j in 0..ny {
                solid.crossed(j, k, |i, mask| {
                    masks.push(((j * nx + i) as u32, mask));
                    count += mask.count_ones();
                });
            }
            (masks, count)
        })
        .collect();
    let mut slab_first = Vec::with_capacity(nz);
    let mut total = 0u32;
    for (_, count) in &crossings {
        slab_first.push(total);
        total += count;
    }

    let placed: Vec<Layer<T>> = crossings
        .par_iter()
        .enumerate()
        .map(|(k, (masks, count))| {
            let mut first = vec![(0u32, 0u8); slab];
            let mut vertices = Vec::with_capacity(*count as usize);
            for &(at, mask) in masks {
                let at = at as usize;
                first[at] = (slab_first[k] + vertices.len() as u32, mask);
                let here = lattice.values[k * slab + at];
                for d in 1..8usize {
                    if mask & (1 << (d - 1)) != 0 {
                        let there = lattice.values[k * slab + at + reach(d)];
                        let from = lattice.place(at % nx, at / nx, k);
                        let edge = Edge {
                            corners: [k * slab + at, k * slab + at + reach(d)],
                            values: [here, there],
                            from,
                            to: [0, 1, 2].map(|a| from[a] + lattice.step * ((d >> a) & 1) as f64),
                        };
                        let keep = f64::from(KEEP_OFF);
                        let (t, known) = place(&edge);
                        let t = if t.is_finite() { t } else { 0.5 };
                        vertices.push((edge.at(t.clamp(keep, 1.0 - keep)), known));
                    }
                }
            }
            (first, vertices)
        })
        .collect();

    let vertex = |k: usize, at: usize, d: usize| -> u32 {
        let (first, mask) = placed[k].0[at];
        first + (mask & ((1u16 << (d - 1)) - 1) as u8).count_ones()
    };
    let table = cases();
    let triangles: Vec<Vec<[u32; 3]>> = (0..nz - 1)
        .into_par_iter()
        .map(|k| {
            let mut out = Vec::new();
            // A cube has corners of both kinds where an edge from its lowest to any other is crossed.
            for &(at, mask) in &crossings[k].0 {
                let at = at as usize;
                let others = mask << 1;
                let cube = if solid.holds(at % nx, at / nx, k) {
                    !others
                } else {
                    others
                };
                for tetrahedron in &TETRAHEDRA {
                    let mut state = 0usize;
                    for (n, &corner) in tetrahedron.corners.iter().enumerate() {
                        state |= usize::from(cube & (1 << corner) != 0) << n;
                    }
                    for triangle in &table[state] {
                        let mut t = triangle.map(|(a, b)| {
                            let (low, high) = (tetrahedron.corners[a], tetrahedron.corners[b]);
                            let (along, up) = (low & 3, low >> 2);
                            vertex(k + up, at + reach(along), high ^ low)
                        });
                        if tetrahedron.mirrored {
                            t.swap(1, 2);
                        }
                        out.push(t);
                    }
                }
            }
            out
        })
        .collect();
    let (vertices, known) = placed.into_iter().flat_map(|(_, v)| v).unzip();
    let mesh = Mesh {
        vertices,
        triangles: triangles.into_iter().flatten().collect(),
    };
    (mesh, known)
}

/// Which corners lie inside, a bit for each, row by row. Those on the lattice's border never do.
struct Solid {
    rows: Vec<u64>,
    size: [usize; 3],
    /// Words of a row; the last bit is always clear.
    words: usize,
}

impl Solid {
    fn of(lattice: &Lattice) -> Solid {
        let [nx, ny, nz] = lattice.size;
        let words = nx / 64 + 1;
        let mut rows = vec![0u64; words * ny * nz];
        rows.par_chunks_mut(words * ny)
            .enumerate()
            .filter(|(k, _)| *k > 0 && k + 1 < nz)
            .for_each(|(k, slab)| {
                for (j, row) in slab.chunks_exact_mut(words).enumerate() {
                    if j == 0 || j + 1 == ny {
                        continue;
                    }
                    let values = &lattice.values[(k * ny + j) * nx..][..nx];
                    for (word, values) in row.iter_mut().zip(values.chunks(64)) {
                        for (n, v) in values.iter().enumerate() {
                            *word |= u64::from(*v < 0.0) << n;
                        }
                    }
                    row[0] &= !1;
                    row[(nx - 1) / 64] &= !(1 << ((nx - 1) % 64));
                }
            });
        Solid {
            rows,
            size: lattice.size,
            words,
        }
    }

    fn holds(&self, i: usize, j: usize, k: usize) -> bool {
        (self.rows[(k * self.size[1] + j) * self.words + i / 64] >> (i % 64)) & 1 != 0
    }

    /// A word of a row, and the same a corner farther on; nothing is beyond the lattice.
    fn word(&self, n: usize, j: usize, k: usize) -> [u64; 2] {
        if j >= self.size[1] || k >= self.size[2] {
            return [0; 2];
        }
        let row = &self.rows[(k * self.size[1] + j) * self.words..][..self.words];
        let next = row.get(n + 1).copied().unwrap_or(0);
        [row[n], (row[n] >> 1) | (next << 63)]
    }

    /// Calls with every corner of a row from which an edge is crossed: bit d − 1 for the edge toward corner d of
    /// its cube.
    fn crossed(&self, j: usize, k: usize, mut found: impl FnMut(usize, u8)) {
        for n in 0..self.words {
            let corners = [(0, 0), (1, 0), (0, 1), (1, 1)].map(|(v, w)| self.word(n, j + v, k + w));
            let here = corners[0][0];
            let edges = [1, 2, 3, 4, 5, 6, 7].map(|d| corners[d >> 1][d & 1] ^ here);
            let mut any = edges.iter().fold(0, |all, e| all | e);
            while any != 0 {
                let bit = any.trailing_zeros();
                any &= any - 1;
                let mask = (0..7).map(|d| ((edges[d] >> bit) as u8 & 1) << d);
                found(n * 64 + bit as usize, mask.fold(0, |all, m| all | m));
            }
        }
    }
}

fn crossing(here: f32, there: f32) -> f32 {
    let t = here / (here - there);
    if t.is_finite() {
        t.clamp(KEEP_OFF, 1.0 - KEEP_OFF)
    } else {
        0.5
    }
}

/// Corners as bits (x, y, z), each a part of the next, so that every edge leaves its lower corner.
struct Tetrahedron {
    corners: [usize; 4],
    mirrored: bool,
}

const fn tetrahedron(first: usize, second: usize, mirrored: bool) -> Tetrahedron {
    Tetrahedron {
        corners: [0, first, first | second, 7],
        mirrored,
    }
}

/// x-y-z and its even turns are right-handed, the odd ones are not.
const TETRAHEDRA: [Tetrahedron; 6] = [
    tetrahedron(1, 2, false),
    tetrahedron(2, 4, false),
    tetrahedron(4, 1, false),
    tetrahedron(1, 4, true),
    tetrahedron(2, 1, true),
    tetrahedron(4, 2, true),
];

/// For every set of inside corners of a right-handed tetrahedron: triangles facing outward, their corners
/// named by the edge (lower corner, higher corner) they lie on.
type Case = Vec<[(usize, usize); 3]>;

fn cases() -> [Case; 16] {
    let edge = |a: usize, b: usize| (a.min(b), a.max(b));
    std::array::from_fn(|state| {
        let (mut order, outside): (Vec<usize>, Vec<usize>) =
            (0..4).partition(|&n| state & (1 << n) != 0);
        let within = order.len();
        order.extend(outside);
        let odd = (0..4)
            .flat_map(|a| (a + 1..4).map(move |b| (a, b)))
            .filter(|&(a, b)| order[a] > order[b])
            .count()
            % 2
            == 1;
        if odd {
            // Exchanging two of the same kind keeps the kinds and makes the order even.
            let (a, b) = if within <= 2 { (2, 3) } else { (0, 1) };
            order.swap(a, b);
        }
        let [a, b, c, d] = [order[0], order[1], order[2], order[3]];
        match within {
            1 => vec![[edge(a, b), edge(a, c), edge(a, d)]],
            2 => vec![
                [edge(a, c), edge(a, d), edge(b, d)],
                [edge(a, c), edge(b, d), edge(b, c)],
            ],
            // Three inside: the lone outside corner is `d`; seen from it the others run the other way.
            3 => vec![[edge(d, a), edge(d, b), edge(d, c)]],
            _ => Vec::new(),
        }
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeMap;

    fn sampled(step: f64, reach: f64, field: impl Fn([f64; 3]) -> f64) -> Lattice {
        let mut lattice = Lattice::filled([-reach; 3], [reach; 3], step, 1.0);
        let [nx, ny, nz] = lattice.size;
        for k in 0..nz {
            for j in 0..ny {
                for i in 0..nx {
                    let at = lattice.index(i, j, k);
                    lattice.values[at] = field(lattice.place(i, j, k)) as f32;
                }
            }
        }
        lattice
    }

    fn closed(mesh: &Mesh) -> bool {
        let mut edges: BTreeMap<(u32, u32), i32> = BTreeMap::new();
        for t in &mesh.triangles {
            for n in 0..3 {
                *edges.entry((t[n], t[(n + 1) % 3])).or_default() += 1;
            }
        }
        edges
            .iter()
            .all(|(&(a, b), &n)| n == 1 && edges.get(&(b, a)) == Some(&1))
    }

    #[test]
    fn a_ball_is_closed_outward_and_has_its_volume() {
        let ball = extract(&sampled(0.5, 12.0, |p| {
            (p[0] * p[0] + p[1] * p[1] + p[2] * p[2]).sqrt() - 10.0
        }));
        assert!(closed(&ball));
        let exact = 4.0 / 3.0 * std::f64::consts::PI * 1000.0;
        assert!(
            (ball.volume() / exact - 1.0).abs() < 2e-3,
            "{}",
            ball.volume()
        );
    }

    #[test]
    fn any_field_gives_a_closed_surface() {
        // Values without any order, zeros among them: the worst there is.
        let mut state = 7u64;
        let noise = sampled(1.0, 6.0, |_| 0.0);
        let mut lattice = noise;
        for v in &mut lattice.values {
            state = state
                .wrapping_mul(6_364_136_223_846_793_005)
                .wrapping_add(1);
            *v = ((state >> 33) % 5) as f32 - 2.0;
        }
        let mesh = extract(&lattice);
        assert!(mesh.triangles.len() > 1000 && closed(&mesh));
        assert!(mesh.volume() > 0.0);
    }

    #[test]
    fn a_ball_whose_edges_are_met_where_it_is_has_no_vertex_beside_it() {
        let radius = |p: [f64; 3]| (p[0] * p[0] + p[1] * p[1] + p[2] * p[2]).sqrt();
        let lattice = sampled(2.0, 12.0, |p| (radius(p) - 10.0).clamp(-1.0, 1.0));
        let off = |mesh: &Mesh| {
            let off = mesh.vertices.iter().map(|v| (radius(*v) - 10.0).abs());
            off.fold(0.0, f64::max)
        };
        // Cut off at 1 mm the field is bent, and straight between corners it is met far off.
        assert!(off(&extract(&lattice)) > 0.1);
        let (ball, lengths) = extract_by(&lattice, &|edge| {
            let (mut low, mut high) = (0.0, 1.0);
            let rising = edge.values[0] < 0.0;
            for _ in 0..40 {
                let middle = 0.5 * (low + high);
                if (radius(edge.at(middle)) < 10.0) == rising {
                    low = middle;
                } else {
                    high = middle;
                }
            }
            (low, edge.corners)
        });
        assert!(closed(&ball) && lengths.len() == ball.vertices.len());
        // A vertex keeps off the corners by a fiftieth of its edge.
        assert!(off(&ball) < 0.02 * 2.0 * 3f64.sqrt(), "{}", off(&ball));
    }

    #[test]
    fn a_plane_is_met_exactly() {
        let half = extract(&sampled(1.0, 6.0, |p| p[2] - 0.3));
        let top = half
            .vertices
            .iter()
            .filter(|v| (v[2] - 0.3).abs() < 1e-6)
            .count();
        assert!(closed(&half) && top > 100);
    }
}
