//! What are the steps of one foot: its parts, direction, side, axis, toe line, tangents and thirds?

use crate::PrintError;
use crate::feet::{Body, Lying};
use crate::printed::{Printed, SPECK};
use crate::rings::{extent, tangent};
use crate::shape::{
    Frame, fingers, forwards, inner_along_y, parted, settled, straightened, toe_line,
};
use crate::sheet::{Medium, Seen};
use crate::spots::Part;
use crate::steps::*;
use geometry::Vec2;
use terms::Side;

/// The foot, and its parts.
pub(crate) fn foot(
    printed: &Printed,
    seen: Seen,
    parts: &[Part],
    body: &Body,
    free: &[&Lying],
) -> Result<(FootSteps, Vec<usize>), PrintError> {
    let (sheet, spots) = (printed.sheet, &printed.spots);
    let of =
        |lying: &[&Lying]| -> Vec<usize> { lying.iter().map(|l| parts[l.index].number).collect() };
    let large: Vec<&Lying> = body.parts.iter().collect();
    let lost = || PrintError::NoFoot {
        found: "a spot whose outline has no axis".into(),
    };
    let mask = spots.mask(&of(&large)).ok_or_else(lost)?;
    let rings = printed.outline(&mask);
    let rectangle = body.rectangle;
    let across = Vec2::new(-rectangle.along.y, rectangle.along.x);
    let mut frame = Frame {
        origin: rectangle.centre,
        along: rectangle.along,
        inner: across,
    };
    // Small parts beyond either end of the body, and within its breadth.
    let near = |frame: &Frame, lying: &Lying, ahead: bool| {
        let p = frame.local(lying.centre);
        let sized =
            lying.area >= SPECK * body.area && lying.area < 0.12 * body.area && !lying.at_rim;
        let along = p.x / rectangle.length;
        let within = if ahead {
            (0.2..0.9).contains(&along)
        } else {
            (-0.9..-0.2).contains(&along)
        };
        sized && within && p.y.abs() < 0.7 * rectangle.width
    };
    let count = |frame: &Frame, ahead| free.iter().filter(|l| near(frame, l, ahead)).count();
    let score = forwards(
        &frame.rings(&rings),
        count(&frame, true),
        count(&frame, false),
    );
    if score < 0.0 {
        frame.along = frame.along.scaled(-1.0);
        frame.inner = frame.inner.scaled(-1.0);
    }
    let toes: Vec<&Lying> = free
        .iter()
        .copied()
        .filter(|l| near(&frame, l, true))
        .collect();
    let inside: Vec<&Lying> = free
        .iter()
        .copied()
        .filter(|l| l.area >= SPECK * body.area && !toes.iter().any(|t| t.index == l.index))
        .filter(|l| large.iter().any(|part| part.covers(l.centre)))
        .collect();
    let whole: Vec<&Lying> = large.iter().chain(&toes).chain(&inside).copied().collect();
    let numbers = of(&whole);
    let mask = spots.mask(&numbers).ok_or_else(lost)?;
    let ground = printed.outline(&mask);
    frame = straightened(&ground, frame);
    let rings = frame.rings(&ground);
    if sheet.medium != Medium::Pressure && fingers(&rings) {
        return Err(PrintError::NoFoot {
            found: "a shape with long fingers".into(),
        });
    }
    let told = crate::toes::told(&rings).ok_or_else(lost)?;
    let score_side = inner_along_y(&told.body, &told);
    if told.toes.is_empty()
        && score_side.abs() < 0.15
        && score.abs() < 0.6
        && sheet.medium != Medium::Pressure
    {
        return Err(PrintError::NoFoot {
            found: "a long spot without arch, toes or heel".into(),
        });
    }
    if score_side < 0.0 {
        frame.inner = frame.inner.scaled(-1.0);
    }
    let left = Vec2::new(frame.along.y, -frame.along.x);
    let inner_is_left = frame.inner.dot(left) > 0.0;
    let side = if inner_is_left == (seen == Seen::FromAbove) {
        Side::Right
    } else {
        Side::Left
    };
    // On cells of half a centimetre the same hollow and the same toe say less (recorded walks of known side).
    let trust = if sheet.medium == Medium::Pressure {
        0.5
    } else {
        1.0
    };
    let mut doubts = Vec::new();
    if score.abs() < 0.6 {
        doubts.push(Doubt::DirectionUnsure);
    }
    let seeds = whole
        .iter()
        .map(|l| printed.field.to_cells(parts[l.index].seed))
        .collect();
    let ends = frame.rings(&ground);
    let (back, front) = extent(&ends).ok_or_else(lost)?;
    let on_axis = |x: f64| sheet.scale.in_cells(frame.ground(Vec2::new(x, 0.0)));
    let steps = FootSteps {
        parts: Step::found(seeds),
        side: Step::found(Told {
            side,
            confidence: 1.0 / (1.0 + (-trust * score_side.abs()).exp()),
        }),
        // A first axis; `drawn` settles it once the side is known.
        axis: Step::found(Axis {
            heel_centre: on_axis(back),
            second_toe: on_axis(front),
            turn_error_deg: 0.0,
        }),
        toe_line: Step::found(ToeLine {
            places: Vec::new(),
            error_share: 0.006,
        }),
        inner_tangent: Step::found(None),
        outer_tangent: Step::found(None),
        thirds: Step::found([[0.0; 2]; 4]),
        doubts,
    };
    Ok((steps, numbers))
}

/// Axis, toe line, tangents and thirds of a foot whose parts and side are known.
pub(crate) fn drawn(
    printed: &Printed,
    seen: Seen,
    mut foot: FootSteps,
) -> Result<FootSteps, PrintError> {
    let sheet = printed.sheet;
    let lost = || PrintError::NoFoot {
        found: "a spot whose outline has no axis".into(),
    };
    let mask = printed.mask_of(&foot.parts.is).ok_or_else(lost)?;
    let ground = printed.outline(&mask);
    let rough = foot.axis.is;
    let (from, to) = (
        sheet.scale.on_ground(rough.heel_centre),
        sheet.scale.on_ground(rough.second_toe),
    );
    let first = Frame::of(from, to, foot.side.is.side, seen).ok_or_else(lost)?;
    let (frame, found, toes) = settled(&ground, first).ok_or_else(lost)?;
    let rings = frame.rings(&ground);
    let cells = |p: Vec2| sheet.scale.in_cells(frame.ground(p));
    let toe_share = if found.second_toe_told { 0.02 } else { 0.04 };
    foot.axis.is = Axis {
        heel_centre: cells(found.heel),
        second_toe: cells(found.toe),
        turn_error_deg: 0.01_f64.hypot(toe_share).to_degrees(),
    };
    if toes.toes.is_empty() {
        foot.doubts.push(Doubt::ToesNotTold);
    }
    if !found.second_toe_told {
        foot.doubts.push(Doubt::SecondToeNotTold);
    }
    let line = toe_line(&toes, &rings, sheet.medium == Medium::Pressure).ok_or_else(lost)?;
    let mut places: Vec<Place> = line.iter().map(|p| cells(*p)).collect();
    places.reverse();
    foot.toe_line.is.places = places;
    let (toeless, _) = parted(&rings, &line, 0.0).ok_or_else(lost)?;
    let (back, front) = extent(&toeless).ok_or_else(lost)?;
    let middle = 0.5 * (back + front);
    let both = |t: Option<[Vec2; 2]>| t.map(|t| t.map(cells));
    foot.inner_tangent.is = both(tangent(&toeless, middle, true));
    foot.outer_tangent.is = both(tangent(&toeless, middle, false));
    foot.thirds.is = [0.0, 1.0, 2.0, 3.0].map(|k| {
        let x = back + (front - back) * k / 3.0;
        cells(Vec2::new(x, 0.0))
    });
    Ok(foot)
}
