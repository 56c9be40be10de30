//! What stands between the shell and the ground?
//!
//! The ground is a plane in the shell's frame: tilted by the rearfoot post, pitched so that it touches the
//! front edge at its lowest place. A wedge fills the room between the shell's underside and a plane, within an outline on that
//! plane that widens upward by the bevel.
//!
//! Both posts are laid out against the shell, each with its own plane; on a flat floor a device whose posts
//! differ rests on the one and twists onto the other, which is what `strength` computes.

use crate::border::zero_line;
use crate::field::{Frame, ShellShape, round_max};
use crate::layout::{RayPlace, V};
use crate::prescription::{ForefootPost, Prescription, RearfootPost};

/// z = `at_heel` + `pitch` · (x − heel) + `tilt` · (y − heel), foot frame, mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ground {
    pub heel: [f64; 2],
    pub at_heel: f64,
    pub pitch: f64,
    /// Negative for a post that raises the inner side.
    pub tilt: f64,
}

impl Ground {
    pub fn height(&self, x: f64, y: f64) -> f64 {
        self.at_heel + self.pitch * (x - self.heel[0]) + self.tilt * (y - self.heel[1])
    }

    /// Unit vector square to the ground, upward.
    pub fn up(&self) -> V {
        V::new(-self.pitch, -self.tilt, 1.0).normalize()
    }

    /// Distance of a place above the ground, square to it.
    pub fn above(&self, p: V) -> f64 {
        (p.z - self.height(p.x, p.y)) * self.up().z
    }

    /// Tilt in the frontal plane, inner side raised positive.
    pub fn raised_inner_side(&self) -> quantity::Angle {
        quantity::Angle::radians((-self.tilt).atan())
    }
}

/// Place on the shell's underside.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Under {
    at: V,
    inner: bool,
    x: f64,
}

fn undersides(shape: &ShellShape<'_>) -> Vec<Under> {
    let layout = shape.layout;
    let mut out = Vec::new();
    for (i, ray) in layout.rays.iter().enumerate() {
        for j in 0..layout.samples {
            let length = j as f64 * ray.spacing;
            let p = layout.point(i, j);
            if layout.outside_at(i, j) < -1.0 {
                let at = p + layout.normal(i, j) * shape.thickness(i as f64, length);
                out.push(Under {
                    at,
                    inner: at.y > layout.heel[1],
                    x: p.x,
                });
            }
        }
    }
    out
}

/// Where the heel's underside ends and the arch begins, as a share of the foot's length.
const HEEL_END: f64 = 0.30;

/// The plane the device stands on: under the heel (or its post) and under the front edge.
pub fn ground(shape: &ShellShape<'_>, wanted: &Prescription) -> Ground {
    let layout = shape.layout;
    let under = undersides(shape);
    let post = wanted.rearfoot_post;
    let tilt = -post.map_or(0.0, |p| p.angle.to_radians().tan());
    let lift = post.map_or(0.0, |p| p.lift.to_mm());
    let heel_end = HEEL_END * layout.foot_length_mm;
    let front_begins = layout.front.x(layout.front.middle()) - 0.10 * layout.foot_length_mm;
    let mut ground = Ground {
        heel: layout.heel,
        at_heel: 0.0,
        pitch: 0.0,
        tilt,
    };
    let least = |ground: &Ground, within: &dyn Fn(&Under) -> bool| {
        under
            .iter()
            .filter(|u| within(u))
            .map(|u| (u.at.z - ground.height(u.at.x, u.at.y), u.at.x))
            .min_by(|a, b| a.0.total_cmp(&b.0))
    };
    // The lowest place moves a little when the plane pitches; a few rounds settle both.
    for _ in 0..8 {
        if let Some((gap, _)) = least(&ground, &|u| u.x < heel_end) {
            ground.at_heel += gap - lift;
        }
        if let Some((gap, x)) = least(&ground, &|u| u.x > front_begins) {
            ground.pitch += gap / (x - layout.heel[0]).max(40.0);
        }
    }
    ground
}

/// A solid between a plane and the shell's underside.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Wedge {
    pub base: Ground,
    /// Corners of the outline on the base, in the plan.
    pub outline: Vec<[f64; 2]>,
    bevel_tan: f64,
    bevel_cos: f64,
    pub separate: bool,
}

/// A post as whoever loads the device needs it: where it stands under the shell, and on which plane.
#[derive(Debug, Clone, PartialEq)]
pub struct Footing {
    pub part: crate::solid::Part,
    /// A body of its own, of its own material.
    pub separate: bool,
    wedge: Wedge,
}

impl Footing {
    pub(crate) fn of(part: crate::solid::Part, wedge: Wedge) -> Footing {
        Footing {
            part,
            separate: wedge.separate,
            wedge,
        }
    }

    /// How far a place lies from the post's sides, which end within a room; negative within the post.
    pub(crate) fn beside(&self, p: V, room: &[[f64; 2]]) -> f64 {
        let plan = [p.x, p.y];
        let side = self.wedge.beside(p, self.wedge.outside(plan));
        side.max(outside(room, plan) + COVER_WITHIN_MM)
    }

    /// The plane of its underside, as made.
    pub fn base(&self) -> Ground {
        self.wedge.base
    }

    /// Corners of its outline on that plane, in the plan.
    pub(crate) fn outline(&self) -> &[[f64; 2]] {
        &self.wedge.outline
    }

    /// How far it widens for each millimetre upward.
    pub(crate) fn bevel_tan(&self) -> f64 {
        self.wedge.bevel_tan
    }

    /// Does a place of the shell's underside stand over the post?
    pub fn holds(&self, under: V) -> bool {
        let above = self.wedge.base.above(under);
        above > 0.0 && self.wedge.outside([under.x, under.y]) < above * self.wedge.bevel_tan
    }
}

/// The posts that a prescription puts under a laid-out shell on its ground.
pub(crate) fn footings(
    layout: &crate::Layout,
    wanted: &Prescription,
    ground: Ground,
) -> Vec<Footing> {
    let shape = ShellShape::new(layout, wanted);
    let mut out = Vec::new();
    if let Some(post) = &wanted.rearfoot_post {
        let wedge = rearfoot(&shape, wanted, post, ground);
        out.push(Footing::of(crate::solid::Part::RearfootPost, wedge));
    }
    if let Some(post) = &wanted.forefoot_post {
        out.push(Footing::of(
            crate::solid::Part::ForefootPost,
            forefoot(&shape, post),
        ));
    }
    out
}

/// Lower rims of a post are rounded so far.
const POST_EDGE_MM: f64 = 1.0;

impl Wedge {
    /// Signed distance to the outline in the plan; negative inside.
    pub fn outside(&self, p: [f64; 2]) -> f64 {
        outside(&self.outline, p)
    }

    /// Field of the wedge without its upper border: negative above the base and inside the outline, from
    /// which the place lies `outside` in the plan, and under the shell's `cover`.
    pub fn value(&self, p: V, outside: f64, cover: f64) -> f64 {
        let side = self.beside(p, outside);
        round_max(-self.base.above(p), side.max(cover), POST_EDGE_MM)
    }

    fn beside(&self, p: V, outside: f64) -> f64 {
        (outside - self.base.above(p) * self.bevel_tan) * self.bevel_cos
    }

    pub fn bounds(&self) -> ([f64; 2], [f64; 2]) {
        self.outline.iter().fold(
            ([f64::INFINITY; 2], [f64::NEG_INFINITY; 2]),
            |(low, high), p| {
                (
                    [low[0].min(p[0]), low[1].min(p[1])],
                    [high[0].max(p[0]), high[1].max(p[1])],
                )
            },
        )
    }
}

/// What lies under the shell: seen from above, its outer face less a margin, once around.
///
/// A post ends within it, so that it never stands out beside a low rim.
pub(crate) fn cover(shape: &ShellShape<'_>) -> Vec<[f64; 2]> {
    let layout = shape.layout;
    let under = |i: usize, j: usize| -> [f64; 3] {
        let length = j as f64 * layout.rays[i].spacing;
        (layout.point(i, j) + layout.normal(i, j) * shape.thickness(i as f64, length)).into()
    };
    let line = zero_line(
        layout.rays.len(),
        layout.samples,
        |i, j| layout.outside_at(i, j) + COVER_WITHIN_MM,
        under,
    );
    // Corners nearer to each other than this say nothing more.
    let mut kept: Vec<[f64; 2]> = Vec::new();
    for [x, y, _] in line {
        if kept.last().is_none_or(|q| (x - q[0]).hypot(y - q[1]) > 2.0) {
            kept.push([x, y]);
        }
    }
    kept
}

/// The cover's border lies so far inside the shell's outline, and a post as far inside the cover again.
const COVER_WITHIN_MM: f64 = 1.0;

/// How far the columns of a lattice lie outside the room for posts; negative inside, true within a reach.
pub(crate) fn outside_cover(cover: &[[f64; 2]], frame: &Frame, reach: f64) -> Vec<f64> {
    let mut out = outside_over(cover, frame, reach);
    out.iter_mut().for_each(|v| *v += COVER_WITHIN_MM);
    out
}

/// [`outside`] for every column of a lattice; what is farther from the outline than `reach` says only that.
pub(crate) fn outside_over(outline: &[[f64; 2]], frame: &Frame, reach: f64) -> Vec<f64> {
    let [nx, ny, _] = frame.size;
    let at = |n: usize, k: usize| frame.origin[k] + n as f64 * frame.step;
    let cell = |v: f64, k: usize| (v - frame.origin[k]) / frame.step;
    let mut squared = vec![reach * reach; nx * ny];
    let mut inside = vec![false; nx * ny];
    for (n, a) in outline.iter().enumerate() {
        let b = outline[(n + 1) % outline.len()];
        let e = [b[0] - a[0], b[1] - a[1]];
        let long = e[0] * e[0] + e[1] * e[1];
        let scale = if long > 0.0 { long.recip() } else { 0.0 };
        let near = [0, 1].map(|k| {
            let from = cell(a[k].min(b[k]) - reach, k).ceil().max(0.0) as usize;
            let to = cell(a[k].max(b[k]) + reach, k) + 1.0;
            from..(to.max(0.0) as usize).min(frame.size[k])
        });
        for j in near[1].clone() {
            let y = at(j, 1) - a[1];
            let row = &mut squared[j * nx..(j + 1) * nx];
            for i in near[0].clone() {
                let x = at(i, 0) - a[0];
                let t = ((x * e[0] + y * e[1]) * scale).clamp(0.0, 1.0);
                let (dx, dy) = (x - e[0] * t, y - e[1] * t);
                row[i] = row[i].min(dx * dx + dy * dy);
            }
        }
        // Whatever lies left of an edge, seen along its row, changes sides.
        for j in near[1].clone() {
            let y = at(j, 1);
            if (a[1] > y) != (b[1] > y) {
                let x = a[0] + e[0] * (y - a[1]) / e[1];
                let to = (cell(x, 0).ceil().max(0.0) as usize).min(nx);
                inside[j * nx..j * nx + to]
                    .iter_mut()
                    .for_each(|v| *v = !*v);
            }
        }
    }
    let mut out = squared;
    for (v, inside) in out.iter_mut().zip(inside) {
        *v = if inside { -v.sqrt() } else { v.sqrt() };
    }
    out
}

/// Signed distance to a closed outline in the plan; negative inside.
fn outside(outline: &[[f64; 2]], p: [f64; 2]) -> f64 {
    let mut least = f64::INFINITY;
    let mut inside = false;
    for (n, a) in outline.iter().enumerate() {
        let b = outline[(n + 1) % outline.len()];
        let (e, w) = ([b[0] - a[0], b[1] - a[1]], [p[0] - a[0], p[1] - a[1]]);
        let long = e[0] * e[0] + e[1] * e[1];
        let t = if long > 0.0 {
            ((w[0] * e[0] + w[1] * e[1]) / long).clamp(0.0, 1.0)
        } else {
            0.0
        };
        least = least.min((w[0] - e[0] * t).powi(2) + (w[1] - e[1] * t).powi(2));
        if (a[1] > p[1]) != (b[1] > p[1]) {
            let x = a[0] + e[0] * (p[1] - a[1]) / e[1];
            if p[0] < x {
                inside = !inside;
            }
        }
    }
    let least = least.sqrt();
    if inside { -least } else { least }
}

/// The wedge under the heel.
pub(crate) fn rearfoot(
    shape: &ShellShape<'_>,
    wanted: &Prescription,
    post: &RearfootPost,
    ground: Ground,
) -> Wedge {
    let layout = shape.layout;
    let cup = wanted.shell.heel_cup_depth.to_mm();
    let low = (0.30 * cup).max(3.0);
    let rear = layout
        .rays
        .iter()
        .enumerate()
        .map(|(i, _)| edge_at(shape, i, low).x)
        .fold(f64::INFINITY, f64::min);
    let end = rear + post.length.to_mm();
    let mut outline = Vec::new();
    for (i, ray) in layout.rays.iter().enumerate() {
        let p = edge_at(shape, i, low);
        let forward_enough = match ray.place {
            RayPlace::Heel { .. } => true,
            RayPlace::Across { .. } => layout.point(i, 0).x < end,
        };
        if forward_enough && p.x <= end {
            outline.push([p.x, p.y]);
        }
    }
    square_off(&mut outline, end);
    let bevel = post.bevel.to_radians();
    Wedge {
        base: ground,
        outline,
        bevel_tan: bevel.tan(),
        bevel_cos: bevel.cos(),
        separate: post.separate,
    }
}

/// The front of the outline runs straight across.
fn square_off(outline: &mut Vec<[f64; 2]>, end: f64) {
    if let (Some(&first), Some(&last)) = (outline.first(), outline.last()) {
        outline.insert(0, [end, first[1]]);
        outline.push([end, last[1]]);
    }
}

/// Outermost place of a ray that is low enough to stand over a post, on the underside.
fn edge_at(shape: &ShellShape<'_>, ray: usize, low: f64) -> V {
    let layout = shape.layout;
    let spacing = layout.rays[ray].spacing;
    let floor = layout.point(ray, 0).z;
    let farthest = (layout.rays[ray].rim - 4.0).max(spacing);
    let mut length = farthest;
    for j in 1..layout.samples {
        let (inner, outer) = (
            layout.point(ray, j - 1).z - floor,
            layout.point(ray, j).z - floor,
        );
        let to = j as f64 * spacing;
        if to > 10.0 && outer > low {
            let t = if outer > inner {
                ((low - inner) / (outer - inner)).clamp(0.0, 1.0)
            } else {
                0.0
            };
            length = (to - spacing + t * spacing).min(farthest);
            break;
        }
        if to >= farthest {
            break;
        }
    }
    let (p, normal) = layout.at(ray as f64, length);
    p + normal * shape.thickness(ray as f64, length)
}

/// A post's back face leans so far.
const FOREFOOT_BEVEL_DEG: f64 = 30.0;

/// The wedge behind the metatarsal heads.
pub(crate) fn forefoot(shape: &ShellShape<'_>, post: &ForefootPost) -> Wedge {
    let layout = shape.layout;
    let tilt = -post.angle.to_radians().tan();
    let length = post.length.to_mm();
    let strip: Vec<V> = undersides(shape)
        .into_iter()
        .map(|u| u.at)
        .filter(|p| p.x > layout.front.x(p.y) - length && p.x < layout.front.x(p.y) - 2.0)
        .collect();
    let mut base = Ground {
        heel: layout.heel,
        at_heel: 0.0,
        pitch: 0.0,
        tilt,
    };
    base.at_heel = strip
        .iter()
        .map(|p| p.z - base.height(p.x, p.y))
        .fold(f64::INFINITY, f64::min)
        .clamp(-40.0, 40.0);
    let (low, high) = strip
        .iter()
        .fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), p| {
            (l.min(p.y), h.max(p.y))
        });
    let steps = 24;
    let along = |n: usize| low + 2.0 + (high - low - 4.0) * n as f64 / f64::from(steps as u32);
    let mut outline: Vec<[f64; 2]> = (0..=steps)
        .map(|n| [layout.front.x(along(n)) - 2.5, along(n)])
        .collect();
    outline.extend(
        (0..=steps)
            .rev()
            .map(|n| [layout.front.x(along(n)) - length, along(n)]),
    );
    let bevel = FOREFOOT_BEVEL_DEG.to_radians();
    Wedge {
        base,
        outline,
        bevel_tan: bevel.tan(),
        bevel_cos: bevel.cos(),
        separate: post.separate,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn distances_to_an_outline_are_negative_inside() {
        let square = [[0.0, 0.0], [4.0, 0.0], [4.0, 4.0], [0.0, 4.0]];
        assert!((outside(&square, [2.0, 1.0]) + 1.0).abs() < 1e-12);
        assert!((outside(&square, [7.0, 8.0]) - 5.0).abs() < 1e-12);
    }

    #[test]
    fn distances_over_a_lattice_are_those_of_its_columns_within_the_reach() {
        let outline = [[2.0, 1.0], [9.0, 2.5], [7.5, 8.0], [5.0, 4.0], [1.0, 7.0]];
        let frame = Frame {
            origin: [-3.1, -2.7, 0.0],
            step: 0.37,
            size: [41, 37, 2],
        };
        let over = outside_over(&outline, &frame, 2.0);
        let mut inside = 0;
        for (at, got) in over.iter().enumerate() {
            let p = frame.place(at % 41, at / 41, 0);
            let exact = outside(&outline, [p.x, p.y]);
            inside += usize::from(exact < 0.0);
            assert!((got - exact.clamp(-2.0, 2.0)).abs() < 1e-12, "{p:?}");
        }
        assert!(inside > 100 && inside < over.len() / 2);
    }

    #[test]
    fn a_ground_raised_on_the_inner_side_falls_away_under_it() {
        let ground = Ground {
            heel: [30.0, 0.0],
            at_heel: -3.0,
            pitch: 0.0,
            tilt: -(4f64.to_radians().tan()),
        };
        assert!(ground.height(30.0, 20.0) < ground.height(30.0, -20.0));
        assert!((ground.raised_inner_side().to_degrees() - 4.0).abs() < 1e-12);
        let p = V::new(30.0, 20.0, ground.height(30.0, 20.0)) + ground.up() * 2.5;
        assert!((ground.above(p) - 2.5).abs() < 1e-12);
    }
}
