//! Which way does a foot lie, which foot is it, and where is its axis?

use crate::outline::Ring;
use crate::rings::{Section, ToeEdge, extent, sections, tangent};
use crate::sheet::Seen;
use crate::toes::{Toes, line, told};
use geometry::Vec2;
use terms::Side;

/// The foot's own directions on the ground: x from heel to toes, y to the inner side.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Frame {
    pub origin: Vec2,
    pub along: Vec2,
    pub inner: Vec2,
}

impl Frame {
    /// `None` where the two points are one.
    pub fn of(from: Vec2, towards: Vec2, side: Side, seen: Seen) -> Option<Frame> {
        let along = towards.minus(from).unit();
        along.is_finite().then(|| {
            // Toes up and seen from above (y down), the inner side of a right foot lies to the left.
            let left = Vec2::new(along.y, -along.x);
            let inner_is_left = (side == Side::Right) == (seen == Seen::FromAbove);
            Frame {
                origin: from,
                along,
                inner: if inner_is_left {
                    left
                } else {
                    left.scaled(-1.0)
                },
            }
        })
    }

    /// Turned about the heel, towards the inner side.
    pub fn turned(&self, radians: f64) -> Frame {
        let (s, c) = radians.sin_cos();
        Frame {
            origin: self.origin,
            along: self.along.scaled(c).plus(self.inner.scaled(s)),
            inner: self.inner.scaled(c).minus(self.along.scaled(s)),
        }
    }

    pub fn local(&self, ground: Vec2) -> Vec2 {
        let d = ground.minus(self.origin);
        Vec2::new(d.dot(self.along), d.dot(self.inner))
    }

    pub fn ground(&self, local: Vec2) -> Vec2 {
        self.origin
            .plus(self.along.scaled(local.x))
            .plus(self.inner.scaled(local.y))
    }

    /// Rings in this frame, outer ones with a positive area again.
    pub fn rings(&self, ground: &[Ring]) -> Vec<Ring> {
        let mirrored = self.along.cross(self.inner) < 0.0;
        ground
            .iter()
            .map(|r| {
                let mut ring: Ring = r.iter().map(|p| self.local(*p)).collect();
                if mirrored {
                    ring.reverse();
                }
                ring
            })
            .collect()
    }
}

/// How sure the shape is that the toes lie along +x, as a number: above 0 yes, beyond ±1 surely.
///
/// The ball is broader than the heel, and small parts (toes) lie before it.
pub(crate) fn forwards(body: &[Ring], toes_before: usize, toes_behind: usize) -> f64 {
    let Some((back, front)) = extent(body) else {
        return 0.0;
    };
    let cuts = sections(body, back, front, 90);
    let breadth = |s: &Section| s.outer().zip(s.inner()).map_or(0.0, |(o, i)| i - o);
    let most = |s: &[Section]| s.iter().map(breadth).fold(0.0, f64::max);
    let (rear, fore) = (most(&cuts[..32]), most(&cuts[58..]));
    8.0 * (fore / rear.max(1e-9)).ln() + 0.9 * (toes_before as f64 - toes_behind as f64)
}

/// Toes lie side by side over a tenth of a foot's length or so, fingers over two fifths of a hand's.
const FINGERS: f64 = 0.22;

/// Do three or more long parts lie side by side, as fingers do?
pub(crate) fn fingers(rings: &[Ring]) -> bool {
    let Some((back, front)) = extent(rings) else {
        return false;
    };
    let length = front - back;
    let apart = |cut: &Section| {
        let broad = cut.spans.iter().filter(|(o, i)| i - o > 0.02 * length);
        let gaps = cut
            .spans
            .windows(2)
            .filter(|w| w[1].0 - w[0].1 > 0.012 * length);
        broad.count() >= 3 && gaps.count() >= 2
    };
    let cuts = sections(rings, back, front, 120);
    let beside = cuts.iter().filter(|c| apart(c)).count();
    beside as f64 > FINGERS * cuts.len() as f64
}

/// A frame turned so that it runs from the middle of the heel to the middle of the ball: a first one may lie askew
/// by as much as the arch is deep.
pub(crate) fn straightened(ground: &[Ring], frame: Frame) -> Frame {
    let mut frame = frame;
    for _ in 0..3 {
        let Some(toes) = told(&frame.rings(ground)) else {
            return frame;
        };
        let Some((back, front)) = extent(&toes.body) else {
            return frame;
        };
        let cuts = sections(&toes.body, back, front, 100);
        let middle = |part: &[Section]| -> Option<Vec2> {
            let mids: Vec<Vec2> = part
                .iter()
                .filter_map(|c| Some(Vec2::new(c.x, 0.5 * (c.outer()? + c.inner()?))))
                .collect();
            let sum = mids.iter().fold(Vec2::new(0.0, 0.0), |s, p| s.plus(*p));
            (!mids.is_empty()).then(|| sum.scaled(1.0 / mids.len() as f64))
        };
        let Some((heel, ball)) = middle(&cuts[5..25]).zip(middle(&cuts[68..85])) else {
            return frame;
        };
        frame = frame.turned(ball.minus(heel).direction());
    }
    frame
}

/// Weight of the foremost print's place across.
const TIP: f64 = 10.0;

/// How strongly the shape says that the inner side lies along +y (negative: along −y).
///
/// The arch is hollow on the inner side; the great toe is the largest print before the ball, on the inner side; and the
/// foremost print lies there too. The weights are set by hand on phantoms and on recorded walks.
pub(crate) fn inner_along_y(body: &[Ring], toes: &Toes) -> f64 {
    let Some((back, front)) = extent(body) else {
        return 0.0;
    };
    let length = front - back;
    let cuts = sections(body, back, front, 120);
    let breadth = cuts
        .iter()
        .map(Section::width)
        .fold(0.0, f64::max)
        .max(1e-9);
    let hollow = |inner: bool| -> f64 {
        let Some([a, b]) = tangent(body, back + 0.5 * length, inner) else {
            return 0.0;
        };
        let line = |x: f64| a.y + (b.y - a.y) * (x - a.x) / (b.x - a.x);
        let within = cuts.iter().filter(|c| c.x > a.x && c.x < b.x);
        let depths = within.filter_map(|c| {
            let edge = if inner { c.inner() } else { c.outer() }?;
            Some((line(c.x) - edge).abs())
        });
        depths.sum::<f64>() / 120.0 / breadth
    };
    let mut score = 25.0 * (hollow(true) - hollow(false));
    let middle = {
        let front_third = cuts.iter().filter(|c| c.x > back + 0.7 * length);
        let mids: Vec<f64> = front_third
            .filter_map(|c| c.outer().zip(c.inner()).map(|(o, i)| 0.5 * (o + i)))
            .collect();
        mids.iter().sum::<f64>() / mids.len().max(1) as f64
    };
    // The foremost print is the great toe's or the second's, whether or not it is told from the ball.
    let all: Vec<Ring> = body
        .iter()
        .chain(toes.toes.iter().map(|t| &t.ring))
        .cloned()
        .collect();
    if let Some((_, tip)) = extent(&all) {
        let ahead = sections(&all, tip - 0.13 * (tip - back), tip, 20);
        let spans = ahead.iter().flat_map(|c| c.spans.iter());
        let (sum, weight) = spans.fold((0.0, 0.0), |(s, w), (o, i)| {
            (s + 0.5 * (i + o) * (i - o), w + (i - o))
        });
        if weight > 0.0 {
            score += TIP * (sum / weight - middle) / breadth;
        }
    }
    let mut by_size: Vec<(f64, f64)> = toes.toes.iter().map(|t| (t.area, t.centre.y)).collect();
    by_size.sort_by(|a, b| b.0.total_cmp(&a.0));
    if let Some((largest, y)) = by_size.first() {
        let clear = by_size.get(1).is_none_or(|(next, _)| *largest > 1.4 * next);
        // One or two told may be the outer ones while the great toe hangs on the ball.
        if clear && by_size.len() >= 3 {
            score += 8.0 * (y - middle) / breadth;
        }
    }
    score
}

/// What the axis rule found, in the frame it was asked in.
#[derive(Debug, Clone)]
pub(crate) struct AxisFound {
    pub heel: Vec2,
    pub toe: Vec2,
    pub second_toe_told: bool,
}

/// Heel's centre and second toe for a frame whose y runs to the inner side. See [`crate::Axis`] for the rule.
pub(crate) fn axis(rings: &[Ring]) -> Option<(AxisFound, Toes)> {
    let toes = told(rings)?;
    let (back, front) = extent(&toes.body)?;
    let length = front - back;
    let cuts = sections(&toes.body, back, front, 200);
    let mids: Vec<f64> = cuts[10..20]
        .iter()
        .filter_map(|c| c.outer().zip(c.inner()).map(|(o, i)| 0.5 * (o + i)))
        .collect();
    if mids.is_empty() {
        return None;
    }
    let heel = Vec2::new(
        back + 0.15 * length,
        mids.iter().sum::<f64>() / mids.len() as f64,
    );
    let second = second_toe(&toes);
    let toe = second.or_else(|| {
        // The second ray meets the ball at about two fifths of its breadth from the inner side.
        let breadth = |c: &&Section| c.outer().zip(c.inner()).map_or(0.0, |(o, i)| i - o);
        let ball = cuts[134..]
            .iter()
            .max_by(|a, b| breadth(a).total_cmp(&breadth(b)))?;
        let (outer, inner) = ball.outer().zip(ball.inner())?;
        Some(Vec2::new(ball.x, inner - 0.4 * (inner - outer)))
    })?;
    let found = AxisFound {
        heel,
        toe,
        second_toe_told: second.is_some(),
    };
    Some((found, toes))
}

/// The second print from the inner side, where the first is the great toe: the innermost, and clearly the largest.
fn second_toe(toes: &Toes) -> Option<Vec2> {
    let mut from_inside: Vec<_> = toes.toes.iter().collect();
    from_inside.sort_by(|a, b| b.centre.y.total_cmp(&a.centre.y));
    let great = from_inside.first()?;
    let second = from_inside.get(1)?;
    let largest = from_inside
        .iter()
        .skip(1)
        .all(|t| great.area > 1.15 * t.area);
    (largest || from_inside.len() == 5).then_some(second.centre)
}

/// Turns a first frame until axis and frame agree; the frame, what the axis rule found in it, and the toes.
pub(crate) fn settled(ground: &[Ring], first: Frame) -> Option<(Frame, AxisFound, Toes)> {
    let mut frame = first;
    let mut last = None;
    for _ in 0..8 {
        let rings = frame.rings(ground);
        let (found, toes) = axis(&rings)?;
        let d = found.toe.minus(found.heel);
        let next = Frame {
            origin: frame.ground(found.heel),
            ..frame.turned(d.direction())
        };
        if !next.along.is_finite() || d.direction().abs() > 0.8 {
            return None;
        }
        frame = next;
        last = Some((found, toes));
        if d.direction().abs() < 1e-6 {
            break;
        }
    }
    last?;
    // Once more, so that what is told lies in the frame that is given back.
    let (found, toes) = axis(&frame.rings(ground))?;
    Some((frame, found, toes))
}

/// The toe line for told toes; where none were told, just before the print, and for grids of coarse cells by the
/// shares at which balls end (common practice, unconfirmed: 0.81 of the length inside, 0.70 outside).
pub(crate) fn toe_line(toes: &Toes, all: &[Ring], coarse: bool) -> Option<Vec<Vec2>> {
    let (back, front) = extent(all)?;
    let length = front - back;
    // On coarse cells a toe or two may be told while the rest hang on the ball; all or none is steadier.
    if toes.toes.len() >= if coarse { 4 } else { 1 } {
        return line(toes, length);
    }
    let ys = all.iter().flatten().map(|p| p.y);
    let (low, high) = ys.fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), y| {
        (l.min(y), h.max(y))
    });
    let (inside, outside) = if coarse {
        (back + 0.81 * length, back + 0.70 * length)
    } else {
        (front + 0.01 * length, front + 0.01 * length)
    };
    Some(vec![Vec2::new(outside, low), Vec2::new(inside, high)])
}

/// The part behind a toe line, and the part before it.
pub(crate) fn parted(
    rings: &[Ring],
    toe_line: &[Vec2],
    moved: f64,
) -> Option<(Vec<Ring>, Vec<Ring>)> {
    Some(ToeEdge::of(toe_line)?.moved(moved).parted(rings))
}
