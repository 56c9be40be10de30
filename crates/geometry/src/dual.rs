//! How a value moves with its inputs: forward-mode dual numbers with a gradient of fixed size.
//!
//! A [`Dual<N>`] carries a value and its `N` partial derivatives; every operation applies the chain
//! rule exactly, so there is no step size to choose. The gradient is an array and not a vector, so that
//! nothing is allocated.

use std::ops::{Add, Div, Mul, Neg, Sub};

/// What the plane geometry needs of a number: `f64` for a bare value, [`Dual`] for value and gradient.
pub trait Real:
    Copy
    + Add<Output = Self>
    + Sub<Output = Self>
    + Mul<Output = Self>
    + Div<Output = Self>
    + Neg<Output = Self>
{
    /// A number that does not move.
    fn constant(value: f64) -> Self;
    /// The value without its gradient.
    fn value(&self) -> f64;
    /// Product with a number that does not move.
    fn scaled(self, factor: f64) -> Self;
    fn sqrt(self) -> Self;
    /// Angle of the point (x, y) = (`other`, `self`) in radians, in (−π, π].
    fn atan2(self, other: Self) -> Self;
}

impl Real for f64 {
    #[inline]
    fn constant(value: f64) -> Self {
        value
    }
    #[inline]
    fn value(&self) -> f64 {
        *self
    }
    #[inline]
    fn scaled(self, factor: f64) -> Self {
        self * factor
    }
    #[inline]
    fn sqrt(self) -> Self {
        f64::sqrt(self)
    }
    #[inline]
    fn atan2(self, other: Self) -> Self {
        f64::atan2(self, other)
    }
}

/// A value with its gradient with respect to `N` inputs.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Dual<const N: usize> {
    pub value: f64,
    pub gradient: [f64; N],
}

impl<const N: usize> Dual<N> {
    /// The input number `index` itself: its own derivative is one.
    /// An `index` of `N` or more gives a number that does not move.
    #[inline]
    pub fn variable(value: f64, index: usize) -> Self {
        let mut gradient = [0.0; N];
        if let Some(slot) = gradient.get_mut(index) {
            *slot = 1.0;
        }
        Self { value, gradient }
    }

    /// `value` with the gradient `a · self.gradient + b · other.gradient`.
    #[inline]
    fn chain(self, a: f64, other: Self, b: f64, value: f64) -> Self {
        let mut gradient = [0.0; N];
        for ((g, s), o) in gradient.iter_mut().zip(&self.gradient).zip(&other.gradient) {
            *g = a * s + b * o;
        }
        Self { value, gradient }
    }
}

impl<const N: usize> Add for Dual<N> {
    type Output = Self;
    #[inline]
    fn add(mut self, other: Self) -> Self {
        self.value += other.value;
        for (g, o) in self.gradient.iter_mut().zip(&other.gradient) {
            *g += o;
        }
        self
    }
}

impl<const N: usize> Sub for Dual<N> {
    type Output = Self;
    #[inline]
    fn sub(mut self, other: Self) -> Self {
        self.value -= other.value;
        for (g, o) in self.gradient.iter_mut().zip(&other.gradient) {
            *g -= o;
        }
        self
    }
}

impl<const N: usize> Mul for Dual<N> {
    type Output = Self;
    #[inline]
    fn mul(self, other: Self) -> Self {
        self.chain(other.value, other, self.value, self.value * other.value)
    }
}

impl<const N: usize> Div for Dual<N> {
    type Output = Self;
    #[inline]
    fn div(self, other: Self) -> Self {
        let inverse = 1.0 / other.value;
        let quotient = self.value * inverse;
        self.chain(inverse, other, -quotient * inverse, quotient)
    }
}

impl<const N: usize> Neg for Dual<N> {
    type Output = Self;
    #[inline]
    fn neg(self) -> Self {
        self.scaled(-1.0)
    }
}

impl<const N: usize> Real for Dual<N> {
    #[inline]
    fn constant(value: f64) -> Self {
        Self {
            value,
            gradient: [0.0; N],
        }
    }

    #[inline]
    fn value(&self) -> f64 {
        self.value
    }

    #[inline]
    fn scaled(mut self, factor: f64) -> Self {
        self.value *= factor;
        for g in &mut self.gradient {
            *g *= factor;
        }
        self
    }

    #[inline]
    fn sqrt(self) -> Self {
        let root = self.value.sqrt();
        let mut out = self.scaled(0.5 / root);
        out.value = root;
        out
    }

    #[inline]
    fn atan2(self, other: Self) -> Self {
        let square = self.value * self.value + other.value * other.value;
        self.chain(
            other.value / square,
            other,
            -self.value / square,
            self.value.atan2(other.value),
        )
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Every operation of the trait at once.
    fn busy<T: Real>(x: T, y: T) -> T {
        let r = (x * x + y * y).sqrt();
        (y - r.scaled(0.3)).atan2(x + T::constant(2.0)) / r - -x
    }

    #[test]
    fn the_gradient_agrees_with_central_differences() {
        let (x, y, h) = (0.7, -1.3, 1e-6);
        let exact = busy(Dual::<2>::variable(x, 0), Dual::<2>::variable(y, 1));
        let dx = (busy(x + h, y) - busy(x - h, y)) / (2.0 * h);
        let dy = (busy(x, y + h) - busy(x, y - h)) / (2.0 * h);
        assert!((exact.value - busy(x, y)).abs() < 1e-15);
        // Central differences with this step are good to about 1e-10 here.
        assert!(
            (exact.gradient[0] - dx).abs() < 1e-8,
            "{} {dx}",
            exact.gradient[0]
        );
        assert!(
            (exact.gradient[1] - dy).abs() < 1e-8,
            "{} {dy}",
            exact.gradient[1]
        );
    }
}
