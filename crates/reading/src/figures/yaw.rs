//! What a foot turned about the upright axis does to the readings of lines in the plane of the film.

use crate::points::{FilmFacts, PointSet};
use crate::reader::Reader;
use geometry::Vec2;
use serde::Serialize;
use terms::MeasureKey;

/// One reading at one turn.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct YawPoint {
    pub measure: MeasureKey,
    pub yaw_deg: f64,
    pub straight: f64,
    /// By turning the points: every x times cos t.
    pub turned: f64,
}

/// Readings of the same foot turned by each of `yaws_deg`, for the measures that model rotation.
///
/// # Assumptions
/// A parallel beam and points in one plane: bone outlines change with a turn too, and on cadaver films
/// readings moved more than this.
pub fn yaw_curve(
    reader: &Reader,
    points: &PointSet,
    film: &FilmFacts,
    yaws_deg: &[f64],
) -> Vec<YawPoint> {
    let Some(frame) = reader.frame_of(points, film) else {
        return Vec::new();
    };
    let straight = reader.estimates(points, film);
    let mut out = Vec::new();
    for yaw in yaws_deg {
        let cos = yaw.to_radians().cos();
        let mut turned = points.clone();
        for point in turned.points.values_mut() {
            let at = frame.frame_from_px([point.x_px, point.y_px]);
            [point.x_px, point.y_px] = frame.px_from_frame(Vec2::new(at.x * cos, at.y));
        }
        let readings = reader.estimates(&turned, film);
        for (i, key) in reader.measures().enumerate() {
            if let (true, Some(a), Some(b)) = (reader.models_rotation(i), straight[i], readings[i])
            {
                let (straight, turned) = (a.value, b.value);
                out.push(YawPoint {
                    measure: key.clone(),
                    yaw_deg: *yaw,
                    straight,
                    turned,
                });
            }
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::figures::{invented_film, invented_points};
    use knowledge::Knowledge;
    use terms::{LandmarkKey, View};

    /// Origin: tan a' = tan a / cos t worked by hand: 20° reads 20.28, 20.65 and 21.88° at 10, 15 and 25°.
    #[test]
    fn a_line_of_20_degrees_reads_as_worked_by_hand_when_the_foot_is_turned() {
        let reader = Reader::new(Knowledge::built_in(), View::Lateral);
        let (mut points, film) = (invented_points(View::Lateral), invented_film());
        let back = points.points[&LandmarkKey::new("calc_plantar_tuber").expect("a good key")];
        let front = LandmarkKey::new("calc_plantar_front").expect("a good key");
        let front = points.points.get_mut(&front).expect("placed");
        front.y_px = back.y_px - (front.x_px - back.x_px) * 20_f64.to_radians().tan();
        let curve = yaw_curve(&reader, &points, &film, &[10.0, 15.0, 25.0]);
        let pitch: Vec<f64> = curve
            .iter()
            .filter(|p| p.measure.as_str() == "calc_pitch")
            .map(|p| p.turned)
            .collect();
        for (found, expected) in pitch.iter().zip([20.28, 20.65, 21.88]) {
            assert!(
                (found - expected).abs() < 0.005,
                "found {found}, expected {expected}"
            );
        }
        assert_eq!(pitch.len(), 3);
    }

    #[test]
    fn a_turned_foot_keeps_its_heights() {
        let reader = Reader::new(Knowledge::built_in(), View::Lateral);
        let (points, film) = (invented_points(View::Lateral), invented_film());
        let curve = yaw_curve(&reader, &points, &film, &[25.0]);
        let heights = curve
            .iter()
            .filter(|p| ["nav_height", "mc_floor"].contains(&p.measure.as_str()));
        assert_eq!(heights.clone().count(), 2);
        for point in heights {
            assert!((point.turned - point.straight).abs() < 1e-9, "{point:?}");
        }
    }
}
