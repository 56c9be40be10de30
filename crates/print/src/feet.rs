//! Which parts make a foot? Heel and ball may be apart, and two feet may stand side by side.
//!
//! The large parts are split by straight lines until each group looks like the toeless print of one foot: by the
//! smallest rectangle around it. Toes are too small to change that and are taken in afterwards by their place.

use crate::PrintError;
use crate::field::Field;
use crate::outline::hull;
use crate::scale::Scale;
use crate::spots::Part;
use geometry::Vec2;

/// The smallest rectangle around a group.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Rectangle {
    pub length: f64,
    pub width: f64,
    /// Unit vector along its longer side; which end is the heel is not said.
    pub along: Vec2,
    pub centre: Vec2,
}

fn rectangle(points: &[Vec2]) -> Option<Rectangle> {
    let hull = hull(points);
    if hull.len() < 3 {
        return None;
    }
    let mut best: Option<Rectangle> = None;
    for (i, a) in hull.iter().enumerate() {
        let along = hull[(i + 1) % hull.len()].minus(*a).unit();
        let across = Vec2::new(-along.y, along.x);
        let span = |d: Vec2| {
            let at = hull.iter().map(|p| p.dot(d));
            at.fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), v| {
                (l.min(v), h.max(v))
            })
        };
        let ((a0, a1), (b0, b1)) = (span(along), span(across));
        let (one, two) = (a1 - a0, b1 - b0);
        let centre = along
            .scaled(0.5 * (a0 + a1))
            .plus(across.scaled(0.5 * (b0 + b1)));
        let found = if one >= two {
            Rectangle {
                length: one,
                width: two,
                along,
                centre,
            }
        } else {
            Rectangle {
                length: two,
                width: one,
                along: across,
                centre,
            }
        };
        if best.is_none_or(|b| found.length * found.width < b.length * b.width) {
            best = Some(found);
        }
    }
    best
}

/// A part on the ground.
#[derive(Debug, Clone)]
pub(crate) struct Lying {
    /// Its place in the list of parts.
    pub index: usize,
    pub area: f64,
    pub hull: Vec<Vec2>,
    pub centre: Vec2,
    pub at_rim: bool,
    /// Beyond the dividing line.
    pub beyond: bool,
}

impl Lying {
    /// What is no part of its own.
    pub fn of_hull(hull: Vec<Vec2>, area: f64) -> Lying {
        let sum = hull.iter().fold(Vec2::new(0.0, 0.0), |s, p| s.plus(*p));
        Lying {
            index: usize::MAX,
            area,
            centre: sum.scaled(1.0 / hull.len().max(1) as f64),
            hull,
            at_rim: false,
            beyond: false,
        }
    }

    /// Does its hull hold this place?
    pub fn covers(&self, p: Vec2) -> bool {
        let n = self.hull.len();
        let turn = |i: usize| {
            let (a, b) = (self.hull[i], self.hull[(i + 1) % n]);
            b.minus(a).cross(p.minus(a))
        };
        (0..n).all(|i| turn(i) >= 0.0) || (0..n).all(|i| turn(i) <= 0.0)
    }
}

pub(crate) fn lying(parts: &[Part], field: &Field, scale: &Scale) -> Vec<Lying> {
    let step = field.step as f64;
    parts
        .iter()
        .enumerate()
        .map(|(index, part)| {
            let ground = |p: &Vec2| scale.on_ground(field.to_cells([p.x, p.y]));
            let cell = step * scale.cell_on_ground(field.to_cells(part.seed));
            // Half a cell all round, for the hull goes through cells' centres.
            let spread = [(-0.5, -0.5), (0.5, -0.5), (0.5, 0.5), (-0.5, 0.5)];
            let corners: Vec<Vec2> = part
                .hull
                .iter()
                .flat_map(|p| spread.map(|(dx, dy)| Vec2::new(p.x + dx, p.y + dy)))
                .collect();
            let hull: Vec<Vec2> = hull(&corners).iter().map(ground).collect();
            Lying {
                index,
                at_rim: part.at_rim,
                beyond: part.beyond,
                ..Lying::of_hull(hull, part.cells as f64 * cell * cell)
            }
        })
        .collect()
}

/// A foot: its large parts, and the rectangle around them.
#[derive(Debug, Clone)]
pub(crate) struct Body {
    pub parts: Vec<Lying>,
    pub rectangle: Rectangle,
    pub area: f64,
}

/// Toeless prints are 0.35 to 0.45 as broad as long, with toes a little less; broad enough bounds for small
/// children and for a walk that smears (common practice, unconfirmed).
const ASPECT: std::ops::RangeInclusive<f64> = 0.22..=0.68;
/// Of the rectangle a print fills a half to three quarters, less where the arch is broken; a filled rectangle is no
/// foot.
const FILLED: std::ops::RangeInclusive<f64> = 0.2..=0.88;
/// Of a broken print the ball or the heel is the larger part; letters are all of one size.
const LARGEST: f64 = 0.3;
/// More spots of about the largest one's size than so many are writing or a pattern: two people's broken prints are
/// eight.
const ALIKE: usize = 12;
/// More shapes like feet than so many are letters.
const FEET: usize = 4;
const LENGTH_MM: std::ops::RangeInclusive<f64> = 60.0..=360.0;

pub(crate) fn body(parts: &[&Lying], known: bool) -> Option<Body> {
    let points: Vec<Vec2> = parts.iter().flat_map(|p| p.hull.iter().copied()).collect();
    let rectangle = rectangle(&points)?;
    let area: f64 = parts.iter().map(|p| p.area).sum();
    let largest = parts.iter().map(|p| p.area).fold(0.0, f64::max);
    let good = largest >= LARGEST * area
        && ASPECT.contains(&(rectangle.width / rectangle.length))
        && FILLED.contains(&(area / (rectangle.length * rectangle.width)))
        && (!known || LENGTH_MM.contains(&rectangle.length));
    good.then(|| Body {
        parts: parts.iter().map(|p| (*p).clone()).collect(),
        rectangle,
        area,
    })
}

fn split(parts: &[&Lying], known: bool, depth: usize) -> Option<Vec<Body>> {
    let whole = body(parts, known).map(|b| vec![b]);
    if depth == 0 || parts.len() < 2 {
        return whole;
    }
    let mut best: Option<(f64, Vec<Body>)> = None;
    let mut tried: Vec<Vec<usize>> = Vec::new();
    for turn in 0..16 {
        let angle = f64::from(turn) * std::f64::consts::PI / 16.0;
        let across = Vec2::new(angle.cos(), angle.sin());
        let mut sorted = parts.to_vec();
        sorted.sort_by(|a, b| a.centre.dot(across).total_cmp(&b.centre.dot(across)));
        for at in 1..sorted.len() {
            let (one, two) = sorted.split_at(at);
            let mut names: Vec<usize> = one.iter().map(|p| p.index).collect();
            names.sort_unstable();
            if tried.contains(&names) {
                continue;
            }
            tried.push(names);
            let found = split(one, known, depth - 1).zip(split(two, known, depth - 1));
            if let Some((mut a, b)) = found {
                a.extend(b);
                let cost = a
                    .iter()
                    .map(|f| f.rectangle.length * f.rectangle.width)
                    .sum();
                if best.as_ref().is_none_or(|(c, _)| cost < *c) {
                    best = Some((cost, a));
                }
            }
        }
    }
    // Two small feet side by side fill a rectangle like that of one broad foot; but heel and ball of one foot never
    // look like two feet of a size.
    match best.map(|(_, bodies)| bodies) {
        Some(bodies) if whole.as_ref().is_none_or(|w| alike(&bodies, &w[0])) => Some(bodies),
        _ => whole,
    }
}

/// Two feet of one size, each nearly as long as both together: side by side, not heel and ball. More than two,
/// none much smaller than the others, are no parts of one foot.
fn alike(bodies: &[Body], whole: &Body) -> bool {
    let ratio = |size: &dyn Fn(&Body) -> f64| {
        let sizes = bodies.iter().map(size);
        let (low, high) = sizes.fold((f64::INFINITY, 0.0_f64), |(l, h), s| (l.min(s), h.max(s)));
        low / high
    };
    let long = bodies
        .iter()
        .all(|b| b.rectangle.length > 0.6 * whole.rectangle.length);
    let (length, area) = (ratio(&|b| b.rectangle.length), ratio(&|b| b.area));
    (long && length > 0.75 && area > 0.5) || (bodies.len() > 2 && length > 0.5 && area > 0.25)
}

fn written(spots: usize) -> PrintError {
    PrintError::NoFoot {
        found: format!("{spots} spots of about one size, as writing or a pattern has"),
    }
}

/// The feet of a sheet, and whether one at the edge was left out.
pub(crate) fn bodies(all: &[Lying], known: bool) -> Result<(Vec<Body>, bool), PrintError> {
    let largest = all.iter().map(|p| p.area).fold(0.0, f64::max);
    let inner = all
        .iter()
        .filter(|p| !p.at_rim)
        .map(|p| p.area)
        .fold(0.0, f64::max);
    let alike = all.iter().filter(|p| !p.at_rim && p.area >= 0.35 * inner);
    let alike = alike.count();
    if alike > ALIKE {
        return Err(written(alike));
    }
    let large = |share: f64| -> Vec<&Lying> {
        let fits = |p: &&Lying| !p.at_rim && p.area >= share * inner;
        all.iter().filter(fits).take(12).collect()
    };
    let found = [0.1, 0.2, 0.35]
        .into_iter()
        .find_map(|share| split(&large(share), known, 3));
    let at_edge = |least: f64| all.iter().any(|p| p.at_rim && p.area >= least);
    match found {
        Some(feet) if feet.len() > FEET => Err(written(feet.len())),
        Some(feet) if feet.len() > 2 => Err(PrintError::TooManyFeet { found: feet.len() }),
        // Toes alone may look like a small foot while the rest of theirs runs over the edge; a table around the
        // paper is no foot, for it surrounds what was found.
        Some(feet)
            if feet.iter().all(|f| {
                let larger =
                    |p: &Lying| p.at_rim && p.area > 1.5 * f.area && !p.covers(f.rectangle.centre);
                all.iter().any(larger)
            }) =>
        {
            Err(PrintError::HalfFoot)
        }
        Some(mut feet) => {
            feet.sort_by(|a, b| a.rectangle.centre.x.total_cmp(&b.rectangle.centre.x));
            let least = feet.iter().map(|f| f.area).fold(f64::INFINITY, f64::min);
            // The ground itself may be a part at the edge, a shadow or a table; only what is of a foot's size counts.
            let most = 2.5 * least;
            let cut_off = all
                .iter()
                .any(|p| p.at_rim && p.area >= 0.3 * least && p.area <= most);
            Ok((feet, cut_off))
        }
        None if at_edge(0.2 * largest) => Err(PrintError::HalfFoot),
        None => Err(PrintError::NoFoot {
            found: match all.len() {
                0 => "nothing stands out from the ground".into(),
                1 => "one spot, not shaped like a foot".into(),
                n => format!("{n} spots, none shaped like a foot"),
            },
        }),
    }
}
