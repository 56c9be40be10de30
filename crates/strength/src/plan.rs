//! Where does a place of the shell lie in a flat plan, and where does the shell end there?
//!
//! Each ray of the layout is rolled out flat: it keeps its direction in the plan and its length along the
//! surface. Distances along rays are true; across them the plan is stretched where walls stand up, which
//! costs triangles some of their shape and nothing else. Leaves the triangles to [`crate::net`].

use std::collections::BTreeMap;

use nalgebra::{Vector2, Vector3};
use shell::field::ShellShape;
use shell::{Layout, Prescription};

use crate::error::StrengthError;

pub(crate) type P = Vector2<f64>;
type V = Vector3<f64>;

/// What is known of a place of the shell.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Place {
    /// On the skin, foot frame, mm.
    pub skin: V,
    /// Away from the foot, unit length.
    pub normal: V,
    pub thickness: f64,
    /// On the inner side of the spine.
    pub inner: bool,
}

/// The rolled-out layout.
pub(crate) struct Plan {
    samples: usize,
    flat: Vec<P>,
    outside: Vec<f64>,
    places: Vec<Place>,
    low: P,
    size: [usize; 2],
    buckets: Vec<Vec<u32>>,
}

/// Corners of a layout triangle as indices into the plan.
type Corners = [usize; 3];

/// Width of a bucket of the search, mm.
const BUCKET_MM: f64 = 3.0;
/// Where a step along a ray gains less than this share in the plan, it stands up and keeps its direction.
const UPRIGHT: f64 = 0.15;

impl Plan {
    pub fn new(layout: &Layout, wanted: &Prescription) -> Plan {
        let shape = ShellShape::new(layout, wanted);
        let samples = layout.samples;
        let mut flat = Vec::with_capacity(layout.points.len());
        let mut outside = Vec::with_capacity(layout.points.len());
        let mut places = Vec::with_capacity(layout.points.len());
        for (i, ray) in layout.rays.iter().enumerate() {
            let inner = match ray.place {
                shell::layout::RayPlace::Across { inner, .. } => inner,
                shell::layout::RayPlace::Heel { angle } => angle.sin() > 0.0,
            };
            let mut at = layout.point(i, 0).xy();
            let mut way = match ray.place {
                shell::layout::RayPlace::Across { inner: true, .. } => P::y(),
                shell::layout::RayPlace::Across { inner: false, .. } => -P::y(),
                shell::layout::RayPlace::Heel { angle } => P::new(angle.cos(), angle.sin()),
            };
            for j in 0..samples {
                let p = layout.point(i, j);
                if j > 0 {
                    let step = p - layout.point(i, j - 1);
                    let long = step.norm();
                    if let Some(unit) = step.xy().try_normalize(UPRIGHT * long) {
                        // A ray never turns back over itself.
                        if unit.dot(&way) > 0.5 {
                            way = unit;
                        }
                    }
                    at += way * long;
                }
                let length = j as f64 * ray.spacing;
                flat.push(at);
                outside.push(shape.outline(i as f64, length));
                places.push(Place {
                    skin: p,
                    normal: layout.normal(i, j),
                    thickness: shape.thickness(i as f64, length),
                    inner,
                });
            }
        }
        let mut plan = Plan {
            samples,
            flat,
            outside,
            places,
            low: P::zeros(),
            size: [0; 2],
            buckets: Vec::new(),
        };
        plan.fill_buckets();
        plan
    }

    fn triangles(&self) -> impl Iterator<Item = Corners> + '_ {
        let (n, m) = (self.flat.len() / self.samples, self.samples);
        (0..n.saturating_sub(1)).flat_map(move |i| {
            (0..m - 1).flat_map(move |j| {
                let at = |i: usize, j: usize| i * m + j;
                let [a, b, c, d] = [at(i, j), at(i, j + 1), at(i + 1, j + 1), at(i + 1, j)];
                [[a, b, c], [a, c, d]]
            })
        })
    }

    fn triangle(&self, number: u32) -> Corners {
        let m = self.samples;
        let (quad, second) = (number as usize / 2, number % 2 == 1);
        let (i, j) = (quad / (m - 1), quad % (m - 1));
        let at = |i: usize, j: usize| i * m + j;
        let [a, b, c, d] = [at(i, j), at(i, j + 1), at(i + 1, j + 1), at(i + 1, j)];
        if second { [a, c, d] } else { [a, b, c] }
    }

    fn fill_buckets(&mut self) {
        let mut low = P::repeat(f64::INFINITY);
        let mut high = P::repeat(f64::NEG_INFINITY);
        for p in &self.flat {
            low = low.inf(p);
            high = high.sup(p);
        }
        self.low = low;
        let wide = high - low;
        self.size = [0, 1].map(|k| ((wide[k] / BUCKET_MM).clamp(0.0, 4000.0)) as usize + 1);
        let mut buckets = vec![Vec::new(); self.size[0] * self.size[1]];
        for (number, corners) in self.triangles().enumerate() {
            // Far outside the shell no place is asked for.
            if corners.iter().all(|&c| self.outside[c] > 6.0) {
                continue;
            }
            let [a, b, c] = corners.map(|c| self.flat[c]);
            if (b - a).perp(&(c - a)).abs() < 1e-9 {
                continue;
            }
            let (from, to) = (a.inf(&b).inf(&c), a.sup(&b).sup(&c));
            let [i0, j0] = self.bucket(&from);
            let [i1, j1] = self.bucket(&to);
            for j in j0..=j1 {
                for i in i0..=i1 {
                    buckets[j * self.size[0] + i].push(number as u32);
                }
            }
        }
        self.buckets = buckets;
    }

    fn bucket(&self, p: &P) -> [usize; 2] {
        [0, 1].map(|k| (((p[k] - self.low[k]) / BUCKET_MM).max(0.0) as usize).min(self.size[k] - 1))
    }

    /// The shell's place at a point of the plan: the layout's triangle there, or the nearest in its bucket.
    pub fn at(&self, p: &P) -> Option<Place> {
        let [i, j] = self.bucket(p);
        let mut best: Option<(f64, Corners, [f64; 3])> = None;
        for &number in &self.buckets[j * self.size[0] + i] {
            let corners = self.triangle(number);
            let [a, b, c] = corners.map(|c| self.flat[c]);
            let twice = (b - a).perp(&(c - a));
            let second = (p - a).perp(&(c - a)) / twice;
            let third = (b - a).perp(&(p - a)) / twice;
            let weights = [1.0 - second - third, second, third];
            let least = weights.iter().copied().fold(f64::INFINITY, f64::min);
            if best.as_ref().is_none_or(|b| least > b.0) {
                best = Some((least, corners, weights));
            }
            if least >= 0.0 {
                break;
            }
        }
        let (least, corners, weights) = best?;
        if least < -2.0 {
            return None;
        }
        let mut skin = V::zeros();
        let mut normal = V::zeros();
        let mut thickness = 0.0;
        for (&corner, weight) in corners.iter().zip(weights) {
            let place = &self.places[corner];
            skin += place.skin * weight;
            normal += place.normal * weight;
            thickness += place.thickness * weight;
        }
        Some(Place {
            skin,
            normal: normal.try_normalize(1e-9)?,
            thickness,
            inner: self.places[corners[0]].inner,
        })
    }

    /// The line in the plan where the shell ends, once around, corners as they come.
    pub fn outline(&self) -> Result<Vec<P>, StrengthError> {
        // Each crossed side of a triangle with the one or two triangles that it belongs to.
        let mut crossed: BTreeMap<[usize; 2], Vec<[usize; 2]>> = BTreeMap::new();
        for corners in self.triangles() {
            let mut sides = Vec::new();
            for k in 0..3 {
                let (a, b) = (corners[k], corners[(k + 1) % 3]);
                if (self.outside[a] < 0.0) != (self.outside[b] < 0.0) {
                    sides.push([a.min(b), a.max(b)]);
                }
            }
            if let [one, other] = sides[..] {
                crossed.entry(one).or_default().push(other);
                crossed.entry(other).or_default().push(one);
            }
        }
        // Both ends lie on the spine, where outer and inner rays meet.
        let start = crossed
            .iter()
            .find(|(side, next)| {
                next.len() == 1 && side.iter().all(|&c| c.is_multiple_of(self.samples))
            })
            .map(|(side, _)| *side)
            .ok_or(StrengthError::Outline)?;
        let mut line = Vec::new();
        let (mut before, mut here) = (None, start);
        for _ in 0..=crossed.len() {
            let [a, b] = here;
            let share = self.outside[a] / (self.outside[a] - self.outside[b]);
            line.push(self.flat[a] + (self.flat[b] - self.flat[a]) * share);
            let next = crossed
                .get(&here)
                .and_then(|next| next.iter().find(|n| Some(**n) != before))
                .copied();
            match next {
                Some(next) => (before, here) = (Some(here), next),
                None => break,
            }
        }
        let ends_on_spine = here != start && here.iter().all(|&c| c.is_multiple_of(self.samples));
        let closes = line
            .first()
            .zip(line.last())
            .is_some_and(|(a, b)| (a - b).norm() < 0.5);
        if !(ends_on_spine && closes && line.len() > 12) {
            return Err(StrengthError::Outline);
        }
        line.pop();
        Ok(line)
    }
}
