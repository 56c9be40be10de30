//! Which lines and places of a device does a maker want to see?
//!
//! Taken from the solid's triangles wherever they show it, and from the device's plan where they do not
//! (rim, points, the foot's own line). Nothing is taken from the prescription but where to look.

use super::bench::{Bench, Place, View, extent};
use super::silhouette::{P, outlines};
use super::{DeviceModel, cut, level};
use mesh::Mesh;
use mesh::near::{Ray, Tree};
use shell::field::ShellShape;
use shell::layout::RayPlace;
use shell::{Device, Part};
use std::cell::OnceCell;

pub(crate) struct Parts<'a> {
    pub model: &'a DeviceModel<'a>,
    pub bench: Bench,
    /// Bodies laid on the bench, the shell first.
    pub bodies: Vec<(Part, Mesh)>,
    /// Corners of the box round all bodies.
    pub low: Place,
    pub high: Place,
    tree: OnceCell<Tree>,
}

/// The rim on one ray: where the foot's side of the wall ends, and the outer side.
pub(crate) struct Rim {
    pub ray: RayPlace,
    pub foot_side: Place,
    pub outer: Place,
}

/// A wall with its two faces.
pub(crate) struct Wall {
    pub from: Place,
    pub to: Place,
    pub mm: f64,
}

/// The cup ends so far in front of the heel's middle, as a share of the foot's length.
const CUP_END: f64 = 0.08;

impl<'a> Parts<'a> {
    /// `None` for a device without a shell, or one whose triangles lack corners.
    pub fn of(model: &'a DeviceModel<'a>) -> Option<Parts<'a>> {
        let bench = Bench::of(model.device);
        let mut bodies: Vec<(Part, Mesh)> = model
            .device
            .bodies
            .iter()
            .map(|b| (b.part, b.mesh.map(|v| bench.place(v))))
            .collect();
        bodies.sort_by_key(|(part, _)| *part != Part::Shell);
        if bodies.first().is_none_or(|(part, _)| *part != Part::Shell) {
            return None;
        }
        let whole = |m: &Mesh| {
            m.triangles
                .iter()
                .flatten()
                .all(|n| (*n as usize) < m.vertices.len())
        };
        if !bodies.iter().all(|(_, m)| whole(m)) {
            return None;
        }
        let (low, high) = extent(bodies.iter().flat_map(|(_, m)| m.vertices.iter().copied()))?;
        let real = low.iter().chain(&high).all(|v| v.is_finite());
        real.then_some(Parts {
            model,
            bench,
            bodies,
            low,
            high,
            tree: OnceCell::new(),
        })
    }

    pub fn device(&self) -> &'a Device {
        self.model.device
    }

    pub fn shell(&self) -> &Mesh {
        // `of` has put the shell first.
        &self.bodies[0].1
    }

    pub fn body(&self, part: Part) -> Option<&Mesh> {
        self.bodies.iter().find(|(p, _)| *p == part).map(|(_, m)| m)
    }

    /// In the language of the drawing.
    pub fn said(&self, english: &str) -> String {
        let spoken = self.model.spoken.filter(|_| !english.is_empty());
        spoken.map_or_else(|| english.to_owned(), |s| s.said(english))
    }

    /// What was measured on the file under a name, else what is drawn.
    pub fn measured(&self, what: &str, drawn: f64) -> f64 {
        let found = self.model.found.iter().find(|d| d.what == what);
        found.map_or(drawn, |d| d.found)
    }

    pub fn length(&self) -> f64 {
        self.measured("length over all", self.high[0] - self.low[0])
    }

    pub fn heel(&self) -> Place {
        self.bench
            .place(self.device().positive.points.heel_centre.at)
    }
    pub fn first_head(&self) -> Place {
        self.bench
            .place(self.device().positive.points.first_head.at)
    }
    pub fn fifth_head(&self) -> Place {
        self.bench
            .place(self.device().positive.points.fifth_head.at)
    }
    pub fn navicular(&self) -> Place {
        self.bench.place(self.device().positive.points.navicular.at)
    }

    /// The heel part ends here.
    pub fn cup_end(&self) -> f64 {
        self.heel()[0] + CUP_END * self.device().layout.foot_length_mm
    }

    /// All bodies as one outline.
    pub fn outline(&self, view: View, passes: impl Fn(Place) -> bool + Copy) -> Vec<Vec<P>> {
        let all: Vec<_> = self
            .bodies
            .iter()
            .flat_map(|(_, m)| self.bench.triangles(m, view, passes))
            .collect();
        outlines(&all)
    }

    /// The rim from the outer end of the front edge round the heel to its inner end.
    pub fn rims(&self) -> Vec<Rim> {
        let layout = &self.device().layout;
        let shape = ShellShape::new(layout, self.model.wanted);
        let mut out = Vec::new();
        for (n, ray) in layout.rays.iter().enumerate() {
            let ray_at = n as f64;
            let outside = |length: f64| shape.outline(ray_at, length) > 0.0;
            if outside(0.0) {
                continue;
            }
            // The corner between side and front is rounded: the shell may end before the ray's own rim.
            let (mut inside, mut beyond) = (0.0, ray.rim + 0.5);
            for _ in 0..14 {
                let middle = 0.5 * (inside + beyond);
                if outside(middle) {
                    beyond = middle
                } else {
                    inside = middle
                }
            }
            let (p, normal) = layout.at(ray_at, inside);
            let outer = p + normal * shape.thickness(ray_at, inside);
            out.push(Rim {
                ray: ray.place,
                foot_side: self.bench.place([p.x, p.y, p.z]),
                outer: self.bench.place([outer.x, outer.y, outer.z]),
            });
        }
        out
    }

    /// Lines of one height above the ground on the side of the foot, as seen from above.
    pub fn height_lines(&self, every_mm: f64) -> Vec<(Vec<P>, bool)> {
        let layout = &self.device().layout;
        let shape = ShellShape::new(layout, self.model.wanted);
        let (n, m) = (layout.rays.len(), layout.samples);
        let mut heights = vec![f64::NAN; n * m];
        for (i, ray) in layout.rays.iter().enumerate() {
            for j in 0..m {
                let p = layout.point(i, j);
                if shape.outline(i as f64, j as f64 * ray.spacing) < 0.0 {
                    heights[i * m + j] = self.bench.place([p.x, p.y, p.z])[2];
                }
            }
        }
        let highest = heights
            .iter()
            .copied()
            .filter(|h| h.is_finite())
            .fold(0.0, f64::max);
        let count = (highest / every_mm).floor().clamp(0.0, 40.0) as usize;
        let seen = |at: &[f64; 2]| {
            let ray = at[1];
            let i = (ray as usize).min(n.saturating_sub(2));
            let s = ray - i as f64;
            let spacing =
                (1.0 - s) * layout.rays[i].spacing + s * layout.rays[(i + 1).min(n - 1)].spacing;
            let (p, _) = layout.at(ray, at[0] * spacing);
            self.bench
                .seen(View::Plan, self.bench.place([p.x, p.y, p.z]))
        };
        (1..=count)
            .flat_map(|k| level::lines(m, n, |j, i| heights[i * m + j], k as f64 * every_mm))
            .filter(|line| line.points.len() > 3)
            .map(|line| (line.points.iter().map(seen).collect(), line.closed))
            .collect()
    }

    /// Loops of all bodies in the upright plane across the device, `along` from its rear edge.
    pub fn section(&self, along: f64) -> Vec<Vec<Place>> {
        self.bodies
            .iter()
            .flat_map(|(_, m)| cut::loops(m, |p| p[0] - along))
            .collect()
    }

    /// The foot's line in the same plane: its skin with the moving corrections, before fill and cuts.
    pub fn foot_line(&self, along: f64) -> Vec<Vec<Place>> {
        let sole = &self.device().positive.captured;
        let mut out: Vec<Vec<Place>> = vec![Vec::new()];
        let across = sole.size[1] as f64 * sole.step;
        let steps = (across / 0.5).ceil().clamp(0.0, 4000.0) as usize;
        for n in 0..=steps {
            let y = sole.origin[1] + across * n as f64 / steps.max(1) as f64;
            // The plane leans a little in the foot frame: a few rounds find where it meets the skin.
            let mut x = self.bench.foot([along, 0.0, 0.0])[0];
            let mut place = None;
            for _ in 0..4 {
                place = sole.height(x, y).map(|z| self.bench.place([x, y, z]));
                match place {
                    Some(p) => x += along - p[0],
                    None => break,
                }
            }
            match (place, out.last_mut()) {
                (Some(p), Some(line)) => line.push(p),
                (None, Some(line)) if !line.is_empty() => out.push(Vec::new()),
                _ => {}
            }
        }
        out.retain(|line| line.len() > 2);
        out
    }

    /// Lowest place of the cup, where the foot lies, and the rim behind it, in the foot frame.
    pub fn cup(&self) -> Option<([f64; 3], [f64; 3])> {
        let layout = &self.device().layout;
        let heel = layout.heel;
        let sole = &self.device().positive.sole;
        let mut bottom: Option<[f64; 3]> = None;
        for dx in -12..=12 {
            for dy in -12..=12 {
                let (x, y) = (heel[0] + f64::from(dx), heel[1] + f64::from(dy));
                if let Some(z) = sole.height(x, y)
                    && bottom.is_none_or(|b| z < b[2])
                {
                    bottom = Some([x, y, z]);
                }
            }
        }
        let rim = self
            .shell()
            .vertices
            .iter()
            .map(|p| self.bench.foot(*p))
            .filter(|v| v[0] < heel[0] && (v[1] - heel[1]).abs() < 4.0)
            .max_by(|a, b| a[2].total_cmp(&b[2]))?;
        Some((bottom?, rim))
    }

    /// The shell's wall near a section: of three places beside each other the thinnest, since a raised
    /// letter may lie under one of them.
    pub fn wall(&self, along: f64, inner: bool) -> Option<Wall> {
        [0.4, 0.5, 0.6]
            .into_iter()
            .filter_map(|share| self.wall_at(along, inner, share))
            .min_by(|a, b| a.mm.total_cmp(&b.mm))
    }

    /// The wall at a share of the way from the spine to the rim.
    fn wall_at(&self, along: f64, inner: bool, share: f64) -> Option<Wall> {
        let layout = &self.device().layout;
        let (mut best, mut near) = (None, f64::INFINITY);
        for (n, ray) in layout.rays.iter().enumerate() {
            let RayPlace::Across { inner: side, .. } = ray.place else {
                continue;
            };
            if side != inner {
                continue;
            }
            let (p, normal) = layout.at(n as f64, share * ray.rim);
            let away = (self.bench.place([p.x, p.y, p.z])[0] - along).abs();
            if away < near {
                near = away;
                best = Some((p, p - normal * 2.0));
            }
        }
        let (p, above) = best.filter(|_| near < 2.0)?;
        let [p, above] = [p, above].map(|q| self.bench.place([q.x, q.y, q.z]));
        let way = [0, 1, 2].map(|k| (p[k] - above[k]) / 2.0);
        let tree = self.tree.get_or_init(|| Tree::of(self.shell()));
        let ray = Ray::new(above, way).between(0.0, 40.0);
        let hits = tree.hits(&ray);
        let first = hits.first()?.along;
        let second = hits.iter().find(|h| h.along > first + 0.2)?.along;
        Some(Wall {
            from: ray.at(first),
            to: ray.at(second),
            mm: second - first,
        })
    }

    /// Highest place of the inner rim, forward of the cup.
    pub fn inner_rim(&self) -> Option<Place> {
        let (heel, end) = (self.heel(), self.cup_end());
        self.shell()
            .vertices
            .iter()
            .copied()
            .filter(|p| p[1] > heel[1] && p[0] > end)
            .max_by(|a, b| a[2].total_cmp(&b[2]))
    }

    /// From the inmost to the outermost place of loops.
    pub fn width_of(loops: &[Vec<Place>]) -> Option<[f64; 2]> {
        extent(loops.iter().flatten().copied()).map(|(low, high)| [low[1], high[1]])
    }
}
