//! Large turns in space: their vector, their matrix, and how one changes with the other.
//!
//! Leaves what turns to [`corotation`](crate::corotation). One surprise: near no turn at all every factor here
//! is a quotient of vanishing numbers, so short series stand in for them.

use nalgebra::{Matrix3, Vector3};

/// The matrix of the cross product with a vector.
pub(crate) fn spin(v: &Vector3<f64>) -> Matrix3<f64> {
    v.cross_matrix()
}

/// The turn about a vector by its length.
pub(crate) fn turn_by(v: &Vector3<f64>) -> Matrix3<f64> {
    let square = v.norm_squared();
    let (first, second) = if square < 1e-8 {
        (1.0 - square / 6.0, 0.5 - square / 24.0)
    } else {
        let angle = square.sqrt();
        (angle.sin() / angle, (1.0 - angle.cos()) / square)
    };
    let cross = spin(v);
    Matrix3::identity() + cross * first + cross * cross * second
}

/// The vector of a turn, its length below a half turn; less exact within 1e-6 of one.
pub(crate) fn vector_of(turn: &Matrix3<f64>) -> Vector3<f64> {
    let axial = Vector3::new(
        turn[(2, 1)] - turn[(1, 2)],
        turn[(0, 2)] - turn[(2, 0)],
        turn[(1, 0)] - turn[(0, 1)],
    ) / 2.0;
    let (sine, cosine) = (axial.norm(), (turn.trace() - 1.0) / 2.0);
    let angle = sine.atan2(cosine);
    if sine > 1e-6 {
        return axial * (angle / sine);
    }
    if cosine > 0.0 {
        return axial * (1.0 + sine * sine / 6.0);
    }
    // About a half turn the axis is in the symmetric part.
    let symmetric = (turn + turn.transpose()) / 2.0 + Matrix3::identity();
    let column = symmetric.diagonal().imax();
    let axis = symmetric.column(column).normalize();
    let sign = if axis.dot(&axial) < 0.0 { -1.0 } else { 1.0 };
    axis * (sign * angle)
}

/// The change of a turn's vector by a small turn that follows it: the inverse of the exponential's slope.
pub(crate) fn slope(v: &Vector3<f64>) -> Matrix3<f64> {
    let cross = spin(v);
    Matrix3::identity() - cross * 0.5 + cross * cross * eta(v.norm())
}

fn eta(angle: f64) -> f64 {
    if angle < 0.05 {
        let square = angle * angle;
        1.0 / 12.0 + square / 720.0 + square * square / 30_240.0
    } else {
        (1.0 - 0.5 * angle / (0.5 * angle).tan()) / (angle * angle)
    }
}

/// The slope of eta over the angle.
fn mu(angle: f64) -> f64 {
    if angle < 0.05 {
        1.0 / 360.0 + angle * angle / 7560.0
    } else {
        let half = (0.5 * angle).sin();
        (angle * angle + 4.0 * angle.cos() + angle * angle.sin() - 4.0)
            / (4.0 * angle.powi(4) * half * half)
    }
}

/// How `slope(v)' * moment` changes with a small turn that follows `v`, the moment staying.
///
/// # Sources
/// Nour-Omid & Rankin, Comput. Methods Appl. Mech. Engrg. 93 (1991) 353; Felippa & Haugen, 194 (2005) 2285.
/// Written from memory of the formula; proven here against finite differences.
pub(crate) fn slope_of_moment(v: &Vector3<f64>, moment: &Vector3<f64>) -> Matrix3<f64> {
    let angle = v.norm();
    let cross = spin(v);
    let inner = (Matrix3::identity() * v.dot(moment) + v * moment.transpose()
        - moment * v.transpose() * 2.0)
        * eta(angle)
        + cross * cross * moment * v.transpose() * mu(angle)
        - spin(moment) * 0.5;
    inner * slope(v)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_turn_and_its_vector_give_each_other_back_up_to_a_half_turn() {
        for scale in [0.0, 1e-9, 1e-4, 0.3, 1.0, 2.0, 3.0, 3.1] {
            let v = Vector3::new(0.6, -0.48, 0.64).normalize() * scale;
            let back = vector_of(&turn_by(&v));
            assert!(
                (back - v).norm() < 1e-9 * (1.0 + scale),
                "{scale}: {back} {v}"
            );
        }
    }

    #[test]
    fn slopes_are_those_of_finite_differences() {
        let moment = Vector3::new(1.3, -0.7, 0.4);
        for scale in [1e-3, 0.03, 0.08, 0.7, 2.0] {
            let v = Vector3::new(0.3, 0.9, -0.5).normalize() * scale;
            let step = 1e-6;
            for axis in 0..3 {
                let mut small = Vector3::zeros();
                small[axis] = step;
                let plus = vector_of(&(turn_by(&small) * turn_by(&v)));
                let minus = vector_of(&(turn_by(&-small) * turn_by(&v)));
                let change = (plus - minus) / (2.0 * step);
                assert!((change - slope(&v).column(axis)).norm() < 1e-7, "{scale}");
                let moved = (slope(&plus).transpose() * moment
                    - slope(&minus).transpose() * moment)
                    / (2.0 * step);
                let expected = slope_of_moment(&v, &moment).column(axis).into_owned();
                assert!(
                    (moved - expected).norm() < 1e-7,
                    "{scale} {axis}: {moved} {expected}"
                );
            }
        }
    }
}
