//! Which parts of a child's foot are bone yet?
//!
//! A child's bone is the adult's shape with its skin of cartilage taken away: rounder, and smaller within
//! the same joint. Growth plates run dark across the long bones; the heel's apophysis comes later.
//!
//! # Sources
//! The order and the ages at which bones appear are common practice (textbook anatomy); the thickness of
//! the cartilage at each age is chosen by eye, unconfirmed.

use crate::bones::grid::Grid;
use crate::bones::solid::{P, meet};
use crate::bones::{nets, plan};
use crate::foot::PlanBone;
use rayon::prelude::*;
use std::sync::Arc;
use terms::Sex;

pub const YOUNGEST_YEARS: f64 = 1.0;

/// Age at which this foot's bones are an adult's.
const GROWN_YEARS: f64 = 15.0;

/// With more cartilage than this (mm of the adult plan) the edge of a joint surface cannot be told.
pub(crate) const EDGES_FROM_INSET_MM: f64 = 2.6;

/// Mean foot length by age.
///
/// # Units
/// Years in, millimetres out; 3 to 18 years (boys), 3 to 17 (girls), held at the ends.
///
/// # Uncertainty
/// SD 8 to 15 mm between children. The straight line between the ends is ours; growth is not straight.
///
/// # Sources
/// Cheng 1997, 2829 children: boys 156 mm at 3 to 258 at 18 years, girls 153 at 3 to 234 at 17.
pub fn foot_length_mm(years: f64, sex: Sex) -> f64 {
    match sex {
        Sex::Male => 156.0 + (258.0 - 156.0) * ((years.clamp(3.0, 18.0) - 3.0) / 15.0),
        Sex::Female => 153.0 + (234.0 - 153.0) * ((years.clamp(3.0, 17.0) - 3.0) / 14.0),
    }
}

/// When a bone appears, and how thick its cartilage is at 4 years (mm of the adult plan).
fn growth(name: &str) -> (f64, f64) {
    match name {
        "calcaneus" => (0.0, 3.4),
        "talus" => (0.0, 3.2),
        "cuboid" => (0.3, 2.8),
        "lateral cuneiform" => (0.7, 2.4),
        "medial cuneiform" => (2.0, 2.9),
        "intermediate cuneiform" => (3.0, 2.9),
        "navicular" => (3.0, 3.8),
        "medial sesamoid" | "lateral sesamoid" => (10.0, 2.6),
        "tibia" | "fibula" => (0.0, 0.9),
        metatarsal if metatarsal.starts_with("metatarsal") => (0.0, 0.8),
        _ => (0.0, 0.6),
    }
}

/// Cartilage around a bone, mm of the adult plan; `None` where there is no bone yet.
pub(crate) fn inset_mm(name: &str, years: f64) -> Option<f64> {
    let (from, at_four) = growth(name);
    if years < from {
        return None;
    }
    let left = ((GROWN_YEARS - years) / (GROWN_YEARS - 4.0)).clamp(0.0, 1.25);
    Some(if name.ends_with("sesamoid") {
        at_four * ((GROWN_YEARS - years) / (GROWN_YEARS - from)).clamp(0.0, 1.0)
    } else {
        at_four * left.powf(1.2)
    })
}

/// A flat growth plate across a long bone, in the plan.
struct Plate {
    at: P,
    along: P,
}

/// Growth plates that are open in childhood.
fn plate_of(name: &str, grid: &Grid) -> Option<Plate> {
    let rays = plan::rays();
    if let Some(n) = name
        .strip_prefix("metatarsal ")
        .and_then(|n| n.parse::<usize>().ok())
    {
        let ray = rays.get(n.checked_sub(1)?)?;
        let along = (ray.head - ray.base).normalize();
        // The first grows at its base, the others at their heads.
        let at = if n == 1 {
            ray.base + along * 8.0
        } else {
            ray.head - along * 5.5
        };
        return Some(Plate { at, along });
    }
    match name {
        "tibia" => Some(Plate {
            at: P::new(60.0, 103.0, -4.0),
            along: P::y(),
        }),
        "fibula" => Some(Plate {
            at: P::new(57.0, 88.0, 19.0),
            along: P::y(),
        }),
        toe if toe.starts_with("toe ") => {
            let (low, high) = bounds(grid)?;
            let small = high.x - low.x < 14.0;
            let deep = if toe.ends_with("proximal") { 6.5 } else { 4.2 };
            (!small).then(|| Plate {
                at: P::new(low.x + deep, 0.0, 0.0),
                along: P::x(),
            })
        }
        _ => None,
    }
}

fn bounds(grid: &Grid) -> Option<(P, P)> {
    let mut found: Option<(P, P)> = None;
    for k in 0..grid.size[2] {
        for j in 0..grid.size[1] {
            for i in 0..grid.size[0] {
                if grid.values[grid.index(i, j, k)] < 0.0 {
                    let q = grid.place(i, j, k);
                    let (low, high) = found.unwrap_or((q, q));
                    found = Some((low.inf(&q), high.sup(&q)));
                }
            }
        }
    }
    found
}

/// The bones that a child of this age has.
pub(crate) fn bones(adult: &[PlanBone], years: f64) -> Vec<PlanBone> {
    if years >= GROWN_YEARS {
        return adult.to_vec();
    }
    adult
        .par_iter()
        .filter_map(|b| child_bone(b, years))
        .collect()
}

fn child_bone(adult: &PlanBone, years: f64) -> Option<PlanBone> {
    let inset = inset_mm(adult.name, years)?;
    let rounded = adult
        .grid
        .blurred((inset / adult.grid.step).round() as usize);
    let plate = plate_of(adult.name, &adult.grid).filter(|_| years < GROWN_YEARS - 1.0);
    let half_gap = 0.9;
    let heel = (adult.name == "calcaneus").then_some(years);
    let grid = rounded.map(|q, d| {
        let mut d = d + inset;
        if let Some(p) = &plate {
            d = meet(d, half_gap - (q - p.at).dot(&p.along).abs(), 0.6);
        }
        if let Some(years) = heel {
            d = meet(d, apophysis_gap(q, years), 0.8);
        }
        d
    });
    let outer = nets::surface(&grid, 60);
    if outer.triangles.is_empty() {
        return None;
    }
    let shell = if inset > 1.5 { 0.8 } else { 1.0 };
    let inner = nets::surface(&grid.map(|_, d| d + shell), 20);
    Some(PlanBone {
        name: adult.name,
        outer: Arc::new(outer),
        inner: Arc::new(inner),
        density: adult.density * (0.72 + 0.02 * years),
        grid: Arc::new(grid),
        inset,
    })
}

/// Behind the heel bone: nothing before 7 years, then a crescent of its own behind a dark line.
fn apophysis_gap(q: P, years: f64) -> f64 {
    // Rear border of the heel bone's body, a gentle arc.
    let behind = 17.0 - ((q.x - 60.0).hypot(q.y - 36.0) - 43.0 + 17.0);
    let front_of_line = -behind;
    if years < 7.0 {
        front_of_line
    } else {
        1.0 - behind.abs()
    }
}
