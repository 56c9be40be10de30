//! The standing heel from behind.

use super::edges::{Middle, middle_of};
use super::placed_sd;
use crate::MotionError;
use crate::rise::angle::outward_deg;
use crate::steps::{Setup, Spot, check_line};
use geometry::Vec2;
use picture::Grey;
use quantity::{Estimate, Unit};
use serde::{Deserialize, Serialize};
use terms::Side;

/// How a line was set.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", tag = "by")]
pub enum LineMark {
    /// Two points by hand.
    Points { upper: Spot, lower: Spot },
    /// Edges of the skin to both sides of a rough line, looked for up to `reach_px`.
    Edges {
        upper: Spot,
        lower: Spot,
        reach_px: f64,
    },
}

/// What is marked on a photograph from behind.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct BehindMarks {
    pub side: Side,
    pub leg: LineMark,
    pub heel: LineMark,
    /// A mark on each toe that shows on the outer side; an empty list where none shows, `None` where nobody looked.
    pub toes: Option<Vec<Spot>>,
}

/// What makes a heel angle uncertain, standard errors in degrees.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Parts {
    /// Points on the anatomy, or edges of the skin.
    pub lines: f64,
    /// A camera askew between a leaning shank and an upright heel.
    pub camera: f64,
}

/// # Sign
/// Plus is outward (eversion, valgus) of that side.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct BehindReadings {
    pub side: Side,
    pub heel_to_leg: Estimate,
    /// Against the upright of the picture.
    pub heel_to_upright: Estimate,
    pub leg_to_upright: Estimate,
    /// Toes that show on the outer side.
    pub toes: Option<usize>,
    pub parts: Parts,
    pub leg_edges: Option<Vec<(Spot, Spot)>>,
    pub heel_edges: Option<Vec<(Spot, Spot)>>,
}

struct Line {
    upper: Spot,
    lower: Spot,
    sd_deg: f64,
    edges: Option<Vec<(Spot, Spot)>>,
}

/// # Errors
/// Lines too short or upside down, edges that are not there or asked for without a picture, toes that are no place.
///
/// # Uncertainty
/// Points: each off by the placing error. Edges: the scatter of the middles about their line, and the placing error
/// of one end, since flesh lies unevenly about the bone. Camera: tan of the lean times sine of the yaw's error.
pub fn read_behind(
    picture: Option<&Grey>,
    marks: &BehindMarks,
    setup: &Setup,
) -> Result<BehindReadings, MotionError> {
    setup.checked()?;
    let leg = line("line of the lower leg", &marks.leg, picture, setup)?;
    let heel = line("line of the heel", &marks.heel, picture, setup)?;
    if let Some(toe) = marks.toes.iter().flatten().find(|t| !t.is_finite()) {
        return Err(MotionError::OutOfRange {
            what: "the place of a toe",
            found: if toe.x.is_finite() { toe.y } else { toe.x },
            expected: "a place in the picture",
        });
    }
    let down = |l: &Line| Vec2::new(l.lower.x - l.upper.x, -(l.lower.y - l.upper.y));
    let upright = Vec2::new(0.0, -1.0);
    let lean = setup.lean_difference_deg.to_radians().tan();
    let camera = (lean * setup.yaw_sd_deg.to_radians().sin()).to_degrees();
    let lines = leg.sd_deg.hypot(heel.sd_deg);
    let degrees = |value: f64, sd: f64| Estimate::new(value, sd, Unit::Degree);
    Ok(BehindReadings {
        side: marks.side,
        heel_to_leg: degrees(
            outward_deg(marks.side, down(&leg), down(&heel)),
            lines.hypot(camera),
        ),
        heel_to_upright: degrees(
            outward_deg(marks.side, upright, down(&heel)),
            heel.sd_deg.hypot(setup.roll_sd_deg),
        ),
        leg_to_upright: degrees(
            outward_deg(marks.side, upright, down(&leg)),
            leg.sd_deg.hypot(setup.roll_sd_deg).hypot(camera),
        ),
        toes: marks.toes.as_ref().map(Vec::len),
        parts: Parts { lines, camera },
        leg_edges: leg.edges,
        heel_edges: heel.edges,
    })
}

fn line(
    name: &'static str,
    mark: &LineMark,
    picture: Option<&Grey>,
    setup: &Setup,
) -> Result<Line, MotionError> {
    match *mark {
        LineMark::Points { upper, lower } => {
            check_line(name, upper, lower)?;
            let sd_deg = placed_sd([upper, lower], setup.placing_sd_px, |[u, l]| {
                (l.x - u.x).atan2(l.y - u.y).to_degrees()
            });
            Ok(Line {
                upper,
                lower,
                sd_deg,
                edges: None,
            })
        }
        LineMark::Edges {
            upper,
            lower,
            reach_px,
        } => {
            check_line(name, upper, lower)?;
            let grey = picture.ok_or(MotionError::EdgesNotFound {
                found: 0,
                of: super::edges::HEIGHTS,
                least: super::edges::LEAST_HEIGHTS,
            })?;
            let Middle {
                upper,
                lower,
                direction_sd_deg,
                edges,
            } = middle_of(grey, upper, lower, reach_px)?;
            let length = (lower.x - upper.x).hypot(lower.y - upper.y);
            let flesh = (setup.placing_sd_px / length).to_degrees();
            Ok(Line {
                upper,
                lower,
                sd_deg: direction_sd_deg.hypot(flesh),
                edges: Some(edges),
            })
        }
    }
}

/// Left less right of two readings; `None` for readings of one side.
pub fn left_less_right(a: &BehindReadings, b: &BehindReadings) -> Option<Estimate> {
    let (left, right) = match (a.side, b.side) {
        (Side::Left, Side::Right) => (a, b),
        (Side::Right, Side::Left) => (b, a),
        _ => return None,
    };
    // One picture, one upright: what the camera does to one side it does to the other the other way round.
    Some(Estimate::new(
        left.heel_to_leg.value - right.heel_to_leg.value,
        left.heel_to_leg
            .standard_error
            .hypot(right.heel_to_leg.standard_error),
        Unit::Degree,
    ))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn points(upper: (f64, f64), lower: (f64, f64)) -> LineMark {
        LineMark::Points {
            upper: Spot::new(upper.0, upper.1),
            lower: Spot::new(lower.0, lower.1),
        }
    }

    fn right(toes: Option<Vec<Spot>>) -> BehindMarks {
        let lean = 6f64.to_radians().tan();
        BehindMarks {
            side: Side::Right,
            leg: points((200.0, 100.0), (200.0, 400.0)),
            heel: points((200.0, 500.0), (200.0 + 80.0 * lean, 580.0)),
            toes,
        }
    }

    #[test]
    fn a_heel_six_degrees_out_reads_plus_six_on_the_right_and_minus_six_if_it_were_the_left() {
        let setup = Setup::default();
        let read = read_behind(None, &right(None), &setup).unwrap();
        assert!((read.heel_to_leg.value - 6.0).abs() < 1e-9);
        let left = BehindMarks {
            side: Side::Left,
            ..right(None)
        };
        let left = read_behind(None, &left, &setup).unwrap();
        assert!((left.heel_to_leg.value + 6.0).abs() < 1e-9);
        assert!((left_less_right(&read, &left).unwrap().value + 12.0).abs() < 1e-9);
        assert!(left_less_right(&read, &read).is_none());
    }

    #[test]
    fn the_error_holds_placing_and_camera_and_grows_with_each() {
        let setup = Setup::default();
        let read = read_behind(None, &right(None), &setup).unwrap();
        // 2 px at either end of 80 and of 300 px, and tan 8° sin 5°.
        let heel = (2f64.sqrt() * 2.0 / 80.0 * 6f64.to_radians().cos()).to_degrees();
        let leg = (2f64.sqrt() * 2.0 / 300.0).to_degrees();
        assert!((read.parts.lines - heel.hypot(leg)).abs() < 0.01);
        assert!((read.parts.camera - 0.70).abs() < 0.01, "{:?}", read.parts);
        let sure = Setup {
            yaw_sd_deg: 1.0,
            placing_sd_px: 1.0,
            ..setup
        };
        let surer = read_behind(None, &right(None), &sure).unwrap();
        assert!(surer.heel_to_leg.standard_error < 0.6 * read.heel_to_leg.standard_error);
    }

    #[test]
    fn toes_nobody_looked_for_stay_missing_and_none_seen_is_zero() {
        let setup = Setup::default();
        let toes = |t| read_behind(None, &right(t), &setup).unwrap().toes;
        assert_eq!(toes(None), None);
        assert_eq!(toes(Some(vec![])), Some(0));
        assert_eq!(toes(Some(vec![Spot::new(1.0, 2.0); 3])), Some(3));
    }

    #[test]
    fn lines_upside_down_too_short_or_of_no_number_are_refused_with_a_sentence() {
        let setup = Setup::default();
        for heel in [
            points((200.0, 580.0), (200.0, 500.0)),
            points((200.0, 500.0), (201.0, 503.0)),
            points((f64::NAN, 500.0), (200.0, 580.0)),
        ] {
            let marks = BehindMarks {
                heel,
                ..right(None)
            };
            let error = read_behind(None, &marks, &setup).unwrap_err().to_string();
            assert!(error.contains("line of the heel"), "{error}");
        }
    }
}
