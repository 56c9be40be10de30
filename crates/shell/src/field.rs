//! How far is a place from the foot, and is it shell?
//!
//! [`Band`] holds, for every corner of a lattice near the laid-out surface, the signed distance to it
//! (positive away from the foot) and the place on it that is nearest. From these the shell's own field
//! follows: between 0 and the thickness, inside the rim, rounded where both meet.

use crate::layout::{Layout, RayPlace, V};
use crate::positive::ramp;
use crate::prescription::{Prescription, Thickness};
use crate::trim::edge_radius;
use rayon::prelude::*;

/// A lattice corner near the surface.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Near {
    /// Away from the foot positive, mm; infinite where the surface is far.
    pub distance: f32,
    pub ray: f32,
    pub length: f32,
}

const FAR: Near = Near {
    distance: f32::INFINITY,
    ray: 0.0,
    length: 0.0,
};

/// The lattice's frame: where its corners lie.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Frame {
    pub origin: [f64; 3],
    pub step: f64,
    pub size: [usize; 3],
}

impl Frame {
    pub fn place(&self, i: usize, j: usize, k: usize) -> V {
        V::new(
            self.origin[0] + i as f64 * self.step,
            self.origin[1] + j as f64 * self.step,
            self.origin[2] + k as f64 * self.step,
        )
    }

    /// Place of a corner by its number.
    pub fn corner(&self, n: usize) -> V {
        let [nx, ny, _] = self.size;
        self.place(n % nx, n / nx % ny, n / (nx * ny))
    }

    /// The column nearest to a place in the plan.
    pub fn column(&self, p: [f64; 2]) -> usize {
        let [i, j] = [0, 1].map(|k| {
            let n = ((p[k] - self.origin[k]) / self.step).round().max(0.0);
            (n as usize).min(self.size[k] - 1)
        });
        j * self.size[0] + i
    }
}

pub(crate) struct Band {
    pub frame: Frame,
    pub near: Vec<Near>,
}

/// Places whose rays are farther from each other lie on two sides of the spine.
const OTHER_SIDE_RAYS: f32 = 8.0;

impl Near {
    pub fn is_far(&self) -> bool {
        !self.distance.is_finite()
    }

    /// A guess between two corners.
    pub fn between(&self, other: &Near, t: f32) -> Near {
        if self.is_far() {
            return *other;
        }
        if other.is_far() {
            return *self;
        }
        if (self.ray - other.ray).abs() > OTHER_SIDE_RAYS {
            return if t < 0.5 { *self } else { *other };
        }
        let mix = |a: f32, b: f32| a + (b - a) * t;
        Near {
            distance: mix(self.distance, other.distance),
            ray: mix(self.ray, other.ray),
            length: mix(self.length, other.length),
        }
    }
}

/// Layers of the lattice handled at a time.
const LAYERS: usize = 4;
/// Nodes that corners begin their search from lie about this far apart, mm.
const GUIDES_APART_MM: f64 = 2.0;
/// Half the way to the farthest neighbour, and a little.
const SHARED: f64 = 0.6;
const LEAST_REACH_MM: f64 = 1.0;

impl Band {
    /// Distances from `within` inside the foot to `beyond` outside, exact to the layout's triangles.
    ///
    /// Every corner starts from the nearest of the nodes whose normal passes it, and walks from there.
    pub fn around(layout: &Layout, frame: Frame, within: f64, beyond: f64) -> Band {
        let [nx, ny, nz] = frame.size;
        let slab = nx * ny;
        let guides = Guides::of(layout, within, beyond);
        let mut near = vec![FAR; slab * nz];
        near.par_chunks_mut(slab * LAYERS)
            .enumerate()
            .for_each(|(chunk, out)| {
                let first = chunk * LAYERS;
                for guide in &guides.nodes {
                    guides.mark(guide, &frame, first, out);
                }
                for (at, slot) in out.iter_mut().enumerate() {
                    if slot.is_far() {
                        continue;
                    }
                    let p = frame.place(at % nx, at / nx % ny, first + at / slab);
                    let mut found = nearest(layout, p, &aimed(layout, p, slot));
                    if found.distance * found.distance > slot.distance * 1.0001 {
                        // The surface turned away under the aim.
                        found = nearest(layout, p, slot);
                    }
                    let away = f64::from(found.distance);
                    *slot = if (-within..=beyond).contains(&away) {
                        found
                    } else {
                        FAR
                    };
                }
            });
        Band { frame, near }
    }
}

/// A guess at a node moved to where the surface about it lies under `p`.
fn aimed(layout: &Layout, p: V, at: &Near) -> Near {
    let (n, m) = (layout.rays.len(), layout.samples);
    let i = (at.ray as usize).min(n - 2);
    let spacing = layout.rays[i].spacing;
    let j = ((f64::from(at.length) / spacing).round() as usize).min(m - 2);
    let node = layout.point(i, j);
    let share = |to: V| {
        let way = to - node;
        ((p - node).dot(&way) / way.norm_squared().max(1e-6)).clamp(-3.0, 3.0)
    };
    // Near the spine rays lie on each other: the walk finds its own way there.
    let ray = if j > 2 {
        share(layout.point(i + 1, j))
    } else {
        0.0
    };
    let length = share(layout.point(i, j + 1)) * spacing;
    Near {
        distance: at.distance,
        ray: (at.ray + ray as f32).clamp(0.0, (n - 1) as f32),
        length: (at.length + length as f32).max(0.0),
    }
}

/// Nodes of the layout that corners begin their search from.
struct Guides {
    nodes: Vec<Guide>,
    within: f64,
    beyond: f64,
}

struct Guide {
    at: V,
    normal: V,
    ray: f32,
    length: f32,
    /// A corner within this of the node's normal may begin there.
    reach: f64,
}

impl Guides {
    fn of(layout: &Layout, within: f64, beyond: f64) -> Guides {
        let widest = layout.rays.iter().map(|r| r.spacing).fold(0.1, f64::max);
        let every = ((GUIDES_APART_MM / widest).round() as usize).max(1);
        let (n, m) = (layout.rays.len(), layout.samples);
        let ends = |i: usize, j: usize| {
            let (p, normal) = (layout.point(i, j), layout.normal(i, j));
            [p - normal * within, p + normal * beyond]
        };
        let nodes = (0..n)
            .into_par_iter()
            .step_by(every)
            .flat_map_iter(|i| {
                (0..m).step_by(every).map(move |j| {
                    let here = ends(i, j);
                    // Neighbouring normals lean apart: the room between them belongs to both.
                    let mut apart = 0.0f64;
                    for (k, l) in [(i + every, j + every), (i + every, j.saturating_sub(every))] {
                        for (k, l) in [(k, l), (i.saturating_sub(every), l)] {
                            let there = ends(k.min(n - 1), l.min(m - 1));
                            for (a, b) in here.iter().zip(&there) {
                                apart = apart.max((a - b).norm_squared());
                            }
                        }
                    }
                    Guide {
                        at: layout.point(i, j),
                        normal: layout.normal(i, j),
                        ray: i as f32,
                        length: (j as f64 * layout.rays[i].spacing) as f32,
                        reach: (SHARED * apart.sqrt()).max(LEAST_REACH_MM),
                    }
                })
            })
            .collect();
        Guides {
            nodes,
            within,
            beyond,
        }
    }

    /// Notes a node, with its squared distance, at the corners of some layers that may begin from it.
    fn mark(&self, guide: &Guide, frame: &Frame, first: usize, out: &mut [Near]) {
        let [nx, ny, _] = frame.size;
        let layers = out.len() / (nx * ny);
        let ends = [
            guide.at - guide.normal * self.within,
            guide.at + guide.normal * self.beyond,
        ];
        let (low, high) = (ends[0].inf(&ends[1]), ends[0].sup(&ends[1]));
        let cells = |axis: usize, from: usize, to: usize| {
            let cell = |v: f64| (v - frame.origin[axis]) / frame.step;
            let begin = above(cell(low[axis] - guide.reach)).max(from);
            begin..above(cell(high[axis] + guide.reach)).min(to)
        };
        let reach = guide.reach * guide.reach;
        let row = cells(0, 0, nx);
        // Of a row, the piece between the planes that end the node's normal.
        let within = |j: usize, k: usize| {
            let slope = guide.normal.x * frame.step;
            if slope.abs() < 1e-6 {
                return row.clone();
            }
            let begin = (frame.place(0, j, k) - guide.at).dot(&guide.normal);
            let a = (-self.within - 0.5 - begin) / slope;
            let b = (self.beyond + 0.5 - begin) / slope;
            above(a.min(b)).max(row.start)..above(a.max(b)).min(row.end)
        };
        for k in cells(2, first, first + layers) {
            for j in cells(1, 0, ny) {
                for i in within(j, k) {
                    let w = frame.place(i, j, k) - guide.at;
                    let off = w.dot(&guide.normal);
                    let away = w.norm_squared();
                    if away - off * off > reach
                        || off < -self.within - 0.5
                        || off > self.beyond + 0.5
                    {
                        continue;
                    }
                    let slot = &mut out[((k - first) * ny + j) * nx + i];
                    if (away as f32) < slot.distance {
                        *slot = Near {
                            distance: away as f32,
                            ray: guide.ray,
                            length: guide.length,
                        };
                    }
                }
            }
        }
    }
}

/// The first whole number above a place of the lattice, or on it.
fn above(v: f64) -> usize {
    let below = v as usize;
    below + usize::from(v > below as f64)
}

/// The place of the layout's triangles that is nearest to `p`, looked for from a guess downhill.
///
/// Exact to the layout's triangles.
pub(crate) fn nearest(layout: &Layout, p: V, guess: &Near) -> Near {
    let (n, m) = (layout.rays.len(), layout.samples);
    let most = [(n - 2) as f32, (m - 2) as f32];
    // Samples on neighbouring rays lie at different lengths.
    let sample = |near: &Near| {
        let i = near.ray.clamp(0.0, most[0]) as usize;
        let share = (near.ray - i as f32).clamp(0.0, 1.0);
        let [s, t] = [i, i + 1].map(|i| layout.rays[i].spacing as f32);
        near.length / (s + (t - s) * share)
    };
    let mut i = guess.ray.clamp(0.0, most[0]) as usize;
    let mut j = sample(guess).clamp(0.0, most[1]) as usize;
    let mut best = in_cell(layout, p, i, j);
    // Neighbours are few from any guess that comes from a corner beside; more would be no neighbour.
    for _ in 0..24 {
        let mut next = None;
        if j == 0 && sample(&best) < 0.01 {
            // The spine: the surface goes on along the rays of the other side.
            let across = over_spine(layout, p, i);
            if across.distance.abs() < best.distance.abs() {
                best = across;
                next = Some((across.ray.clamp(0.0, most[0]) as usize, 0));
            }
        }
        let (at_i, at_j) = next.unwrap_or((i, j));
        let beside = |v: f32, at: usize, most: f32| {
            let v = v - at as f32;
            if v < 0.01 {
                at.saturating_sub(1)
            } else if v > 0.99 {
                (at + 1).min(most as usize)
            } else {
                at
            }
        };
        let (to_i, to_j) = (
            beside(best.ray, at_i, most[0]),
            beside(sample(&best), at_j, most[1]),
        );
        // At a corner of its cell the surface may go on over either side.
        for (k, l) in [(to_i, to_j), (to_i, at_j), (at_i, to_j)] {
            let twice = (to_i == at_i || to_j == at_j) && (k, l) != (to_i, to_j);
            if (k, l) == (at_i, at_j) || twice {
                continue;
            }
            let there = in_cell(layout, p, k, l);
            if there.distance.abs() < best.distance.abs() {
                best = there;
                next = Some((k, l));
            }
        }
        match next {
            Some(cell) => (i, j) = cell,
            None => break,
        }
    }
    best
}

/// The nearest place beyond the spine from a ray that begins there.
fn over_spine(layout: &Layout, p: V, i: usize) -> Near {
    let n = layout.rays.len();
    let across = |ray: usize| matches!(layout.rays[ray].place, RayPlace::Across { .. });
    // Sides lie in mirrored order; all rays of the heel begin at one place.
    let cells = if across(i) && across(i + 1) {
        let other = n - 2 - i;
        other.saturating_sub(1)..(other + 2).min(n - 1)
    } else {
        let first = (0..n).find(|&r| !across(r)).unwrap_or(0).saturating_sub(1);
        first..(n - 1 - first)
    };
    cells
        .map(|cell| in_cell(layout, p, cell, 0))
        .min_by(|a, b| a.distance.abs().total_cmp(&b.distance.abs()))
        .unwrap_or(FAR)
}

fn in_cell(layout: &Layout, p: V, i: usize, j: usize) -> Near {
    let m = layout.samples;
    let points = &layout.points[i * m + j..][..m + 2];
    let [a, b, c, d] = [points[0], points[1], points[m + 1], points[m]];
    let halves = [[a, b, c], [a, c, d]];
    let weights = halves.map(|t| nearest_weights(&t, p));
    let apart = |n: usize| {
        let (t, w) = (&halves[n], &weights[n]);
        p - (t[0] * w[0] + t[1] * w[1] + t[2] * w[2])
    };
    let ways = [apart(0), apart(1)];
    let [first, second] = ways.map(|w| w.norm_squared());
    // A half without area has no weights, or those of a side that the other half has, too.
    let n = usize::from(second < first || first.is_nan());
    let [u, v, w] = weights[n].map(|w| w as f32);
    let outward = (halves[n][1] - a).cross(&(halves[n][2] - a));
    let away = first.min(second).sqrt() as f32;
    let lengths = |k: usize| {
        let spacing = layout.rays[i + k].spacing;
        [j as f64 * spacing, (j + 1) as f64 * spacing].map(|l| l as f32)
    };
    let ([la, lb], [ld, lc]) = (lengths(0), lengths(1));
    let (next, length) = if n == 0 {
        (w, u * la + v * lb + w * lc)
    } else {
        (v + w, u * la + v * lc + w * ld)
    };
    Near {
        distance: if outward.dot(&ways[n]) < 0.0 {
            -away
        } else {
            away
        },
        ray: i as f32 * (u + v + w - next) + (i + 1) as f32 * next,
        length,
    }
}

/// Weights of a triangle's corners at its place nearest to `p`.
///
/// # Sources
/// The region test of Ericson, Real-Time Collision Detection, section 5.1.5 (written from memory, checked
/// by the tests).
fn nearest_weights(corners: &[V; 3], p: V) -> [f64; 3] {
    let [a, b, c] = *corners;
    let (ab, ac, ap) = (b - a, c - a, p - a);
    let (d1, d2) = (ab.dot(&ap), ac.dot(&ap));
    if d1 <= 0.0 && d2 <= 0.0 {
        return [1.0, 0.0, 0.0];
    }
    let bp = p - b;
    let (d3, d4) = (ab.dot(&bp), ac.dot(&bp));
    if d3 >= 0.0 && d4 <= d3 {
        return [0.0, 1.0, 0.0];
    }
    let vc = d1 * d4 - d3 * d2;
    if vc <= 0.0 && d1 >= 0.0 && d3 <= 0.0 {
        let v = d1 / (d1 - d3);
        return [1.0 - v, v, 0.0];
    }
    let cp = p - c;
    let (d5, d6) = (ab.dot(&cp), ac.dot(&cp));
    if d6 >= 0.0 && d5 <= d6 {
        return [0.0, 0.0, 1.0];
    }
    let vb = d5 * d2 - d1 * d6;
    if vb <= 0.0 && d2 >= 0.0 && d6 <= 0.0 {
        let w = d2 / (d2 - d6);
        return [1.0 - w, 0.0, w];
    }
    let va = d3 * d6 - d5 * d4;
    if va <= 0.0 && d4 >= d3 && d5 >= d6 {
        let w = (d4 - d3) / ((d4 - d3) + (d5 - d6));
        return [0.0, 1.0 - w, w];
    }
    let scale = (va + vb + vc).recip();
    [va * scale, vb * scale, vc * scale]
}

/// Thickness at a length along a ray, mm.
pub(crate) fn thickness_at(wanted: &Prescription, place: RayPlace, length: f64) -> f64 {
    let (arch, rest) = match wanted.shell.thickness {
        Thickness::Uniform { all } => return all.to_mm(),
        Thickness::ThickerArch { arch, rest } => (arch.to_mm(), rest.to_mm()),
    };
    let share = match place {
        RayPlace::Heel { .. } => 0.0,
        RayPlace::Across { inner, forward } => {
            let along = ramp(forward, 0.10, 0.35) * (1.0 - ramp(forward, 0.75, 0.98));
            along
                * if inner {
                    1.0
                } else {
                    1.0 - ramp(length, 0.0, 20.0)
                }
        }
    };
    rest + (arch - rest) * share
}

/// The shell's own shape on a layout.
pub struct ShellShape<'a> {
    pub layout: &'a Layout,
    wanted: &'a Prescription,
    radius: f64,
}

impl<'a> ShellShape<'a> {
    pub fn new(layout: &'a Layout, wanted: &'a Prescription) -> Self {
        ShellShape {
            layout,
            wanted,
            radius: edge_radius(wanted, wanted.shell.thickness.thinnest().to_mm()),
        }
    }

    /// Rounding of the shell's edges, mm.
    pub(crate) fn radius(&self) -> f64 {
        self.radius
    }

    /// Thickness at a place of the layout, mm.
    pub fn thickness(&self, ray: f64, length: f64) -> f64 {
        let rays = &self.layout.rays;
        let place = rays[((ray + 0.5) as usize).min(rays.len() - 1)].place;
        thickness_at(self.wanted, place, length)
    }

    /// How far outside the shell's outline a place of the layout lies, along the surface; negative inside.
    pub fn outline(&self, ray: f64, length: f64) -> f64 {
        self.layout.outside(ray, length)
    }

    /// The shell's field where the layout is near.
    pub(crate) fn value(&self, near: &Near) -> f64 {
        let (ray, length) = (f64::from(near.ray), f64::from(near.length));
        let half = self.thickness(ray, length) / 2.0;
        let distance = f64::from(near.distance);
        let wall = (distance - half).abs() - half;
        let outline = self.outline(ray, length);
        round_max(wall, outline, self.radius)
    }
}

/// The larger of two fields, with the edge between both rounded by a radius.
pub(crate) fn round_max(a: f64, b: f64, radius: f64) -> f64 {
    if radius <= 0.0 {
        return a.max(b);
    }
    let (u, v) = (a + radius, b + radius);
    let (over_u, over_v) = (u.max(0.0), v.max(0.0));
    u.max(v).min(0.0) + (over_u * over_u + over_v * over_v).sqrt() - radius
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_nearest_place_of_a_triangle_is_no_farther_than_any_other() {
        let t = [
            V::new(0.0, 0.0, 0.0),
            V::new(4.0, 0.0, 1.0),
            V::new(1.0, 3.0, 0.5),
        ];
        for n in 0..400 {
            let f = n as f64;
            let p = V::new(
                (f * 0.73).sin() * 6.0,
                (f * 1.31).cos() * 6.0,
                (f * 0.37).sin() * 4.0,
            );
            let w = nearest_weights(&t, p);
            assert!((w.iter().sum::<f64>() - 1.0).abs() < 1e-9 && w.iter().all(|&x| x >= -1e-12));
            let best = (t[0] * w[0] + t[1] * w[1] + t[2] * w[2] - p).norm();
            for a in 0..=20 {
                for b in 0..=20 - a {
                    let (a, b) = (f64::from(a) / 20.0, f64::from(b) / 20.0);
                    let q = t[0] * (1.0 - a - b) + t[1] * a + t[2] * b;
                    assert!(best <= (q - p).norm() + 1e-9);
                }
            }
        }
    }

    #[test]
    fn a_rounded_edge_lies_its_radius_inside_the_corner_and_leaves_both_faces() {
        assert!((round_max(-5.0, 0.0, 1.0)).abs() < 1e-12);
        assert!((round_max(0.0, -5.0, 1.0)).abs() < 1e-12);
        let back = 1.0 - 0.5f64.sqrt();
        assert!(round_max(-back, -back, 1.0).abs() < 1e-12);
    }
}
