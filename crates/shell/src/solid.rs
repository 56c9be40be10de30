//! How do surface, rim, posts and letters become solids?
//!
//! One field for each body, sampled on a lattice and extracted; see `docs/decisions/0006`. Bodies share a
//! face where a post is a part of its own. Everything is in the foot frame; [`Body::in_hand`] mirrors a left
//! one back.

use crate::field::{self, Band, Frame, Near, ShellShape};
use crate::finish::{Room, Skin};
use crate::layout::{Layout, V};
use crate::mark::{self, Mark};
use crate::positive::Positive;
use crate::post::{self, Ground, Wedge};
use crate::prescription::Prescription;
use crate::raised;
use mesh::Mesh;
use mesh::iso::{self, Edge, Lattice};
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
    pub ground: Ground,
    pub wedges: Vec<(Part, Wedge)>,
    /// Seen from above, what posts may stand under.
    pub cover: Vec<[f64; 2]>,
    pub mark: Option<Mark>,
}

impl<'a> Plan<'a> {
    pub fn new(layout: &'a Layout, wanted: &'a Prescription, side: Side) -> Self {
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
            ground,
            cover: if wedges.is_empty() {
                Vec::new()
            } else {
                post::cover(&shape)
            },
            shape,
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
                if self.layout.outside_at(i, j) < 1.0 {
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
        let beyond = thickest + 1.6 * step;
        let band = Band::around(self.layout, frame, 1.6 * step, beyond);
        let columns = self.columns(&frame);
        let shell = self.extract(&band, &columns, |place| {
            let mut value = self.shell_value(&place.near);
            for (n, (_, wedge)) in self.wedges.iter().enumerate() {
                if !wedge.separate {
                    value = value.min(self.wedge_value(n, place, step));
                }
            }
            value
        });
        let mut shell = shell.whole();
        self.round(&mut shell, &band.frame);
        if let Some(mark) = &self.mark {
            self.raise(&mut shell, mark, step);
        }
        let mut bodies = vec![Body {
            part: Part::Shell,
            mesh: shell.mesh,
        }];
        for (n, (part, wedge)) in self.wedges.iter().enumerate() {
            if wedge.separate {
                let post = self.extract(&band, &columns, |place| self.wedge_value(n, place, step));
                bodies.push(Body {
                    part: *part,
                    mesh: post.whole().mesh,
                });
            }
        }
        bodies
    }

    /// What depends on the plan alone, once for every column of the lattice.
    fn columns(&self, frame: &Frame) -> Columns {
        if self.wedges.is_empty() {
            return Columns::default();
        }
        let wedges = self.wedges.iter().map(|(_, wedge)| {
            let mut outside = post::outside_over(&wedge.outline, frame, 1.2 * WEDGE_REACH_MM);
            for v in outside.iter_mut().filter(|v| **v > WEDGE_REACH_MM) {
                *v = f64::INFINITY;
            }
            outside
        });
        Columns {
            wedges: wedges.collect(),
            cover: post::outside_cover(&self.cover, frame, COVER_REACH_MM),
            skin: self.lowest(frame),
        }
    }

    /// Lowest skin of the shell over every column; carried on a little beyond its border.
    fn lowest(&self, frame: &Frame) -> Vec<f64> {
        let mut out = vec![f64::INFINITY; frame.size[0] * frame.size[1]];
        for i in 0..self.layout.rays.len() {
            for j in 0..self.layout.samples {
                if self.layout.outside_at(i, j) < -1.0 {
                    let p = self.layout.point(i, j);
                    let z = &mut out[frame.column([p.x, p.y])];
                    *z = z.min(p.z);
                }
            }
        }
        let nx = frame.size[0];
        for _ in 0..(CARRIED_ON_MM / frame.step).ceil() as usize {
            let before = out.clone();
            for at in nx + 1..out.len().saturating_sub(nx + 1) {
                if before[at].is_infinite() {
                    out[at] = [at - 1, at + 1, at - nx, at + nx]
                        .iter()
                        .map(|&n| before[n])
                        .fold(f64::INFINITY, f64::min);
                }
            }
        }
        out
    }

    fn shell_value(&self, near: &Near) -> f64 {
        if near.is_far() {
            return FAR_MM;
        }
        self.shape.value(near)
    }

    /// A wedge up to the shell's middle (one piece with it) or to its underside (a part of its own).
    fn wedge_value(&self, n: usize, place: &Place, step: f64) -> f64 {
        let wedge = &self.wedges[n].1;
        let outside = place.outside[n];
        if outside > WEDGE_REACH_MM {
            return FAR_MM;
        }
        // Far from the surface only the side matters: under the skin is all filled, over it nothing.
        let over_skin = if place.skin.is_finite() {
            place.p.z - place.skin
        } else {
            FAR_MM
        };
        let near = &place.near;
        let (below, within) = if near.is_far() {
            (if over_skin < 0.0 { -step } else { step }, -step)
        } else {
            let (ray, length) = (f64::from(near.ray), f64::from(near.length));
            let thick = self.shape.thickness(ray, length);
            let top = if wedge.separate { thick } else { 0.5 * thick };
            // Where the wall rises past the post, only what lies under the shell's own outline is filled.
            (
                top - f64::from(near.distance),
                (self.shape.outline(ray, length) + 1.0).min(over_skin),
            )
        };
        wedge
            .value(place.p, outside, place.cover)
            .max(below)
            .max(within)
    }

    /// The surface of a field.
    fn extract(
        &self,
        band: &Band,
        columns: &Columns,
        field: impl Fn(&Place) -> f64 + Sync,
    ) -> Skin {
        let Frame { origin, step, size } = band.frame;
        let slab = size[0] * size[1];
        let mut values = vec![0f32; band.near.len()];
        values
            .par_chunks_mut(slab)
            .enumerate()
            .for_each(|(k, out)| {
                for (at, value) in out.iter_mut().enumerate() {
                    let near = band.near[k * slab + at];
                    let p = band.frame.place(at % size[0], at / size[0], k);
                    // Away from the surface only posts are solid, and only under the skin.
                    *value = if near.is_far() && (columns.is_far(at) || !columns.is_under(at, p.z))
                    {
                        FAR_MM as f32
                    } else {
                        field(&columns.place([at; 2], 0.0, p, near)).clamp(-1e3, 1e3) as f32
                    };
                }
            });
        let lattice = Lattice {
            origin,
            step,
            size,
            values,
        };
        let (mesh, known) = iso::extract_by(&lattice, &|edge: &Edge| {
            let [a, b] = edge.corners.map(|c| band.near[c]);
            let at = edge.corners.map(|c| c % slab);
            let near = |t: f64| {
                let guess = a.between(&b, t as f32);
                if guess.is_far() {
                    guess
                } else {
                    field::nearest(self.layout, V::from(edge.at(t)), &guess)
                }
            };
            let mut last = None;
            let t = zero(edge, |t| {
                let near = near(t);
                last = Some(near);
                field(&columns.place(at, t, V::from(edge.at(t)), near))
            });
            let near = last.unwrap_or_else(|| a.between(&b, t as f32));
            (t, (near, edge.corners.map(|c| c as u32)))
        });
        let (near, on) = known.into_iter().unzip();
        Skin { mesh, near, on }
    }

    /// Gives the shell's rounded edges as many triangles as they are round.
    fn round(&self, skin: &mut Skin, frame: &Frame) {
        let rounded: Vec<bool> = skin
            .near
            .par_iter()
            .map(|near| {
                if near.is_far() {
                    return false;
                }
                let (ray, length) = (f64::from(near.ray), f64::from(near.length));
                // What a post adds is not the shell's own edge.
                self.shape.outline(ray, length) > -self.shape.radius() - 0.05
                    && self.shape.value(near).abs() < 0.05
            })
            .collect();
        let normals = skin.normals(&rounded);
        let mut among = skin.at(&rounded);
        let straight = skin.halve(
            &mut among,
            &rounded,
            |skin, a, b| {
                // The height of an arc over its chord, told by the normals at its ends.
                let chord = skin.vertex(a) - skin.vertex(b);
                let turned = normals[a as usize] - normals[b as usize];
                chord.dot(&turned).abs() / 8.0 > 0.3 * ROUND_WITHIN_MM
            },
            |skin, a, b| {
                let [v, w] = [a as usize, b as usize];
                let room = Room::of(skin.on[v], skin.on[w], |c| frame.corner(c as usize))?;
                let normal = (normals[v] + normals[w]).try_normalize(1e-6)?;
                let way = room.along(normal)?;
                let steep = way.dot(&normal).recip();
                let straight = (skin.vertex(a) + skin.vertex(b)) / 2.0;
                let mut p = straight;
                let mut near = skin.near[v].between(&skin.near[w], 0.5);
                let mut off = f64::INFINITY;
                for n in 0..3 {
                    near = field::nearest(self.layout, p, &near);
                    off = self.shape.value(&near);
                    if n == 0 && off.abs() < ROUND_WITHIN_MM {
                        return None;
                    }
                    if n == 2 || off.abs() < ZERO_WITHIN_MM {
                        break;
                    }
                    p -= way * (off * steep);
                }
                let met = off.abs() < ROUND_WITHIN_MM
                    && (p - straight).norm() < ROUNDED_BY_MM
                    && room.holds(p);
                met.then_some((p.into(), near))
            },
        );
        skin.hold_back(&among, &normals, &straight);
    }

    /// Raises the letters from the underside.
    fn raise(&self, skin: &mut Skin, mark: &Mark, step: f64) {
        let under = |near: &Near| {
            let (ray, length) = (f64::from(near.ray), f64::from(near.length));
            (f64::from(near.distance) - self.shape.thickness(ray, length)).abs() < 0.05
        };
        let mut ends: Vec<bool> = (0..skin.near.len() as u32)
            .into_par_iter()
            .map(|v| {
                let p = skin.vertex(v);
                mark.is_about([p.x, p.y])
                    && under(&field::nearest(self.layout, p, &skin.near[v as usize]))
            })
            .collect();
        let mut among = skin.at(&ends);
        for _ in 0..LETTER_HALVINGS {
            skin.halve(
                &mut among,
                &ends,
                |skin, a, b| {
                    let (p, q) = (skin.vertex(a), skin.vertex(b));
                    let (long, middle) = ((p - q).norm(), (p + q) / 2.0);
                    long > LETTER_EDGE_MM
                        && mark.away([middle.x, middle.y]) < mark::REACH_MM + 0.5 * long
                },
                |skin, a, b| {
                    let p = (skin.vertex(a) + skin.vertex(b)) / 2.0;
                    let guess = skin.near[a as usize].between(&skin.near[b as usize], 0.5);
                    let near = field::nearest(self.layout, p, &guess);
                    Some((p.into(), near))
                },
            );
            let made = &skin.near[ends.len()..];
            ends.extend(made.iter().map(under));
        }
        // A lattice's edges are no longer than a cube's diagonal, and letters stand out by less than that again.
        let longest = 2.0 * step + 1.0;
        let level = skin.mesh.vertices.clone();
        let raised: Vec<(usize, [f64; 3])> = ends
            .par_iter()
            .enumerate()
            .filter(|(_, under)| **under)
            .filter_map(|(v, _)| {
                let p = V::from(level[v]);
                let proud = mark::proud(mark.away([p.x, p.y]));
                (proud > 0.0).then(|| {
                    let near = &skin.near[v];
                    let (_, normal) = self.layout.at(f64::from(near.ray), f64::from(near.length));
                    (v, (p + normal * proud).into())
                })
            })
            .collect();
        for (v, p) in raised {
            skin.mesh.vertices[v] = p;
        }
        // On skin too rough for it a letter stays as flat as it must.
        for _ in 0..LETTER_HALVINGS {
            let (now, mesh) = (&skin.mesh.vertices, &skin.mesh);
            let turned: Vec<[u32; 3]> = among
                .par_iter()
                .map(|n| mesh.triangles[*n as usize])
                .filter(|t| t.iter().any(|v| now[*v as usize] != level[*v as usize]))
                .filter(|t| {
                    let across = |places: &[[f64; 3]]| {
                        let [a, b, c] = t.map(|v| V::from(places[v as usize]));
                        (b - a).cross(&(c - a))
                    };
                    let (before, after) = (across(&level), across(now));
                    after.dot(&before) < 0.15 * after.norm() * before.norm()
                })
                .collect();
            if turned.is_empty() {
                break;
            }
            for v in turned.iter().flatten() {
                skin.mesh.vertices[*v as usize] = level[*v as usize];
            }
        }
        raised::clear_of_itself(&mut skin.mesh, &among, &level, longest);
    }
}

/// Share of the way along an edge at which a field is zero.
fn zero(edge: &Edge, mut field: impl FnMut(f64) -> f64) -> f64 {
    // Where nothing is near a value says only "outside".
    let [a, b] = edge.values.map(|v| f64::from(v).min(FAR_AT_MOST_MM));
    let (mut low, mut high) = ((0.0, a), (1.0, b));
    if (low.1 < 0.0) == (high.1 < 0.0) {
        return edge.straight();
    }
    let mut t = a / (a - b);
    let mut moved_low = None;
    for n in 0..ZERO_STEPS {
        let value = field(t);
        if value.abs() < ZERO_WITHIN_MM {
            break;
        }
        if n == 0
            && value.abs() < NEARLY_ZERO_MM
            && let Some(zero) = bent(a, b, t, value)
        {
            return zero;
        }
        if (value < 0.0) == (low.1 < 0.0) {
            low = (t, value);
            // The end that stays twice counts half, or the search creeps.
            if moved_low == Some(true) {
                high.1 *= 0.5;
            }
            moved_low = Some(true);
        } else {
            high = (t, value);
            if moved_low == Some(false) {
                low.1 *= 0.5;
            }
            moved_low = Some(false);
        }
        let share = low.1 / (low.1 - high.1);
        t = low.0 + (high.0 - low.0) * if share.is_finite() { share } else { 0.5 };
    }
    t
}

/// Where the parabola through `a` at 0, `b` at 1 and `value` at `t`, a place near its zero, is zero; `None` where
/// that is no small step.
fn bent(a: f64, b: f64, t: f64, value: f64) -> Option<f64> {
    let bend = (value - (a + (b - a) * t)) / (t * (t - 1.0));
    let step = -value / (b - a + bend * (2.0 * t - 1.0));
    let small = (step * (b - a)).abs() < 2.0 * value.abs();
    small.then(|| (t + step).clamp(0.0, 1.0))
}

/// Larger values count as this in the search for a vertex.
const FAR_AT_MOST_MM: f64 = 2.0;
/// A vertex is looked for until the field there is this small, or so often.
const ZERO_WITHIN_MM: f64 = 4e-3;
const ZERO_STEPS: usize = 5;
/// A field so near to zero is not asked again: its bend is known. (Of 98,000 vertices of a posted shell 15,000 are
/// found so, half of them within 0.0001 mm, 99 of 100 within 0.003.)
const NEARLY_ZERO_MM: f64 = 0.012;
/// A rounded edge's triangles lie so near to its true shape.
const ROUND_WITHIN_MM: f64 = 0.012;
/// No middle is farther from its edge than this.
const ROUNDED_BY_MM: f64 = 0.4;
/// Triangles of letters have edges of this length.
const LETTER_EDGE_MM: f64 = 0.42;
const LETTER_HALVINGS: usize = 4;
/// A value for places where nothing is near.
const FAR_MM: f64 = 10.0;
/// A bevelled wedge can be wider above than its outline on the ground by so much.
const WEDGE_REACH_MM: f64 = 14.0;
/// Farther from the border of the room for posts only the side matters.
const COVER_REACH_MM: f64 = 6.0;
/// The lowest skin is carried on beyond its border so far: under the wall's own thickness.
const CARRIED_ON_MM: f64 = 9.0;

/// Values of the lattice's columns; empty where there is no post.
#[derive(Default)]
struct Columns {
    wedges: Vec<Vec<f64>>,
    cover: Vec<f64>,
    skin: Vec<f64>,
}

/// A place, and all that its field depends on.
struct Place {
    p: V,
    near: Near,
    outside: [f64; 2],
    cover: f64,
    skin: f64,
}

impl Columns {
    fn is_far(&self, at: usize) -> bool {
        self.wedges.iter().all(|w| w[at] > WEDGE_REACH_MM)
    }

    fn is_under(&self, at: usize, z: f64) -> bool {
        let skin = self.skin.get(at);
        skin.is_some_and(|skin| skin.is_finite() && z < *skin)
    }

    /// Between two columns.
    fn place(&self, at: [usize; 2], t: f64, p: V, near: Near) -> Place {
        let mix = |values: &[f64]| {
            let [a, b] = at.map(|n| values.get(n).copied().unwrap_or(f64::INFINITY));
            if a == b || t <= 0.0 || a.is_infinite() {
                a
            } else {
                a + (b - a) * t
            }
        };
        Place {
            p,
            near,
            outside: [0, 1].map(|n| self.wedges.get(n).map_or(f64::INFINITY, |w| mix(w))),
            cover: mix(&self.cover),
            skin: mix(&self.skin),
        }
    }
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_bent_field_is_met_where_it_is_zero_and_a_crease_is_asked_again() {
        let edge = |f: &dyn Fn(f64) -> f64| Edge {
            corners: [0, 1],
            values: [f(0.0) as f32, f(1.0) as f32],
            from: [0.0; 3],
            to: [1.0, 0.0, 0.0],
        };
        // Distance to a circle of 20 mm, seen along a chord of 1.9 mm.
        let circle = |t: f64| (1.9f64 * t + 12.0).hypot(14.9) - 20.0;
        let fields: [&dyn Fn(f64) -> f64; 3] = [&|t| t - 0.37, &circle, &|t| {
            (0.3 * (t - 0.5)).max(1.5 * (t - 0.5))
        }];
        for field in fields {
            let mut asked = 0;
            let t = zero(&edge(field), |t| {
                asked += 1;
                field(t)
            });
            assert!(
                field(t).abs() < ZERO_WITHIN_MM && asked <= ZERO_STEPS,
                "{t}"
            );
        }
    }
}
