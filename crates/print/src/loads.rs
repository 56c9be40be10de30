//! How is the load spread under the sole, and which way does it pass?

use crate::index::{Index, Region};
use crate::measure::{Cast, Laid, Shape};
use crate::rings::extent;
use crate::sheet::{Medium, Sheet};
use crate::steps::Place;
use geometry::{Line, Vec2};
use quantity::Estimate;
use serde::Serialize;

/// One region: share of the foot's load over the whole recording, and the greatest pressure in it.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct RegionLoad {
    pub region: Region,
    pub load_share: Estimate,
    pub peak: Estimate,
}

/// The centre of pressure in one frame.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct PathPoint {
    pub frame: usize,
    pub at: Place,
    pub force_n: f64,
}

/// What a pressure grid says beyond its outline.
///
/// # Assumptions
/// Only cells of the foot's own print count. A frame whose force is under 2 % of the greatest has no centre (common
/// practice, unconfirmed).
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PressureReading {
    pub regions: Vec<RegionLoad>,
    /// In cells of the sheet; empty for a single grid.
    pub path: Vec<PathPoint>,
    /// Sum of the force over all frames; two feet are compared by it.
    pub force_sum_n: f64,
}

pub(crate) const VALUES: usize = 2 * Region::ALL.len();

/// Numbers of one way to lay the foot out.
pub(crate) struct Loads {
    /// Share of each region in percent, then the peak of each.
    pub values: [Option<f64>; VALUES],
    pub rear: Option<f64>,
    pub excursion: Option<f64>,
    pub path: Vec<PathPoint>,
    pub force_sum_n: f64,
    /// Chord's ends and the point farthest from it, in the foot's frame.
    pub chord: Option<[Vec2; 3]>,
}

const LEAST_FRAMES: usize = 5;
const LEAST_FORCE: f64 = 0.02;

pub(crate) fn loads(sheet: &Sheet, cast: &Cast, laid: &Laid, shape: &Shape) -> Option<Loads> {
    if sheet.medium != Medium::Pressure {
        return None;
    }
    let (width, _, values) = sheet.worked();
    let (outer, inner) = shape.ball.outer().zip(shape.ball.inner())?;
    let (heel_end, toe_end) = extent(&laid.all)?;
    let region = |p: Vec2| {
        let inner_third = p.y > outer + (inner - outer) * 2.0 / 3.0;
        let outer_third = p.y < outer + (inner - outer) / 3.0;
        if p.x > laid.edge.at(p.y) {
            return if inner_third {
                Region::GreatToe
            } else {
                Region::LesserToes
            };
        }
        match (p.x, p.y) {
            (x, _) if x < shape.thirds[1] => Region::Heel,
            (x, y) if x < shape.thirds[2] && y > 0.0 => Region::MidfootInner,
            (x, _) if x < shape.thirds[2] => Region::MidfootOuter,
            _ if inner_third => Region::ForefootInner,
            _ if outer_third => Region::ForefootOuter,
            _ => Region::ForefootMiddle,
        }
    };
    struct Cell {
        at: usize,
        local: Vec2,
        place: Place,
        region: usize,
    }
    let cells: Vec<Cell> = cast
        .mask
        .cells()
        .map(|(x, y)| {
            let place = [x as f64, y as f64];
            let local = laid.frame.local(sheet.scale.on_ground(place));
            let region = Region::ALL.iter().position(|r| *r == region(local));
            Cell {
                at: y * width + x,
                local,
                place,
                region: region.unwrap_or(0),
            }
        })
        .collect();
    let newtons = cast.cell * cast.cell / 1000.0;
    let mut share = [0.0; Region::ALL.len()];
    let mut peak = [f64::NEG_INFINITY; Region::ALL.len()];
    let (mut all, mut rear) = (0.0, 0.0);
    let middle = 0.5 * (heel_end + toe_end);
    let mut centres: Vec<(usize, f64, Place, Vec2)> = Vec::new();
    let single = [values.to_vec()];
    let frames = if sheet.frames.is_empty() {
        &single[..]
    } else {
        &sheet.frames[..]
    };
    for (number, frame) in frames.iter().enumerate() {
        let (mut sum, mut place, mut local) = (0.0, [0.0; 2], Vec2::new(0.0, 0.0));
        for cell in &cells {
            let kpa = f64::from(frame[cell.at]);
            let force = kpa * newtons;
            share[cell.region] += force;
            peak[cell.region] = peak[cell.region].max(kpa);
            sum += force;
            if cell.local.x < middle {
                rear += force;
            }
            place = [0, 1].map(|k| place[k] + force * cell.place[k]);
            local = local.plus(cell.local.scaled(force));
        }
        all += sum;
        if sum > 0.0 {
            centres.push((number, sum, place.map(|c| c / sum), local.scaled(1.0 / sum)));
        }
    }
    if all <= 0.0 {
        return None;
    }
    let most = centres.iter().map(|c| c.1).fold(0.0, f64::max);
    centres.retain(|c| c.1 >= LEAST_FORCE * most);
    if sheet.frames.is_empty() {
        centres.clear();
    }
    let path: Vec<Vec2> = centres.iter().map(|c| c.3).collect();
    let chord = farthest(&path, toe_end - (toe_end - heel_end) / 3.0);
    let mut values = [None; VALUES];
    for (k, (s, p)) in share.iter().zip(peak).enumerate() {
        values[k] = Some(100.0 * s / all);
        values[k + Region::ALL.len()] = p.is_finite().then_some(p);
    }
    Some(Loads {
        values,
        rear: Some(100.0 * rear / all),
        excursion: chord.map(|(out, _)| 100.0 * out / (inner - outer)),
        chord: chord.map(|(_, c)| c),
        path: centres
            .iter()
            .map(|(frame, force_n, at, _)| PathPoint {
                frame: *frame,
                at: *at,
                force_n: *force_n,
            })
            .collect(),
        force_sum_n: all,
    })
}

/// The greatest distance outwards from the chord, over the path where it lies beyond `from`.
fn farthest(path: &[Vec2], from: f64) -> Option<(f64, [Vec2; 3])> {
    let ([first, ..], [.., last]) = (path, path) else {
        return None;
    };
    if path.len() < LEAST_FRAMES {
        return None;
    }
    let chord = Line::between(*first, *last);
    if chord.along.length() < 1e-6 {
        return None;
    }
    // Where the path passes into the front third counts too.
    let entries = path.windows(2).filter_map(|w| {
        let (a, b) = (w[0], w[1]);
        let t = (from - a.x) / (b.x - a.x);
        (0.0..=1.0)
            .contains(&t)
            .then(|| a.plus(b.minus(a).scaled(t)))
    });
    path.iter()
        .copied()
        .filter(|p| p.x >= from)
        .chain(entries)
        .map(|p| (-chord.offset_of(p), [*first, *last, p]))
        .max_by(|a, b| a.0.total_cmp(&b.0))
}

impl Loads {
    pub(crate) fn value(&self, index: Index) -> Option<f64> {
        match index {
            Index::ExcursionIndex => self.excursion,
            Index::RearLoad => self.rear,
            _ => None,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_excursion_is_the_greatest_distance_outwards_in_the_front_third() {
        let path: Vec<Vec2> = [
            (20.0, 0.0),
            (60.0, -30.0),
            (120.0, -8.0),
            (160.0, -12.0),
            (200.0, 0.0),
        ]
        .map(|(x, y)| Vec2::new(x, y))
        .to_vec();
        let (out, at) = farthest(&path, 150.0).unwrap();
        assert!((out - 12.0).abs() < 1e-12, "{out}");
        assert_eq!(at[2], Vec2::new(160.0, -12.0));
        assert_eq!(farthest(&path[..4], 150.0), None, "too few frames");
    }
}
