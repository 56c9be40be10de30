//! A line or a circle through measured points, with how well it fits.

use crate::plane::{Line, Vec2};

/// A line fitted to points, through their mean.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LineFit {
    pub line: Line,
    /// Root mean square distance of the points from the line, in the unit of the points.
    pub rms: f64,
}

/// A circle fitted to points.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CircleFit {
    pub centre: Vec2,
    pub radius: f64,
    /// Root mean square distance of the points from the circle, in the unit of the points.
    pub rms: f64,
}

fn mean_of(points: &[Vec2]) -> Vec2 {
    let sum = points.iter().fold(Vec2::new(0.0, 0.0), |s, p| s.plus(*p));
    sum.scaled(1.0 / points.len() as f64)
}

/// The line with the least squared perpendicular distances, directed from the first point towards the
/// last. `None` for fewer than two points, points that coincide or that have no main direction.
pub fn line_through(points: &[Vec2]) -> Option<LineFit> {
    let (first, last) = (points.first()?, points.last()?);
    let mean = mean_of(points);
    let (mut xx, mut xy, mut yy) = (0.0, 0.0, 0.0);
    for p in points {
        let d = p.minus(mean);
        xx += d.x * d.x;
        xy += d.x * d.y;
        yy += d.y * d.y;
    }
    let spread = ((xx - yy).powi(2) + 4.0 * xy * xy).sqrt();
    if !spread.is_finite() || spread <= 1e-12 * (xx + yy) || xx + yy == 0.0 {
        return None;
    }
    // Main axis of a symmetric 2 × 2 matrix: tan 2θ = 2 xy / (xx − yy).
    let theta = 0.5 * (2.0 * xy).atan2(xx - yy);
    let mut along = Vec2::new(theta.cos(), theta.sin());
    if along.dot(last.minus(*first)) < 0.0 {
        along = along.scaled(-1.0);
    }
    let least = (0.5 * (xx + yy - spread)).max(0.0);
    Some(LineFit {
        line: Line {
            through: mean,
            along,
        },
        rms: (least / points.len() as f64).sqrt(),
    })
}

/// The circle with the least squared algebraic distance (Kåsa), good for arcs of more than about 60°.
/// `None` for fewer than three points or points on one line.
pub fn circle_through(points: &[Vec2]) -> Option<CircleFit> {
    if points.len() < 3 {
        return None;
    }
    let mean = mean_of(points);
    let (mut suu, mut suv, mut svv, mut suz, mut svz) = (0.0, 0.0, 0.0, 0.0, 0.0);
    for p in points {
        let d = p.minus(mean);
        let z = d.dot(d);
        suu += d.x * d.x;
        suv += d.x * d.y;
        svv += d.y * d.y;
        suz += d.x * z;
        svz += d.y * z;
    }
    let determinant = suu * svv - suv * suv;
    if !determinant.is_finite() || determinant <= 1e-12 * (suu + svv).powi(2) {
        return None;
    }
    let centre = Vec2::new(
        0.5 * (suz * svv - svz * suv) / determinant,
        0.5 * (svz * suu - suz * suv) / determinant,
    );
    let radius = (centre.dot(centre) + (suu + svv) / points.len() as f64).sqrt();
    let centre = centre.plus(mean);
    let square: f64 = points
        .iter()
        .map(|p| (p.minus(centre).length() - radius).powi(2))
        .sum();
    Some(CircleFit {
        centre,
        radius,
        rms: (square / points.len() as f64).sqrt(),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_circle_is_found_from_points_on_it() {
        let points: Vec<Vec2> = (0..7)
            .map(|i| f64::from(i) * 0.4)
            .map(|a| Vec2::new(3.0 + 20.0 * a.cos(), -8.0 + 20.0 * a.sin()))
            .collect();
        let fit = circle_through(&points).expect("seven points on a circle");
        assert!((fit.centre.x - 3.0).abs() < 1e-9 && (fit.centre.y + 8.0).abs() < 1e-9);
        assert!((fit.radius - 20.0).abs() < 1e-9 && fit.rms < 1e-9);
    }

    #[test]
    fn a_steep_line_is_found_and_runs_from_first_to_last() {
        let points: Vec<Vec2> = (0..5)
            .map(|i| Vec2::new(2.0 + 0.1 * f64::from(i), -3.0 * f64::from(i)))
            .collect();
        let fit = line_through(&points).expect("five points on a line");
        assert!((fit.line.along.direction() - (-3.0_f64).atan2(0.1)).abs() < 1e-12);
        assert!(fit.rms < 1e-9);
    }

    #[test]
    fn points_on_one_spot_or_one_line_are_no_circle() {
        let spot = Vec2::new(1.0, 1.0);
        assert_eq!(line_through(&[spot, spot]), None);
        let line: Vec<Vec2> = (0..4)
            .map(|i| Vec2::new(f64::from(i), 2.0 * f64::from(i)))
            .collect();
        assert_eq!(circle_through(&line), None);
    }
}
