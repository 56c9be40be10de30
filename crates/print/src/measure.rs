//! What does a foot measure, laid out in its own frame?

use crate::index::Index;
use crate::outline::Ring;
use crate::printed::Printed;
use crate::rings::{Section, ToeEdge, area, area_between, extent, grown, sections, tangent};
use crate::shape::Frame;
use crate::sheet::{Medium, Seen, Sheet};
use crate::spots::Mask;
use crate::steps::{FootSteps, Place};
use geometry::{Line, Vec2};

/// A foot's print at one level, on the ground.
pub(crate) struct Cast {
    pub mask: Mask,
    pub ground: Vec<Ring>,
    /// Side of a worked cell on the ground, near the heel.
    pub cell: f64,
}

pub(crate) fn cast(printed: &Printed, foot: &FootSteps) -> Option<Cast> {
    let sheet = printed.sheet;
    let mask = printed.mask_of(&foot.parts.is)?;
    let ground = printed.outline(&mask);
    let cell = sheet.scale.cell_on_ground(foot.axis.is.heel_centre) * sheet.worked_step() as f64;
    Some(Cast { mask, ground, cell })
}

/// How far one step is moved to see what it does.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(crate) struct Moved {
    /// The outline outwards, in units of the ground.
    pub grown: f64,
    pub turned_rad: f64,
    /// The toe line forwards, in units of the ground.
    pub toe_line: f64,
}

/// A print in its own frame, with its toe line.
pub(crate) struct Laid {
    pub frame: Frame,
    pub all: Vec<Ring>,
    pub toeless: Vec<Ring>,
    pub edge: ToeEdge,
    /// Where the toeless print begins and ends.
    pub back: f64,
    pub front: f64,
    hand_tangent: Option<[Vec2; 2]>,
}

pub(crate) fn laid(
    sheet: &Sheet,
    seen: Seen,
    foot: &FootSteps,
    cast: &Cast,
    moved: Moved,
) -> Option<Laid> {
    let on = |p: Place| sheet.scale.on_ground(p);
    let axis = foot.axis.is;
    let frame = Frame::of(
        on(axis.heel_centre),
        on(axis.second_toe),
        foot.side.is.side,
        seen,
    )?;
    let frame = frame.turned(moved.turned_rad);
    let mut all = frame.rings(&cast.ground);
    if moved.grown != 0.0 {
        all = grown(&all, moved.grown);
    }
    let local = |p: &Place| frame.local(on(*p));
    let line: Vec<Vec2> = foot.toe_line.is.places.iter().map(local).collect();
    let edge = ToeEdge::of(&line)?.moved(moved.toe_line);
    let (toeless, _) = edge.parted(&all);
    let (mut back, mut front) = extent(&toeless)?;
    if foot.thirds.is_by_hand() {
        let [first, _, _, last] = foot.thirds.is.map(|p| local(&p).x);
        if first < last {
            (back, front) = (first, last);
        }
    }
    let by_hand = foot.inner_tangent.is_by_hand();
    let hand_tangent = foot.inner_tangent.is.filter(|_| by_hand);
    Some(Laid {
        frame,
        all,
        toeless,
        edge,
        back,
        front,
        hand_tangent: hand_tangent.map(|t| t.map(|p| local(&p))),
    })
}

/// The numbers of a shape and where they lie, in the foot's frame.
pub(crate) struct Shape {
    pub heel: Section,
    pub ball: Section,
    pub waist: Section,
    pub thirds: [f64; 4],
    pub tangent: Option<[Vec2; 2]>,
    pub deepest: Option<Vec2>,
    pub length: (f64, f64),
    /// What Clarke's angle changes if the ball's touching point lies off by its own error.
    pub touch_error_deg: f64,
    values: Vec<(Index, f64)>,
}

impl Shape {
    pub fn value(&self, index: Index) -> Option<f64> {
        let found = self.values.iter().find(|(i, _)| *i == index);
        found.map(|(_, v)| *v).filter(|v| v.is_finite())
    }
}

/// Lines across the foot over its toeless length: every half millimetre of an adult's.
const CUTS: usize = 480;

/// How well the place is known where a round ball touches its tangent: on prints of known shape to about so many
/// worked cells, as one standard deviation.
const TOUCH_CELLS: f64 = 1.5;

pub(crate) fn shape(laid: &Laid, sheet: &Sheet, cell: f64) -> Option<Shape> {
    let length = laid.front - laid.back;
    let cuts = sections(&laid.toeless, laid.back, laid.front, CUTS);
    let widest = |s: &[Section]| {
        s.iter()
            .max_by(|a, b| a.width().total_cmp(&b.width()))
            .cloned()
    };
    // The heel ends where the arch begins: a flat foot is broader at a third of its length than at the heel.
    let heel = widest(&cuts[..CUTS / 4])?;
    let ball = widest(&cuts[2 * CUTS / 3..])?;
    let waist = cuts[CUTS / 3..2 * CUTS / 3]
        .iter()
        .min_by(|a, b| a.width().total_cmp(&b.width()))
        .cloned()?;
    let thirds = [0.0, 1.0, 2.0, 3.0].map(|k| laid.back + length * k / 3.0);
    let whole = area(&laid.toeless);
    let middle = area_between(&laid.toeless, thirds[1], thirds[2]);
    let (heel_end, toe_end) = extent(&laid.all)?;
    if heel.width() <= 0.0 || ball.width() <= 0.0 || whole <= 0.0 {
        return None;
    }
    let tangent = laid.hand_tangent.or_else(|| {
        let [heel_point, ball_point] = tangent(&laid.toeless, laid.back + 0.5 * length, true)?;
        let touch = match sheet.medium {
            // Cells are far coarser than the stretches that this looks at.
            Medium::Pressure => None,
            _ => touching(&cuts, [heel_point, ball_point], ball.width()),
        };
        Some([heel_point, touch.unwrap_or(ball_point)])
    });
    let deepest = tangent.and_then(|t| deepest(&cuts, t));
    let touch = TOUCH_CELLS * cell;
    let mut touch_error_deg = 0.0;
    let mut values = vec![
        (Index::ArchIndex, middle / whole),
        (Index::ChippauxSmirak, 100.0 * waist.width() / ball.width()),
        (Index::StaheliIndex, waist.width() / heel.width()),
    ];
    if let (Some([heel_point, ball_point]), Some(deepest)) = (tangent, deepest) {
        let to_heel = heel_point.minus(ball_point);
        let to_deepest = deepest.minus(ball_point);
        let angle = to_heel.turn_to(to_deepest);
        values.push((Index::ClarkeAngle, angle.abs().to_degrees()));
        // Seen from the deepest point a step along the tangent turns the line by its share across.
        touch_error_deg = (touch * angle.sin() / to_deepest.length())
            .abs()
            .to_degrees();
    }
    if sheet.scale.is_known() {
        values.extend([
            (Index::TruncatedLength, length),
            (Index::FootLength, toe_end - heel_end),
            (Index::BallWidth, ball.width()),
            (Index::HeelWidth, heel.width()),
            (Index::MidfootWidth, waist.width()),
            (Index::ContactArea, area(&laid.all) / 100.0),
        ]);
    }
    Some(Shape {
        heel,
        ball,
        waist,
        thirds,
        tangent,
        deepest,
        length: (heel_end, toe_end),
        touch_error_deg,
        values,
    })
}

/// Where the ball touches the inner tangent. Along a round border that place is ill told: a twentieth of a millimetre
/// across moves it by more than one along. The middles of the stretches within 0.2 to 2.2 % of the ball's breadth of
/// the tangent are told well. They drift with the root of that distance where the border is round and with the
/// distance itself where it has a corner; the parabola through their roots leads back to where they come from.
fn touching(cuts: &[Section], [heel, ball]: [Vec2; 2], breadth: f64) -> Option<Vec2> {
    let line = Line::between(heel, ball);
    let reach = line.along.length();
    let unit = line.along.unit();
    let points: Vec<(f64, f64)> = cuts
        .iter()
        .filter_map(|c| {
            let p = Vec2::new(c.x, c.inner()?);
            Some((p.minus(heel).dot(unit), -line.offset_of(p)))
        })
        .collect();
    let at = points.partition_point(|p| p.0 < reach);
    let middle = |within: f64| -> Option<f64> {
        let end = |a: (f64, f64), b: (f64, f64)| a.0 + (b.0 - a.0) * (within - a.1) / (b.1 - a.1);
        let back = (1..at).rev().find(|k| points[k - 1].1 > within)?;
        let fore = (at..points.len() - 1).find(|k| points[k + 1].1 > within)?;
        let ends = end(points[back], points[back - 1]) + end(points[fore], points[fore + 1]);
        Some(0.5 * ends)
    };
    let mut told: Vec<(f64, f64)> = Vec::new();
    for k in 2..8 {
        let root = 0.03 * f64::from(k);
        told.push((root, middle(root * root * breadth * 0.5)?));
    }
    let place = parabola(&told)?.at(0.0);
    ((place - reach).abs() < 0.1 * reach).then(|| heel.plus(unit.scaled(place)))
}

/// See [`Index::ClarkeAngle`]. `None` where nothing is printed somewhere between the tangent's ends.
fn deepest(cuts: &[Section], [heel, ball]: [Vec2; 2]) -> Option<Vec2> {
    let line = Line::between(heel, ball);
    let reach = line.along.length();
    let mut points: Vec<(f64, f64)> = Vec::new();
    for cut in cuts.iter().filter(|c| c.x > heel.x && c.x < ball.x) {
        let p = Vec2::new(cut.x, cut.inner()?);
        let along = p.minus(heel).dot(line.along) / reach;
        points.push((along, -line.offset_of(p)));
    }
    let top = (0..points.len()).max_by(|a, b| points[*a].1.total_cmp(&points[*b].1))?;
    let depth = points[top].1;
    if depth <= 0.0 {
        // No hollow: the border lies on its tangent.
        return None;
    }
    let near = |k: &usize| points[*k].1 >= 0.97 * depth;
    let first = (0..=top).rev().take_while(near).last()?;
    let last = (top..points.len()).take_while(near).last()?;
    let (along, depth) = parabola(&points[first..=last])
        .and_then(|p| p.top())
        .unwrap_or(points[top]);
    let unit = line.along.unit();
    // The hollow lies outwards of the tangent.
    let outwards = Vec2::new(unit.y, -unit.x);
    Some(heel.plus(unit.scaled(along)).plus(outwards.scaled(depth)))
}

/// A least-squares parabola.
struct Parabola {
    mean: f64,
    half: f64,
    c: [f64; 3],
}

impl Parabola {
    fn at(&self, x: f64) -> f64 {
        let t = (x - self.mean) / self.half;
        self.c[0] + t * (self.c[1] + self.c[2] * t)
    }

    /// Its top, if it has one among its points.
    fn top(&self) -> Option<(f64, f64)> {
        let t = -0.5 * self.c[1] / self.c[2];
        let x = self.mean + self.half * t;
        let top = self.at(x);
        (self.c[2] < 0.0 && t.abs() <= 1.0 && top.is_finite()).then_some((x, top))
    }
}

fn parabola(points: &[(f64, f64)]) -> Option<Parabola> {
    if points.len() < 5 {
        return None;
    }
    let n = points.len() as f64;
    let mean = points.iter().map(|p| p.0).sum::<f64>() / n;
    let half = 0.5 * (points.last()?.0 - points.first()?.0).abs();
    let mut m = nalgebra::Matrix3::<f64>::zeros();
    let mut right = nalgebra::Vector3::<f64>::zeros();
    for (x, y) in points {
        let t = (x - mean) / half;
        let row = nalgebra::Vector3::new(1.0, t, t * t);
        m += row * row.transpose();
        right += row * *y;
    }
    let c = m.lu().solve(&right)?;
    Some(Parabola {
        mean,
        half,
        c: [c[0], c[1], c[2]],
    })
}

/// How far the outline may be off by the grid alone, as one standard deviation, in cells: a twentieth where values
/// between cells place the edge, and that of an even spread over a cell where a sensor is on or off.
pub(crate) fn grid_error_cells(medium: Medium) -> f64 {
    match medium {
        Medium::Pressure => 1.0 / 12.0_f64.sqrt(),
        _ => 0.05,
    }
}
