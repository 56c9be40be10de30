//! How sure a reading is: variance from the gradient, cause by cause.
//!
//! Let f be the measure in frame coordinates (x along the floor, y up) and g its exact gradient. To
//! first order:
//!
//! * **points**: Σᵢ gᵢᵀ Cᵢ gᵢ over the measured points with their covariances Cᵢ;
//! * **scale**: a length moves with the scale by its own value, an angle or a ratio not at all;
//! * **floor**: a floor tilted by φ and lifted by h shows a point at (x + φy, y − φx − h), so
//!   ∂f/∂φ = Σ (∂f/∂xᵢ · yᵢ − ∂f/∂yᵢ · xᵢ) and ∂f/∂h = −Σ ∂f/∂yᵢ. With floor points b (the frame's
//!   origin) and f at distance L: φ = (δf − δb)/L and h = δb, δ their errors across the floor. With
//!   the film's edge as floor, φ has the standard deviation [`EDGE_TILT_SD_DEG`];
//! * **rotation**: see [`rotation`].

use geometry::Vec2;

/// Tilt of the film's horizontal edge against the floor, one standard deviation.
///
/// # Sources
/// Common practice: cassette or detector stands on the same floor as the foot.
pub(crate) const EDGE_TILT_SD_DEG: f64 = 0.5;

/// A gradient summed over the points into what tilt, lift and widening along x would do.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Whole {
    /// ∂f/∂φ, by radian of floor tilt.
    pub by_tilt: f64,
    /// ∂f/∂h, by unit of floor level.
    pub by_level: f64,
    /// ∂f/∂u where every x becomes u·x, at u = 1.
    pub by_widening: f64,
}

impl Whole {
    pub fn of(points: &[Vec2], gradient: &[[f64; 2]]) -> Self {
        let mut out = Self {
            by_tilt: 0.0,
            by_level: 0.0,
            by_widening: 0.0,
        };
        for (p, [gx, gy]) in points.iter().zip(gradient) {
            out.by_tilt += gx * p.y - gy * p.x;
            out.by_level -= gy;
            out.by_widening += gx * p.x;
        }
        out
    }
}

/// Error of a reading from a foot turned at random about the upright axis.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Rotation {
    /// Root mean square of reading minus truth.
    pub rms: f64,
    /// Mean of reading minus truth.
    pub bias: f64,
}

/// What a turn t ~ N(0, s²) does to a measure of lines in the plane of the film.
///
/// A parallel beam shows every x as x·cos t and leaves heights, hence tan a' = tan a / cos t for a line
/// of elevation a. With u = 1/cos t ≈ 1 + t²/2 the truth is f at u·x, so reading − truth ≈ −(∂f/∂u) t²/2.
/// For normal t, E t² = s² and E t⁴ = 3 s⁴, therefore
///
/// * bias = −(∂f/∂u) · s²/2;
/// * SD about that bias = |∂f/∂u| · s²/√2;
/// * root mean square = |∂f/∂u| · s² · √3/2.
///
/// The bias always has the same sign (lines read steeper, lengths along the floor shorter), but is not
/// taken off, because it hangs on a guessed s; the error part is the root mean square, which holds both.
/// For a known turn t the shift is at most |∂f/∂u| · (1/cos t − 1) up to second order.
///
/// # Assumptions
/// s small: the next term of 1/cos t is 5t⁴/24, 1 % of the second-order term at t = 9°.
pub(crate) fn rotation(whole: &Whole, sd_deg: f64) -> Rotation {
    let s2 = sd_deg.to_radians().powi(2);
    Rotation {
        rms: whole.by_widening.abs() * s2 * 0.75_f64.sqrt(),
        bias: -whole.by_widening * s2 / 2.0,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The elevation of a line from the origin, with its gradient, in degrees.
    fn elevation(p: Vec2) -> (f64, [f64; 2]) {
        let r2 = p.dot(p);
        (
            p.direction().to_degrees(),
            [(-p.y / r2).to_degrees(), (p.x / r2).to_degrees()],
        )
    }

    #[test]
    fn the_rotation_error_agrees_with_a_sum_over_many_turns() {
        let p = Vec2::new(20.0_f64.to_radians().cos(), 20.0_f64.to_radians().sin());
        let (truth, g) = elevation(p);
        let sd_deg = 5.0_f64;
        let rotation = rotation(&Whole::of(&[p], &[g]), sd_deg);
        // E over t by the midpoint rule on ±6 SD.
        let (mut mean, mut square, mut weight) = (0.0, 0.0, 0.0);
        for i in 0..6000 {
            let z = -6.0 + (f64::from(i) + 0.5) * 0.002;
            let w = (-0.5 * z * z).exp();
            let cos = (z * sd_deg).to_radians().cos();
            let shift = elevation(Vec2::new(p.x * cos, p.y)).0 - truth;
            mean += w * shift;
            square += w * shift * shift;
            weight += w;
        }
        let (bias, rms) = (mean / weight, (square / weight).sqrt());
        // Terms of higher order than t² are 2 % at this SD.
        assert!(
            (rotation.bias / bias - 1.0).abs() < 0.02,
            "{} {bias}",
            rotation.bias
        );
        assert!(
            (rotation.rms / rms - 1.0).abs() < 0.04,
            "{} {rms}",
            rotation.rms
        );
    }

    #[test]
    fn tilting_the_floor_moves_an_elevation_by_the_tilt_alone() {
        let p = Vec2::new(50.0, 17.0);
        let (_, g) = elevation(p);
        let whole = Whole::of(&[p], &[g]);
        assert!(
            (whole.by_tilt + 1_f64.to_degrees()).abs() < 1e-12,
            "{}",
            whole.by_tilt
        );
    }
}
