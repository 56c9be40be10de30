//! From which side does a body look like a foot seen from below?
//!
//! A foot rests on a broad flat sole, and the leg stands over it, so that from below little sticks out: the
//! outline fills its box. From the side a leg makes the outline an L. Many directions are tried; for each the
//! lowest points over a coarse grid say how much of the outline lies near the ground, and how full it is.
//!
//! # Sources
//! Common practice puts a scan on the plane of heel and ball; how it is found here without knowing which way
//! is down is this project's own, held against invented scans and an outside body surface.

use crate::sample::{Sample, V};
use nalgebra::Vector2;
use rayon::prelude::*;

type V2 = Vector2<f64>;

/// Directions over the half sphere; each is looked along both ways.
const DIRECTIONS: usize = 320;
/// Cells along the square root of the body's area.
const CELLS: f64 = 40.0;
/// Near the ground: of the square root of the outline's area. For a foot of 250 mm about 15 mm.
const NEAR_GROUND: f64 = 0.11;
/// Directions nearer than this to a better one are the same look.
const APART_DEG: f64 = 25.0;
/// Looks that are followed up.
const KEPT: usize = 6;

/// One way to set the body down.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Look {
    /// From the ground up.
    pub up: V,
    /// Share of the outline that lies near the ground.
    pub flat: f64,
    /// Share of its box that the outline fills.
    pub fill: f64,
    /// Share of the lowest places that are lid, no skin.
    pub lid: f64,
}

impl Look {
    pub fn score(&self) -> f64 {
        self.flat * self.fill
    }
}

/// The best ways to set the body down, best first.
pub(crate) fn looks(sample: &Sample) -> Vec<Look> {
    let mut all: Vec<Look> = (0..DIRECTIONS)
        .into_par_iter()
        .flat_map_iter(|i| both_ways(sample, direction(i)))
        .collect();
    all.sort_by(|a, b| b.score().total_cmp(&a.score()));
    let mut kept: Vec<Look> = Vec::new();
    for look in all {
        let new = kept
            .iter()
            .all(|k| k.up.dot(&look.up) < APART_DEG.to_radians().cos());
        if new {
            kept.push(look);
        }
        if kept.len() == KEPT {
            break;
        }
    }
    kept.par_iter()
        .map(|look| steadied(sample, *look))
        .collect()
}

/// Evenly over the half sphere, along a spiral.
fn direction(i: usize) -> V {
    let z = (i as f64 + 0.5) / DIRECTIONS as f64;
    let turn = std::f64::consts::PI * (1.0 + 5f64.sqrt()) * i as f64;
    let r = (1.0 - z * z).sqrt();
    V::new(r * turn.cos(), r * turn.sin(), z)
}

/// Two directions square to `up` and to each other.
pub(crate) fn across(up: V) -> (V, V) {
    let other = if up.x.abs() < 0.8 { V::x() } else { V::y() };
    let u = up.cross(&other).normalize();
    (u, up.cross(&u))
}

/// Smaller and smaller turns, as long as more comes near the ground.
fn steadied(sample: &Sample, look: Look) -> Look {
    let mut best = look;
    for turn in [6.0f64, 3.0, 1.5] {
        for _ in 0..4 {
            let (u, w) = across(best.up);
            let by = turn.to_radians().tan();
            let tried = [u, w, -u, -w]
                .into_iter()
                .map(|side| both_ways(sample, (best.up + side * by).normalize())[0])
                .max_by(|a, b| a.score().total_cmp(&b.score()));
            match tried {
                Some(t) if t.score() > best.score() => best = t,
                _ => break,
            }
        }
    }
    best
}

/// What is seen with `up` pointing up, and with it pointing down.
fn both_ways(sample: &Sample, up: V) -> [Look; 2] {
    let (u, w) = across(up);
    let cell = sample.area.sqrt() / CELLS;
    let mut low = [f64::INFINITY; 2];
    let mut high = [f64::NEG_INFINITY; 2];
    let each = 1.0 / cell;
    let flat: Vec<[f64; 3]> = sample
        .points
        .iter()
        .map(|p| {
            let q = [p.dot(&u), p.dot(&w), p.dot(&up)];
            for k in 0..2 {
                low[k] = low[k].min(q[k]);
                high[k] = high[k].max(q[k]);
            }
            q
        })
        .collect();
    let size = [0, 1].map(|k| (((high[k] - low[k]) / cell) as usize + 1).min(400));
    let none = (f64::INFINITY, 0u16);
    let mut lowest = vec![none; size[0] * size[1]];
    let mut highest = lowest.clone();
    for (q, lid) in flat.iter().zip(&sample.lid) {
        let [i, j] = [0, 1].map(|k| (((q[k] - low[k]) * each) as u32 as usize).min(size[k] - 1));
        let at = j * size[0] + i;
        if q[2] < lowest[at].0 {
            lowest[at] = (q[2], *lid);
        }
        if -q[2] < highest[at].0 {
            highest[at] = (-q[2], *lid);
        }
    }
    let fill = filling(&lowest, size);
    [(up, lowest), (-up, highest)].map(|(up, grid)| seen(up, &grid, cell, fill))
}

fn seen(up: V, grid: &[(f64, u16)], cell: f64, fill: f64) -> Look {
    let mut heights: Vec<f64> = grid.iter().map(|g| g.0).filter(|h| h.is_finite()).collect();
    let count = heights.len();
    let nothing = Look {
        up,
        flat: 0.0,
        fill,
        lid: 1.0,
    };
    if count < 8 {
        return nothing;
    }
    let few = count / 50;
    let (_, ground, _) = heights.select_nth_unstable_by(few, f64::total_cmp);
    let ground = *ground;
    let near = NEAR_GROUND * (count as f64).sqrt() * cell;
    let flat = heights.iter().filter(|h| **h - ground < near).count();
    let lid = grid.iter().filter(|g| g.0.is_finite() && g.1 > 0).count();
    Look {
        flat: flat as f64 / count as f64,
        lid: lid as f64 / count as f64,
        ..nothing
    }
}

/// How much of its box along its own long axis an outline fills.
fn filling(grid: &[(f64, u16)], size: [usize; 2]) -> f64 {
    let cells: Vec<V2> = grid
        .iter()
        .enumerate()
        .filter(|(_, g)| g.0.is_finite())
        .map(|(at, _)| V2::new((at % size[0]) as f64, (at / size[0]) as f64))
        .collect();
    let axis = long_axis(&cells);
    let mut low = V2::repeat(f64::INFINITY);
    let mut high = V2::repeat(f64::NEG_INFINITY);
    for c in &cells {
        let q = V2::new(c.dot(&axis), axis.x * c.y - axis.y * c.x);
        low = low.inf(&q);
        high = high.sup(&q);
    }
    let sides = high - low + V2::repeat(1.0);
    if cells.is_empty() {
        0.0
    } else {
        cells.len() as f64 / (sides.x * sides.y)
    }
}

/// Direction in which points of a plane spread most.
pub(crate) fn long_axis(points: &[V2]) -> V2 {
    let count = points.len().max(1) as f64;
    let middle = points.iter().sum::<V2>() / count;
    let (mut xx, mut xy, mut yy) = (0.0, 0.0, 0.0);
    for p in points {
        let d = p - middle;
        xx += d.x * d.x;
        xy += d.x * d.y;
        yy += d.y * d.y;
    }
    let angle = 0.5 * (2.0 * xy).atan2(xx - yy);
    V2::new(angle.cos(), angle.sin())
}
