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
}

pub(crate) struct Band {
    pub frame: Frame,
    pub near: Vec<Near>,
}

/// Layers of the lattice handled at a time.
const LAYERS: usize = 6;

impl Band {
    /// Distances from `within` inside the foot to `beyond` outside, exact to the layout's triangles.
    pub fn around(layout: &Layout, frame: Frame, within: f64, beyond: f64) -> Band {
        let [nx, ny, nz] = frame.size;
        let slab = nx * ny;
        let facets = facets(layout);
        let mut near = vec![FAR; slab * nz];
        near.par_chunks_mut(slab * LAYERS)
            .enumerate()
            .for_each(|(chunk, out)| {
                let first = chunk * LAYERS;
                let layers = out.len() / slab;
                let low = frame.origin[2] + first as f64 * frame.step;
                let high = low + (layers - 1) as f64 * frame.step;
                for facet in &facets {
                    facet.mark(&frame, first, layers, (low, high), (within, beyond), out);
                }
            });
        Band { frame, near }
    }
}

/// A triangle of the layout with the numbers of its corners.
struct Facet {
    corners: [V; 3],
    numbers: [(f32, f32); 3],
    normal: V,
}

fn facets(layout: &Layout) -> Vec<Facet> {
    let m = layout.samples;
    let mut out = Vec::with_capacity(2 * layout.rays.len() * m);
    for i in 0..layout.rays.len() - 1 {
        for j in 0..m - 1 {
            let corner = |i: usize, j: usize| {
                let number = (i as f32, (j as f64 * layout.rays[i].spacing) as f32);
                (layout.point(i, j), number)
            };
            let [a, b, c, d] = [
                corner(i, j),
                corner(i, j + 1),
                corner(i + 1, j + 1),
                corner(i + 1, j),
            ];
            for t in [[a, b, c], [a, c, d]] {
                let normal = (t[1].0 - t[0].0).cross(&(t[2].0 - t[0].0));
                // The fan's tip has triangles without area.
                if let Some(normal) = normal.try_normalize(1e-9) {
                    out.push(Facet {
                        corners: t.map(|c| c.0),
                        numbers: t.map(|c| c.1),
                        normal,
                    });
                }
            }
        }
    }
    out
}

impl Facet {
    /// Writes this triangle's distance to every corner of some layers that it may be nearest to.
    fn mark(
        &self,
        frame: &Frame,
        first: usize,
        layers: usize,
        (floor, roof): (f64, f64),
        (within, beyond): (f64, f64),
        out: &mut [Near],
    ) {
        let [nx, ny, _] = frame.size;
        // Neighbouring facets lean apart: the room between their prisms belongs to both.
        let margin = 0.75 * frame.step + 0.12 * beyond;
        let mut low = V::repeat(f64::INFINITY);
        let mut high = V::repeat(f64::NEG_INFINITY);
        for c in &self.corners {
            for end in [c - self.normal * within, c + self.normal * beyond] {
                low = low.inf(&end);
                high = high.sup(&end);
            }
        }
        if low.z - margin > roof || high.z + margin < floor {
            return;
        }
        let cell = |value: f64, axis: usize| (value - frame.origin[axis]) / frame.step;
        let range = |axis: usize, count: usize| {
            let from = cell(low[axis] - margin, axis).ceil().max(0.0) as usize;
            let to = cell(high[axis] + margin, axis).floor();
            let to = if to < 0.0 {
                0
            } else {
                (to as usize + 1).min(count)
            };
            from..to.max(from)
        };
        let k_low = (cell(low.z - margin, 2).ceil().max(first as f64)) as usize;
        let k_high = cell(high.z + margin, 2).floor();
        let k_high = (if k_high < 0.0 { 0 } else { k_high as usize + 1 }).min(first + layers);
        for k in k_low..k_high {
            for j in range(1, ny) {
                for i in range(0, nx) {
                    let p = frame.place(i, j, k);
                    let off = self.normal.dot(&(p - self.corners[0]));
                    if off < -within || off > beyond {
                        continue;
                    }
                    let slot = &mut out[(k - first) * nx * ny + j * nx + i];
                    if (off.abs() as f32) > slot.distance.abs() {
                        continue;
                    }
                    let weights = nearest_weights(&self.corners, p);
                    let at = self.corners[0] * weights[0]
                        + self.corners[1] * weights[1]
                        + self.corners[2] * weights[2];
                    let away = (p - at).norm() as f32;
                    if away < slot.distance.abs() {
                        let mix = |n: usize| {
                            let value = |c: usize| {
                                if n == 0 {
                                    self.numbers[c].0
                                } else {
                                    self.numbers[c].1
                                }
                            };
                            (0..3).map(|c| value(c) * weights[c] as f32).sum::<f32>()
                        };
                        *slot = Near {
                            distance: if off < 0.0 { -away } else { away },
                            ray: mix(0),
                            length: mix(1),
                        };
                    }
                }
            }
        }
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
    let sum = va + vb + vc;
    [va / sum, vb / sum, vc / sum]
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

/// Corners of the plan, where a side meets the front edge, are rounded with this radius.
const PLAN_CORNER_MM: f64 = 9.0;

impl<'a> ShellShape<'a> {
    pub fn new(layout: &'a Layout, wanted: &'a Prescription) -> Self {
        ShellShape {
            layout,
            wanted,
            radius: edge_radius(wanted, wanted.shell.thickness.thinnest().to_mm()),
        }
    }

    /// Thickness at a place of the layout, mm.
    pub fn thickness(&self, ray: f64, length: f64) -> f64 {
        let rays = &self.layout.rays;
        let place = rays[(ray.round().max(0.0) as usize).min(rays.len() - 1)].place;
        thickness_at(self.wanted, place, length)
    }

    /// How far outside the shell's outline a place of the layout lies, along the surface; negative inside.
    ///
    /// `over` is the place on the surface or one off it: the front edge is cut upright, so that it lies where the
    /// plan has it however the skin slopes there.
    pub fn outline(&self, ray: f64, length: f64, over: V) -> f64 {
        let layout = self.layout;
        let slope = {
            let (before, after) = (layout.rim(ray - 1.0), layout.rim(ray + 1.0));
            let (p, _) = layout.at(ray - 1.0, before);
            let (q, _) = layout.at(ray + 1.0, after);
            (after - before) / (q - p).norm().max(0.1)
        };
        let side = (length - layout.rim(ray)) / slope.mul_add(slope, 1.0).sqrt();
        let rise = (layout.front.x(over.y + 0.5) - layout.front.x(over.y - 0.5)).clamp(-4.0, 4.0);
        let front = (over.x - layout.front.x(over.y)) / rise.mul_add(rise, 1.0).sqrt();
        round_max(side, front, PLAN_CORNER_MM)
    }

    /// The shell's field where the layout is near.
    pub(crate) fn value(&self, near: &Near) -> f64 {
        let (ray, length) = (f64::from(near.ray), f64::from(near.length));
        let half = self.thickness(ray, length) / 2.0;
        let (at, normal) = self.layout.at(ray, length);
        let distance = f64::from(near.distance);
        let wall = (distance - half).abs() - half;
        let outline = self.outline(ray, length, at + normal * distance);
        round_max(wall, outline, self.radius)
    }
}

/// The larger of two fields, with the edge between both rounded by a radius.
pub(crate) fn round_max(a: f64, b: f64, radius: f64) -> f64 {
    if radius <= 0.0 {
        return a.max(b);
    }
    let (u, v) = (a + radius, b + radius);
    u.max(v).min(0.0) + u.max(0.0).hypot(v.max(0.0)) - radius
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
