//! The heel against the leg at one moment, as seen from behind.

use super::series::LegSeries;
use crate::steps::Point;
use geometry::Vec2;
use serde::Serialize;
use terms::Side;

/// # Sign
/// Plus where the heel's lower end points outward (eversion, valgus) of the leg's line carried on.
///
/// # Uncertainty
/// `sd_deg` from following the points; placing, camera and lean are added where a reading is made.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct HeelAngle {
    pub deg: f64,
    pub sd_deg: f64,
    /// Distance of the heel's points over that of the leg's: falls as the heel pitches.
    pub(crate) heel_over_leg: f64,
    pub(crate) heel_length: f64,
    pub(crate) leg_length: f64,
}

/// Angle from the leg's line (downward) to the heel's, outward positive; x to the right, y up.
///
/// # Units
/// Degrees.
pub(crate) fn outward_deg(side: Side, leg_down: Vec2, heel_down: Vec2) -> f64 {
    let turn = leg_down.turn_to(heel_down).to_degrees();
    // Seen from behind the right foot stands on the right: its heel's lower end goes outward to the right, which
    // from a line that points down is a turn against the clock.
    match side {
        Side::Right => turn,
        Side::Left => -turn,
    }
}

/// Standard error of a line's direction from those of its ends, degrees.
pub(crate) fn direction_sd_deg(along: Vec2, ends: [(f64, f64); 2]) -> f64 {
    let length = along.length();
    let (nx, ny) = (-along.y / length, along.x / length);
    let square: f64 = ends
        .iter()
        .map(|(sx, sy)| (nx * sx).powi(2) + (ny * sy).powi(2))
        .sum();
    (square.sqrt() / length).to_degrees()
}

/// `None` where one of the four points was not seen or two fall together.
pub(crate) fn heel_angle(leg: &LegSeries, frame: usize) -> Option<HeelAngle> {
    let line = |upper, lower| {
        let (u, l) = (leg.at(upper, frame)?, leg.at(lower, frame)?);
        let down = Vec2::new(l.x - u.x, l.y - u.y);
        (down.length() > 1e-9).then_some((down, [(u.sd_x, u.sd_y), (l.sd_x, l.sd_y)]))
    };
    let (leg_down, leg_ends) = line(Point::LegUpper, Point::LegLower)?;
    let (heel_down, heel_ends) = line(Point::HeelUpper, Point::HeelLower)?;
    let (leg_length, heel_length) = (leg_down.length(), heel_down.length());
    Some(HeelAngle {
        deg: outward_deg(leg.side, leg_down, heel_down),
        sd_deg: direction_sd_deg(leg_down, leg_ends).hypot(direction_sd_deg(heel_down, heel_ends)),
        heel_over_leg: heel_length / leg_length,
        heel_length,
        leg_length,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_heel_whose_lower_end_points_outward_is_plus_on_either_side() {
        let down = Vec2::new(0.0, -1.0);
        let (sin, cos) = 6f64.to_radians().sin_cos();
        assert!((outward_deg(Side::Right, down, Vec2::new(sin, -cos)) - 6.0).abs() < 1e-9);
        assert!((outward_deg(Side::Left, down, Vec2::new(-sin, -cos)) - 6.0).abs() < 1e-9);
        assert!((outward_deg(Side::Left, down, Vec2::new(sin, -cos)) + 6.0).abs() < 1e-9);
    }

    #[test]
    fn a_pixel_across_a_line_of_a_hundred_is_half_a_degree_and_along_it_nothing() {
        let down = Vec2::new(0.0, -100.0);
        let across = direction_sd_deg(down, [(1.0, 0.0), (0.0, 0.0)]);
        assert!((across - 0.573).abs() < 1e-3);
        assert!(direction_sd_deg(down, [(0.0, 1.0), (0.0, 1.0)]) < 1e-12);
    }
}
