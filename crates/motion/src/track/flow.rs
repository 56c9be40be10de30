//! Where did a small window of one frame go in the next?
//!
//! Pyramidal Lucas–Kanade: on each level the shift that makes two windows equal in the least squares, from the
//! coarsest down; gain and brightness between the windows are taken out first, since cameras regulate both.
//!
//! # Sources
//! The method is common practice, written here from the general knowledge of it: Lucas and Kanade 1981 (the
//! shift from gradients), Bouguet's note on its pyramidal form (~2001), Shi and Tomasi 1994 (the lesser
//! eigenvalue as a measure of what can be followed). None of the three texts was at hand.

use super::region::Region;

/// Pixels across the window of a followed point: on a leg filmed at 1 to 2 pixels a millimetre 10 to 20 mm of
/// skin, enough texture to be found and little enough to be flat.
pub(crate) const WINDOW: usize = 21;
/// Levels: with windows of 21 pixels three levels catch jumps of some 40 pixels beyond what was foreseen; a
/// fourth would mix the leg with what is behind it.
pub(crate) const LEVELS: usize = 3;
/// Pixels kept to every side of a point: the window on the coarsest level and as much again to move in.
pub(crate) const REACH: usize = 76;

const MOST_TURNS: usize = 20;
const ENOUGH_COARSE: f32 = 0.03;
const ENOUGH_FINE: f32 = 0.003;

/// Where a window was found.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Found {
    pub(crate) at: (f64, f64),
    /// Variances and covariance of the place: xx, xy, yy, in square pixels.
    pub(crate) covariance: [f64; 3],
    /// Likeness of the two windows, 1 for equal.
    pub(crate) likeness: f64,
    /// Lesser eigenvalue of the structure tensor, per pixel of the window, in squared brightness per pixel.
    pub(crate) least_eigenvalue: f64,
}

/// A window with its gradients.
pub(crate) struct Patch {
    n: usize,
    values: Vec<f32>,
    along_x: Vec<f32>,
    along_y: Vec<f32>,
    pub(crate) spread: f32,
    tensor: [f32; 3],
}

impl Patch {
    pub(crate) fn cut(region: &Region, at: (f64, f64), level: usize, n: usize) -> Self {
        let (x, y) = region.inside(at, level);
        let m = n + 2;
        let mut wide = vec![0f32; m * m];
        region.level(level).window(x, y, m, &mut wide);
        let (mut values, mut along_x, mut along_y) = (
            Vec::with_capacity(n * n),
            Vec::with_capacity(n * n),
            Vec::with_capacity(n * n),
        );
        for j in 0..n {
            let (a, b, c) = (
                &wide[j * m..(j + 1) * m],
                &wide[(j + 1) * m..(j + 2) * m],
                &wide[(j + 2) * m..(j + 3) * m],
            );
            for i in 0..n {
                values.push(b[i + 1]);
                // Scharr's weights 3 10 3: nearest to turning alike in all directions.
                along_x.push(
                    (3.0 * (a[i + 2] - a[i] + c[i + 2] - c[i]) + 10.0 * (b[i + 2] - b[i])) / 32.0,
                );
                along_y.push(
                    (3.0 * (c[i] - a[i] + c[i + 2] - a[i + 2]) + 10.0 * (c[i + 1] - a[i + 1]))
                        / 32.0,
                );
            }
        }
        let spread = centre(&mut values);
        let mut tensor = [0f32; 3];
        for (gx, gy) in along_x.iter().zip(&along_y) {
            tensor[0] += gx * gx;
            tensor[1] += gx * gy;
            tensor[2] += gy * gy;
        }
        Self {
            n,
            values,
            along_x,
            along_y,
            spread,
            tensor,
        }
    }

    pub(crate) fn values(&self) -> &[f32] {
        &self.values
    }

    pub(crate) fn gradients(&self) -> (&[f32], &[f32]) {
        (&self.along_x, &self.along_y)
    }

    /// Lesser eigenvalue of the structure tensor per pixel.
    pub(crate) fn least_eigenvalue(&self) -> f32 {
        let [a, b, c] = self.tensor;
        let half = 0.5 * (a - c);
        (0.5 * (a + c) - (half * half + b * b).sqrt()) / (self.n * self.n) as f32
    }

    /// From `guess` to where the window is most alike, on one level and in its pixels; the likeness there and
    /// the variance of what is left. `None` where the gradients say too little or it runs away.
    fn settle(
        &self,
        region: &Region,
        level: usize,
        guess: (f64, f64),
        scratch: &mut [f32],
    ) -> Option<((f64, f64), f32, f32)> {
        let [a, b, c] = self.tensor;
        let determinant = a * c - b * b;
        let told = determinant > 1e-4 * (a + c) * (a + c) && self.spread > 0.0;
        if !told {
            return None;
        }
        let plane = region.level(level);
        let enough = if level == 0 {
            ENOUGH_FINE
        } else {
            ENOUGH_COARSE
        };
        let n2 = (self.n * self.n) as f32;
        let (mut x, mut y) = guess;
        let furthest = self.n as f64;
        let mut result = None;
        for _ in 0..MOST_TURNS {
            plane.window(x, y, self.n, scratch);
            let spread = centre(scratch);
            if spread <= 0.0 {
                return None;
            }
            let gain = self.spread / spread;
            let (mut bx, mut by, mut both, mut square) = (0f32, 0f32, 0f32, 0f32);
            for (((t, v), gx), gy) in self
                .values
                .iter()
                .zip(scratch.iter())
                .zip(&self.along_x)
                .zip(&self.along_y)
            {
                let difference = t - gain * v;
                bx += difference * gx;
                by += difference * gy;
                both += t * v;
                square += difference * difference;
            }
            let likeness = both / (self.spread * spread * n2);
            let dx = (c * bx - b * by) / determinant;
            let dy = (a * by - b * bx) / determinant;
            if !dx.is_finite() || !dy.is_finite() {
                return None;
            }
            x += f64::from(dx);
            y += f64::from(dy);
            if (x - guess.0).abs() > furthest || (y - guess.1).abs() > furthest {
                return None;
            }
            result = Some(((x, y), likeness, square / n2));
            if dx * dx + dy * dy < enough * enough {
                break;
            }
        }
        result
    }
}

/// Takes the mean away and returns the standard deviation.
pub(crate) fn centre(values: &mut [f32]) -> f32 {
    let n = values.len() as f32;
    let mean = values.iter().sum::<f32>() / n;
    let mut square = 0f32;
    for v in values.iter_mut() {
        *v -= mean;
        square += *v * *v;
    }
    (square / n).sqrt()
}

/// Pixels that no window places better than: rounding of brightness, and mixing between pixels.
pub(crate) const FLOOR_PX: f64 = 0.01;
/// Neighbouring pixels of a smoothed picture err together: a window holds fewer independent ones than pixels,
/// and the variance grows by this. Held against rendered clips by the tests.
pub(crate) const TOGETHER: f64 = 3.0;

/// The windows of a point on every level of a region.
pub(crate) struct Look {
    patches: Vec<Patch>,
}

impl Look {
    pub(crate) fn cut(region: &Region, at: (f64, f64), n: usize) -> Self {
        Self {
            patches: (0..region.levels())
                .map(|level| Patch::cut(region, at, level, n))
                .collect(),
        }
    }

    pub(crate) fn finest(&self) -> &Patch {
        &self.patches[0]
    }

    /// The place of this look in another region, from a guess.
    pub(crate) fn find(&self, region: &Region, guess: (f64, f64)) -> Option<Found> {
        let n = self.patches[0].n;
        let mut scratch = vec![0f32; n * n];
        let mut at = guess;
        let mut end = None;
        for level in (0..self.patches.len().min(region.levels())).rev() {
            let inside = region.inside(at, level);
            let settled = self.patches[level].settle(region, level, inside, &mut scratch);
            // A coarse level without texture says nothing; the finer one decides.
            if let Some((to, likeness, left)) = settled {
                let scale = f64::from(1u32 << level);
                at = (
                    at.0 + (to.0 - inside.0) * scale,
                    at.1 + (to.1 - inside.1) * scale,
                );
                if level == 0 {
                    end = Some((likeness, left));
                }
            }
        }
        let (likeness, left) = end?;
        let patch = self.finest();
        let [a, b, c] = patch.tensor.map(f64::from);
        let determinant = a * c - b * b;
        let variance = TOGETHER * f64::from(left) / determinant;
        let floor = FLOOR_PX * FLOOR_PX;
        Some(Found {
            at,
            covariance: [c * variance + floor, -b * variance, a * variance + floor],
            likeness: f64::from(likeness),
            least_eigenvalue: f64::from(patch.least_eigenvalue()),
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::frames::Frame;

    /// Waves of several lengths, moved, made brighter and dimmer.
    fn waves(shift: (f64, f64), gain: f64, offset: f64) -> Frame {
        let (width, height) = (200, 180);
        let bytes = (0..width * height)
            .map(|i| {
                let (x, y) = ((i % width) as f64 - shift.0, (i / width) as f64 - shift.1);
                let value = 24.0 * (0.31 * x + 0.17 * y).sin()
                    + 20.0 * (0.23 * y - 0.11 * x).cos()
                    + 14.0 * (0.07 * x + 0.05 * y).sin();
                (offset + gain * value + 120.0).round().clamp(0.0, 255.0) as u8
            })
            .collect();
        Frame::new(width, height, bytes).unwrap()
    }

    fn found(shift: (f64, f64), gain: f64, offset: f64) -> Found {
        let at = (100.0, 90.0);
        let first = Region::around(&waves((0.0, 0.0), 1.0, 0.0), at, REACH, LEVELS).unwrap();
        let second = Region::around(&waves(shift, gain, offset), at, REACH, LEVELS).unwrap();
        Look::cut(&first, at, WINDOW).find(&second, at).unwrap()
    }

    #[test]
    fn a_moved_window_is_found_to_a_fiftieth_of_a_pixel_whatever_the_light_does() {
        for (shift, gain, offset) in [
            ((0.37, -0.61), 1.0, 0.0),
            ((5.2, 3.9), 1.0, 0.0),
            ((-9.4, 6.3), 0.7, 25.0),
        ] {
            let found = found(shift, gain, offset);
            let error = (found.at.0 - 100.0 - shift.0).hypot(found.at.1 - 90.0 - shift.1);
            assert!(error < 0.02, "{shift:?}: {error}");
            assert!(found.likeness > 0.99);
        }
    }

    #[test]
    fn a_flat_wall_and_a_straight_edge_give_no_place() {
        let flat = Frame::new(100, 100, vec![90; 10_000]).unwrap();
        let edge: Vec<u8> = (0..10_000)
            .map(|i| if i % 100 < 50 { 40 } else { 200 })
            .collect();
        let edge = Frame::new(100, 100, edge).unwrap();
        for frame in [flat, edge] {
            let region = Region::around(&frame, (50.0, 50.0), 40, 2).unwrap();
            let look = Look::cut(&region, (50.0, 50.0), WINDOW);
            assert!(look.find(&region, (50.0, 50.0)).is_none());
        }
    }
}
