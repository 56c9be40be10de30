//! How is the surface under a foot laid out, so that every place of the shell has two numbers?
//!
//! Rays run outward along the corrected sole from a spine: forward of the heel's middle across the foot,
//! behind it as a fan. A place is a ray and a length along it; the rim is a length for every ray and the
//! front edge is one curve in the plan. Solid, flat plan and element mesh all come from these numbers.
//!
//! Where the skin turns over (the heel's widest place), a ray goes straight up: a foot must get in from
//! above. Leaves to [`crate::field`] what is made of the surface.

use crate::positive::{Positive, ramp};
use crate::prescription::Prescription;
use crate::trim;
use crate::{edge, outline};
use nalgebra::Vector3;
use rayon::prelude::*;

pub(crate) type V = Vector3<f64>;

/// Where a ray starts and which way it goes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum RayPlace {
    /// Across the foot; `forward` is 0 at the heel's middle and 1 on the front edge.
    Across { inner: bool, forward: f64 },
    /// From the heel's middle, `angle` from the toes' direction toward the inner side, radians.
    Heel { angle: f64 },
}

/// One ray: its samples lie `spacing` apart along the surface.
#[derive(Debug, Clone, PartialEq)]
pub struct Ray {
    pub place: RayPlace,
    pub spacing: f64,
    /// Length at which the shell ends.
    pub rim: f64,
}

/// The laid-out surface.
#[derive(Debug, Clone, PartialEq)]
pub struct Layout {
    /// From the outer end of the front edge, back around the heel, to its inner end; a little beyond both.
    pub rays: Vec<Ray>,
    /// Samples on every ray, the first on the spine.
    pub samples: usize,
    /// `points[ray · samples + sample]`, foot frame, mm.
    pub points: Vec<V>,
    /// Away from the foot, unit length.
    pub normals: Vec<V>,
    /// How far outside the shell's outline a point lies, along the surface, mm; negative inside.
    pub(crate) outside: Vec<f32>,
    pub front: Front,
    pub heel: [f64; 2],
    pub foot_length_mm: f64,
}

/// The front edge in the plan: x over y.
#[derive(Debug, Clone, PartialEq)]
pub struct Front {
    first: [f64; 2],
    fifth: [f64; 2],
    behind: f64,
    cut_out: bool,
    /// Shifts by hand: share from inner (0) to outer end (1), mm.
    edits: Vec<(f64, f64)>,
}

/// Beyond the inner and outer head the line runs on level, so far.
const BEYOND_HEADS_MM: f64 = 8.0;
/// How far back a first-ray cut-out goes behind the front edge (common practice: to the shaft's middle).
const CUT_OUT_MM: f64 = 22.0;

impl Front {
    fn new(positive: &Positive, wanted: &Prescription) -> Front {
        let flat = |p: [f64; 3]| [p[0], p[1]];
        Front {
            first: flat(positive.points.first_head.at),
            fifth: flat(positive.points.fifth_head.at),
            behind: wanted.shell.behind_heads.to_mm(),
            cut_out: wanted.corrections.first_ray_cut_out,
            edits: wanted
                .shell
                .trim
                .iter()
                .filter(|e| e.station > 1.0)
                .map(|e| (e.station - 1.0, e.outward.to_mm()))
                .collect(),
        }
    }

    /// Share of the way from the inner (0) to the outer head (1); beyond both it stays.
    fn share(&self, y: f64) -> f64 {
        let width = self.first[1] - self.fifth[1];
        let soft = |v: f64| v.clamp(-BEYOND_HEADS_MM / width, 1.0 + BEYOND_HEADS_MM / width);
        soft((self.first[1] - y) / width)
    }

    /// Forward end of the shell over y.
    pub fn x(&self, y: f64) -> f64 {
        let s = self.share(y);
        let mut x = self.first[0] + (self.fifth[0] - self.first[0]) * s - self.behind;
        if self.cut_out {
            let edge = self.first[1] - 0.17 * (self.first[1] - self.fifth[1]);
            x -= CUT_OUT_MM * ramp(y, edge - 4.0, edge + 4.0);
        }
        for &(at, shift) in &self.edits {
            x += shift * trim::fade((s.clamp(0.0, 1.0) - at) / 0.3);
        }
        x
    }

    /// How far the front edge runs forward for each millimetre inward, and the factor from a distance along x to
    /// one square to the edge.
    pub(crate) fn slope(&self, y: f64) -> (f64, f64) {
        let rise = (self.x(y + 0.5) - self.x(y - 0.5)).clamp(-4.0, 4.0);
        (rise, rise.mul_add(rise, 1.0).sqrt().recip())
    }

    /// y of the spine where it meets the front edge.
    pub fn middle(&self) -> f64 {
        (self.first[1] + self.fifth[1]) / 2.0
    }

    pub fn first_head(&self) -> [f64; 2] {
        self.first
    }

    pub fn fifth_head(&self) -> [f64; 2] {
        self.fifth
    }
}

/// The layout goes on beyond the rim, so that distances near the rim are true.
pub(crate) const BEYOND_RIM_MM: f64 = 9.0;
/// Rays go on in front of the front edge by this share of the shell's length.
const BEYOND_FRONT: f64 = 0.10;
/// No wall is followed higher than this.
const HIGHEST_MM: f64 = 75.0;

/// Upright walls are smoothed along the rim with about this width.
const WALLS_SMOOTH_MM: f64 = 2.5;

/// Shares of the rim's station taken by each side and the heel; see [`RayPlace::station`].
const SIDE_SHARE: f64 = 0.35;

impl RayPlace {
    /// Along the rim: 0 at the outer end of the front edge, 0.5 behind the heel, 1 at its inner end.
    pub fn station(self) -> f64 {
        match self {
            RayPlace::Across {
                inner: false,
                forward,
            } => SIDE_SHARE * (1.0 - forward),
            RayPlace::Across {
                inner: true,
                forward,
            } => 1.0 - SIDE_SHARE * (1.0 - forward),
            RayPlace::Heel { angle } => {
                let turned = (1.5 * std::f64::consts::PI - angle) / std::f64::consts::PI;
                // From the outer side (3π/2) through the back (π) to the inner side (π/2).
                SIDE_SHARE + (1.0 - 2.0 * SIDE_SHARE) * turned
            }
        }
    }
}

/// Lays rays over the corrected sole, about `step` apart at the rim and along the rays.
pub fn lay_out(positive: &Positive, wanted: &Prescription, step: f64) -> Layout {
    let front = Front::new(positive, wanted);
    let heel = [
        positive.points.heel_centre.at[0],
        positive.points.heel_centre.at[1],
    ];
    let guide = Guide {
        sole: positive,
        front: &front,
        heel,
    };
    let side = ((front.x(front.middle()) - heel[0]).max(20.0) / step).ceil() as usize;
    let half_turn = (std::f64::consts::PI * positive.heel_breadth_mm * 0.6 / step).ceil() as usize;
    let ahead = (side as f64 * BEYOND_FRONT).ceil() as usize;
    let mut places = Vec::new();
    for n in (1..=side + ahead).rev() {
        places.push(RayPlace::Across {
            inner: false,
            forward: n as f64 / side as f64,
        });
    }
    for n in 0..=half_turn {
        let turned = n as f64 / half_turn as f64;
        places.push(RayPlace::Heel {
            angle: std::f64::consts::PI * (1.5 - turned),
        });
    }
    for n in 1..=side + ahead {
        places.push(RayPlace::Across {
            inner: true,
            forward: n as f64 / side as f64,
        });
    }
    let walked: Vec<Walk> = places.par_iter().map(|&p| guide.walk(p)).collect();
    let rims = trim::rims(&places, &walked, positive, &front, wanted);
    let longest = rims.iter().map(|r| r.length).fold(0.0, f64::max) + BEYOND_RIM_MM;
    let samples = ((longest / step).ceil() as usize).max(12) + 1;
    let rays: Vec<Ray> = places
        .iter()
        .zip(&rims)
        .map(|(place, rim)| Ray {
            place: *place,
            spacing: (rim.length + BEYOND_RIM_MM) / (samples - 1) as f64,
            rim: rim.length,
        })
        .collect();
    let mut points = vec![V::zeros(); places.len() * samples];
    points
        .par_chunks_mut(samples)
        .zip(walked.par_iter().zip(&rays))
        .for_each(|(out, (walk, ray))| {
            for (n, p) in out.iter_mut().enumerate() {
                *p = walk.at(n as f64 * ray.spacing);
            }
        });
    let mut layout = Layout {
        rays,
        samples,
        normals: Vec::new(),
        outside: Vec::new(),
        points,
        front,
        heel,
        foot_length_mm: positive.foot_length_mm,
    };
    layout.find_normals();
    layout.smooth_walls(step);
    layout.move_along_normals(positive, wanted);
    let radius = trim::edge_radius(wanted, wanted.shell.thickness.thinnest().to_mm());
    trim::level(&mut layout, &rims, radius);
    layout.outside = outline::distances(&layout, wanted);
    edge::settle(&mut layout, wanted, &rims);
    layout
}

impl Layout {
    pub fn point(&self, ray: usize, sample: usize) -> V {
        self.points[ray * self.samples + sample]
    }

    pub fn normal(&self, ray: usize, sample: usize) -> V {
        self.normals[ray * self.samples + sample]
    }

    /// How far outside the shell's outline a point lies, along the surface, mm; negative inside.
    pub fn outside_at(&self, ray: usize, sample: usize) -> f64 {
        f64::from(self.outside[ray * self.samples + sample])
    }

    /// Surface point and normal at a place between rays and samples; outside the layout its border.
    pub fn at(&self, ray: f64, length: f64) -> (V, V) {
        let ray = ray.clamp(0.0, (self.rays.len() - 1) as f64);
        let i = (ray as usize).min(self.rays.len() - 2);
        let s = ray - i as f64;
        let mut point = V::zeros();
        let mut normal = V::zeros();
        for (i, weight) in [(i, 1.0 - s), (i + 1, s)] {
            let along = (length / self.rays[i].spacing).clamp(0.0, (self.samples - 1) as f64);
            let j = (along as usize).min(self.samples - 2);
            let t = along - j as f64;
            point += weight * ((1.0 - t) * self.point(i, j) + t * self.point(i, j + 1));
            normal += weight * ((1.0 - t) * self.normal(i, j) + t * self.normal(i, j + 1));
        }
        (point, normal.try_normalize(1e-9).unwrap_or(-V::z()))
    }

    /// How far outside the shell's outline a place lies, along the surface, mm; negative inside.
    pub fn outside(&self, ray: f64, length: f64) -> f64 {
        let ray = ray.clamp(0.0, (self.rays.len() - 1) as f64);
        let i = (ray as usize).min(self.rays.len() - 2);
        let s = ray - i as f64;
        let mut out = 0.0;
        for (i, weight) in [(i, 1.0 - s), (i + 1, s)] {
            let along = (length / self.rays[i].spacing).clamp(0.0, (self.samples - 1) as f64);
            let j = (along as usize).min(self.samples - 2);
            let t = along - j as f64;
            let at = i * self.samples + j;
            out += weight
                * ((1.0 - t) * f64::from(self.outside[at]) + t * f64::from(self.outside[at + 1]));
        }
        out
    }

    /// Length of the shell's rim on a ray between rays.
    pub fn rim(&self, ray: f64) -> f64 {
        let ray = ray.clamp(0.0, (self.rays.len() - 1) as f64);
        let i = (ray as usize).min(self.rays.len() - 2);
        let s = ray - i as f64;
        (1.0 - s) * self.rays[i].rim + s * self.rays[i + 1].rim
    }

    /// The ray (between rays) at a station of the rim, 0 to 1.
    pub fn ray_at_station(&self, station: f64) -> f64 {
        let after = self
            .rays
            .partition_point(|r| r.place.station() < station)
            .clamp(1, self.rays.len() - 1);
        let (a, b) = (
            self.rays[after - 1].place.station(),
            self.rays[after].place.station(),
        );
        (after - 1) as f64 + ((station - a) / (b - a)).clamp(0.0, 1.0)
    }

    fn find_normals(&mut self) {
        let (n, m) = (self.rays.len(), self.samples);
        let mut normals = vec![-V::z(); n * m];
        normals.par_chunks_mut(m).enumerate().for_each(|(i, out)| {
            let (before, after) = (i.saturating_sub(1), (i + 1).min(n - 1));
            for (j, normal) in out.iter_mut().enumerate() {
                let (inward, outward) = (j.saturating_sub(1), (j + 1).min(m - 1));
                let along = self.point(i, outward) - self.point(i, inward);
                // The spine is one line for both sides, and one place for the whole fan.
                let j = j.max(2);
                let around = self.point(after, j) - self.point(before, j);
                if let Some(unit) = along.cross(&around).try_normalize(1e-12) {
                    *normal = unit;
                }
            }
        });
        self.normals = normals;
    }

    /// Takes the steps out of upright walls, from ray to ray.
    ///
    /// A ray's wall stands where the sole's grid ends, which jumps by a cell from ray to ray; set outward by
    /// the thickness, such a jump becomes a fold.
    fn smooth_walls(&mut self, step: f64) {
        let (n, m) = (self.rays.len(), self.samples);
        let shares: Vec<f64> = self
            .normals
            .iter()
            .map(|normal| 0.5 * ramp(normal.z, -0.6, -0.2))
            .collect();
        // So many passes spread a jump over about WALLS_SMOOTH_MM.
        let passes = 2.0 * (WALLS_SMOOTH_MM / step).powi(2);
        // What is not smoothed is the same in both.
        let mut before = self.points.clone();
        for _ in 0..(passes.round() as usize).clamp(1, 40) {
            std::mem::swap(&mut self.points, &mut before);
            self.points
                .par_chunks_mut(m)
                .enumerate()
                .filter(|(i, _)| *i > 0 && *i + 1 < n)
                .for_each(|(i, out)| {
                    for (j, p) in out.iter_mut().enumerate() {
                        let at = i * m + j;
                        if shares[at] > 0.0 {
                            let beside = 0.5 * (before[at - m] + before[at + m]);
                            *p = before[at] + (beside - before[at]) * shares[at];
                        }
                    }
                });
        }
        self.find_normals();
    }

    /// Groove and relief: room made by moving the surface away from the foot.
    fn move_along_normals(&mut self, positive: &Positive, wanted: &Prescription) {
        let corrections = &wanted.corrections;
        let mut room = vec![0.0; self.points.len()];
        if let Some(groove) = corrections.fascia_groove {
            let length = self.foot_length_mm;
            let from = [self.heel[0] + 0.09 * length, self.heel[1] + 2.0];
            let first = self.front.first;
            let to = [
                first[0] - 0.02 * length,
                first[1] - 0.12 * (first[1] - self.front.fifth[1]),
            ];
            let line = [to[0] - from[0], to[1] - from[1]];
            let long = line[0].hypot(line[1]).max(1.0);
            for (room, p) in room.iter_mut().zip(&self.points) {
                let along = ((p.x - from[0]) * line[0] + (p.y - from[1]) * line[1]) / long;
                let off = ((p.y - from[1]) * line[0] - (p.x - from[0]) * line[1]) / long;
                let ends = ramp(along, 0.0, 15.0) * (1.0 - ramp(along, long - 15.0, long));
                let across = off / (groove.width.to_mm() / 2.0);
                *room += groove.depth.to_mm() * ends * bump(across);
            }
        }
        if let Some(relief) = corrections.navicular_relief {
            let forward = relief.forward.map_or(0.0, |l| l.to_mm());
            let upward = relief.upward.map_or(0.0, |l| l.to_mm());
            let centre = V::from(positive.points.navicular.at) + V::new(forward, 0.0, upward);
            let centre = self.nearest(centre);
            for (room, p) in room.iter_mut().zip(&self.points) {
                let away = (p - centre).norm() / relief.radius.to_mm().max(1.0);
                *room += relief.depth.to_mm() * bump(away);
            }
        }
        if room.iter().any(|&r| r != 0.0) {
            for ((p, n), room) in self.points.iter_mut().zip(&self.normals).zip(&room) {
                *p += n * *room;
            }
            self.find_normals();
        }
    }

    fn nearest(&self, to: V) -> V {
        self.points
            .iter()
            .copied()
            .min_by(|a, b| (a - to).norm_squared().total_cmp(&(b - to).norm_squared()))
            .unwrap_or(to)
    }
}

/// 1 at 0, 0 from 1 on, level at both.
fn bump(s: f64) -> f64 {
    let s = s.abs();
    if s < 1.0 { (1.0 - s * s).powi(2) } else { 0.0 }
}

/// What rays are walked over.
struct Guide<'a> {
    sole: &'a Positive,
    front: &'a Front,
    heel: [f64; 2],
}

/// Step of a walk in the plan.
const WALK_MM: f64 = 0.5;

impl Guide<'_> {
    /// Place in the plan, `out` from the spine.
    fn plan(&self, place: RayPlace, out: f64) -> [f64; 2] {
        match place {
            RayPlace::Heel { angle } => [
                self.heel[0] + out * angle.cos(),
                self.heel[1] + out * angle.sin(),
            ],
            RayPlace::Across { inner, forward } => {
                let spine = self.heel[1] + forward * (self.front.middle() - self.heel[1]);
                let y = if inner { spine + out } else { spine - out };
                [self.heel[0] + forward * (self.front.x(y) - self.heel[0]), y]
            }
        }
    }

    fn walk(&self, place: RayPlace) -> Walk {
        let height = |out: f64| {
            let [x, y] = self.plan(place, out);
            self.sole.sole.height(x, y).map(|z| V::new(x, y, z))
        };
        let mut points = Vec::new();
        let mut outs = Vec::new();
        let mut out = 0.0;
        // A spine that leaves the foot (a scan cut short in front) starts where it last was on it.
        while let Some(p) = height(out) {
            points.push(p);
            outs.push(out);
            out += WALK_MM;
        }
        if points.is_empty() {
            let [x, y] = self.plan(place, 0.0);
            points.push(V::new(x, y, 0.0));
            outs.push(0.0);
        }
        let last = outs[outs.len() - 1];
        let (mut inside, mut outside) = (last, last + WALK_MM);
        for _ in 0..6 {
            let middle = 0.5 * (inside + outside);
            if height(middle).is_some() {
                inside = middle
            } else {
                outside = middle
            }
        }
        if inside > last + 0.02
            && let Some(p) = height(inside)
        {
            points.push(p);
            outs.push(inside);
        }
        self.turn_up(place, &mut points, &mut outs);
        Walk::new(points)
    }

    /// Goes on from the last place under the foot to its widest, and straight up from there.
    ///
    /// The grid ends up to a cell before the widest place; the wall's own curve is carried on until it
    /// stands upright.
    fn turn_up(&self, place: RayPlace, points: &mut Vec<V>, outs: &mut Vec<f64>) {
        let n = points.len();
        let (mut end, mut out) = (points[n - 1], outs[n - 1]);
        if n >= 6 {
            let (p, q, r) = (n - 5, n - 3, n - 1);
            let (z0, z1, z2) = (points[p].z, points[q].z, points[r].z);
            let (o0, o1, o2) = (outs[p], outs[q], outs[r]);
            let (first, second) = ((o1 - o0) / (z1 - z0), (o2 - o1) / (z2 - z1));
            let bend = (second - first) / (z2 - z0);
            let slope = second + bend * (z2 - z1);
            // A steep wall that leans back more and more ends where it stands upright.
            if z2 > z1 && z1 > z0 && bend < 0.0 && slope > 0.0 && slope < 1.0 {
                let up = (-slope / (2.0 * bend)).min(8.0);
                let gained = (slope * up + bend * up * up).clamp(0.0, 1.5 * self.sole.sole.step);
                for part in [0.25, 0.5, 0.75, 1.0] {
                    let z = z2 + up * part;
                    let o =
                        o2 + (slope * up * part + bend * (up * part).powi(2)).clamp(0.0, gained);
                    let [x, y] = self.plan(place, o);
                    points.push(V::new(x, y, z));
                    outs.push(o);
                    (end, out) = (V::new(x, y, z), o);
                }
            }
        }
        let [x, y] = self.plan(place, out);
        let mut z = end.z;
        while z < HIGHEST_MM {
            z += 1.0;
            points.push(V::new(x, y, z));
        }
    }
}

/// A ray as it was walked: places and the length to each.
#[derive(Debug, Clone)]
pub(crate) struct Walk {
    points: Vec<V>,
    lengths: Vec<f64>,
    /// The first place that lies so many whole millimetres along, or farther.
    from: Vec<u32>,
}

impl Walk {
    fn new(points: Vec<V>) -> Walk {
        let mut lengths = Vec::with_capacity(points.len());
        let mut total = 0.0;
        for (n, p) in points.iter().enumerate() {
            if n > 0 {
                total += (p - points[n - 1]).norm();
            }
            lengths.push(total);
        }
        let mut from = Vec::with_capacity(total as usize + 2);
        for (n, length) in lengths.iter().enumerate() {
            while (from.len() as f64) <= *length {
                from.push(n as u32);
            }
        }
        Walk {
            points,
            lengths,
            from,
        }
    }

    pub fn longest(&self) -> f64 {
        self.lengths[self.lengths.len() - 1]
    }

    /// Place at a length along the ray; the last one beyond it.
    pub fn at(&self, length: f64) -> V {
        let begin = self.from.get(length.max(0.0) as usize).copied();
        let mut after = begin.map_or(self.lengths.len(), |n| n as usize);
        while self.lengths.get(after).is_some_and(|&l| l < length) {
            after += 1;
        }
        if after == 0 {
            return self.points[0];
        }
        if after == self.lengths.len() {
            return self.points[after - 1];
        }
        let (a, b) = (self.lengths[after - 1], self.lengths[after]);
        let t = if b > a { (length - a) / (b - a) } else { 0.0 };
        self.points[after - 1] * (1.0 - t) + self.points[after] * t
    }

    /// Steps along the ray, `spacing` apart.
    pub fn steps(&self, spacing: f64) -> impl Iterator<Item = (f64, V)> + '_ {
        let count = (self.longest() / spacing) as usize;
        (0..=count).map(move |n| {
            let w = n as f64 * spacing;
            (w, self.at(w))
        })
    }
}
