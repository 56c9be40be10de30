//! Does the written solid have the dimensions that were asked for?
//!
//! Measured on the triangles alone, as they were read back from a file; from the device's plan come only the
//! places to measure at. Nothing here knows how the solid was made.

use crate::field::ShellShape;
use crate::layout::{RayPlace, V};
use crate::post::Footing;
use crate::prescription::{Prescription, Thickness};
use crate::{Device, Part};
use mesh::Mesh;
use mesh::near::{Ray, Tree};
use quantity::Unit;
use serde::Serialize;

/// One dimension, as asked for and as found.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Dimension {
    pub what: &'static str,
    pub unit: Unit,
    /// `None` where nothing was asked for: the dimension follows from the foot.
    pub asked: Option<f64>,
    pub found: f64,
}

impl Dimension {
    fn mm(what: &'static str, asked: Option<f64>, found: f64) -> Dimension {
        Dimension {
            what,
            unit: Unit::Millimetre,
            asked,
            found,
        }
    }

    fn degrees(what: &'static str, asked: f64, found: f64) -> Dimension {
        Dimension {
            what,
            unit: Unit::Degree,
            asked: Some(asked),
            found,
        }
    }

    /// Is the difference within 0.1 mm or 0.2°?
    pub fn kept(&self) -> bool {
        let allowed = if self.unit == Unit::Degree { 0.2 } else { 0.1 };
        self.asked
            .is_none_or(|asked| (asked - self.found).abs() <= allowed)
    }
}

/// Dimensions of a device, measured on its bodies in the foot frame (a left one mirrored into it).
///
/// What a body is too small or too odd for is left out, never guessed.
pub fn dimensions(
    device: &Device,
    wanted: &Prescription,
    bodies: &[(Part, Mesh)],
) -> Vec<Dimension> {
    let Some((_, shell)) = bodies.iter().find(|(part, _)| *part == Part::Shell) else {
        return Vec::new();
    };
    let probe = Probe {
        device,
        wanted,
        shape: ShellShape::new(&device.layout, wanted),
        shell,
        tree: Tree::of(shell),
    };
    let mut out = Vec::new();
    probe.thickness(&mut out);
    out.extend(probe.cup());
    out.extend(probe.front());
    probe.flanges(&mut out);
    probe.skive(&mut out);
    for (part, post) in [
        (
            Part::RearfootPost,
            wanted.rearfoot_post.map(|p| (p.angle, p.separate)),
        ),
        (
            Part::ForefootPost,
            wanted.forefoot_post.map(|p| (p.angle, p.separate)),
        ),
    ] {
        if let Some((angle, separate)) = post {
            let body = if separate {
                bodies.iter().find(|(p, _)| *p == part).map(|(_, m)| m)
            } else {
                Some(shell)
            };
            let name = if part == Part::RearfootPost {
                "rearfoot post"
            } else {
                "forefoot post"
            };
            if let Some(found) = body.and_then(|b| probe.base_angle(b, part)) {
                out.push(Dimension::degrees(name, angle.to_degrees(), found));
            }
        }
    }
    probe.sizes(&mut out);
    out
}

/// A wall is not measured so near to a post's side.
const CORNER_MM: f64 = 1.5;

/// A rim's height is looked for so near to the navicular's station: it rises and falls along the foot.
const RIM_WITHIN_MM: f64 = 1.0;

/// Edges are walked in steps of this: corners alone lie too far apart where a body is nearly flat.
const ON_EDGES_MM: f64 = 0.5;

/// Places on all edges of a surface, its corners among them.
fn places_on_edges(mesh: &Mesh) -> impl Iterator<Item = [f64; 3]> + '_ {
    (0..mesh.triangles.len()).flat_map(move |t| {
        let corners = mesh.corners(t);
        (0..3).flat_map(move |k| {
            let (a, b) = (corners[k], corners[(k + 1) % 3]);
            let long = (0..3).map(|i| (b[i] - a[i]).powi(2)).sum::<f64>().sqrt();
            let steps = (long / ON_EDGES_MM).ceil().clamp(1.0, 1000.0) as usize;
            (0..steps).map(move |n| {
                let t = n as f64 / steps as f64;
                [0, 1, 2].map(|i| a[i] + (b[i] - a[i]) * t)
            })
        })
    })
}

struct Probe<'a> {
    device: &'a Device,
    wanted: &'a Prescription,
    shape: ShellShape<'a>,
    shell: &'a Mesh,
    tree: Tree,
}

impl Probe<'_> {
    /// Wall square to the surface from the foot's side, at places away from edges, posts and letters.
    fn wall_at(&self, ray: usize, sample: usize) -> Option<f64> {
        let layout = &self.device.layout;
        let (p, n) = (layout.point(ray, sample), layout.normal(ray, sample));
        let from = p - n * 2.0;
        let hits = self
            .tree
            .hits(&Ray::new(from.into(), n.into()).between(0.0, 60.0));
        let (first, second) = (
            hits.first()?.along,
            hits.iter().find(|h| h.along > hits[0].along + 0.2)?.along,
        );
        Some(second - first)
    }

    fn thickness(&self, out: &mut Vec<Dimension>) {
        let (arch, rest) = match self.wanted.shell.thickness {
            Thickness::Uniform { all } => (None, all.to_mm()),
            Thickness::ThickerArch { arch, rest } => (Some(arch.to_mm()), rest.to_mm()),
        };
        let collect = |wanted: f64| {
            let mut walls = Vec::new();
            let layout = &self.device.layout;
            for (i, ray) in layout.rays.iter().enumerate().step_by(3) {
                for j in (1..layout.samples).step_by(3) {
                    let length = j as f64 * ray.spacing;
                    let p = layout.point(i, j);
                    let plain = (self.shape.thickness(i as f64, length) - wanted).abs() < 1e-6
                        && self.shape.outline(i as f64, length) < -6.0
                        && !self.over_post(p)
                        && !self.device.letters_near([p.x, p.y]);
                    if plain && let Some(wall) = self.wall_at(i, j) {
                        walls.push(wall);
                    }
                }
            }
            walls.sort_by(f64::total_cmp);
            walls
        };
        let rest_walls = collect(rest);
        if let Some(median) = rest_walls.get(rest_walls.len() / 2) {
            out.push(Dimension::mm("shell's thickness", Some(rest), *median));
        }
        if let Some(arch) = arch {
            let walls = collect(arch);
            if let Some(median) = walls.get(walls.len() / 2) {
                out.push(Dimension::mm("thickness at the arch", Some(arch), *median));
            }
        }
    }

    fn over_post(&self, p: V) -> bool {
        let layout = &self.device.layout;
        let rear = self
            .wanted
            .rearfoot_post
            .is_some_and(|post| p.x < post.length.to_mm() + 12.0);
        let fore = self
            .wanted
            .forefoot_post
            .is_some_and(|post| p.x > layout.front.x(p.y) - post.length.to_mm() - 8.0);
        rear || fore
    }

    /// Rim behind the heel above the lowest place inside it: the middle one of many heights around it, as a
    /// caliper laid on the rim finds it; a single low place is told by the drawing.
    fn cup(&self) -> Option<Dimension> {
        let layout = &self.device.layout;
        let heel = layout.heel;
        let mut tops = [f64::NEG_INFINITY; 24];
        for v in places_on_edges(self.shell) {
            let (x, y) = (v[0] - heel[0], v[1] - heel[1]);
            // A quarter turn about straight back, in sectors of under 4°.
            let turned = y.atan2(-x);
            let sector = ((turned / std::f64::consts::FRAC_PI_2 + 0.5) * tops.len() as f64).floor();
            if sector >= 0.0 && (sector as usize) < tops.len() && x < 0.0 {
                let top = &mut tops[sector as usize];
                *top = top.max(v[2]);
            }
        }
        tops.sort_by(f64::total_cmp);
        let rim = 0.5 * (tops[tops.len() / 2 - 1] + tops[tops.len() / 2]);
        let mut lowest = f64::INFINITY;
        for dx in -20..=20 {
            for dy in -20..=20 {
                let from = [heel[0] + f64::from(dx), heel[1] + f64::from(dy), 90.0];
                if let Some(hit) = self.tree.first_hit(&Ray::new(from, [0.0, 0.0, -1.0])) {
                    lowest = lowest.min(90.0 - hit.along);
                }
            }
        }
        let edited = self
            .wanted
            .shell
            .trim
            .iter()
            .any(|e| (0.35..=0.65).contains(&e.station));
        let asked = (!edited).then(|| self.wanted.shell.heel_cup_depth.to_mm());
        (rim.is_finite() && lowest.is_finite())
            .then(|| Dimension::mm("heel cup's depth", asked, rim - lowest))
    }

    /// Front edge behind the line through both heads, at its middle.
    fn front(&self) -> Option<Dimension> {
        let front = &self.device.layout.front;
        let y = front.middle();
        let (first, fifth) = (front.first_head(), front.fifth_head());
        let t = (first[1] - y) / (first[1] - fifth[1]);
        let heads = first[0] + (fifth[0] - first[0]) * t;
        let foremost = (-40..=160)
            .filter_map(|n| {
                let from = [400.0, y, f64::from(n) * 0.1];
                let hit = self.tree.first_hit(&Ray::new(from, [-1.0, 0.0, 0.0]))?;
                Some(400.0 - hit.along)
            })
            .fold(f64::NEG_INFINITY, f64::max);
        let edited = self.wanted.shell.trim.iter().any(|e| e.station > 1.0);
        let asked = (!edited).then(|| self.wanted.shell.behind_heads.to_mm());
        foremost
            .is_finite()
            .then(|| Dimension::mm("front edge behind the heads", asked, heads - foremost))
    }

    fn flanges(&self, out: &mut Vec<Dimension>) {
        let middle = self.device.layout.heel[1];
        let x = self.device.positive.points.navicular.at[0];
        let top = |inner: bool| {
            places_on_edges(self.shell)
                .filter(|v| (v[0] - x).abs() < RIM_WITHIN_MM && (v[1] > middle) == inner)
                .map(|v| v[2])
                .fold(f64::NEG_INFINITY, f64::max)
        };
        for (what, asked, inner) in [
            (
                "inner rim at the navicular above the ground",
                self.wanted.shell.medial_flange,
                true,
            ),
            (
                "outer rim at the navicular above the ground",
                self.wanted.shell.lateral_flange,
                false,
            ),
        ] {
            let found = top(inner);
            let plain = self.wanted.shell.trim.is_empty();
            if found.is_finite() {
                out.push(Dimension::mm(
                    what,
                    asked.filter(|_| plain).map(|l| l.to_mm()),
                    found,
                ));
            }
        }
    }

    /// Tilt of the cut's plane and its greatest depth against the sole before it.
    fn skive(&self, out: &mut Vec<Dimension>) {
        let (Some(plane), Some(asked)) =
            (self.device.positive.skive, self.wanted.corrections.skive)
        else {
            return;
        };
        let captured = &self.device.positive.captured;
        let cos = (1.0 + plane.slope * plane.slope).sqrt().recip();
        let mut inside = Vec::new();
        let mut deepest = f64::NEG_INFINITY;
        let whole = crate::positive::SKIVE_WHOLE * self.device.layout.foot_length_mm;
        let columns = (whole * 2.0) as i32;
        for dx in 2..=columns {
            for dy in -60..=60 {
                let (x, y) = (f64::from(dx) * 0.5, plane.axis_y + f64::from(dy) * 0.5);
                let Some(before) = captured.height(x, y) else {
                    continue;
                };
                // Only where the cut is whole: away from its border, where it is at its deepest last.
                if plane.height(y) - before < 0.4 || (plane.clipped && y < plane.axis_y + 1.5) {
                    continue;
                }
                let from = [x, y, 60.0];
                let Some(hit) = self.tree.first_hit(&Ray::new(from, [0.0, 0.0, -1.0])) else {
                    continue;
                };
                let z = 60.0 - hit.along;
                deepest = deepest.max((z - before) * cos);
                inside.push([x, y, z]);
            }
        }
        if inside.len() < 12 {
            return;
        }
        if let Some([_, slope, _]) = fitted(&inside) {
            let found = slope.atan().to_degrees();
            out.push(Dimension::degrees(
                "skive's angle",
                asked.angle.to_degrees(),
                found,
            ));
        }
        out.push(Dimension::mm(
            "skive's depth",
            Some(asked.depth.to_mm()),
            deepest,
        ));
    }

    /// Tilt of a post's flat base, inner side raised positive: of the flat place with the largest area
    /// among the faces that look down.
    fn base_angle(&self, body: &Mesh, part: Part) -> Option<f64> {
        let layout = &self.device.layout;
        let within = |p: V| match part {
            Part::RearfootPost => p.x < layout.heel[0] + 0.30 * layout.foot_length_mm,
            _ => p.x > layout.front.x(p.y) - 0.25 * layout.foot_length_mm,
        };
        let faces: Vec<Face> = (0..body.triangles.len())
            .filter_map(|n| Face::of(&body.corners(n)))
            .filter(|f| f.down.is_some() && within(f.middle))
            .collect();
        // Faces of one plane share slopes and the height over the origin; cells of 0.3° and 0.25 mm.
        let mut cells = std::collections::BTreeMap::new();
        for f in &faces {
            let [sx, sy] = f.down?;
            let key = [sx / 0.005, sy / 0.005, f.height_at_origin([sx, sy]) / 0.25]
                .map(|v| v.round() as i64);
            *cells.entry(key).or_insert(0.0) += f.area;
        }
        let (key, _) = cells
            .into_iter()
            .max_by(|a, b| f64::total_cmp(&a.1, &b.1))?;
        let mut plane = [
            key[0] as f64 * 0.005,
            key[1] as f64 * 0.005,
            key[2] as f64 * 0.25,
        ];
        for reach in [0.4, 0.1, 0.03] {
            let lying: Vec<[f64; 3]> = faces
                .iter()
                .filter(|f| {
                    let level = plane[0] * f.middle.x + plane[1] * f.middle.y + plane[2];
                    let slopes = f.down.unwrap_or([9.0; 2]);
                    (f.middle.z - level).abs() < reach
                        && (slopes[0] - plane[0]).hypot(slopes[1] - plane[1]) < 0.02
                })
                .map(|f| f.middle.into())
                .collect();
            plane = fitted(&lying)?;
        }
        Some(-plane[1].atan().to_degrees())
    }

    fn sizes(&self, out: &mut Vec<Dimension>) {
        let layout = &self.device.layout;
        let Some((low, high)) = self.shell.bounds() else {
            return;
        };
        out.push(Dimension::mm("length over all", None, high[0] - low[0]));
        let width = |from: f64, to: f64| {
            let (l, h) = self
                .shell
                .vertices
                .iter()
                .filter(|v| (from..to).contains(&v[0]))
                .fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), v| {
                    (l.min(v[1]), h.max(v[1]))
                });
            h - l
        };
        let heel = width(low[0], layout.heel[0] + 0.08 * layout.foot_length_mm);
        let front = width(high[0] - 0.22 * layout.foot_length_mm, high[0]);
        for (what, found) in [("width at the heel", heel), ("width at the front", front)] {
            if found.is_finite() {
                out.push(Dimension::mm(what, None, found));
            }
        }
        out.push(Dimension::mm("height over all", None, high[2] - low[2]));
    }
}

impl Device {
    /// Is a place in the plan at or beside a raised letter?
    pub fn letters_near(&self, p: [f64; 2]) -> bool {
        self.letters.as_ref().is_some_and(|m| m.away(p) < 4.0)
    }

    /// Does a place of the surface lie on a wall that carries? Not on a raised letter, and not in the corner between
    /// the shell and a post of one piece, where the lattice leaves teeth of under half a millimetre.
    pub fn on_wall(&self, p: [f64; 3]) -> bool {
        let in_corner = |post: &Footing| {
            !post.separate && post.beside(V::from(p), &self.cover).abs() < CORNER_MM
        };
        !self.letters_near([p[0], p[1]]) && !self.posts.iter().any(in_corner)
    }

    /// The ray that runs straight back from the heel.
    pub fn back_ray(&self) -> usize {
        let away = |r: &crate::layout::Ray| match r.place {
            RayPlace::Heel { angle } => (angle - std::f64::consts::PI).abs(),
            RayPlace::Across { .. } => f64::INFINITY,
        };
        (0..self.layout.rays.len())
            .min_by(|&a, &b| away(&self.layout.rays[a]).total_cmp(&away(&self.layout.rays[b])))
            .unwrap_or(0)
    }
}

struct Face {
    middle: V,
    area: f64,
    /// dz/dx and dz/dy, where the face looks down.
    down: Option<[f64; 2]>,
}

impl Face {
    fn of(corners: &[[f64; 3]; 3]) -> Option<Face> {
        let [a, b, c] = corners.map(V::from);
        let cross = (b - a).cross(&(c - a));
        let area = cross.norm() / 2.0;
        (area > 1e-9).then(|| Face {
            middle: (a + b + c) / 3.0,
            area,
            down: (cross.z < -1.8 * area).then(|| [-cross.x / cross.z, -cross.y / cross.z]),
        })
    }

    fn height_at_origin(&self, slopes: [f64; 2]) -> f64 {
        self.middle.z - slopes[0] * self.middle.x - slopes[1] * self.middle.y
    }
}

/// The plane that fits places best: dz/dx, dz/dy and its height at the origin.
fn fitted(places: &[[f64; 3]]) -> Option<[f64; 3]> {
    if places.len() < 4 {
        return None;
    }
    let n = places.len() as f64;
    let mean = [0, 1, 2].map(|k| places.iter().map(|p| p[k]).sum::<f64>() / n);
    let (mut xx, mut xy, mut yy, mut xz, mut yz) = (0.0, 0.0, 0.0, 0.0, 0.0);
    for p in places {
        let [x, y, z] = [0, 1, 2].map(|k| p[k] - mean[k]);
        xx += x * x;
        xy += x * y;
        yy += y * y;
        xz += x * z;
        yz += y * z;
    }
    let det = xx * yy - xy * xy;
    if det.abs() < 1e-9 {
        return None;
    }
    let (sx, sy) = ((xz * yy - yz * xy) / det, (yz * xx - xz * xy) / det);
    Some([sx, sy, mean[2] - sx * mean[0] - sy * mean[1]])
}
