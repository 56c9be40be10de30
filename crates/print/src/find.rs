//! How are the steps of a sheet found? Level, parts, feet, direction, side, axis, toe line, tangents, thirds.

use crate::PrintError;
use crate::feet::{Body, Lying, bodies, lying};
use crate::field::Field;
use crate::level::{Level, otsu};
use crate::outline::{Ring, along_cells, between_cells, signed_area};
use crate::rings::{extent, tangent};
use crate::shape::{Frame, forwards, inner_along_y, parted, settled, straightened, toe_line};
use crate::sheet::{Medium, Seen, Sheet};
use crate::spots::{Mask, Part, Spots};
use crate::steps::*;
use geometry::Vec2;
use serde::{Deserialize, Serialize};
use terms::Side;

/// What the person at the desk already knows; everything may be left open.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Wish {
    /// The value that parts print from ground: grey, or kPa.
    pub level: Option<f64>,
    pub seen: Option<Seen>,
    /// Of the only foot, or of the one further to the left.
    pub side: Option<Side>,
}

/// A sensor counts as loaded above so many kilopascal, but at most above so large a share of the greatest value
/// (common practice, unconfirmed).
const CONTACT_KPA: f64 = 10.0;
const CONTACT_SHARE: f64 = 0.05;
const CONTACT_ERROR: f64 = 0.3;
/// Smaller parts, beside the foot, are specks; smaller holes are the skin's own lines.
const SPECK: f64 = 0.0015;
const HOLE: f64 = 0.004;

/// Finds everything.
///
/// # Errors
/// No foot, more than two, one that runs over the edge, a sheet of one value.
pub fn find(sheet: &Sheet, wish: &Wish) -> Result<Steps, PrintError> {
    let level = level(sheet, wish)?;
    let seen = wish.seen.unwrap_or(sheet.seen);
    let spots = Spots::of(&sheet.field, level.is);
    let least = (sheet.field.values.len() / 50_000).max(1);
    let parts = spots.parts(&sheet.field, least, 400);
    let all = lying(&parts, &sheet.field, &sheet.scale);
    let (bodies, left_out) = bodies(&all, sheet.scale.is_known())?;
    let mut feet = Vec::new();
    for body in &bodies {
        let others: Vec<usize> = bodies
            .iter()
            .flat_map(|b| b.parts.iter().map(|p| p.index))
            .collect();
        let free: Vec<&Lying> = all.iter().filter(|p| !others.contains(&p.index)).collect();
        feet.push(foot(sheet, level.is, seen, &spots, &parts, body, &free)?);
    }
    told_together(&mut feet, wish);
    for foot in &mut feet {
        if !sheet.scale.is_known() {
            foot.doubts.push(Doubt::NoScale);
        }
        if !sheet.medium_told {
            foot.doubts.push(Doubt::MediumGuessed);
        }
        if left_out {
            foot.doubts.push(Doubt::LeftOutAtTheEdge);
        }
    }
    // The side is known now: everything that hangs on it is found with it.
    let feet = feet
        .into_iter()
        .map(|f| drawn(sheet, level.is, seen, &spots, f))
        .collect::<Result<Vec<_>, _>>()?;
    let told = |by_hand| if by_hand { By::ByHand } else { By::Found };
    Ok(Steps {
        format: FORMAT.into(),
        version: VERSION,
        medium: Step {
            by: told(sheet.medium_told),
            is: sheet.medium,
        },
        seen: Step {
            by: told(wish.seen.is_some()),
            is: seen,
        },
        level,
        feet,
    })
}

fn level(sheet: &Sheet, wish: &Wish) -> Result<Step<Level>, PrintError> {
    let looked: Vec<f32> = match &sheet.field.outside {
        None => Vec::new(),
        Some(out) => {
            let both = sheet.field.values.iter().zip(out);
            both.filter(|(_, o)| !**o).map(|(v, _)| *v).collect()
        }
    };
    let values = match looked.is_empty() {
        true => &sheet.field.values,
        false => &looked,
    };
    let parted = otsu(values)?;
    let dark = sheet.medium.dark();
    let mut level = parted.level(dark);
    if sheet.medium == Medium::Pressure {
        let most = f64::from(values.iter().copied().fold(0.0, f32::max));
        level.at = CONTACT_KPA.min(CONTACT_SHARE * most);
        level.standard_error = CONTACT_ERROR * level.at;
    }
    Ok(match wish.level.filter(|l| l.is_finite()) {
        Some(at) => Step::by_hand(Level { at, ..level }),
        None => Step::found(level),
    })
}

/// The outline of some parts on the ground, with its specks dropped and its small holes filled.
pub(crate) fn outline(sheet: &Sheet, mask: &Mask, level: Level) -> Vec<Ring> {
    let field: &Field = &sheet.field;
    let rings = match sheet.medium {
        Medium::Pressure => along_cells(mask),
        _ => between_cells(field, mask, level),
    };
    let total: f64 = rings.iter().map(|r| signed_area(r).max(0.0)).sum();
    rings
        .into_iter()
        .filter(|r| {
            let own = signed_area(r);
            if own > 0.0 {
                own > 0.5 * SPECK * total
            } else {
                -own > HOLE * total
            }
        })
        .map(|r| {
            let ground = |p: &Vec2| sheet.scale.on_ground(field.to_cells([p.x, p.y]));
            r.iter().map(ground).collect()
        })
        .collect()
}

fn foot(
    sheet: &Sheet,
    level: Level,
    seen: Seen,
    spots: &Spots,
    parts: &[Part],
    body: &Body,
    free: &[&Lying],
) -> Result<FootSteps, PrintError> {
    let of =
        |lying: &[&Lying]| -> Vec<usize> { lying.iter().map(|l| parts[l.index].number).collect() };
    let large: Vec<&Lying> = body.parts.iter().collect();
    let lost = || PrintError::NoFoot {
        found: "a spot whose outline has no axis".into(),
    };
    let mask = spots.mask(&of(&large)).ok_or_else(lost)?;
    let rings = outline(sheet, &mask, level);
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
    let mask = spots.mask(&of(&whole)).ok_or_else(lost)?;
    let ground = outline(sheet, &mask, level);
    frame = straightened(&ground, frame);
    let rings = frame.rings(&ground);
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
        .map(|l| sheet.field.to_cells(parts[l.index].seed))
        .collect();
    let ends = frame.rings(&ground);
    let (back, front) = extent(&ends).ok_or_else(lost)?;
    let on_axis = |x: f64| sheet.scale.in_cells(frame.ground(Vec2::new(x, 0.0)));
    Ok(FootSteps {
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
    })
}

/// Of two feet one is the left and one the right: the surer one says which. Before that, the hand's word.
fn told_together(feet: &mut [FootSteps], wish: &Wish) {
    if let (Some(side), Some(first)) = (wish.side, feet.first_mut()) {
        first.side = Step::by_hand(Told {
            side,
            confidence: 1.0,
        });
    }
    if let [a, b] = feet {
        let (one, two) = (a.side.is, b.side.is);
        if one.side == two.side {
            let (sure, other) = if one.confidence >= two.confidence {
                (one, b)
            } else {
                (two, a)
            };
            if other.side.is.confidence >= SURE {
                other.doubts.push(Doubt::BothTheSameSide);
            }
            other.side.is = Told {
                side: sure.side.other(),
                confidence: sure.confidence.min(1.0 - 0.5 * other.side.is.confidence),
            };
        } else {
            let most = one.confidence.max(two.confidence);
            a.side.is.confidence = most;
            b.side.is.confidence = most;
        }
    }
    for foot in feet {
        if foot.side.is.confidence < SURE {
            foot.doubts.push(Doubt::SideUnsure);
        }
    }
}

/// Axis, toe line, tangents and thirds of a foot whose parts and side are known.
fn drawn(
    sheet: &Sheet,
    level: Level,
    seen: Seen,
    spots: &Spots,
    mut foot: FootSteps,
) -> Result<FootSteps, PrintError> {
    let lost = || PrintError::NoFoot {
        found: "a spot whose outline has no axis".into(),
    };
    let mask = mask_of(sheet, spots, &foot.parts.is).ok_or_else(lost)?;
    let ground = outline(sheet, &mask, level);
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

/// How many worked cells belong to a foot.
pub fn printed_cells(sheet: &Sheet, steps: &Steps, foot: &FootSteps) -> usize {
    let spots = Spots::of(&sheet.field, steps.level.is);
    mask_of(sheet, &spots, &foot.parts.is).map_or(0, |m| m.cells().count())
}

/// The cells of the parts in which these places lie; places that lie in none are passed over.
pub(crate) fn mask_of(sheet: &Sheet, spots: &Spots, seeds: &[Place]) -> Option<Mask> {
    let mut parts: Vec<usize> = Vec::new();
    for seed in seeds {
        let at = sheet.field.to_worked(*seed).map(f64::round);
        if at.iter().all(|c| (0.0..1e6).contains(c))
            && let Some(part) = spots.part_at(at[0] as usize, at[1] as usize)
            && !parts.contains(&part)
        {
            parts.push(part);
        }
    }
    spots.mask(&parts)
}
