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
    let inside = |i: usize, j: usize, k: usize, v: f32| {
        v < 0.0 && i > 0 && j > 0 && k > 0 && i + 1 < nx && j + 1 < ny && k + 1 < nz
    };
    let slab = nx * ny;
    let mut solid = vec![false; slab * nz];
    solid.par_chunks_mut(slab).enumerate().for_each(|(k, out)| {
        for j in 0..ny {
            for i in 0..nx {
                let at = j * nx + i;
                out[at] = inside(i, j, k, lattice.values[k * slab + at]);
            }
        }
    });
    let reach = |d: usize| (d & 1) + ((d >> 1) & 1) * nx + ((d >> 2) & 1) * slab;

    // Which of the seven edges that leave a corner are crossed.
    let crossings: Vec<(Vec<u8>, u32)> = (0..nz)
        .into_par_iter()
        .map(|k| {
            let mut masks = vec![0u8; slab];
            let mut count = 0;
            for j in 0..ny {
                for i in 0..nx {
                    let at = k * slab + j * nx + i;
                    let here = solid[at];
                    let mut mask = 0u8;
                    for d in 1..8usize {
                        let within =
                            i + (d & 1) < nx && j + ((d >> 1) & 1) < ny && k + (d >> 2) < nz;
                        if within && solid[at + reach(d)] != here {
                            mask |= 1 << (d - 1);
                        }
                    }
                    masks[j * nx + i] = mask;
                    count += mask.count_ones();
                }
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

    let placed: Vec<(Vec<u32>, Vec<Known<T>>)> = crossings
        .par_iter()
        .enumerate()
        .map(|(k, (masks, count))| {
            let mut first = vec![0u32; slab];
            let mut vertices = Vec::with_capacity(*count as usize);
            for j in 0..ny {
                for i in 0..nx {
                    let at = j * nx + i;
                    first[at] = slab_first[k] + vertices.len() as u32;
                    let mask = masks[at];
                    if mask == 0 {
                        continue;
                    }
                    let here = lattice.values[k * slab + at];
                    for d in 1..8usize {
                        if mask & (1 << (d - 1)) != 0 {
                            let there = lattice.values[k * slab + at + reach(d)];
                            let from = lattice.place(i, j, k);
                            let edge = Edge {
                                corners: [k * slab + at, k * slab + at + reach(d)],
                                values: [here, there],
                                from,
                                to: [0, 1, 2]
                                    .map(|a| from[a] + lattice.step * ((d >> a) & 1) as f64),
                            };
                            let keep = f64::from(KEEP_OFF);
                            let (t, known) = place(&edge);
                            let t = if t.is_finite() { t } else { 0.5 };
                            vertices.push((edge.at(t.clamp(keep, 1.0 - keep)), known));
                        }
                    }
                }
            }
            (first, vertices)
        })
        .collect();

    let vertex = |k: usize, at: usize, d: usize| -> u32 {
        let mask = crossings[k].0[at];
        placed[k].0[at] + (mask & ((1u16 << (d - 1)) - 1) as u8).count_ones()
    };
    let table = cases();
    let triangles: Vec<Vec<[u32; 3]>> = (0..nz - 1)
        .into_par_iter()
        .map(|k| {
            let mut out = Vec::new();
            for j in 0..ny - 1 {
                for i in 0..nx - 1 {
                    let at = k * slab + j * nx + i;
                    let mut cube = 0u8;
                    for c in 0..8 {
                        cube |= u8::from(solid[at + reach(c)]) << c;
                    }
                    if cube == 0 || cube == 0xff {
                        continue;
                    }
                    for tetrahedron in &TETRAHEDRA {
                        let mut state = 0usize;
                        for (n, &corner) in tetrahedron.corners.iter().enumerate() {
                            state |= usize::from(cube & (1 << corner) != 0) << n;
                        }
                        for triangle in &table[state] {
                            let mut t = triangle.map(|(a, b)| {
                                let (low, high) = (tetrahedron.corners[a], tetrahedron.corners[b]);
                                let d = high ^ low;
                                let (li, lj, lk) = (low & 1, (low >> 1) & 1, low >> 2);
                                vertex(k + lk, (j + lj) * nx + i + li, d)
                            });
                            if tetrahedron.mirrored {
                                t.swap(1, 2);
                            }
                            out.push(t);
                        }
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
