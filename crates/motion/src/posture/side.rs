//! The standing foot from its inner side: heights of dorsum and navicular, and their shares of the foot's length.

use super::placed_sd;
use crate::MotionError;
use crate::steps::{KnownLength, Setup, Spot};
use quantity::{Estimate, Unit};
use serde::{Deserialize, Serialize};
use terms::Side;

/// What is marked on a photograph from the inner side.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct SideMarks {
    pub side: Side,
    /// Two points where the foot meets the floor, any distance apart.
    pub floor: [Spot; 2],
    pub heel_back: Spot,
    pub longest_toe: Spot,
    /// Joint of the great toe, to which the truncated length goes.
    pub first_joint: Spot,
    /// Top of the foot over half its length.
    pub dorsum: Option<Spot>,
    /// Tip of the navicular, as marked on the skin.
    pub navicular: Option<Spot>,
    pub known_length: Option<KnownLength>,
}

/// Shares need no scale; lengths stay missing without a known length.
///
/// # Sources
/// Arch height index: height of the dorsum at half the foot's length over the truncated length (`Butler2008`,
/// `Hillstrom2013`, both unconfirmed). Truncated navicular height: `Murley2009` (read).
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SideReadings {
    pub side: Side,
    pub foot_length: Option<Estimate>,
    pub truncated_length: Option<Estimate>,
    pub dorsum_height: Option<Estimate>,
    pub navicular_height: Option<Estimate>,
    /// Dorsum over truncated length.
    pub arch_height_index: Option<Estimate>,
    /// Navicular over truncated length.
    pub navicular_truncated: Option<Estimate>,
    /// Navicular over foot length.
    pub navicular_foot: Option<Estimate>,
    /// How far the mark on the dorsum lies from half the length, % of the length: more than a few and the index is
    /// another one.
    pub dorsum_off_half: Option<f64>,
}

/// A mark on the dorsum further than this from half the length makes another index, % of the length.
pub const OFF_HALF: f64 = 3.0;

/// Along the floor from the heel, and height over it, of a point.
fn over_floor(floor: [Spot; 2], heel: Spot, toe: Spot, p: Spot) -> (f64, f64) {
    let (dx, dy) = (floor[1].x - floor[0].x, floor[1].y - floor[0].y);
    let length = dx.hypot(dy);
    let (ux, uy) = (dx / length, dy / length);
    let forward = if ux * (toe.x - heel.x) + uy * (toe.y - heel.y) < 0.0 {
        -1.0
    } else {
        1.0
    };
    let along = forward * (ux * (p.x - heel.x) + uy * (p.y - heel.y));
    let across =
        (ux * (p.y - floor[0].y) - uy * (p.x - floor[0].x)) * if ux < 0.0 { -1.0 } else { 1.0 };
    // The picture's y runs down.
    (along, -across)
}

/// # Errors
/// A floor or a foot without length, a point that is no place, a known length that is none.
///
/// # Uncertainty
/// Every mark off by the placing error in both directions; lengths also by the scale's.
pub fn read_side(marks: &SideMarks, setup: &Setup) -> Result<SideReadings, MotionError> {
    setup.checked()?;
    let all = [
        Some(marks.floor[0]),
        Some(marks.floor[1]),
        Some(marks.heel_back),
        Some(marks.longest_toe),
        Some(marks.first_joint),
        marks.dorsum,
        marks.navicular,
    ];
    if all.iter().flatten().any(|s| !s.is_finite()) {
        return Err(MotionError::OutOfRange {
            what: "the place of a mark",
            found: f64::NAN,
            expected: "a place in the picture",
        });
    }
    let apart = |a: Spot, b: Spot| (a.x - b.x).hypot(a.y - b.y);
    let floor = apart(marks.floor[0], marks.floor[1]);
    if floor < 20.0 {
        return Err(MotionError::PointsTooClose {
            line: "floor",
            found: floor,
            least: 20.0,
        });
    }
    let along = |p: Spot| over_floor(marks.floor, marks.heel_back, marks.longest_toe, p);
    let (length, truncated) = (along(marks.longest_toe).0, along(marks.first_joint).0);
    if length < 50.0 || truncated < 0.4 * length || truncated > length {
        return Err(MotionError::OutOfRange {
            what: "the share of the foot's length up to the joint of the great toe",
            found: truncated / length,
            expected: "0.4 to 1 on a foot of at least 50 pixels",
        });
    }
    let scale = marks
        .known_length
        .map(|k| {
            let px = apart(k.from, k.to);
            let placed = std::f64::consts::SQRT_2 * setup.placing_sd_px / px;
            Ok::<_, MotionError>((k.mm_per_px()?, k.relative_error.hypot(placed)))
        })
        .transpose()?;
    let sd = setup.placing_sd_px;
    // One list of points for everything: floor, heel, toe, joint, and the point asked for.
    let value = |p: Spot, of: fn(f64, f64, f64) -> f64| -> (f64, f64) {
        let points = [
            marks.floor[0],
            marks.floor[1],
            marks.heel_back,
            marks.longest_toe,
            marks.first_joint,
            p,
        ];
        let f = |q: &[Spot; 6]| {
            let at = |p: Spot| over_floor([q[0], q[1]], q[2], q[3], p);
            of(at(q[5]).1, at(q[4]).0, at(q[3]).0)
        };
        (f(&points), placed_sd(points, sd, f))
    };
    let mm = |(px, error): (f64, f64)| {
        scale.map(|(s, relative)| {
            Estimate::new(
                px * s,
                (error * s).hypot(relative * px * s),
                Unit::Millimetre,
            )
        })
    };
    let ratio = |(value, error): (f64, f64)| Estimate::new(value, error, Unit::Ratio);
    let any = marks.heel_back;
    Ok(SideReadings {
        side: marks.side,
        foot_length: mm(value(any, |_, _, l| l)),
        truncated_length: mm(value(any, |_, t, _| t)),
        dorsum_height: marks.dorsum.and_then(|p| mm(value(p, |h, _, _| h))),
        navicular_height: marks.navicular.and_then(|p| mm(value(p, |h, _, _| h))),
        arch_height_index: marks.dorsum.map(|p| ratio(value(p, |h, t, _| h / t))),
        navicular_truncated: marks.navicular.map(|p| ratio(value(p, |h, t, _| h / t))),
        navicular_foot: marks.navicular.map(|p| ratio(value(p, |h, _, l| h / l))),
        dorsum_off_half: marks
            .dorsum
            .map(|p| (100.0 * (along(p).0 / length - 0.5)).abs()),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn marks() -> SideMarks {
        SideMarks {
            side: Side::Left,
            floor: [Spot::new(100.0, 500.0), Spot::new(900.0, 500.0)],
            heel_back: Spot::new(150.0, 480.0),
            longest_toe: Spot::new(870.0, 490.0),
            first_joint: Spot::new(680.0, 470.0),
            dorsum: Some(Spot::new(510.0, 320.0)),
            navicular: Some(Spot::new(420.0, 405.0)),
            known_length: Some(KnownLength {
                from: Spot::new(100.0, 600.0),
                to: Spot::new(400.0, 600.0),
                mm: 100.0,
                relative_error: 0.01,
            }),
        }
    }

    #[test]
    fn heights_and_shares_are_those_worked_by_hand() {
        let read = read_side(&marks(), &Setup::default()).unwrap();
        assert!((read.foot_length.unwrap().value - 240.0).abs() < 1e-9);
        assert!((read.dorsum_height.unwrap().value - 60.0).abs() < 1e-9);
        assert!((read.navicular_height.unwrap().value - 95.0 / 3.0).abs() < 1e-9);
        assert!((read.arch_height_index.unwrap().value - 180.0 / 530.0).abs() < 1e-9);
        assert!((read.navicular_foot.unwrap().value - 95.0 / 720.0).abs() < 1e-9);
        assert!(read.dorsum_off_half.unwrap() < 1e-9);
    }

    #[test]
    fn a_turned_and_mirrored_picture_gives_the_same_shares() {
        let straight = read_side(&marks(), &Setup::default()).unwrap();
        let (sin, cos) = 0.12f64.sin_cos();
        let turned = |s: Spot| Spot::new(-(cos * s.x - sin * s.y), sin * s.x + cos * s.y);
        let mut m = marks();
        m.floor = m.floor.map(turned);
        m.heel_back = turned(m.heel_back);
        m.longest_toe = turned(m.longest_toe);
        m.first_joint = turned(m.first_joint);
        m.dorsum = m.dorsum.map(turned);
        m.navicular = m.navicular.map(turned);
        let read = read_side(&m, &Setup::default()).unwrap();
        let same = |a: Option<Estimate>, b: Option<Estimate>| {
            (a.unwrap().value - b.unwrap().value).abs() < 1e-9
        };
        assert!(same(read.arch_height_index, straight.arch_height_index));
        assert!(same(read.navicular_truncated, straight.navicular_truncated));
    }

    #[test]
    fn without_a_known_length_lengths_stay_missing_and_shares_remain() {
        let m = SideMarks {
            known_length: None,
            navicular: None,
            ..marks()
        };
        let read = read_side(&m, &Setup::default()).unwrap();
        assert_eq!(read.foot_length, None);
        assert_eq!(read.dorsum_height, None);
        assert_eq!(read.navicular_foot, None);
        assert!(read.arch_height_index.unwrap().standard_error > 0.0);
    }

    #[test]
    fn a_joint_behind_the_heel_or_a_floor_of_one_point_is_refused() {
        let joint = SideMarks {
            first_joint: Spot::new(100.0, 480.0),
            ..marks()
        };
        let floor = SideMarks {
            floor: [Spot::new(1.0, 1.0); 2],
            ..marks()
        };
        for m in [joint, floor] {
            let error = read_side(&m, &Setup::default()).unwrap_err().to_string();
            assert!(error.contains("expected"), "{error}");
        }
    }
}
