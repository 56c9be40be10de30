//! Is what is followed still what was marked?
//!
//! Following from frame to frame drifts: each step's error stays. Here the first look of a point is laid over the
//! present frame, allowed to turn, stretch and slant, since a heel that lifts turns and is seen from below. Where
//! the two still agree the place is taken from the first look, and no error of the steps between remains.
//!
//! What lies near the point counts most and an even slope of the light counts nothing: the lower point of a small
//! heel has the shadow under the heel in its window, which stays below while the point goes up, and drew a plain
//! window some five pixels with it.
//!
//! # Sources
//! Common practice: Shi and Tomasi 1994 (an affine look at the first window as the check of drift), Baker and
//! Matthews 2004 (the inverse form, in which all that is costly is computed once). Neither text was at hand.

use super::flow::{FLOOR_PX, Patch, TOGETHER};
use super::region::Region;
use std::sync::LazyLock;

/// Pixels across the window: larger than that of the steps, since six numbers are found from it.
pub(crate) const WIDE: usize = 31;
/// A pixel's say falls with its distance from the point, to the standard normal curve of one of these widths in pixels.
/// The narrowest sees a sticker or a cross of 9 to 12 mm at 1.4 pixels a millimetre whole and its surroundings hardly;
/// the wider ones are for marks so large that their middle alone is plain.
const NEAR_PX: [f32; 3] = [5.0, 7.0, 10.0];
/// The narrowest width is taken that places a point to so many pixels under the noise below, else the surest.
const SURE_PX: f64 = 0.12;
/// Noise of a usual phone's frame in a lit room, in values of 255. Common practice; nothing was read.
const USUAL_NOISE: f64 = 3.0;
const MOST_TURNS: usize = 12;
const ENOUGH_PX: f64 = 0.004;
/// A round heel that pitches does not shorten alike all over its window: the place errs along the shortened
/// direction by this part of what the width of the say shortens. Held against rendered clips.
const BULGE: f64 = 0.2;

/// `[[a, b], [c, d]]` turns and stretches offsets from a point.
pub(crate) type Matrix = [[f64; 2]; 2];
pub(crate) const UPRIGHT: Matrix = [[1.0, 0.0], [0.0, 1.0]];

/// First `second`, then `first`.
pub(crate) fn product(first: &Matrix, second: &Matrix) -> Matrix {
    std::array::from_fn(|i| {
        std::array::from_fn(|j| first[i][0] * second[0][j] + first[i][1] * second[1][j])
    })
}

pub(crate) fn area(m: &Matrix) -> f64 {
    m[0][0] * m[1][1] - m[0][1] * m[1][0]
}

/// The way back; for what has an area.
pub(crate) fn undone(m: &Matrix) -> Matrix {
    let area = area(m);
    [
        [m[1][1] / area, -m[0][1] / area],
        [-m[1][0] / area, m[0][0] / area],
    ]
}

/// How the first look lies in the present frame.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Lie {
    pub(crate) turn: Matrix,
    pub(crate) at: (f64, f64),
}

/// The frame under a laid window, levelled; returns its standard deviation.
fn sampled(region: &Region, lie: &Lie, say: &Say, seen: &mut [f32]) -> f32 {
    let plane = region.level(0);
    let (cx, cy) = region.inside(lie.at, 0);
    let [[a, b], [c, d]] = lie.turn.map(|row| row.map(|v| v as f32));
    let (cx, cy, h) = (cx as f32, cy as f32, (WIDE / 2) as f32);
    let (far_x, far_y) = (h * (a.abs() + b.abs()), h * (c.abs() + d.abs()));
    let inside = cx - far_x >= 1.0
        && cy - far_y >= 1.0
        && cx + far_x < plane.width as f32 - 3.0
        && cy + far_y < plane.height as f32 - 3.0;
    for (j, row) in seen.chunks_exact_mut(WIDE).enumerate() {
        let y = j as f32 - h;
        let (x0, y0) = (cx + b * y - a * h, cy + d * y - c * h);
        for (i, o) in row.iter_mut().enumerate() {
            let i = i as f32;
            let (x, y) = (x0 + a * i, y0 + c * i);
            *o = if inside {
                plane.between_inside(x, y)
            } else {
                plane.between(x, y)
            };
        }
    }
    level(seen, say)
}

/// The first look of a point, ready to be laid over later frames.
pub(crate) struct Anchor {
    /// What was seen, an even slope of light taken out.
    values: Vec<f32>,
    spread: f32,
    /// What each of the six numbers does to each pixel, weighted, in rows of pixels.
    descent: Vec<[f32; 6]>,
    inverse: [[f64; 6]; 6],
    say: &'static Say,
    /// Square of the standard error with which this look itself lies on the point.
    pub(crate) base_variance: f64,
}

/// The say of each pixel of a window, all together one.
struct Say {
    of: Vec<f32>,
    /// Weighted mean square of an offset along x, the same along y.
    square: f32,
    /// As many pixels of equal say would speak as surely.
    pixels: f64,
    /// Of the normal curve, pixels.
    width: f64,
}

static SAYS: LazyLock<[Say; 3]> = LazyLock::new(|| NEAR_PX.map(Say::of_width));

impl Say {
    fn of_width(width: f32) -> Self {
        let square = |i: usize| (i as f32 - (WIDE / 2) as f32).powi(2);
        let one = |i: usize| (-0.5 * square(i) / (width * width)).exp();
        let total: f32 = (0..WIDE).map(one).sum();
        let of: Vec<f32> = (0..WIDE * WIDE)
            .map(|k| one(k / WIDE) * one(k % WIDE) / (total * total))
            .collect();
        Self {
            pixels: 1.0 / of.iter().map(|w| f64::from(w * w)).sum::<f64>(),
            square: (0..WIDE).map(|i| square(i) * one(i) / total).sum(),
            width: f64::from(width),
            of,
        }
    }
}

/// Takes the best plane out of a window and returns the standard deviation, both weighted. With weights alike to
/// all sides the mean and the two slopes do not mix.
fn level(values: &mut [f32], say: &Say) -> f32 {
    let half = (WIDE / 2) as f32;
    let (mut mean, mut along_x, mut along_y) = (0f32, 0f32, 0f32);
    for (j, (row, weights)) in values
        .chunks_exact(WIDE)
        .zip(say.of.chunks_exact(WIDE))
        .enumerate()
    {
        let (mut sum, mut slope) = (0f32, 0f32);
        for (i, (v, w)) in row.iter().zip(weights).enumerate() {
            sum += w * v;
            slope += w * v * (i as f32 - half);
        }
        mean += sum;
        along_x += slope;
        along_y += sum * (j as f32 - half);
    }
    let (along_x, along_y) = (along_x / say.square, along_y / say.square);
    let mut square = 0f32;
    for (j, (row, weights)) in values
        .chunks_exact_mut(WIDE)
        .zip(say.of.chunks_exact(WIDE))
        .enumerate()
    {
        let first = mean + along_y * (j as f32 - half) - along_x * half;
        for (i, (v, w)) in row.iter_mut().zip(weights).enumerate() {
            *v -= first + along_x * i as f32;
            square += w * *v * *v;
        }
    }
    square.sqrt()
}

/// Where the first look was laid.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Laid {
    pub(crate) lie: Lie,
    pub(crate) likeness: f64,
    pub(crate) covariance: [f64; 3],
}

impl Anchor {
    /// `None` where the window shows too little.
    pub(crate) fn cut(region: &Region, at: (f64, f64), base_variance: f64) -> Option<Self> {
        let patch = Patch::cut(region, at, 0, WIDE);
        let mut surest: Option<Self> = None;
        for say in SAYS.iter() {
            let Some(anchor) = Self::of_patch(&patch, say, base_variance) else {
                continue;
            };
            if anchor.usual_sd() <= SURE_PX {
                return Some(anchor);
            }
            if surest
                .as_ref()
                .is_none_or(|s| anchor.usual_sd() < s.usual_sd())
            {
                surest = Some(anchor);
            }
        }
        surest
    }

    /// Standard error of its place under the usual noise, along the worse direction, pixels.
    fn usual_sd(&self) -> f64 {
        let worse = self.inverse[4][4].max(self.inverse[5][5]);
        USUAL_NOISE * (TOGETHER * worse / self.say.pixels).sqrt()
    }

    fn of_patch(patch: &Patch, say: &'static Say, base_variance: f64) -> Option<Self> {
        let (gx, gy) = patch.gradients();
        let half = (WIDE / 2) as f32;
        // Offsets in half windows, so that the six numbers are of one size.
        let mut columns: [Vec<f32>; 6] = std::array::from_fn(|k| {
            (0..WIDE * WIDE)
                .map(|p| {
                    let (u, v) = (
                        (p % WIDE) as f32 / half - 1.0,
                        (p / WIDE) as f32 / half - 1.0,
                    );
                    let gradient = if matches!(k, 0 | 1 | 4) { gx[p] } else { gy[p] };
                    gradient * [u, v, u, v, 1.0, 1.0][k]
                })
                .collect()
        });
        // What looks like a slope of the light tells nothing of the six numbers.
        for column in &mut columns {
            level(column, say);
        }
        let mut hessian = [[0f64; 6]; 6];
        for (a, line) in hessian.iter_mut().enumerate() {
            for (b, cell) in line.iter_mut().enumerate() {
                let products = columns[a].iter().zip(&columns[b]).zip(&say.of);
                *cell = products.map(|((p, q), w)| f64::from(w * p * q)).sum();
            }
        }
        let descent = (0..WIDE * WIDE)
            .map(|p| std::array::from_fn(|k| say.of[p] * columns[k][p]))
            .collect();
        let mut values = patch.values().to_vec();
        let spread = level(&mut values, say);
        Some(Self {
            spread,
            values,
            descent,
            inverse: inverse(hessian)?,
            say,
            base_variance,
        })
    }

    /// How alike the first look and the frame are where it is laid; 0 where the frame shows nothing.
    pub(crate) fn likeness(&self, region: &Region, lie: &Lie) -> f64 {
        let mut seen = vec![0f32; WIDE * WIDE];
        let spread = sampled(region, lie, self.say, &mut seen);
        if spread <= 0.0 {
            return 0.0;
        }
        let both: f32 = self
            .values
            .iter()
            .zip(&seen)
            .zip(&self.say.of)
            .map(|((t, v), w)| w * t * v)
            .sum();
        f64::from(both / (self.spread * spread))
    }

    /// From a first lie to the best; `None` where it runs away or is no longer the same shape.
    pub(crate) fn lay(&self, region: &Region, from: Lie) -> Option<Laid> {
        let half = (WIDE / 2) as f64;
        let mut lie = from;
        let mut seen = vec![0f32; WIDE * WIDE];
        let say = &self.say.of;
        let mut end = None;
        for _ in 0..MOST_TURNS {
            let spread = sampled(region, &lie, self.say, &mut seen);
            if spread <= 0.0 {
                return None;
            }
            let gain = self.spread / spread;
            let (mut sums, mut both, mut square) = ([0f32; 6], 0f32, 0f32);
            for (((t, v), row), w) in self.values.iter().zip(&seen).zip(&self.descent).zip(say) {
                let difference = gain * v - t;
                both += w * t * v;
                square += w * difference * difference;
                for (s, r) in sums.iter_mut().zip(row) {
                    *s += difference * r;
                }
            }
            let likeness = both / (self.spread * spread);
            let mut step = [0f64; 6];
            for (o, row) in step.iter_mut().zip(&self.inverse) {
                *o = row
                    .iter()
                    .zip(&sums)
                    .map(|(m, s)| m * f64::from(*s))
                    .sum::<f64>();
            }
            end = Some((likeness, square));
            // The step is one of the first look; its opposite is joined to the lie.
            let small = [
                [1.0 + step[0] / half, step[1] / half],
                [step[2] / half, 1.0 + step[3] / half],
            ];
            if !(0.2..5.0).contains(&area(&small)) {
                return None;
            }
            let back = undone(&small);
            let shift = (
                -(back[0][0] * step[4] + back[0][1] * step[5]),
                -(back[1][0] * step[4] + back[1][1] * step[5]),
            );
            let t = lie.turn;
            let moved = (
                t[0][0] * shift.0 + t[0][1] * shift.1,
                t[1][0] * shift.0 + t[1][1] * shift.1,
            );
            lie = Lie {
                turn: product(&t, &back),
                at: (lie.at.0 + moved.0, lie.at.1 + moved.1),
            };
            let away = (lie.at.0 - from.at.0).hypot(lie.at.1 - from.at.1);
            if !away.is_finite() || away > half || !(0.25..4.0).contains(&area(&lie.turn)) {
                return None;
            }
            let largest = step.iter().fold(0f64, |m, s| m.max(s.abs()));
            if largest < ENOUGH_PX {
                break;
            }
        }
        let (likeness, left) = end?;
        let variance = TOGETHER * f64::from(left) / self.say.pixels;
        let floor = FLOOR_PX * FLOOR_PX + self.base_variance;
        let m = &self.inverse;
        let bulge = |column: usize| {
            let stretch = lie.turn[0][column].hypot(lie.turn[1][column]);
            (BULGE * self.say.width * (1.0 - stretch)).powi(2)
        };
        Some(Laid {
            lie,
            likeness: f64::from(likeness),
            covariance: [
                m[4][4] * variance + floor + bulge(0),
                m[4][5] * variance,
                m[5][5] * variance + floor + bulge(1),
            ],
        })
    }
}

/// Gauss and Jordan with the largest pivot; `None` for what has no inverse.
fn inverse(mut m: [[f64; 6]; 6]) -> Option<[[f64; 6]; 6]> {
    let mut out = [[0.0; 6]; 6];
    for (i, row) in out.iter_mut().enumerate() {
        row[i] = 1.0;
    }
    let size = (0..6).fold(0f64, |s, i| s.max(m[i][i].abs()));
    for column in 0..6 {
        let pivot =
            (column..6).max_by(|a, b| m[*a][column].abs().total_cmp(&m[*b][column].abs()))?;
        let best = m[pivot][column];
        if !best.is_finite() || best.abs() <= 1e-6 * size {
            return None;
        }
        m.swap(column, pivot);
        out.swap(column, pivot);
        for k in 0..6 {
            m[column][k] /= best;
            out[column][k] /= best;
        }
        for row in (0..6).filter(|r| *r != column) {
            let factor = m[row][column];
            for k in 0..6 {
                m[row][k] -= factor * m[column][k];
                out[row][k] -= factor * out[column][k];
            }
        }
    }
    Some(out)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::frames::Frame;

    fn waves(turned: impl Fn(f64, f64) -> (f64, f64)) -> Frame {
        let (width, height) = (160, 160);
        let bytes = (0..width * height)
            .map(|i| {
                let (x, y) = turned((i % width) as f64, (i / width) as f64);
                let value = 30.0 * (0.31 * x + 0.17 * y).sin() + 28.0 * (0.27 * y - 0.15 * x).cos();
                (120.0 + value).round() as u8
            })
            .collect();
        Frame::new(width, height, bytes).unwrap()
    }

    #[test]
    fn a_window_that_turned_shortened_and_moved_is_laid_back_to_a_thirtieth_of_a_pixel() {
        let first = waves(|x, y| (x, y));
        let (sin, cos) = 12f64.to_radians().sin_cos();
        let to = (83.3, 77.4);
        // From the later frame back to the first: the point (80, 80) went to `to`, turned by 12°, 0.8 high.
        let later = waves(|x, y| {
            let (dx, dy) = (x - to.0, y - to.1);
            (
                80.0 + cos * dx + sin * dy,
                80.0 + (-sin * dx + cos * dy) / 0.8,
            )
        });
        let a = Region::around(&first, (80.0, 80.0), 60, 1).unwrap();
        let b = Region::around(&later, (80.0, 80.0), 60, 1).unwrap();
        let anchor = Anchor::cut(&a, (80.0, 80.0), 0.0).unwrap();
        let from = Lie {
            turn: UPRIGHT,
            at: (82.5, 78.0),
        };
        let laid = anchor.lay(&b, from).unwrap();
        let error = (laid.lie.at.0 - to.0).hypot(laid.lie.at.1 - to.1);
        assert!(error < 0.033, "{error}");
        assert!(laid.likeness > 0.99);
    }

    #[test]
    fn a_plain_dot_too_large_for_the_narrowest_width_is_laid_by_its_rim() {
        let dot = |at: (f64, f64)| {
            let bytes = (0..160 * 160)
                .map(|i| {
                    let r = ((i % 160) as f64 - at.0).hypot((i / 160) as f64 - at.1);
                    // An oval shade within keeps the dot from turning freely.
                    let within = 70.0 + 0.5 * ((i % 160) as f64 - at.0);
                    let share = (12.5 - r).clamp(0.0, 1.0);
                    (within * share + 190.0 * (1.0 - share)).round() as u8
                })
                .collect();
            Frame::new(160, 160, bytes).unwrap()
        };
        let a = Region::around(&dot((80.0, 80.0)), (80.0, 80.0), 60, 1).unwrap();
        let b = Region::around(&dot((82.4, 78.7)), (80.0, 80.0), 60, 1).unwrap();
        let anchor = Anchor::cut(&a, (80.0, 80.0), 0.0).unwrap();
        let from = Lie {
            turn: UPRIGHT,
            at: (80.5, 80.2),
        };
        let laid = anchor.lay(&b, from).unwrap();
        let error = (laid.lie.at.0 - 82.4).hypot(laid.lie.at.1 - 78.7);
        assert!(error < 0.1 && laid.likeness > 0.98, "{error}");
    }

    #[test]
    fn a_look_without_texture_is_no_anchor() {
        let flat = Frame::new(80, 80, vec![100; 6400]).unwrap();
        let region = Region::around(&flat, (40.0, 40.0), 30, 1).unwrap();
        assert!(Anchor::cut(&region, (40.0, 40.0), 0.0).is_none());
    }
}
