//! What to draw over the film for a reading: its lines prolonged to where they meet, the arc, the label.
//!
//! Everything is laid out in the view's frame and then carried to film pixels, so that a flipped film
//! gets the same picture, flipped.

use crate::frame::Frame;
use crate::plan::{LineIx, Plan, PointIx, ValueIx, line, point};
use crate::sheet::{Arc, Drawing};
use geometry::{Line, Vec2};
use std::f64::consts::PI;

/// A line is prolonged past its points by this share of its length.
const PAST_END: f64 = 0.12;
/// Lines that meet further off than this many lengths are drawn without an arc.
const FAR: f64 = 1.5;
/// Below this an angle gets a wider arc, so that it can be seen: 20°.
const SHARP: f64 = PI / 9.0;

/// The drawing of one plan at the frame coordinates of its inputs.
pub(crate) fn drawing(plan: &Plan, points: &[Vec2], frame: &Frame) -> Drawing {
    let pen = Pen { frame, points };
    match plan.value {
        ValueIx::Turn {
            from,
            to,
            sign,
            offset,
        } => pen.turn(from, to, sign, offset),
        ValueIx::Elevation { line, .. } => pen.elevation(line),
        ValueIx::Height { point } => pen.height(pen.at(point), None),
        ValueIx::HeightRatio { point, back, front } => {
            pen.height(pen.at(point), Some((pen.at(back).x, pen.at(front).x)))
        }
        ValueIx::HeightDifference { point, minus } => pen.step_up(pen.at(minus), pen.at(point)),
        ValueIx::Along { from, to } => pen.step_along(pen.at(from), pen.at(to)),
        ValueIx::Uncovered { chord, edge } => {
            pen.uncovered(pen.at(chord[0]), pen.at(chord[1]), pen.at(edge))
        }
        ValueIx::HorizontalOffset { line, point } => pen.offset(line, pen.at(point)),
    }
}

/// The unit vector at an angle in radians.
fn ray(angle: f64) -> Vec2 {
    Vec2::new(angle.cos(), angle.sin())
}

/// A line with the stretch of it that the points cover.
#[derive(Clone, Copy)]
struct Span {
    line: Line,
    unit: Vec2,
    from: f64,
    to: f64,
}

impl Span {
    fn length(&self) -> f64 {
        self.to - self.from
    }

    fn at(&self, t: f64) -> Vec2 {
        self.line.through.plus(self.unit.scaled(t))
    }

    fn middle(&self) -> Vec2 {
        self.at(0.5 * (self.from + self.to))
    }

    fn place_of(&self, p: Vec2) -> f64 {
        p.minus(self.line.through).dot(self.unit)
    }

    /// How far `p`, a point of the line, lies beyond the covered stretch.
    fn beyond(&self, p: Vec2) -> f64 {
        let t = self.place_of(p);
        (self.from - t).max(t - self.to).max(0.0)
    }

    /// The stretch, prolonged to hold the points of `reach`, with a little more on both ends.
    fn prolonged(&self, reach: &[Vec2]) -> [Vec2; 2] {
        let past = PAST_END * self.length();
        let (mut from, mut to) = (self.from, self.to);
        for t in reach.iter().map(|p| self.place_of(*p)) {
            from = from.min(t);
            to = to.max(t);
        }
        [self.at(from - past), self.at(to + past)]
    }
}

struct Pen<'a> {
    frame: &'a Frame,
    points: &'a [Vec2],
}

impl Pen<'_> {
    fn at(&self, p: PointIx) -> Vec2 {
        point(p, self.points)
    }

    fn span(&self, l: LineIx) -> Span {
        let line = line(l, self.points);
        let unit = line.along.unit();
        let ends: [Vec2; 4] = match l {
            LineIx::Through(a, b) => [self.at(a), self.at(b), self.at(a), self.at(b)],
            LineIx::Bisector([a, b], [c, d]) => [self.at(a), self.at(b), self.at(c), self.at(d)],
        };
        let mut span = Span {
            line,
            unit,
            from: f64::INFINITY,
            to: f64::NEG_INFINITY,
        };
        for t in ends.map(|p| span.place_of(p)) {
            span.from = span.from.min(t);
            span.to = span.to.max(t);
        }
        span
    }

    fn px(&self, p: Vec2) -> [f64; 2] {
        self.frame.px_from_frame(p)
    }

    fn drawn(&self, segments: &[[Vec2; 2]], arc: Option<Arc>, label: Vec2) -> Drawing {
        let segments = segments
            .iter()
            .map(|[a, b]| [self.px(*a), self.px(*b)])
            .collect();
        Drawing {
            segments,
            arc,
            label_at: self.px(label),
        }
    }

    /// An arc at `centre` from the direction `from` through `sweep`, radians in the frame.
    fn arc(&self, centre: Vec2, radius: f64, from: f64, sweep: f64) -> Arc {
        let start = centre.plus(ray(from).scaled(radius));
        let (c, s) = (self.px(centre), self.px(start));
        let (dx, dy) = (s[0] - c[0], s[1] - c[1]);
        // Counter-clockwise in the frame is clockwise in angle where y points down, unless mirrored.
        let sign = if self.frame.facts.mirrored { 1.0 } else { -1.0 };
        let from_deg = dy.atan2(dx).to_degrees();
        Arc {
            centre: c,
            radius: dx.hypot(dy),
            from_deg,
            to_deg: from_deg + sign * sweep.to_degrees(),
        }
    }

    fn turn(&self, from: LineIx, to: LineIx, sign: f64, offset: f64) -> Drawing {
        let (a, b) = (self.span(from), self.span(to));
        let longest = a.length().max(b.length());
        let meeting = a
            .line
            .meets(b.line)
            .filter(|v| a.beyond(*v).max(b.beyond(*v)) <= FAR * longest);
        let Some(vertex) = meeting else {
            let label = a.middle().midpoint(b.middle());
            return self.drawn(&[a.prolonged(&[]), b.prolonged(&[])], None, label);
        };
        let turn = a.unit.turn_to(b.unit);
        let (from_angle, sweep) = if offset == 180.0 {
            // The angle of 180° + turn lies between the second line and the first one reversed.
            (b.unit.direction(), -sign * (PI + sign * turn))
        } else {
            // An offset of 90° counts from the perpendicular.
            let offset = sign * offset.to_radians();
            (a.unit.direction() - offset, turn + offset)
        };
        // The same angle opens on both sides of the vertex. Take the side of the second line, against
        // the first one prolonged; counted from a straight line, the side on which both bones lie.
        let towards = |s: &Span| {
            let v = s.middle().minus(vertex);
            let (first, second) = (v.dot(ray(from_angle)), v.dot(ray(from_angle + sweep)));
            if first.abs() > second.abs() {
                first
            } else {
                second
            }
        };
        let flip = if towards(&a) + towards(&b) < 0.0 {
            PI
        } else {
            0.0
        };
        let from_angle = from_angle + flip;
        let shortest = a.length().min(b.length());
        let radius = shortest * if sweep.abs() < SHARP { 0.9 } else { 0.45 };
        let ends = [from_angle, from_angle + sweep].map(|d| vertex.plus(ray(d).scaled(radius)));
        // Only the ends of the arc that lie on a line belong to it; the others would pull it too far.
        let own = |s: &Span| {
            let on = |p: &Vec2| s.unit.cross(p.minus(vertex)).abs() < 1e-6 * radius;
            let mut reach: Vec<Vec2> = ends.iter().copied().filter(on).collect();
            reach.push(vertex);
            s.prolonged(&reach)
        };
        let mut segments = vec![own(&a), own(&b)];
        if offset != 0.0 && offset != 180.0 {
            segments.push([vertex, vertex.plus(ray(from_angle).scaled(1.2 * radius))]);
        }
        let label = vertex.plus(ray(from_angle + 0.5 * sweep).scaled(1.35 * radius));
        self.drawn(
            &segments,
            Some(self.arc(vertex, radius, from_angle, sweep)),
            label,
        )
    }

    fn elevation(&self, l: LineIx) -> Drawing {
        let span = self.span(l);
        // The angle is drawn at the back end of the line, against a level drawn forward from there.
        let forward = span.unit.x >= 0.0;
        let (corner, direction) = if forward {
            (span.at(span.from), span.unit.direction())
        } else {
            (span.at(span.to), span.unit.scaled(-1.0).direction())
        };
        let level_end = corner.plus(Vec2::new(span.length(), 0.0));
        let radius = 0.6 * span.length();
        let half = 0.5 * direction;
        let label = corner.plus(ray(half).scaled(1.25 * radius));
        self.drawn(
            &[span.prolonged(&[]), [corner, level_end]],
            Some(self.arc(corner, radius, 0.0, direction)),
            label,
        )
    }

    fn height(&self, p: Vec2, length: Option<(f64, f64)>) -> Drawing {
        let foot = Vec2::new(p.x, 0.0);
        let (back, front) = length.unwrap_or((p.x - 0.4 * p.y.abs(), p.x + 0.4 * p.y.abs()));
        let floor = [Vec2::new(back, 0.0), Vec2::new(front, 0.0)];
        self.drawn(&[[p, foot], floor], None, p.midpoint(foot))
    }

    fn step_up(&self, low: Vec2, high: Vec2) -> Drawing {
        let x = 0.5 * (low.x + high.x);
        let (a, b) = (Vec2::new(x, low.y), Vec2::new(x, high.y));
        self.drawn(&[[low, a], [a, b], [b, high]], None, a.midpoint(b))
    }

    fn step_along(&self, from: Vec2, to: Vec2) -> Drawing {
        let y = 0.5 * (from.y + to.y);
        let (a, b) = (Vec2::new(from.x, y), Vec2::new(to.x, y));
        self.drawn(&[[from, a], [a, b], [b, to]], None, a.midpoint(b))
    }

    fn uncovered(&self, first: Vec2, second: Vec2, edge: Vec2) -> Drawing {
        let share = Line::share_of_chord(first, second, edge);
        let foot = first.plus(second.minus(first).scaled(share));
        self.drawn(&[[first, second], [foot, edge]], None, first.midpoint(foot))
    }

    fn offset(&self, l: LineIx, p: Vec2) -> Drawing {
        let span = self.span(l);
        let foot = Vec2::new(span.line.x_at(p.y), p.y);
        self.drawn(
            &[span.prolonged(&[foot]), [foot, p]],
            None,
            foot.midpoint(p),
        )
    }
}
