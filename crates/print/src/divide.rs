//! Where do two prints that touch part?
//!
//! A straight line crosses the least print where two feet touch: at the neck between two balls, or over two necks where
//! the heels touch too. It is taken where it leaves a foot of like size on either side and both turn their inner
//! sides to it; else the line is asked for.
//!
//! One surprise: what of one foot lies beyond the line is lost to the other and is not drawn back; the line's error says
//! how much that may be.

use crate::feet::{Lying, body};
use crate::outline::hull;
use crate::printed::Printed;
use crate::spots::Mask;
use crate::steps::Place;
use geometry::Vec2;
use serde::{Deserialize, Serialize};

/// A straight line over the whole sheet that belongs to no print.
///
/// # Uncertainty
/// `standard_error_cells`: how far across the line the hidden border of either foot may lie. Two round borders that
/// cross over a neck of length c hide c²/8R of each; R is a ninth of the toeless length, about the ball's and the heel's
/// radius (common practice, unconfirmed).
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Divide {
    pub line: [Place; 2],
    pub standard_error_cells: f64,
}

impl Divide {
    /// The same line further across, by so many of its errors.
    pub(crate) fn moved(&self, errors: f64) -> Divide {
        let [a, b] = self.line.map(|p| Vec2::new(p[0], p[1]));
        let along = b.minus(a).unit();
        let by = Vec2::new(-along.y, along.x).scaled(errors * self.standard_error_cells);
        Divide {
            line: [a.plus(by), b.plus(by)].map(|p| [p.x, p.y]),
            ..*self
        }
    }
}

/// A line that leaves something like a foot on either side.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Proposed {
    pub divide: Divide,
    /// Little enough of either border is hidden.
    pub sure: bool,
}

/// Each side holds at least this share of the print.
const LEAST_SHARE: f64 = 0.3;
/// A neck beside the root of the smaller side's area; the broadest heel has about 0.5, a ball 0.85.
const NECK: f64 = 0.8;
const RADIUS: f64 = 1.0 / 9.0;
/// A line that may hide more of a border than this share of the toeless length is asked for.
const HIDDEN: f64 = 0.035;
/// Cells of the print that lines are first tried on.
const TRIED: f64 = 15_000.0;

/// A line in worked cells: the places whose product with `normal` is `at`.
#[derive(Debug, Clone, Copy)]
struct Cut {
    turn: f64,
    at: f64,
    /// Print on the line.
    neck: f64,
}

impl Cut {
    fn through(a: Vec2, b: Vec2) -> Cut {
        let along = b.minus(a);
        let turn = along.x.atan2(-along.y);
        Cut {
            turn,
            at: a.dot(Vec2::new(turn.cos(), turn.sin())),
            neck: 0.0,
        }
    }

    fn normal(&self) -> Vec2 {
        Vec2::new(self.turn.cos(), self.turn.sin())
    }

    /// Two places on the line, beside the first and the last of some points.
    fn ends(&self, points: &[Vec2]) -> [Vec2; 2] {
        let normal = self.normal();
        let along = Vec2::new(-normal.y, normal.x);
        let places = points.iter().map(|p| p.dot(along));
        let (low, high) = places.fold((f64::MAX, f64::MIN), |(l, h), v| (l.min(v), h.max(v)));
        [low, high].map(|v| normal.scaled(self.at).plus(along.scaled(v)))
    }
}

/// Lines that leave something like a foot on either side, the one over the least print first; at most three, of
/// different directions.
///
/// `large` parts have to look like feet, but the line passes between `all`, toes too, where it can.
pub(crate) fn lines(
    printed: &Printed,
    large: &[usize],
    all: &[usize],
    known: bool,
) -> Vec<Proposed> {
    let masks = printed.spots.mask(large).zip(printed.spots.mask(all));
    let Some((mask, whole)) = masks else {
        return Vec::new();
    };
    let every = ((whole.cells().count() as f64 / TRIED).sqrt() as usize).max(1);
    let some = |mask: &Mask| -> Vec<Vec2> {
        let even = mask
            .cells()
            .filter(|(x, y)| x % every == 0 && y % every == 0);
        even.map(|(x, y)| Vec2::new(x as f64, y as f64)).collect()
    };
    let (points, with_toes) = (some(&mask), some(&whole));
    if points.len() < 40 {
        return Vec::new();
    }
    let mut cuts: Vec<Cut> = (0..60)
        .filter_map(|k| {
            shortest(
                &with_toes,
                f64::from(k) * std::f64::consts::PI / 60.0,
                every,
            )
        })
        .map(|c| Cut {
            neck: neck(&whole, &c).0,
            ..c
        })
        .collect();
    cuts.sort_by(|a, b| a.neck.total_cmp(&b.neck));
    cuts.truncate(16);
    let mut found: Vec<(Cut, Proposed)> = Vec::new();
    let mut cuts: Vec<Cut> = cuts.iter().map(|c| settled(&whole, *c, every)).collect();
    cuts.sort_by(|a, b| a.neck.total_cmp(&b.neck));
    for cut in cuts {
        let other = |f: &(Cut, Proposed)| {
            let apart = (f.0.turn - cut.turn).rem_euclid(std::f64::consts::PI);
            apart.min(std::f64::consts::PI - apart) > 0.35
        };
        // What a line parts without crossing any print does not touch.
        if cut.neck > 0.0
            && found.len() < 3
            && found.iter().all(other)
            && let Some(line) = between_feet(printed, &mask, &points, every, &cut, known)
        {
            found.push((cut, line));
        }
    }
    found.into_iter().map(|f| f.1).collect()
}

/// The place at one direction where the line crosses the fewest points, with enough on either side.
fn shortest(points: &[Vec2], turn: f64, every: usize) -> Option<Cut> {
    let normal = Vec2::new(turn.cos(), turn.sin());
    let along: Vec<f64> = points.iter().map(|p| p.dot(normal)).collect();
    let (low, high) = along
        .iter()
        .fold((f64::MAX, f64::MIN), |(l, h), v| (l.min(*v), h.max(*v)));
    let bin = 1.5 * every as f64;
    let mut counts = vec![0_usize; ((high - low) / bin) as usize + 1];
    for v in &along {
        counts[((v - low) / bin) as usize] += 1;
    }
    let total = points.len() as f64;
    let mut below = 0_usize;
    let mut best: Option<(usize, f64)> = None;
    for k in 0..counts.len() {
        let before = below as f64;
        below += counts[k];
        if before < LEAST_SHARE * total || below as f64 > (1.0 - LEAST_SHARE) * total {
            continue;
        }
        // Two bins beside it steady what a grid's rows do to one.
        let near = counts[k.saturating_sub(1)..(k + 2).min(counts.len())]
            .iter()
            .sum();
        if best.is_none_or(|(b, _)| near < b) {
            best = Some((near, low + (k as f64 + 0.5) * bin));
        }
    }
    best.map(|(_, at)| Cut {
        turn,
        at,
        neck: 0.0,
    })
}

/// Print on a line, all together and the longest stretch, in worked cells.
fn neck(mask: &Mask, cut: &Cut) -> (f64, f64) {
    let normal = cut.normal();
    let along = Vec2::new(-normal.y, normal.x);
    let middle = Vec2::new(
        mask.left as f64 + 0.5 * mask.width as f64,
        mask.top as f64 + 0.5 * mask.height as f64,
    );
    let foot = middle.plus(normal.scaled(cut.at - middle.dot(normal)));
    let reach = mask.width.max(mask.height) as i64;
    let inside = |k: &i64| {
        let p = foot.plus(along.scaled(*k as f64));
        let (x, y) = (
            p.x.round() as i64 - mask.left,
            p.y.round() as i64 - mask.top,
        );
        x >= 0
            && y >= 0
            && (x as usize) < mask.width
            && (y as usize) < mask.height
            && mask.inside[y as usize * mask.width + x as usize]
    };
    let (mut all, mut longest, mut here) = (0_usize, 0_usize, 0_usize);
    for k in -reach..=reach {
        here = if inside(&k) { here + 1 } else { 0 };
        all += here.min(1);
        longest = longest.max(here);
    }
    (all as f64, longest as f64)
}

/// Turned and shifted in ever smaller steps while that shortens the neck.
fn settled(mask: &Mask, cut: Cut, every: usize) -> Cut {
    let mut best = cut;
    let centre = Vec2::new(
        mask.left as f64 + 0.5 * mask.width as f64,
        mask.top as f64 + 0.5 * mask.height as f64,
    );
    let (mut turn, mut shift) = (0.03, 2.0 * every as f64);
    for _ in 0..6 {
        let mut moved = true;
        let mut rounds = 0;
        while moved && rounds < 6 {
            moved = false;
            rounds += 1;
            for (t, s) in [(turn, 0.0), (-turn, 0.0), (0.0, shift), (0.0, -shift)] {
                // Turned about the middle of the print, not about the sheet's corner.
                let off = best.at - centre.dot(best.normal());
                let mut tried = Cut {
                    turn: best.turn + t,
                    ..best
                };
                tried.at = centre.dot(tried.normal()) + off + s;
                tried.neck = neck(mask, &tried).0;
                if tried.neck < best.neck {
                    best = tried;
                    moved = true;
                }
            }
        }
        turn *= 0.5;
        shift *= 0.5;
    }
    best
}

fn between_feet(
    printed: &Printed,
    mask: &Mask,
    points: &[Vec2],
    every: usize,
    cut: &Cut,
    known: bool,
) -> Option<Proposed> {
    let normal = cut.normal();
    let (one, two): (Vec<Vec2>, Vec<Vec2>) = points.iter().partition(|p| p.dot(normal) < cut.at);
    let smaller = one.len().min(two.len()) as f64;
    if cut.neck > NECK * smaller.sqrt() * every as f64 {
        return None;
    }
    let middle = one.first()?.plus(*two.first()?).scaled(0.5);
    let cell = printed.field.step as f64
        * printed
            .sheet
            .scale
            .cell_on_ground(printed.field.to_cells([middle.x, middle.y]));
    let as_part = |points: &[Vec2]| {
        let area = (points.len() * every * every) as f64 * cell * cell;
        let hull: Vec<Vec2> = hull(points).iter().map(|p| printed.on_ground(*p)).collect();
        Lying::of_hull(hull, area)
    };
    let (a, b) = (
        body(&[&as_part(&one)], known)?,
        body(&[&as_part(&two)], known)?,
    );
    let like = |x: f64, y: f64, least: f64| x.min(y) > least * x.max(y);
    let (long, short) = (a.rectangle.length, b.rectangle.length);
    if !like(long, short, 0.75) || !like(a.area, b.area, 0.5) {
        return None;
    }
    let line = cut.ends(points).map(|p| printed.field.to_cells([p.x, p.y]));
    let length = 0.5 * (long + short) / cell;
    let hidden = hidden(neck(mask, cut).1, length);
    Some(Proposed {
        divide: Divide {
            line,
            standard_error_cells: hidden * printed.field.step as f64,
        },
        sure: hidden <= HIDDEN * length,
    })
}

/// How much of either border a neck hides, see [`Divide`].
fn hidden(neck: f64, length: f64) -> f64 {
    (neck * neck / (8.0 * RADIUS * length))
        .min(0.5 * RADIUS * length)
        .max(0.5)
}

/// The error of a line that a hand has set over these parts.
pub(crate) fn by_hand(printed: &Printed, line: [Place; 2]) -> Divide {
    let [a, b] = line.map(|p| printed.field.to_worked(p));
    let (a, b) = (Vec2::new(a[0], a[1]), Vec2::new(b[0], b[1]));
    let cut = Cut::through(a, b);
    let parts = printed.spots.parts(printed.field, 1, 2);
    let numbers: Vec<usize> = parts.iter().map(|p| p.number).collect();
    let mask = printed.spots.mask(&numbers);
    let step = printed.field.step as f64;
    let error = mask.map_or(0.5, |mask| {
        let length = 0.9 * mask.width.max(mask.height) as f64;
        hidden(neck(&mask, &cut).1, length)
    });
    Divide {
        line,
        standard_error_cells: error * step,
    }
}
