//! How the foot lies on the film: from film pixels to the view's own frame and back.
//!
//! The frame is found from the points themselves, so that a film stored flipped or turned by a quarter
//! reads the same. Only where the points do not say does the film's own direction, or the side, stand
//! in, and then that is said.

use crate::gather::{FloorState, Gathered};
use crate::sheet::{FloorFrom, FrameFacts, Refusal, Warning, WarningKind};
use crate::side::{LongAxis, Witnesses, witnesses};
use geometry::Vec2;
use geometry::covariance::Matrix2;
use terms::{Side, View};

/// Beyond this the film's edge cannot stand in for the floor without a warning.
const ASKEW_DEG: f64 = 20.0;
/// A pair whose second point lies this far behind the first was probably exchanged: cosine of 107°.
const EXCHANGED_COS: f64 = -0.3;

/// A landmark pair by position in the reader's table.
pub(crate) type PairIx = (usize, usize);

/// The witnesses of a view that exist in the reader's table.
#[derive(Debug, Clone, Default)]
pub(crate) struct WitnessIx {
    pub x: Vec<PairIx>,
    pub y: Vec<PairIx>,
    pub x_first: Vec<PairIx>,
}

/// Affine map between film and frame.
#[derive(Debug, Clone)]
pub(crate) struct Frame {
    /// `frame = linear · (px − origin)`, in millimetres or aspect-corrected pixels.
    pub linear: Matrix2,
    pub origin_px: [f64; 2],
    pub facts: FrameFacts,
}

impl Frame {
    pub fn frame_from_px(&self, px: [f64; 2]) -> Vec2 {
        let d = [px[0] - self.origin_px[0], px[1] - self.origin_px[1]];
        let [[a, b], [c, e]] = self.linear;
        Vec2::new(a * d[0] + b * d[1], c * d[0] + e * d[1])
    }

    /// The way back of a step: pixels from millimetres of the frame.
    pub fn linear_back(&self) -> Matrix2 {
        let [[a, b], [c, d]] = self.linear;
        let det = a * d - b * c;
        [[d / det, -b / det], [-c / det, a / det]]
    }

    pub fn px_from_frame(&self, p: Vec2) -> [f64; 2] {
        let [[a, b], [c, d]] = self.linear;
        let det = a * d - b * c;
        [
            self.origin_px[0] + (d * p.x - b * p.y) / det,
            self.origin_px[1] + (a * p.y - c * p.x) / det,
        ]
    }
}

/// The sum of the pairs that are placed, in film millimetres with y up; `None` if no pair is.
fn sum_of(pairs: &[PairIx], points: &Gathered) -> Option<Vec2> {
    pairs
        .iter()
        .filter_map(|&(a, b)| Some(points.film_up(b)?.minus(points.film_up(a)?)))
        .reduce(Vec2::plus)
}

/// The film axis nearest to a direction.
fn nearest_film_axis(v: Vec2) -> Vec2 {
    if v.x.abs() >= v.y.abs() {
        Vec2::new(v.x.signum(), 0.0)
    } else {
        Vec2::new(0.0, v.y.signum())
    }
}

/// +1 where x turned by a quarter counter-clockwise gives y, −1 for the mirror image.
struct Hand {
    sign: f64,
    /// Seen in the points, not assumed.
    seen: bool,
}

/// Finds the frame.
///
/// # Errors
/// The points do not say which way the foot lies, and nothing else does.
pub(crate) fn find(
    view: View,
    pairs: &WitnessIx,
    points: &Gathered,
    said: Option<Side>,
    warnings: &mut Vec<Warning>,
) -> Result<Frame, Refusal> {
    let table = witnesses(view);
    let x = sum_of(&pairs.x_first, points).or_else(|| sum_of(&pairs.x, points));
    let y = sum_of(&pairs.y, points);
    let long = match table.long_axis {
        LongAxis::X => x,
        LongAxis::Y => y,
    };
    let Some(long) = long.filter(|l| l.length() > 0.0) else {
        return Err(no_direction(table));
    };
    let hand = hand(view, table, x, y, said, warnings)?;
    let floor = floor_direction(points, long, table.long_axis);
    let axis = match floor {
        Some(direction) => direction,
        None => {
            warn_askew(long, warnings);
            nearest_film_axis(long)
        }
    };
    let (x_axis, y_axis) = match table.long_axis {
        LongAxis::X => (axis, Vec2::new(-axis.y, axis.x).scaled(hand.sign)),
        LongAxis::Y => (Vec2::new(axis.y, -axis.x).scaled(hand.sign), axis),
    };
    let exchanged = warnings.len();
    warn_exchanged(&pairs.x, x_axis, points, warnings);
    warn_exchanged(&pairs.y, y_axis, points, warnings);
    warnings.truncate(exchanged + 8);
    let side_shown = (view == View::Dorsoplantar && hand.seen).then_some(if hand.sign > 0.0 {
        Side::Right
    } else {
        Side::Left
    });
    warn_side(side_shown, said, warnings);
    let [sx, sy] = points.unit_per_px;
    let linear = [
        [x_axis.x * sx, -x_axis.y * sy],
        [y_axis.x * sx, -y_axis.y * sy],
    ];
    let origin_px = match &points.floor {
        FloorState::Placed { back_px, .. } => *back_px,
        _ => [0.0, 0.0],
    };
    let px_direction = |v: Vec2| {
        let d = Vec2::new(v.x / sx, -v.y / sy).unit();
        [d.x, d.y]
    };
    let facts = FrameFacts {
        x_axis_px: px_direction(x_axis),
        y_axis_px: px_direction(y_axis),
        mirrored: hand.sign < 0.0,
        floor: if floor.is_some() {
            FloorFrom::Points
        } else {
            FloorFrom::FilmEdge
        },
        side_shown,
    };
    Ok(Frame {
        linear,
        origin_px,
        facts,
    })
}

fn no_direction(table: &Witnesses) -> Refusal {
    let reason = match table.long_axis {
        LongAxis::X => format!("which way is forward cannot be told; {}", table.x_help),
        LongAxis::Y => format!("which way the view runs cannot be told; {}", table.y_help),
    };
    Refusal::NoFrame { reason }
}

/// From both axes where the points show them; else from how such films are usually stored.
fn hand(
    view: View,
    table: &Witnesses,
    x: Option<Vec2>,
    y: Option<Vec2>,
    said: Option<Side>,
    warnings: &mut Vec<Warning>,
) -> Result<Hand, Refusal> {
    if let (Some(x), Some(y)) = (x, y) {
        let cross = x.cross(y);
        if cross.abs() > 1e-6 * x.length() * y.length() {
            return Ok(Hand {
                sign: cross.signum(),
                seen: true,
            });
        }
    }
    let sign = match (view, x, said) {
        (View::Lateral, Some(x), _) if x.x.abs() > x.y.abs() => x.x.signum(),
        (View::Lateral, ..) => {
            let reason = format!("which way is up cannot be told; {}", table.y_help);
            return Err(Refusal::NoFrame { reason });
        }
        (_, _, None) => {
            let reason = format!(
                "which side is the outer one cannot be told; {}",
                table.x_help
            );
            return Err(Refusal::NoFrame { reason });
        }
        // Seen from above and from behind, a right foot has its outer side on the right; from the
        // front, on the left.
        (View::Dorsoplantar | View::HindfootAlignment, _, Some(Side::Right)) => 1.0,
        (View::Dorsoplantar | View::HindfootAlignment, _, Some(Side::Left)) => -1.0,
        (View::AnkleFront, _, Some(Side::Right)) => -1.0,
        (View::AnkleFront, _, Some(Side::Left)) => 1.0,
    };
    let what = match view {
        View::Lateral => "no point tells up from down: the film is taken to stand upright",
        _ => {
            "no point tells the outer side: the film is taken as not mirrored and the side as said"
        }
    };
    let help = if view == View::Lateral {
        table.y_help
    } else {
        table.x_help
    };
    warnings.push(Warning::new(
        WarningKind::Assumed,
        format!("{what}; {help}"),
    ));
    Ok(Hand { sign, seen: false })
}

/// The floor's direction with x forward, from its two points; only the lateral view has them.
fn floor_direction(points: &Gathered, long: Vec2, long_axis: LongAxis) -> Option<Vec2> {
    let FloorState::Placed { direction, .. } = &points.floor else {
        return None;
    };
    if long_axis != LongAxis::X {
        return None;
    }
    let sign = if direction.dot(long) < 0.0 { -1.0 } else { 1.0 };
    Some(direction.scaled(sign))
}

fn warn_askew(long: Vec2, warnings: &mut Vec<Warning>) {
    let axis = nearest_film_axis(long);
    let askew = axis.turn_to(long).to_degrees().abs();
    if askew > ASKEW_DEG {
        warnings.push(Warning::new(
            WarningKind::Askew,
            format!(
                "the foot lies {askew:.0}° askew on the film, expected within {ASKEW_DEG:.0}°: readings against the film's edge may be wrong; place the floor points where the view has them, or turn the film"
            ),
        ));
    }
}

fn warn_exchanged(pairs: &[PairIx], axis: Vec2, points: &Gathered, warnings: &mut Vec<Warning>) {
    for &(a, b) in pairs {
        let (Some(from), Some(to)) = (points.film_up(a), points.film_up(b)) else {
            continue;
        };
        let span = to.minus(from);
        if span.dot(axis) < EXCHANGED_COS * span.length() && span.length() > 0.0 {
            let (a, b) = (points.key(a), points.key(b));
            warnings.push(Warning::new(
                WarningKind::Exchanged,
                format!("{a} and {b} lie the wrong way round for a foot: check whether they were exchanged"),
            ));
        }
    }
}

fn warn_side(shown: Option<Side>, said: Option<Side>, warnings: &mut Vec<Warning>) {
    if let (Some(shown), Some(said)) = (shown, said)
        && shown != said
    {
        let (shown, said) = (shown.word(), said.word());
        warnings.push(Warning::new(
            WarningKind::SideContradiction,
            format!(
                "the points show a {shown} foot and the side said is {said}: check the side marker, or whether the film is mirrored"
            ),
        ));
    }
}
