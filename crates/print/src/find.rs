//! How are the steps of a sheet found? Light, level, a line between feet that touch, parts, feet, direction, side, axis, toe line, tangents, thirds.

use crate::PrintError;
use crate::divide::{self, Divide};
use crate::feet::{Body, Lying, bodies, lying};
use crate::field::Field;
use crate::foot::{drawn, foot};
use crate::level::{Level, otsu};
use crate::light::Light;
use crate::printed::{Printed, SPECK};
use crate::shape::Frame;
use crate::sheet::{Medium, Seen, Sheet};
use crate::spots::Part;
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
    pub light: Option<Light>,
    /// Two places on a line between two prints that touch, in cells of the sheet.
    pub divide: Option<[Place; 2]>,
}

/// A sensor counts as loaded above so many kilopascal, but at most above so large a share of the greatest value
/// (common practice, unconfirmed).
const CONTACT_KPA: f64 = 10.0;
const CONTACT_SHARE: f64 = 0.05;
const CONTACT_ERROR: f64 = 0.3;
/// Without toes a foot is 0.35 to 0.55 as broad as long (common practice, unconfirmed).
const BROAD: f64 = 0.57;
/// Two feet that touch are one part, or two balls of which the heels are apart.
const JOINED: f64 = 0.4;
/// Touching feet are parted surely where both together speak so strongly for facing each other, and neither so
/// strongly against it, as logarithms of the odds: 0.9 and 0.7 of sureness.
const FACING: f64 = 2.2;
const LEANING: f64 = 0.85;

/// Finds everything.
///
/// # Errors
/// No foot, more than two, one that runs over the edge, two that touch and are not parted surely, a dividing line by
/// hand that parts none, a sheet of one value.
pub fn find(sheet: &Sheet, wish: &Wish) -> Result<Steps, PrintError> {
    let light = match wish.light {
        Some(Light::AsItCame) => Step::by_hand(Light::AsItCame),
        Some(Light::Evened) => Step::by_hand(sheet.light()),
        None => Step::found(sheet.light()),
    };
    let search = Search {
        sheet,
        seen: wish.seen.unwrap_or(sheet.seen),
        level: level(sheet, sheet.field(light.is), wish)?,
        light,
    };
    if sheet.blank {
        return Err(PrintError::NoFoot {
            found: "nothing on the sheet has an edge".into(),
        });
    }
    let (feet, divide) = match wish.divide {
        Some(line) => search.parted_by_hand(line)?,
        None => search.parted_or_whole()?,
    };
    search.steps(feet, divide, wish)
}

struct Search<'s> {
    sheet: &'s Sheet,
    seen: Seen,
    light: Step<Light>,
    level: Step<Level>,
}

/// Feet without what hangs on their side.
struct Feet {
    feet: Vec<FootSteps>,
    left_out: bool,
    /// Parts of them, and of what both lay claim to.
    numbers: Vec<usize>,
    shared: bool,
    /// One, and broader than one foot usually is.
    broad: bool,
}

/// Parts that might be feet: the large ones, and with toes.
struct Might {
    large: Vec<usize>,
    all: Vec<usize>,
    /// Is one of them large enough to be two feet, or two balls?
    joined: bool,
}

impl<'s> Search<'s> {
    fn printed(&self, divide: Option<&Divide>) -> Printed<'s> {
        Printed::on(self.sheet, self.light.is, self.level.is, divide)
    }

    /// Feet on the sheet, and the parts that might be feet if there are none.
    fn feet(&self, printed: &Printed) -> (Result<Feet, PrintError>, Might) {
        let field = printed.field;
        let least = (field.values.len() / 50_000).max(1);
        let parts = printed.spots.parts(field, least, 400);
        let all = lying(&parts, field, &self.sheet.scale);
        let largest = all.iter().filter(|p| !p.at_rim).map(|p| p.area);
        let largest = largest.fold(0.0, f64::max);
        let sizes = all.iter().filter(|p| !p.at_rim).map(|p| p.area);
        let sum: f64 = sizes.filter(|a| *a >= 0.1 * largest).sum();
        let of = |least: f64| -> Vec<usize> {
            let sized = |p: &&Lying| !p.at_rim && p.area >= least * largest;
            let sized = all.iter().filter(sized);
            sized.map(|p| parts[p.index].number).collect()
        };
        let might = Might {
            large: of(0.1),
            all: of(SPECK),
            joined: largest >= JOINED * sum,
        };
        (self.feet_among(printed, &parts, &all), might)
    }

    fn feet_among(
        &self,
        printed: &Printed,
        parts: &[Part],
        all: &[Lying],
    ) -> Result<Feet, PrintError> {
        let known = self.sheet.scale.is_known();
        let (beyond, before): (Vec<Lying>, Vec<Lying>) =
            all.iter().cloned().partition(|l| l.beyond);
        let (bodies, left_out) = if beyond.is_empty() {
            bodies(&before, known)?
        } else {
            one_each(bodies(&before, known)?, bodies(&beyond, known)?)?
        };
        let taken: Vec<usize> = bodies
            .iter()
            .flat_map(|b| b.parts.iter().map(|p| p.index))
            .collect();
        let free: Vec<&Lying> = all.iter().filter(|p| !taken.contains(&p.index)).collect();
        let mut feet = Vec::new();
        let mut claimed: Vec<usize> = Vec::new();
        let mut shared = false;
        for body in &bodies {
            let beyond = body.parts.first().is_some_and(|p| p.beyond);
            let own: Vec<&Lying> = free
                .iter()
                .copied()
                .filter(|l| l.beyond == beyond)
                .collect();
            let (foot, whole) = foot(printed, self.seen, parts, body, &own)?;
            shared |= whole.iter().any(|n| claimed.contains(n));
            claimed.extend(whole);
            feet.push(foot);
        }
        Ok(Feet {
            feet,
            left_out,
            numbers: claimed,
            shared,
            broad: matches!(&bodies[..], [one] if one.rectangle.width > BROAD * one.rectangle.length),
        })
    }

    fn parted_by_hand(&self, line: [Place; 2]) -> Result<(Feet, Option<Step<Divide>>), PrintError> {
        let apart = (line[0][0] - line[1][0]).hypot(line[0][1] - line[1][1]);
        let near = line.iter().flatten().all(|c| c.abs() <= 1e6);
        if !near || apart < 1.0 {
            return Err(PrintError::BadDivide {
                found: "its two places are one, or off the sheet".into(),
            });
        }
        let divide = divide::by_hand(&self.printed(None), line);
        let bad = |found: String| PrintError::BadDivide { found };
        match self.feet(&self.printed(Some(&divide))).0 {
            Ok(feet) if feet.feet.len() == 2 => Ok((feet, Some(Step::by_hand(divide)))),
            Ok(_) => Err(bad("only one foot is left".into())),
            Err(PrintError::NoFoot { found }) => Err(bad(found)),
            Err(error) => Err(error),
        }
    }

    /// As the print lies, or parted by a line where two feet touch.
    fn parted_or_whole(&self) -> Result<(Feet, Option<Step<Divide>>), PrintError> {
        let printed = self.printed(None);
        let (first, might) = self.feet(&printed);
        let numbers = match &first {
            Ok(feet) if feet.broad || feet.shared => &feet.numbers,
            Err(PrintError::NoFoot { .. } | PrintError::HalfFoot) if might.joined => &might.large,
            _ => return Ok((first?, None)),
        };
        let lines = divide::lines(&printed, numbers, &might.all, self.sheet.scale.is_known());
        for divide in lines.iter().filter(|l| l.sure).map(|l| &l.divide) {
            let parted = self.feet(&self.printed(Some(divide))).0;
            if let Ok(feet) = parted
                && self.face_each_other(&feet.feet, divide)
            {
                return Ok((feet, Some(Step::found(*divide))));
            }
        }
        match first {
            Err(PrintError::NoFoot { .. }) if !lines.is_empty() => Err(PrintError::FeetTouch),
            first => Ok((first?, None)),
        }
    }

    /// Are these a left and a right foot, each with its inner side to the line, both pointing the same way?
    fn face_each_other(&self, feet: &[FootSteps], divide: &Divide) -> bool {
        let [one, two] = feet else { return false };
        let ground = |p: Place| self.sheet.scale.on_ground(p);
        let [a, b] = divide.line.map(ground);
        let normal = Vec2::new(a.y - b.y, b.x - a.x).unit();
        // Evidence for a foot that faces the line, as the logarithm of its odds.
        let towards = |foot: &FootSteps| -> Option<(f64, Vec2)> {
            let axis = foot.axis.is;
            let (heel, toe) = (ground(axis.heel_centre), ground(axis.second_toe));
            let frame = Frame::of(heel, toe, foot.side.is.side, self.seen)?;
            let off = a.minus(heel.midpoint(toe)).dot(normal);
            let faces = frame.inner.dot(normal.scaled(off)) > 0.0;
            let sure = foot.side.is.confidence.clamp(0.5, 0.999);
            let odds = (sure / (1.0 - sure)).ln();
            Some((if faces { odds } else { -odds }, frame.along))
        };
        let Some(((first, along), (second, other))) = towards(one).zip(towards(two)) else {
            return false;
        };
        first + second > FACING && first.min(second) > -LEANING && along.dot(other) > 0.5
    }

    fn steps(
        &self,
        found: Feet,
        divide: Option<Step<Divide>>,
        wish: &Wish,
    ) -> Result<Steps, PrintError> {
        let sheet = self.sheet;
        let mut feet = found.feet;
        told_together(&mut feet, wish);
        let parted = divide.as_ref().is_some_and(|d| !d.is_by_hand());
        let doubts = [
            (!sheet.scale.is_known(), Doubt::NoScale),
            (!sheet.medium_told, Doubt::MediumGuessed),
            (found.left_out, Doubt::LeftOutAtTheEdge),
            (self.light == Step::found(Light::Evened), Doubt::LightEvened),
            (parted, Doubt::PartedByALine),
            (found.broad, Doubt::BroadForOneFoot),
        ];
        for foot in &mut feet {
            let own = doubts.iter().filter(|(there, _)| *there).map(|(_, d)| *d);
            foot.doubts.extend(own);
        }
        // The side is known now: everything that hangs on it is found with it.
        let printed = self.printed(divide.as_ref().map(|d| &d.is));
        let feet = feet
            .into_iter()
            .map(|f| drawn(&printed, self.seen, f))
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
                is: self.seen,
            },
            light: self.light.clone(),
            level: self.level.clone(),
            divide,
            feet,
        })
    }
}

fn level(sheet: &Sheet, field: &Field, wish: &Wish) -> Result<Step<Level>, PrintError> {
    let looked: Vec<f32> = match &field.outside {
        None => Vec::new(),
        Some(out) => {
            let both = field.values.iter().zip(out);
            both.filter(|(_, o)| !**o).map(|(v, _)| *v).collect()
        }
    };
    let values = match looked.is_empty() {
        true => &field.values,
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

type Found = (Vec<Body>, bool);

/// One foot on either side of the dividing line, the left one of the sheet first.
fn one_each(one: Found, two: Found) -> Result<Found, PrintError> {
    let mut both: Vec<Body> = one.0.into_iter().chain(two.0).collect();
    both.sort_by(|a, b| a.rectangle.centre.x.total_cmp(&b.rectangle.centre.x));
    match both.len() {
        2 => Ok((both, one.1 || two.1)),
        found => Err(PrintError::TooManyFeet { found }),
    }
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

/// How many worked cells belong to a foot.
pub fn printed_cells(sheet: &Sheet, steps: &Steps, foot: &FootSteps) -> usize {
    let divide = steps.divide.as_ref().map(|d| &d.is);
    let printed = Printed::on(sheet, steps.light.is, steps.level.is, divide);
    let mask = printed.mask_of(&foot.parts.is);
    mask.map_or(0, |m| m.cells().count())
}
