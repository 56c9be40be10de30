//! A pyramid of brightness around one place, and windows cut from it between pixels.
//!
//! Pyramids are built only where a point is looked for: four points and some corners of the background need a
//! twentieth of a large frame. Level 0 holds the frame's own pixels, each level above half as many, smoothed by
//! the five-part binomial; pixel `i` of a level lies on pixel `2 i` of the level below (Bouguet's form).

use crate::frames::Frame;

/// One level: brightness in rows.
#[derive(Debug, Clone)]
pub(crate) struct Plane {
    pub(crate) width: usize,
    pub(crate) height: usize,
    pub(crate) values: Vec<f32>,
}

/// A cut-out of a frame with its levels.
#[derive(Debug, Clone)]
pub(crate) struct Region {
    /// Frame pixel of the cut-out's first pixel; a multiple of the coarsest level's step.
    left: usize,
    top: usize,
    levels: Vec<Plane>,
}

impl Region {
    /// Around `at` (frame pixels), at least `reach` pixels to every side where the frame goes that far.
    /// `None` where nothing of the frame lies there.
    pub(crate) fn around(
        frame: &Frame,
        at: (f64, f64),
        reach: usize,
        levels: usize,
    ) -> Option<Self> {
        let step = 1usize << (levels.max(1) - 1);
        let span = |centre: f64, size: usize| -> Option<(usize, usize)> {
            if !centre.is_finite() {
                return None;
            }
            let reach = reach as f64;
            let from = (centre - reach).floor().max(0.0);
            let to = (centre + reach).ceil() + 1.0;
            if from >= size as f64 || to <= 0.0 {
                return None;
            }
            let from = (from as usize) / step * step;
            let to = (to as usize).min(size);
            (to > from + 2).then_some((from, to))
        };
        let (left, right) = span(at.0, frame.width())?;
        let (top, bottom) = span(at.1, frame.height())?;
        let (width, height) = (right - left, bottom - top);
        let mut values = Vec::with_capacity(width * height);
        for y in top..bottom {
            values.extend(frame.row(y)[left..right].iter().map(|b| f32::from(*b)));
        }
        let mut planes = vec![Plane {
            width,
            height,
            values,
        }];
        while planes.len() < levels {
            let next = halved(planes.last()?);
            planes.push(next);
        }
        Some(Self {
            left,
            top,
            levels: planes,
        })
    }

    pub(crate) fn level(&self, level: usize) -> &Plane {
        &self.levels[level.min(self.levels.len() - 1)]
    }

    pub(crate) fn levels(&self) -> usize {
        self.levels.len()
    }

    /// Where a place of the frame lies in a level's own pixels.
    pub(crate) fn inside(&self, at: (f64, f64), level: usize) -> (f64, f64) {
        let scale = (1u32 << level) as f64;
        (
            (at.0 - self.left as f64) / scale,
            (at.1 - self.top as f64) / scale,
        )
    }

    /// Whether a window of this half width around a place lies in the cut-out at every level.
    pub(crate) fn holds(&self, at: (f64, f64), half: usize) -> bool {
        (0..self.levels.len()).all(|level| {
            let (x, y) = self.inside(at, level);
            let plane = &self.levels[level];
            let need = half as f64 + 1.0;
            x >= need
                && y >= need
                && x <= plane.width as f64 - 2.0 - need
                && y <= plane.height as f64 - 2.0 - need
        })
    }
}

/// Half as many pixels each way, smoothed by 1 4 6 4 1; at the edges the last pixel is repeated.
pub(crate) fn halved(plane: &Plane) -> Plane {
    let (width, height) = (plane.width, plane.height);
    let (half_width, half_height) = (width.div_ceil(2), height.div_ceil(2));
    let mut values = Vec::with_capacity(half_width * half_height);
    // Two pixels of margin to each side, so that the row's ends need no care.
    let mut down = vec![0f32; width + 5];
    for y in 0..half_height {
        let row = |offset: isize| {
            let at = (2 * y as isize + offset).clamp(0, height as isize - 1) as usize;
            &plane.values[at * width..(at + 1) * width]
        };
        let (a, b, c, d, e) = (row(-2), row(-1), row(0), row(1), row(2));
        for ((((o, a), (b, c)), d), e) in down[2..2 + width]
            .iter_mut()
            .zip(a)
            .zip(b.iter().zip(c))
            .zip(d)
            .zip(e)
        {
            *o = a + e + 4.0 * (b + d) + 6.0 * c;
        }
        down[0] = down[2];
        down[1] = down[2];
        let last = down[1 + width];
        down[2 + width..].fill(last);
        values.extend((0..half_width).map(|x| {
            let w = &down[2 * x..2 * x + 5];
            (w[0] + w[4] + 4.0 * (w[1] + w[3]) + 6.0 * w[2]) * (1.0 / 256.0)
        }));
    }
    Plane {
        width: half_width,
        height: half_height,
        values,
    }
}

impl Plane {
    /// Brightness between pixels; beyond the edge the last pixel is repeated.
    pub(crate) fn between(&self, x: f32, y: f32) -> f32 {
        let (width, height) = (self.width, self.height);
        let x = x.clamp(0.0, (width - 1) as f32);
        let y = y.clamp(0.0, (height - 1) as f32);
        let (ix, iy) = (
            (x as usize).min(width.saturating_sub(2)),
            (y as usize).min(height.saturating_sub(2)),
        );
        let (fx, fy) = (x - ix as f32, y - iy as f32);
        let (right, down) = (usize::from(width > 1), if height > 1 { width } else { 0 });
        let at = iy * width + ix;
        let top = self.values[at] + fx * (self.values[at + right] - self.values[at]);
        let low =
            self.values[at + down] + fx * (self.values[at + down + right] - self.values[at + down]);
        top + fy * (low - top)
    }

    /// As [`Plane::between`], for places a pixel and more from every edge; quicker.
    #[inline]
    pub(crate) fn between_inside(&self, x: f32, y: f32) -> f32 {
        let (ix, iy) = (x as usize, y as usize);
        let (fx, fy) = (x - ix as f32, y - iy as f32);
        let at = iy * self.width + ix;
        let (up, low) = (
            &self.values[at..at + 2],
            &self.values[at + self.width..at + self.width + 2],
        );
        let top = up[0] + fx * (up[1] - up[0]);
        let low = low[0] + fx * (low[1] - low[0]);
        top + fy * (low - top)
    }

    /// A square of `n` by `n` samples one pixel apart, centred on (x, y), in rows.
    pub(crate) fn window(&self, x: f64, y: f64, n: usize, out: &mut [f32]) {
        let half = (n / 2) as f64;
        let (x0, y0) = (x - half, y - half);
        let (fx0, fy0) = (x0.floor(), y0.floor());
        let inside = fx0 >= 0.0
            && fy0 >= 0.0
            && fx0 + (n as f64) < self.width as f64
            && fy0 + (n as f64) < self.height as f64;
        if !inside {
            for (j, row) in out.chunks_exact_mut(n).take(n).enumerate() {
                for (i, o) in row.iter_mut().enumerate() {
                    *o = self.between(x0 as f32 + i as f32, y0 as f32 + j as f32);
                }
            }
            return;
        }
        let (fx, fy) = ((x0 - fx0) as f32, (y0 - fy0) as f32);
        let (a, b) = ((1.0 - fx) * (1.0 - fy), fx * (1.0 - fy));
        let (c, d) = ((1.0 - fx) * fy, fx * fy);
        let (ix, iy) = (fx0 as usize, fy0 as usize);
        for (j, row) in out.chunks_exact_mut(n).take(n).enumerate() {
            let at = (iy + j) * self.width + ix;
            let up = &self.values[at..=at + n];
            let low = &self.values[at + self.width..=at + self.width + n];
            for (i, o) in row.iter_mut().enumerate() {
                *o = a * up[i] + b * up[i + 1] + c * low[i] + d * low[i + 1];
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ramp(width: usize, height: usize) -> Frame {
        let bytes = (0..width * height)
            .map(|i| (2 * (i % width) + (i / width)) as u8)
            .collect();
        Frame::new(width, height, bytes).unwrap()
    }

    #[test]
    fn a_ramp_stays_a_ramp_on_every_level_and_between_pixels() {
        let region = Region::around(&ramp(60, 50), (30.0, 25.0), 22, 3).unwrap();
        for level in 0..3 {
            let (x, y) = region.inside((31.3, 24.6), level);
            let value = region.level(level).between(x as f32, y as f32);
            assert!((value - (62.6 + 24.6)).abs() < 1e-3, "{level}: {value}");
            let mut window = [0f32; 9];
            region.level(level).window(x, y, 3, &mut window);
            assert!((window[4] - value).abs() < 1e-3);
        }
    }

    #[test]
    fn a_window_past_the_edge_repeats_the_last_pixel_and_a_place_outside_has_no_region() {
        let frame = ramp(20, 20);
        let region = Region::around(&frame, (0.0, 0.0), 6, 1).unwrap();
        let mut window = [0f32; 25];
        region.level(0).window(0.0, 0.0, 5, &mut window);
        assert!(window[0].abs() < 1e-6 && (window[24] - 6.0).abs() < 1e-6);
        assert!(Region::around(&frame, (900.0, 3.0), 6, 1).is_none());
        assert!(Region::around(&frame, (f64::NAN, 3.0), 6, 1).is_none());
    }
}
