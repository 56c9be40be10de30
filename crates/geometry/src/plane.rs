//! Directions, turns and distances in the plane, for bare numbers and for numbers with a gradient.

use crate::dual::Real;

/// A point or a difference of points.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Vec2<T = f64> {
    pub x: T,
    pub y: T,
}

impl<T: Real> Vec2<T> {
    #[inline]
    pub fn new(x: T, y: T) -> Self {
        Self { x, y }
    }

    #[inline]
    pub fn plus(self, other: Self) -> Self {
        Self::new(self.x + other.x, self.y + other.y)
    }

    /// From `other` to `self`.
    #[inline]
    pub fn minus(self, other: Self) -> Self {
        Self::new(self.x - other.x, self.y - other.y)
    }

    #[inline]
    pub fn scaled(self, factor: f64) -> Self {
        Self::new(self.x.scaled(factor), self.y.scaled(factor))
    }

    #[inline]
    pub fn times(self, factor: T) -> Self {
        Self::new(self.x * factor, self.y * factor)
    }

    #[inline]
    pub fn dot(self, other: Self) -> T {
        self.x * other.x + self.y * other.y
    }

    /// Positive where `other` lies counter-clockwise of `self` (x right, y up).
    #[inline]
    pub fn cross(self, other: Self) -> T {
        self.x * other.y - self.y * other.x
    }

    #[inline]
    pub fn length(self) -> T {
        self.dot(self).sqrt()
    }

    #[inline]
    pub fn midpoint(self, other: Self) -> Self {
        self.plus(other).scaled(0.5)
    }

    /// Same direction, length one. Not a number where the length is zero.
    #[inline]
    pub fn unit(self) -> Self {
        let inverse = T::constant(1.0) / self.length();
        self.times(inverse)
    }

    /// Angle against the x axis.
    ///
    /// # Units
    /// Radians, in (−π, π].
    #[inline]
    pub fn direction(self) -> T {
        self.y.atan2(self.x)
    }

    /// Angle from `self` to `other`, counter-clockwise positive.
    ///
    /// # Units
    /// Radians, in (−π, π].
    #[inline]
    pub fn turn_to(self, other: Self) -> T {
        self.cross(other).atan2(self.dot(other))
    }
}

impl Vec2<f64> {
    pub fn is_finite(self) -> bool {
        self.x.is_finite() && self.y.is_finite()
    }
}

/// A directed line: a point on it and its direction (of any length).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Line<T = f64> {
    pub through: Vec2<T>,
    pub along: Vec2<T>,
}

impl<T: Real> Line<T> {
    /// From the first point to the second.
    #[inline]
    pub fn between(from: Vec2<T>, to: Vec2<T>) -> Self {
        Self {
            through: from,
            along: to.minus(from),
        }
    }

    /// Direction halfway between two lines that run the same way, through the mean of their four points.
    ///
    /// # Assumptions
    /// Neither line has length zero and they do not run in opposite directions.
    #[inline]
    pub fn bisector(upper: [Vec2<T>; 2], lower: [Vec2<T>; 2]) -> Self {
        let along = upper[1]
            .minus(upper[0])
            .unit()
            .plus(lower[1].minus(lower[0]).unit());
        let through = upper[0]
            .plus(upper[1])
            .plus(lower[0])
            .plus(lower[1])
            .scaled(0.25);
        Self { through, along }
    }

    /// Where a chord from `first` to `second` is met by the perpendicular from `point`: zero at
    /// `first`, one at `second`.
    #[inline]
    pub fn share_of_chord(first: Vec2<T>, second: Vec2<T>, point: Vec2<T>) -> T {
        let chord = second.minus(first);
        point.minus(first).dot(chord) / chord.dot(chord)
    }

    /// The x of the line where it has the height `y`. Not a number for a level line.
    #[inline]
    pub fn x_at(self, y: T) -> T {
        self.through.x + self.along.x * ((y - self.through.y) / self.along.y)
    }

    /// Signed distance of `point` from the line, positive to its left (x right, y up).
    #[inline]
    pub fn offset_of(self, point: Vec2<T>) -> T {
        self.along.cross(point.minus(self.through)) / self.along.length()
    }
}

impl Line<f64> {
    /// Where two lines meet; `None` where they are parallel to within 1e-9 rad.
    pub fn meets(self, other: Self) -> Option<Vec2> {
        let (a, b) = (self.along, other.along);
        let cross = a.cross(b);
        if cross.abs() <= 1e-9 * a.length() * b.length() || !cross.is_finite() {
            return None;
        }
        let t = other.through.minus(self.through).cross(b) / cross;
        let point = self.through.plus(a.scaled(t));
        point.is_finite().then_some(point)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn v(x: f64, y: f64) -> Vec2 {
        Vec2::new(x, y)
    }

    /// `100 × offset / length` of a midpoint line, as in two constructed examples for the offset of a
    /// point from the line heel to mid-forefoot: 3.571 % and 6.353 %.
    #[test]
    fn the_offset_from_a_midline_agrees_with_two_examples_worked_by_hand() {
        let percent = |c: Vec2, m1: Vec2, m5: Vec2, t: Vec2| {
            let midline = Line::between(c, m1.midpoint(m5));
            100.0 * midline.offset_of(t) / midline.along.length()
        };
        let first = percent(v(0.0, 0.0), v(-35.0, 150.0), v(35.0, 130.0), v(-5.0, 50.0));
        let second = percent(v(4.0, -2.0), v(-38.0, 146.0), v(40.0, 128.0), v(-6.0, 52.0));
        assert!((first - 3.571).abs() < 5e-4, "{first}");
        assert!((second - 6.353).abs() < 5e-4, "{second}");
    }

    #[test]
    fn the_bisector_of_two_lines_has_the_mean_of_their_angles() {
        let upper = [v(0.0, 5.0), v(10.0, 5.0 + 10.0 * 0.3_f64.tan())];
        let lower = [v(0.0, 0.0), v(30.0, 30.0 * 0.1_f64.tan())];
        assert!((Line::bisector(upper, lower).along.direction() - 0.2).abs() < 1e-15);
    }

    #[test]
    fn a_turn_is_positive_counter_clockwise_and_wraps_at_a_half_turn() {
        let turn = v(-1.0, 0.1).turn_to(v(-1.0, -0.1));
        assert!((turn - 2.0 * 0.1_f64.atan()).abs() < 1e-15);
    }

    #[test]
    fn parallel_lines_do_not_meet() {
        let a = Line::between(v(0.0, 0.0), v(1.0, 1.0));
        let b = Line::between(v(1.0, 0.0), v(3.0, 2.0));
        assert_eq!(a.meets(b), None);
        let c = Line::between(v(4.0, 0.0), v(4.0, 1.0));
        assert_eq!(a.meets(c), Some(v(4.0, 4.0)));
    }
}
