//! What can be asked of the surface of one bone: its own length, farthest places, cuts and round ends.
//!
//! Nothing here knows which bone it is. Broken triangles and coordinates that are no numbers are passed over,
//! so that any mesh can be asked; what cannot be answered is `None`.

use mesh::Mesh;
use nalgebra::{Matrix4, Vector3, Vector4};
use std::ops::RangeInclusive;

pub(super) type P = Vector3<f64>;

/// One bone in a foot's frame: x forward, y up, z outwards.
#[derive(Debug, Clone)]
pub(super) struct Shape {
    vertices: Vec<P>,
    triangles: Vec<[P; 3]>,
    /// From its back to its front end, upwards across it, outwards across it; unit vectors.
    pub ahead: P,
    pub above: P,
    pub aside: P,
    /// Where the back end lies along `ahead`, and how long the bone is.
    from: f64,
    length: f64,
}

impl Shape {
    /// `out` is 1 where the mesh's z runs outwards, −1 where it runs inwards. `None` for a mesh without extent.
    pub fn new(mesh: &Mesh, out: f64) -> Option<Shape> {
        let at = |v: &[f64; 3]| P::new(v[0], v[1], v[2] * out);
        // A foot lies within a few metres of its frame's zero; what lies farther is no bone.
        let sound = |v: &[f64; 3]| v.iter().all(|c| c.abs() < 1e5);
        let triangles: Vec<[P; 3]> = mesh
            .triangles
            .iter()
            .filter_map(|t| {
                let corner = |i: u32| mesh.vertices.get(i as usize).filter(|v| sound(v)).map(at);
                let [a, b, c] = [corner(t[0])?, corner(t[1])?, corner(t[2])?];
                // A mirror image runs the other way round.
                Some(if out < 0.0 { [a, c, b] } else { [a, b, c] })
            })
            .collect();
        Shape {
            vertices: mesh.vertices.iter().filter(|v| sound(v)).map(at).collect(),
            triangles,
            ahead: P::x(),
            above: P::y(),
            aside: P::z(),
            from: 0.0,
            length: 0.0,
        }
        .along(P::x())
    }

    /// The same bone measured along its own length: from the middle of its back quarter to that of its
    /// front quarter, whichever way it turned.
    pub fn along_itself(self) -> Option<Shape> {
        let mut bone = self;
        // The quarters change a little as the axis turns: a few rounds.
        for _ in 0..4 {
            let axis = bone.middle(0.75..=1.0)? - bone.middle(0.0..=0.25)?;
            bone = bone.along(axis)?;
        }
        Some(bone)
    }

    /// The same bone measured along an axis; `None` for an upright one, across which nothing is above.
    pub fn along(mut self, axis: P) -> Option<Shape> {
        self.ahead = axis.try_normalize(1e-9)?;
        self.aside = self.ahead.cross(&P::y()).try_normalize(1e-6)?;
        self.above = self.aside.cross(&self.ahead);
        let (low, high) = self.reach(self.ahead, &self.vertices)?;
        (self.from, self.length) = (low, high - low);
        // Shorter than a millimetre is no bone, and shares of it mean nothing.
        (self.length > 1.0).then_some(self)
    }

    fn reach(&self, way: P, of: &[P]) -> Option<(f64, f64)> {
        of.iter().map(|q| q.dot(&way)).fold(None, |ends, d| {
            let (low, high) = ends.unwrap_or((d, d));
            Some((low.min(d), high.max(d)))
        })
    }

    /// Lowest and highest value along a direction.
    pub fn ends(&self, way: P) -> Option<(f64, f64)> {
        self.reach(way, &self.vertices)
    }

    pub fn length(&self) -> f64 {
        self.length
    }

    /// A direction in the bone's own frame.
    pub fn way(&self, ahead: f64, above: f64, aside: f64) -> P {
        self.ahead * ahead + self.above * above + self.aside * aside
    }

    /// Share of the bone's length, 0 at its back.
    pub fn share(&self, q: P) -> f64 {
        (q.dot(&self.ahead) - self.from) / self.length
    }

    /// The vertex farthest along `way` among those kept.
    pub fn farthest(&self, way: P, keep: impl Fn(P) -> bool) -> Option<P> {
        farthest(&self.vertices, way, keep)
    }

    /// The vertex farthest along `way` in a stretch of the bone's length.
    pub fn in_stretch(&self, way: P, stretch: RangeInclusive<f64>) -> Option<P> {
        self.farthest(way, |q| stretch.contains(&self.share(q)))
    }

    /// Middle of the surface in a stretch of the length; every piece counts by its area, so that a
    /// mesh that is fine in one place and coarse in another gives the same.
    pub fn middle(&self, stretch: RangeInclusive<f64>) -> Option<P> {
        let (sum, whole) = self
            .patches(stretch)
            .fold((P::zeros(), 0.0), |(s, w), (q, area)| {
                (s + q * area, w + area)
            });
        (whole > 0.0).then(|| sum / whole)
    }

    /// The place at a share of the length, in the middle of the bone's thickness and breadth there.
    pub fn core(&self, share: f64) -> Option<P> {
        let there = self.cut_at(share);
        let across = |way: P| {
            self.reach(way, &there)
                .map(|(low, high)| way * (low + high) / 2.0)
        };
        let along = self.ahead * (self.from + share * self.length);
        Some(along + across(self.above)? + across(self.aside)?)
    }

    /// Middles of the triangles that face one way: their outer side turned at most `turned_deg` from the way
    /// that `towards` gives for the place.
    pub fn facing(&self, turned_deg: f64, towards: impl Fn(P) -> P) -> Vec<P> {
        let least = turned_deg.to_radians().cos();
        self.triangles
            .iter()
            .filter_map(|[a, b, c]| {
                let normal = (b - a).cross(&(c - a)).try_normalize(1e-12)?;
                let middle = (a + b + c) / 3.0;
                let way = towards(middle).try_normalize(1e-12)?;
                (normal.dot(&way) >= least).then_some(middle)
            })
            .collect()
    }

    /// Middles and areas of the triangles in a stretch of the length.
    fn patches(&self, stretch: RangeInclusive<f64>) -> impl Iterator<Item = (P, f64)> + '_ {
        self.triangles
            .iter()
            .map(|[a, b, c]| ((a + b + c) / 3.0, (b - a).cross(&(c - a)).norm() / 2.0))
            .filter(move |(q, _)| stretch.contains(&self.share(*q)))
    }

    /// Where the surface's edges pass the plane across `normal` at `level`.
    pub fn cut(&self, normal: P, level: f64) -> Vec<P> {
        let sides = self
            .triangles
            .iter()
            .flat_map(|[a, b, c]| [(a, b), (b, c), (c, a)]);
        sides
            .filter_map(|(a, b)| {
                let (da, db) = (a.dot(&normal) - level, b.dot(&normal) - level);
                // Each edge belongs to two triangles, once each way round: one is enough.
                (da < 0.0 && db >= 0.0).then(|| a + (b - a) * (da / (da - db)))
            })
            .collect()
    }

    /// The cut across the bone's length at a share of it.
    pub fn cut_at(&self, share: f64) -> Vec<P> {
        self.cut(self.ahead, self.from + share * self.length)
    }

    /// The heights at which an upright line passes the surface.
    pub fn heights(&self, x: f64, z: f64) -> Vec<f64> {
        self.triangles
            .iter()
            .filter_map(|[a, b, c]| {
                let area =
                    |p: &P, q: &P, r: &P| (q.x - p.x) * (r.z - p.z) - (q.z - p.z) * (r.x - p.x);
                let whole = area(a, b, c);
                let at = P::new(x, 0.0, z);
                let shares = [area(&at, b, c), area(a, &at, c), area(a, b, &at)].map(|s| s / whole);
                (whole != 0.0 && shares.iter().all(|s| *s >= 0.0))
                    .then(|| shares[0] * a.y + shares[1] * b.y + shares[2] * c.y)
            })
            .collect()
    }

    /// Centre of the ball nearest to the surface of a stretch by least squares (algebraic distance); `None`
    /// where the surface is not round enough for it to lie in the bone.
    pub fn ball_centre(&self, stretch: RangeInclusive<f64>) -> Option<P> {
        let base = self.middle(stretch.clone())?;
        let (mut left, mut right) = (Matrix4::zeros(), Vector4::zeros());
        for (q, area) in self.patches(stretch) {
            let d = q - base;
            let row = Vector4::new(d.x, d.y, d.z, 1.0);
            left += row * row.transpose() * area;
            right += row * (d.norm_squared() * area);
        }
        let solved = left.lu().solve(&right)?;
        let centre = base + P::new(solved[0], solved[1], solved[2]) / 2.0;
        (0.0..=1.0).contains(&self.share(centre)).then_some(centre)
    }
}

/// The point farthest along `way` among those kept.
pub(super) fn farthest(points: &[P], way: P, keep: impl Fn(P) -> bool) -> Option<P> {
    points
        .iter()
        .copied()
        .filter(|q| keep(*q))
        .max_by(|a, b| a.dot(&way).total_cmp(&b.dot(&way)))
}
