//! A 2 × 2 covariance: is it one, and what does it look like in other axes?

/// Row-major 2 × 2 matrix.
pub type Matrix2 = [[f64; 2]; 2];

/// The covariance of a point's error, symmetric and never negative in any direction.
///
/// # Units
/// The square of the unit of the point.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Covariance2 {
    pub xx: f64,
    pub xy: f64,
    pub yy: f64,
}

/// A matrix that cannot be the covariance of anything.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum BadCovariance {
    #[error(
        "a covariance with a number that is not finite was found; four finite numbers were expected"
    )]
    NotFinite,
    #[error(
        "a covariance that is not symmetric was found ({upper} and {lower} beside the diagonal)"
    )]
    NotSymmetric { upper: f64, lower: f64 },
    #[error(
        "a covariance that is negative in some direction was found; variances are zero or more"
    )]
    Negative,
}

impl Covariance2 {
    /// The same standard deviation in every direction.
    #[inline]
    pub fn round(standard_deviation: f64) -> Self {
        let v = standard_deviation * standard_deviation;
        Self {
            xx: v,
            xy: 0.0,
            yy: v,
        }
    }

    /// Checks that `m` is a covariance.
    ///
    /// # Errors
    /// Not finite, not symmetric (relative 1e-6, what a table printed with seven digits may lose), or
    /// negative in some direction (beyond 1e-9 of its size, for rounding).
    #[inline]
    pub fn from_matrix(m: Matrix2) -> Result<Self, BadCovariance> {
        let [[xx, upper], [lower, yy]] = m;
        if ![xx, upper, lower, yy].iter().all(|v| v.is_finite()) {
            return Err(BadCovariance::NotFinite);
        }
        let size = xx.abs() + yy.abs();
        if (upper - lower).abs() > 1e-6 * size.max(upper.abs()) {
            return Err(BadCovariance::NotSymmetric { upper, lower });
        }
        let xy = 0.5 * (upper + lower);
        if xx < 0.0 || yy < 0.0 || xx * yy - xy * xy < -1e-9 * size * size {
            return Err(BadCovariance::Negative);
        }
        Ok(Self { xx, xy, yy })
    }

    pub fn to_matrix(self) -> Matrix2 {
        [[self.xx, self.xy], [self.xy, self.yy]]
    }

    /// Covariance of `a · p` when `self` is the covariance of `p`.
    #[inline]
    pub fn through(self, a: Matrix2) -> Self {
        let [[a, b], [c, d]] = a;
        Self {
            xx: self.variance_along([a, b]),
            xy: a * (self.xx * c + self.xy * d) + b * (self.xy * c + self.yy * d),
            yy: self.variance_along([c, d]),
        }
    }

    /// A draw with this covariance from two independent standard normal numbers, by Cholesky's triangle.
    pub fn slip(self, normal: [f64; 2]) -> [f64; 2] {
        let a = self.xx.max(0.0).sqrt();
        let b = if a > 0.0 { self.xy / a } else { 0.0 };
        let d = (self.yy - b * b).max(0.0).sqrt();
        [a * normal[0], b * normal[0] + d * normal[1]]
    }

    /// Variance of `g · p`, never below zero.
    #[inline]
    pub fn variance_along(self, g: [f64; 2]) -> f64 {
        (g[0] * g[0] * self.xx + 2.0 * g[0] * g[1] * self.xy + g[1] * g[1] * self.yy).max(0.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn slips_along_both_axes_multiply_up_to_the_covariance() {
        let c = Covariance2 {
            xx: 4.0,
            xy: -1.0,
            yy: 3.0,
        };
        let (u, v) = (c.slip([1.0, 0.0]), c.slip([0.0, 1.0]));
        let product = |i: usize, k: usize| u[i] * u[k] + v[i] * v[k];
        for (got, wanted) in [
            (product(0, 0), c.xx),
            (product(0, 1), c.xy),
            (product(1, 1), c.yy),
        ] {
            assert!((got - wanted).abs() < 1e-12, "{got} {wanted}");
        }
    }

    #[test]
    fn a_matrix_that_is_negative_in_some_direction_is_refused() {
        assert_eq!(
            Covariance2::from_matrix([[1.0, 2.0], [2.0, 1.0]]),
            Err(BadCovariance::Negative)
        );
        assert_eq!(
            Covariance2::from_matrix([[1.0, f64::NAN], [0.0, 1.0]]),
            Err(BadCovariance::NotFinite)
        );
        assert!(matches!(
            Covariance2::from_matrix([[1.0, 0.5], [0.0, 1.0]]),
            Err(BadCovariance::NotSymmetric { .. })
        ));
    }

    #[test]
    fn a_quarter_turn_swaps_the_axes() {
        let c = Covariance2 {
            xx: 4.0,
            xy: 1.0,
            yy: 9.0,
        };
        let turned = c.through([[0.0, -1.0], [1.0, 0.0]]);
        assert_eq!(
            turned,
            Covariance2 {
                xx: 9.0,
                xy: -1.0,
                yy: 4.0
            }
        );
    }
}
