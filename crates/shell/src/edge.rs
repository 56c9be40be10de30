//! Does the finished wall end where the plan has it?
//!
//! The outline on the skin is placed so that the rounded edge of a smooth wall ends as asked. On rough skin the
//! wall's other face is not where the skin's normals point, and an edge can be a tenth of a millimetre off. Here
//! it is therefore looked for in the shell's own field, and the outline moved by what it is off.
//!
//! Only what was asked for is moved: the front edge between its corners, and rims of an asked height that no hand
//! has edited.

use crate::field::{Near, ShellShape, nearest};
use crate::layout::{Layout, V};
use crate::positive::ramp;
use crate::prescription::Prescription;
use crate::trim::Trimmed;
use rayon::prelude::*;

/// The outline is moved where it is nearer than the first of these to the border, less and less up to the second.
const NEAR_BORDER_MM: [f64; 2] = [4.0, 6.0];
/// What is more than this off is looked at again.
const MUCH_MM: f64 = 0.06;
/// No more than this is taken away at a time.
const MOVED_BY_MM: f64 = 0.4;
/// Shares of its radius beside a rounding's middle at which its farthest place is looked for.
const BESIDE: [f64; 3] = [-0.5, 0.0, 0.5];
/// The front edge is looked for so often, and not so near to its ends.
const STATIONS_APART_MM: f64 = 1.0;
const CORNERS_MM: f64 = 9.0;
/// The heel's lowest place is looked for so far around its middle.
const HEEL_MM: f64 = 20.0;

/// Moves the outline so that front edge and rims end where they are asked to.
pub(crate) fn settle(layout: &mut Layout, wanted: &Prescription, trimmed: &[Trimmed]) {
    let floor = floor(layout);
    let all = |_: usize| true;
    let (rims, front) = (
        rims_off(layout, wanted, trimmed, floor, all),
        front_off(layout, wanted, all),
    );
    moved(layout, 1.0, &rims, &front);
    // Where much was off, a part of what is left: on the roughest skin the first goes too far.
    let much = |off: &[f64], n: usize| off[n].abs() > MUCH_MM;
    let left = (
        rims_off(layout, wanted, trimmed, floor, |n| much(&rims, n)),
        front_off(layout, wanted, |n| much(&front.off, n)),
    );
    moved(layout, 0.6, &left.0, &left.1);
}

/// Moves the outline inward by a part of what rims and front edge are off.
fn moved(layout: &mut Layout, part: f64, rims: &[f64], front: &FrontOff) {
    let m = layout.samples;
    let (points, edge) = (&layout.points, &layout.front);
    layout
        .outside
        .par_chunks_mut(m)
        .enumerate()
        .for_each(|(i, outside)| {
            for (j, outside) in outside.iter_mut().enumerate() {
                let [full, none] = NEAR_BORDER_MM;
                let share = part * (1.0 - ramp(-f64::from(*outside), full, none));
                if share <= 0.0 {
                    continue;
                }
                let p = points[i * m + j];
                let near = 1.0 - ramp(edge.x(p.y) - p.x, full, none);
                *outside += (share * (rims[i] + near * front.at(p.y))) as f32;
            }
        });
}

/// How far every ray's rim stands above the height that is asked for, along the surface; a cup's height is counted
/// from the floor in it.
fn rims_off(
    layout: &Layout,
    wanted: &Prescription,
    trimmed: &[Trimmed],
    floor: f64,
    asked: impl Fn(usize) -> bool + Sync,
) -> Vec<f64> {
    let shape = ShellShape::new(layout, wanted);
    let mut off: Vec<f64> = trimmed
        .par_iter()
        .enumerate()
        .map(|(i, rim)| {
            if !asked(i) {
                return 0.0;
            }
            let (Some(level), true) = (rim.level, rim.edited.abs() < 1e-9) else {
                return 0.0;
            };
            let height = level.over_floor.map_or(level.height, |cup| floor + cup);
            let Some(border) = border(layout, i) else {
                return 0.0;
            };
            let Some(edge) = Edge::at(&shape, i as f64, border, V::z()) else {
                return 0.0;
            };
            let rise = edge.outward.z;
            // A rim on level skin has no height that its length could change.
            if rise < 0.35 {
                return 0.0;
            }
            let top = edge.farthest(&shape, V::z());
            top.map_or(0.0, |top| level.share * limited((top.z - height) / rise))
        })
        .collect();
    calm(&mut off);
    off
}

/// Lowest place under the heel, as the triangles of a solid will have it: without the roughness of single nodes.
fn floor(layout: &Layout) -> f64 {
    let m = layout.samples;
    let inner =
        |at: usize| at > m && at + m < layout.points.len() && (1..m - 1).contains(&(at % m));
    let under = |p: &V| (0..2).all(|k| (p[k] - layout.heel[k]).abs() < HEEL_MM);
    let height = |at: usize| layout.points[at].z;
    (0..layout.points.len())
        .filter(|&at| inner(at) && under(&layout.points[at]))
        .map(|at| {
            let around = height(at - 1) + height(at + 1) + height(at - m) + height(at + m);
            0.5 * height(at) + around / 8.0
        })
        .fold(f64::INFINITY, f64::min)
}

/// Takes single odd values out, and the rest's roughness.
fn calm(off: &mut [f64]) {
    let around = |off: &[f64], n: usize| {
        let last = off.len() - 1;
        [off[n.saturating_sub(1)], off[n], off[(n + 1).min(last)]]
    };
    let before = off.to_vec();
    for (n, v) in off.iter_mut().enumerate() {
        let mut three = around(&before, n);
        three.sort_by(f64::total_cmp);
        *v = three[1];
    }
    let before = off.to_vec();
    for (n, v) in off.iter_mut().enumerate() {
        let [a, b, c] = around(&before, n);
        *v = 0.25 * a + 0.5 * b + 0.25 * c;
    }
}

/// How far the front edge stands before its place in the plan, square to it.
fn front_off(
    layout: &Layout,
    wanted: &Prescription,
    asked: impl Fn(usize) -> bool + Sync,
) -> FrontOff {
    let shape = ShellShape::new(layout, wanted);
    let front = &layout.front;
    let [inner, outer] = [front.first_head()[1], front.fifth_head()[1]];
    let (from, to) = (outer + CORNERS_MM, inner - CORNERS_MM);
    let count = ((to - from) / STATIONS_APART_MM).max(0.0) as usize;
    let mut off: Vec<f64> = (0..count)
        .into_par_iter()
        .map(|n| {
            if !asked(n) {
                return 0.0;
            }
            let y = from + n as f64 * STATIONS_APART_MM;
            let edge =
                on_front(layout, y).and_then(|(ray, length)| Edge::at(&shape, ray, length, V::x()));
            let foremost = edge.and_then(|edge| edge.farthest(&shape, V::x()));
            foremost.map_or(0.0, |p| {
                let (_, square) = front.slope(p.y);
                limited((p.x - front.x(p.y)) * square)
            })
        })
        .collect();
    calm(&mut off);
    FrontOff { from, off }
}

struct FrontOff {
    from: f64,
    off: Vec<f64>,
}

impl FrontOff {
    fn at(&self, y: f64) -> f64 {
        let at = (y - self.from) / STATIONS_APART_MM;
        let off = |n: f64| {
            let known = (n >= 0.0).then(|| self.off.get(n as usize)).flatten();
            known.copied().unwrap_or(0.0)
        };
        let (below, share) = (at.floor(), at - at.floor());
        off(below) * (1.0 - share) + off(below + 1.0) * share
    }
}

fn limited(off: f64) -> f64 {
    off.clamp(-MOVED_BY_MM, MOVED_BY_MM)
}

/// Length at which a ray leaves the shell.
fn border(layout: &Layout, ray: usize) -> Option<f64> {
    let outside = |j: usize| layout.outside_at(ray, j);
    let j = (1..layout.samples).find(|&j| outside(j) >= 0.0 && outside(j - 1) < 0.0)?;
    let share = outside(j - 1) / (outside(j - 1) - outside(j));
    Some(((j - 1) as f64 + share) * layout.rays[ray].spacing)
}

/// Where the outline crosses the front edge at `y`, as a ray and a length.
fn on_front(layout: &Layout, y: f64) -> Option<(f64, f64)> {
    let inner = y >= layout.front.middle();
    let n = layout.rays.len();
    // The outer side's rays come first, both from front to back and back to front.
    let side = |k: usize| if inner { n - 1 - k } else { k };
    let at = |k: usize| {
        let ray = side(k);
        let spine = layout.point(ray, 0).y;
        let length = (y - spine).abs();
        (ray, length, layout.outside(ray as f64, length))
    };
    let k = (1..n / 2).find(|&k| at(k).2 < 0.0)?;
    let (a, b) = (at(k - 1), at(k));
    if a.2 < 0.0 {
        return None;
    }
    let share = a.2 / (a.2 - b.2);
    let ray = a.0 as f64 + (b.0 as f64 - a.0 as f64) * share;
    Some((ray, a.1 + (b.1 - a.1) * share))
}

/// The wall's edge about a place of the border.
struct Edge {
    border: V,
    near: Near,
    normal: V,
    /// Along the surface, as much in the wanted direction as can be.
    outward: V,
    thick: f64,
}

impl Edge {
    fn at(shape: &ShellShape<'_>, ray: f64, length: f64, way: V) -> Option<Edge> {
        let (border, normal) = shape.layout.at(ray, length);
        Some(Edge {
            border,
            near: Near {
                distance: 0.0,
                ray: ray as f32,
                length: length as f32,
            },
            normal,
            outward: (way - normal * normal.dot(&way)).try_normalize(0.1)?,
            thick: shape.thickness(ray, length),
        })
    }

    /// The place that lies farthest in a direction.
    ///
    /// Looked for on lines through the middles of both roundings, where a smooth wall has it, and beside them.
    fn farthest(&self, shape: &ShellShape<'_>, way: V) -> Option<V> {
        let radius = shape.radius();
        let side = self.normal - way * self.normal.dot(&way);
        let middles = [radius, self.thick - radius].map(|away| {
            let middle = self.border - self.outward * radius + self.normal * away;
            (middle, away)
        });
        middles
            .iter()
            .flat_map(|&(middle, away)| {
                BESIDE.map(|share| (middle + side * (share * radius), away))
            })
            .filter_map(|(from, away)| {
                let near = Near {
                    distance: away as f32,
                    ..self.near
                };
                zero(shape, from, way, near)
            })
            .max_by(|a, b| a.dot(&way).total_cmp(&b.dot(&way)))
    }
}

/// Where the shell's field is zero on a line.
fn zero(shape: &ShellShape<'_>, from: V, way: V, mut near: Near) -> Option<V> {
    let mut value = |at: f64| {
        near = nearest(shape.layout, from + way * at, &near);
        shape.value(&near)
    };
    let (mut a, mut b) = (0.0, value(0.0));
    let mut at = -b;
    for _ in 0..8 {
        let here = value(at);
        if here.abs() < 5e-3 {
            return Some(from + way * at);
        }
        let slope = (here - b) / (at - a);
        let step = if slope > 0.2 { here / slope } else { here };
        (a, b) = (at, here);
        at = (at - step.clamp(-1.0, 1.0)).clamp(-4.0, 4.0);
    }
    None
}
