//! How do surface, rim, posts and letters become solids?
//!
//! One field for each body, sampled on a lattice and extracted; see `docs/decisions/0006`. Bodies share a
//! face where a post is a part of its own. Everything is in the foot frame; [`Body::in_hand`] mirrors a left
//! one back.

use crate::field::{Band, Frame, Near, ShellShape};
use crate::layout::{Layout, V};
use crate::mark::{self, Mark};
use crate::positive::Positive;
use crate::post::{self, Ground, Wedge};
use crate::prescription::Prescription;
use mesh::Mesh;
use mesh::iso::{self, Lattice};
use mesh::topology::{self, Topology};
use rayon::prelude::*;
use terms::Side;

/// What a body is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Part {
    /// The shell, with the posts that are of one piece with it.
    Shell,
    RearfootPost,
    ForefootPost,
    Positive,
}

impl Part {
    pub fn words(self) -> &'static str {
        match self {
            Part::Shell => "shell",
            Part::RearfootPost => "rearfoot post",
            Part::ForefootPost => "forefoot post",
            Part::Positive => "corrected positive",
        }
    }

    /// As file names and addresses have it.
    pub fn key(self) -> &'static str {
        match self {
            Part::Shell => "shell",
            Part::RearfootPost => "rearfoot-post",
            Part::ForefootPost => "forefoot-post",
            Part::Positive => "positive",
        }
    }
}

/// A closed solid in the foot frame, mm.
#[derive(Debug, Clone, PartialEq)]
pub struct Body {
    pub part: Part,
    pub mesh: Mesh,
}

impl Body {
    /// The body as it is held in the hand: a left one mirrored back.
    pub fn in_hand(&self, side: Side) -> Mesh {
        match side {
            Side::Right => self.mesh.clone(),
            Side::Left => self.mesh.map(|[x, y, z]| [x, -y, z]).turned_inside_out(),
        }
    }
}

/// What the solids are made from.
pub(crate) struct Plan<'a> {
    pub layout: &'a Layout,
    pub wanted: &'a Prescription,
    pub shape: ShellShape<'a>,
    pub positive: &'a Positive,
    pub ground: Ground,
    pub wedges: Vec<(Part, Wedge)>,
    pub mark: Option<Mark>,
}

impl<'a> Plan<'a> {
    pub fn new(
        positive: &'a Positive,
        layout: &'a Layout,
        wanted: &'a Prescription,
        side: Side,
    ) -> Self {
        let shape = ShellShape::new(layout, wanted);
        let ground = post::ground(&shape, wanted);
        let mut wedges = Vec::new();
        if let Some(rear) = &wanted.rearfoot_post {
            wedges.push((
                Part::RearfootPost,
                post::rearfoot(&shape, wanted, rear, ground),
            ));
        }
        if let Some(fore) = &wanted.forefoot_post {
            wedges.push((Part::ForefootPost, post::forefoot(&shape, fore)));
        }
        let code = wanted.order_code.trim();
        let text = match (side, code) {
            (Side::Left, "") => "L".to_owned(),
            (Side::Right, "") => "R".to_owned(),
            (Side::Left, code) => format!("L {code}"),
            (Side::Right, code) => format!("R {code}"),
        };
        let mark = mark::place(&text, &shape, &ground, side);
        Plan {
            layout,
            wanted,
            shape,
            positive,
            ground,
            wedges,
            mark,
        }
    }

    /// The box that holds everything, a few cells wider.
    fn frame(&self, step: f64) -> Frame {
        let mut low = V::repeat(f64::INFINITY);
        let mut high = V::repeat(f64::NEG_INFINITY);
        for (i, ray) in self.layout.rays.iter().enumerate() {
            for j in 0..self.layout.samples {
                let length = j as f64 * ray.spacing;
                let p = self.layout.point(i, j);
                if self.shape.outline(i as f64, length, p) < 1.0 {
                    let thick = self.shape.thickness(i as f64, length) + 1.0;
                    for q in [p, p + self.layout.normal(i, j) * thick] {
                        low = low.inf(&q);
                        high = high.sup(&q);
                    }
                }
            }
        }
        for (_, wedge) in &self.wedges {
            let (from, to) = wedge.bounds();
            for x in [from[0], to[0]] {
                for y in [from[1], to[1]] {
                    low.z = low.z.min(wedge.base.height(x, y));
                }
            }
        }
        let pad = V::repeat(2.0 * step + 0.31);
        let (low, high) = (low - pad, high + pad);
        let size = [0, 1, 2].map(|k| ((high[k] - low[k]) / step).ceil() as usize + 1);
        Frame {
            origin: low.into(),
            step,
            size,
        }
    }

    /// All bodies of the device, their lattice at most `widest` mm wide.
    ///
    /// A wall must hold a lattice corner wherever it lies, or it falls to pieces.
    pub fn solids(&self, widest: f64) -> Vec<Body> {
        let step = widest.min(0.55 * self.wanted.shell.thickness.thinnest().to_mm());
        let frame = self.frame(step);
        let thickest = match self.wanted.shell.thickness {
            crate::prescription::Thickness::Uniform { all } => all.to_mm(),
            crate::prescription::Thickness::ThickerArch { arch, rest } => {
                arch.to_mm().max(rest.to_mm())
            }
        };
        let beyond = thickest + 1.6 * step + if self.mark.is_some() { 0.7 } else { 0.0 };
        let band = Band::around(self.layout, frame, 1.6 * step, beyond);
        let columns = self.columns(&frame);
        let mut bodies = vec![Body {
            part: Part::Shell,
            mesh: extract(&band, |at, p, near| {
                let mut value = self.shell_value(columns.letters[at], near);
                for (wedge, outside) in columns.wedges.iter().filter(|(w, _)| !w.separate) {
                    value = value.min(self.wedge_value(wedge, outside[at], p, near, step));
                }
                value
            }),
        }];
        for (part, wedge) in self.wedges.iter().filter(|(_, w)| w.separate) {
            let outside = self.outsides(wedge, &frame);
            bodies.push(Body {
                part: *part,
                mesh: extract(&band, |at, p, near| {
                    self.wedge_value(wedge, outside[at], p, near, step)
                }),
            });
        }
        bodies
    }

    /// What depends on the plan alone, once for every column of the lattice.
    fn columns(&self, frame: &Frame) -> Columns<'_> {
        Columns {
            letters: plan_values(frame, |p| {
                self.mark.as_ref().map_or(f64::INFINITY, |m| m.away(p))
            }),
            wedges: self
                .wedges
                .iter()
                .map(|(_, wedge)| (wedge, self.outsides(wedge, frame)))
                .collect(),
        }
    }

    fn outsides(&self, wedge: &Wedge, frame: &Frame) -> Vec<f64> {
        let (low, high) = wedge.bounds();
        plan_values(frame, |p| {
            if (0..2).any(|k| p[k] < low[k] - WEDGE_REACH_MM || p[k] > high[k] + WEDGE_REACH_MM) {
                f64::INFINITY
            } else {
                wedge.outside(p)
            }
        })
    }

    fn shell_value(&self, from_letters: f64, near: &Near) -> f64 {
        if !near.distance.is_finite() {
            return FAR_MM;
        }
        let value = self.shape.value(near);
        if from_letters > 3.0 {
            return value;
        }
        let thick = self
            .shape
            .thickness(f64::from(near.ray), f64::from(near.length));
        let over = f64::from(near.distance) - thick;
        // Letters begin inside the wall, so that both are one piece.
        if over < -0.5 * thick {
            return value;
        }
        value.min(mark::raised(from_letters, over))
    }

    /// A wedge up to the shell's middle (one piece with it) or to its underside (a part of its own).
    fn wedge_value(&self, wedge: &Wedge, outside: f64, p: V, near: &Near, step: f64) -> f64 {
        if outside > WEDGE_REACH_MM {
            return FAR_MM;
        }
        let (below, within) = if near.distance.is_finite() {
            let (ray, length) = (f64::from(near.ray), f64::from(near.length));
            let thick = self.shape.thickness(ray, length);
            let (at, _) = self.layout.at(ray, length);
            let top = if wedge.separate { thick } else { 0.5 * thick };
            // Where the wall rises past the post, only what lies under the shell's own outline is filled.
            (
                top - f64::from(near.distance),
                self.shape.outline(ray, length, at) + 1.0,
            )
        } else {
            match self.positive.sole.height(p.x, p.y) {
                Some(z) if p.z < z => (-step, -step),
                _ => (step, -step),
            }
        };
        wedge.value(p, outside).max(below).max(within)
    }
}

/// A value for places where nothing is near.
const FAR_MM: f64 = 10.0;
/// A bevelled wedge can be wider above than its outline on the ground by so much.
const WEDGE_REACH_MM: f64 = 14.0;

struct Columns<'a> {
    letters: Vec<f64>,
    wedges: Vec<(&'a Wedge, Vec<f64>)>,
}

fn plan_values(frame: &Frame, value: impl Fn([f64; 2]) -> f64 + Sync) -> Vec<f64> {
    (0..frame.size[0] * frame.size[1])
        .into_par_iter()
        .map(|at| {
            let p = frame.place(at % frame.size[0], at / frame.size[0], 0);
            value([p.x, p.y])
        })
        .collect()
}

/// The surface of a field over (column, place, nearest place of the layout).
fn extract(band: &Band, field: impl Fn(usize, V, &Near) -> f64 + Sync) -> Mesh {
    let Frame { origin, step, size } = band.frame;
    let slab = size[0] * size[1];
    let mut values = vec![0f32; band.near.len()];
    values
        .par_chunks_mut(slab)
        .enumerate()
        .for_each(|(k, out)| {
            for (at, value) in out.iter_mut().enumerate() {
                let near = &band.near[k * slab + at];
                let p = band.frame.place(at % size[0], at / size[0], k);
                *value = field(at, p, near).clamp(-1e3, 1e3) as f32;
            }
        });
    whole(iso::extract(&Lattice {
        origin,
        step,
        size,
        values,
    }))
}

/// The largest piece. A field can leave crumbs where a wedge runs out against the shell's border; nothing
/// could be made of them.
fn whole(mesh: Mesh) -> Mesh {
    let components = Topology::of(&mesh).components();
    if components.count() < 2 {
        return mesh;
    }
    topology::parts(&mesh, &components)
        .into_iter()
        .max_by(|a, b| a.volume().total_cmp(&b.volume()))
        .unwrap_or(mesh)
}

/// The corrected positive as a block to form a sheet over, its top level.
pub fn positive_block(positive: &Positive, step: f64, top: f64) -> Body {
    let sole = &positive.sole;
    let wide = |k: usize| sole.size[k] as f64 * sole.step;
    let low = [
        sole.origin[0] - 2.0 * step,
        sole.origin[1] - 2.0 * step,
        -2.5 * step,
    ];
    let high = [
        sole.origin[0] + wide(0) + 2.0 * step,
        sole.origin[1] + wide(1) + 2.0 * step,
        top + 2.5 * step,
    ];
    let mut lattice = Lattice::filled(low, high, step, 1.0);
    let [nx, ny, nz] = lattice.size;
    let columns: Vec<Option<(f64, f64)>> = (0..nx * ny)
        .map(|at| {
            let p = lattice.place(at % nx, at / nx, 0);
            let z = sole.height(p[0], p[1])?;
            let slope = |dx: f64, dy: f64| {
                let ahead = sole.height(p[0] + dx, p[1] + dy);
                let behind = sole.height(p[0] - dx, p[1] - dy);
                match (ahead, behind) {
                    (Some(a), Some(b)) => (a - b) / (2.0 * (dx + dy)),
                    (Some(a), None) => (a - z) / (dx + dy),
                    (None, Some(b)) => (z - b) / (dx + dy),
                    (None, None) => 0.0,
                }
            };
            let (gx, gy) = (slope(sole.step, 0.0), slope(0.0, sole.step));
            Some((z, (1.0 + gx * gx + gy * gy).sqrt()))
        })
        .collect();
    for k in 0..nz {
        for (at, column) in columns.iter().enumerate() {
            let z = lattice.origin[2] + k as f64 * step;
            lattice.values[k * nx * ny + at] = match column {
                Some((height, steep)) => ((height - z) / steep).max(z - top) as f32,
                None => (0.5 * step) as f32,
            };
        }
    }
    Body {
        part: Part::Positive,
        mesh: iso::extract(&lattice),
    }
}
