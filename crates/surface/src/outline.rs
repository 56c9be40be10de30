//! Where are the borders of a foot at each place along it, and how low is its skin?
//!
//! Stations lie evenly along x. At each the sections' outermost skin on both sides is kept, only as high up as
//! counts for a foot's outline: the malleoli and the leg do not. From triangles the sections are exact; from
//! points they are as fine as the points are.

use crate::sample::V;
use mesh::Mesh;
use rayon::prelude::*;

/// Skin counts for the outline up to this height, of foot length.
pub(crate) const OUTLINE_HEIGHT: f64 = 0.16;
/// And for the heel's own borders up to this one.
pub(crate) const HEEL_HEIGHT: f64 = 0.13;
/// Between these heights, of foot length, the innermost skin is looked for.
pub(crate) const INNER_HEIGHTS: (f64, f64) = (0.06, 0.25);
/// Stations along a foot.
pub(crate) const STATIONS: usize = 200;

/// Borders along a foot; y is whatever the frame says.
#[derive(Debug, Clone)]
pub(crate) struct Outline {
    /// Place of the first station, and the distance between them.
    pub from: f64,
    pub step: f64,
    pub stations: Vec<Section>,
}

/// What one station shows.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Section {
    /// Least and greatest y of the outline.
    pub low_y: f64,
    pub high_y: f64,
    /// The same, of the heel's lower part.
    pub heel_low_y: f64,
    pub heel_high_y: f64,
    /// Greatest y at [`INNER_HEIGHTS`].
    pub inner_y: f64,
    pub lowest: f64,
    /// Of all skin, the leg too.
    pub highest: f64,
}

impl Section {
    const NONE: Section = Section {
        low_y: f64::INFINITY,
        high_y: f64::NEG_INFINITY,
        heel_low_y: f64::INFINITY,
        heel_high_y: f64::NEG_INFINITY,
        inner_y: f64::NEG_INFINITY,
        lowest: f64::INFINITY,
        highest: f64::NEG_INFINITY,
    };

    fn take(&mut self, y: f64, z: f64, length: f64) {
        self.lowest = self.lowest.min(z);
        self.highest = self.highest.max(z);
        if z > INNER_HEIGHTS.0 * length && z < INNER_HEIGHTS.1 * length {
            self.inner_y = self.inner_y.max(y);
        }
        if z < OUTLINE_HEIGHT * length {
            self.low_y = self.low_y.min(y);
            self.high_y = self.high_y.max(y);
        }
        if z < HEEL_HEIGHT * length {
            self.heel_low_y = self.heel_low_y.min(y);
            self.heel_high_y = self.heel_high_y.max(y);
        }
    }

    fn with(&mut self, other: &Section) {
        self.low_y = self.low_y.min(other.low_y);
        self.high_y = self.high_y.max(other.high_y);
        self.heel_low_y = self.heel_low_y.min(other.heel_low_y);
        self.heel_high_y = self.heel_high_y.max(other.heel_high_y);
        self.inner_y = self.inner_y.max(other.inner_y);
        self.lowest = self.lowest.min(other.lowest);
        self.highest = self.highest.max(other.highest);
    }

    pub fn is_there(&self) -> bool {
        self.high_y >= self.low_y
    }

    pub fn breadth(&self) -> f64 {
        (self.high_y - self.low_y).max(0.0)
    }
}

/// A border's outermost place.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Bulge {
    pub x: f64,
    pub y: f64,
}

impl Outline {
    /// Exact sections of triangles that `local` brings into the foot frame: x from 0 to `length`, ground at 0.
    pub fn of_mesh(
        mesh: &Mesh,
        local: &(impl Fn([f64; 3]) -> [f64; 3] + Sync),
        length: f64,
    ) -> Outline {
        let step = length / STATIONS as f64;
        let empty = || vec![Section::NONE; STATIONS];
        let places: Vec<Place> = mesh
            .vertices
            .par_iter()
            .with_min_len(4096)
            .map(|&v| Place::of(local(v), step))
            .collect();
        let stations = mesh
            .triangles
            .par_chunks(20_000)
            .map(|chunk| {
                let mut out = empty();
                for t in chunk {
                    let c = t.map(|v| &places[v as usize]);
                    cut(c, length, &mut out);
                }
                out
            })
            .reduce(empty, |mut a, b| {
                a.iter_mut().zip(&b).for_each(|(a, b)| a.with(b));
                a
            });
        Outline {
            from: 0.5 * step,
            step,
            stations,
        }
    }

    /// From points, in bins as wide as `count` stations leave.
    pub fn of_points(points: &[V], length: f64, count: usize) -> Outline {
        let step = length / count as f64;
        let mut stations = vec![Section::NONE; count];
        for p in points {
            let i = p.x / step;
            if i >= 0.0
                && let Some(s) = stations.get_mut(i as usize)
            {
                s.take(p.y, p.z, length);
            }
        }
        Outline {
            from: 0.5 * step,
            step,
            stations,
        }
    }

    pub fn x(&self, i: usize) -> f64 {
        self.from + self.step * i as f64
    }

    /// The station nearest to a place.
    pub fn at(&self, x: f64) -> Option<&Section> {
        let i = ((x - self.from) / self.step).round();
        if i < 0.0 {
            None
        } else {
            self.stations.get(i as usize).filter(|s| s.is_there())
        }
    }

    /// Stations between two places, where there is skin.
    pub fn between(&self, from: f64, to: f64) -> impl Iterator<Item = (f64, &Section)> {
        self.stations
            .iter()
            .enumerate()
            .map(|(i, s)| (self.x(i), s))
            .filter(move |(x, s)| *x >= from && *x <= to && s.is_there())
    }

    /// Where one border stands out most over a straight line between two stations. A slanted axis or a foot that
    /// drifts to one side does not move it much.
    pub fn bulge(&self, inner: bool, from: f64, to: f64) -> Option<Bulge> {
        let border = |s: &Section| if inner { s.high_y } else { -s.low_y };
        let found: Vec<(f64, f64)> = self
            .between(from, to)
            .map(|(x, s)| (x, border(s)))
            .collect();
        let (a, b) = (found.first()?, found.last()?);
        let slope = (b.1 - a.1) / (b.0 - a.0);
        let out = |f: &(f64, f64)| f.1 - a.1 - slope * (f.0 - a.0);
        let most = found.iter().map(out).fold(f64::NEG_INFINITY, f64::max);
        // The middle of its upper part, so that roughness does not decide.
        let (mut sum, mut all) = (0.0, 0.0);
        for f in &found {
            let weight = (out(f) - BULGE_FROM * most).max(0.0);
            sum += weight * f.0;
            all += weight;
        }
        let x = sum / all;
        let y = border(self.at(x)?);
        Some(Bulge {
            x,
            y: if inner { y } else { -y },
        })
    }
}

/// Share of its height from which a bulge counts for its middle.
const BULGE_FROM: f64 = 0.7;

/// A vertex, and how many stations lie before it.
struct Place {
    at: [f64; 3],
    before: u32,
}

impl Place {
    fn of(at: [f64; 3], step: f64) -> Place {
        // Stations lie at half steps. The cast keeps what is no number or lies before all at 0.
        let before = ((at[0] / step + 0.5) as u32).min(STATIONS as u32);
        Place { at, before }
    }
}

/// The sections of one triangle.
#[inline]
fn cut(c: [&Place; 3], length: f64, out: &mut [Section]) {
    for k in 0..3 {
        let (mut a, mut b) = (c[k], c[(k + 1) % 3]);
        // Most sides lie between two stations.
        if a.before == b.before {
            continue;
        }
        if a.before > b.before {
            std::mem::swap(&mut a, &mut b);
        }
        let step = length / STATIONS as f64;
        let (from, to) = (a.at, b.at);
        let passed = out.iter_mut().enumerate().take(b.before as usize);
        for (i, station) in passed.skip(a.before as usize) {
            let x = (i as f64 + 0.5) * step;
            let t = ((x - from[0]) / (to[0] - from[0])).clamp(0.0, 1.0);
            let y = from[1] + t * (to[1] - from[1]);
            let z = from[2] + t * (to[2] - from[2]);
            station.take(y, z, length);
        }
    }
}
