//! Smoothing of whole pictures: narrow for the detector, wide for scatter.

use rayon::prelude::*;

/// A grey picture in 32-bit numbers.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Grey {
    pub width: usize,
    pub height: usize,
    pub values: Vec<f32>,
}

impl Grey {
    /// Gaussian smoothing; the edge pixels go on beyond the edge. Nothing happens below 0.2 pixels.
    pub fn blurred(&self, sigma_px: f64) -> Grey {
        if sigma_px < 0.2 || self.values.is_empty() {
            return self.clone();
        }
        if sigma_px > 12.0 {
            return self.blurred_by_shrinking(sigma_px);
        }
        let reach = (3.0 * sigma_px).ceil() as usize;
        let mut weights: Vec<f32> = (0..=2 * reach)
            .map(|i| (-0.5 * ((i as f64 - reach as f64) / sigma_px).powi(2)).exp() as f32)
            .collect();
        let sum: f32 = weights.iter().sum();
        weights.iter_mut().for_each(|w| *w /= sum);
        let across = self.map_rows(|row, out| blur_row(row, out, &weights, reach));
        across.blur_columns(&weights, reach)
    }

    /// A wide blur changes nothing finer than itself: shrink, blur, stretch back.
    fn blurred_by_shrinking(&self, sigma_px: f64) -> Grey {
        let step = (sigma_px / 4.0).floor().max(2.0) as usize;
        let small = self.shrunk(step);
        small
            .blurred(sigma_px / step as f64)
            .stretched(step, self.width, self.height)
    }

    /// Means of squares of `step` pixels; the last ones may be cut.
    pub fn shrunk(&self, step: usize) -> Grey {
        let (width, height) = (self.width.div_ceil(step), self.height.div_ceil(step));
        let mut values = vec![0.0f32; width * height];
        values
            .par_chunks_mut(width)
            .enumerate()
            .for_each(|(j, out)| {
                let rows = j * step..((j + 1) * step).min(self.height);
                let mut counts = vec![0u32; width];
                for y in rows {
                    for (x, &v) in self.row(y).iter().enumerate() {
                        out[x / step] += v;
                        counts[x / step] += 1;
                    }
                }
                for (v, &n) in out.iter_mut().zip(&counts) {
                    *v /= n as f32;
                }
            });
        Grey {
            width,
            height,
            values,
        }
    }

    fn stretched(&self, step: usize, width: usize, height: usize) -> Grey {
        let mut values = vec![0.0f32; width * height];
        let place = |i: usize, n: usize| {
            let at = ((i as f32 + 0.5) / step as f32 - 0.5).clamp(0.0, n as f32 - 1.0);
            let low = (at as usize).min(n - 1);
            (low, (low + 1).min(n - 1), at - low as f32)
        };
        let columns: Vec<_> = (0..width).map(|x| place(x, self.width)).collect();
        values
            .par_chunks_mut(width)
            .enumerate()
            .for_each(|(y, out)| {
                let (y0, y1, t) = place(y, self.height);
                let (top, low) = (self.row(y0), self.row(y1));
                let mixed: Vec<f32> = top.iter().zip(low).map(|(a, b)| a + (b - a) * t).collect();
                for (v, &(x0, x1, t)) in out.iter_mut().zip(&columns) {
                    *v = mixed[x0] + (mixed[x1] - mixed[x0]) * t;
                }
            });
        Grey {
            width,
            height,
            values,
        }
    }

    fn row(&self, y: usize) -> &[f32] {
        &self.values[y * self.width..(y + 1) * self.width]
    }

    fn map_rows(&self, work: impl Fn(&[f32], &mut [f32]) + Sync) -> Grey {
        let mut values = vec![0.0f32; self.values.len()];
        values
            .par_chunks_mut(self.width)
            .zip(self.values.par_chunks(self.width))
            .for_each(|(out, row)| work(row, out));
        Grey {
            width: self.width,
            height: self.height,
            values,
        }
    }

    fn blur_columns(&self, weights: &[f32], reach: usize) -> Grey {
        let mut values = vec![0.0f32; self.values.len()];
        values
            .par_chunks_mut(self.width)
            .enumerate()
            .for_each(|(y, out)| {
                for (i, &w) in weights.iter().enumerate() {
                    let from = (y + i).saturating_sub(reach).min(self.height - 1);
                    for (v, &old) in out.iter_mut().zip(self.row(from)) {
                        *v += w * old;
                    }
                }
            });
        Grey {
            width: self.width,
            height: self.height,
            values,
        }
    }
}

fn blur_row(row: &[f32], out: &mut [f32], weights: &[f32], reach: usize) {
    let n = row.len();
    let mut padded = Vec::with_capacity(n + 2 * reach);
    padded.extend(std::iter::repeat_n(row[0], reach));
    padded.extend_from_slice(row);
    padded.extend(std::iter::repeat_n(row[n - 1], reach));
    for (i, &w) in weights.iter().enumerate() {
        for (v, &old) in out.iter_mut().zip(&padded[i..]) {
            *v += w * old;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn smoothing_keeps_a_flat_picture_flat_and_a_spot_its_sum() {
        let mut grey = Grey {
            width: 301,
            height: 257,
            values: vec![2.0; 301 * 257],
        };
        for sigma in [1.0, 20.0] {
            assert!(
                grey.blurred(sigma)
                    .values
                    .iter()
                    .all(|v| (v - 2.0).abs() < 1e-4)
            );
        }
        grey.values[128 * 301 + 150] += 1000.0;
        for sigma in [1.5, 16.0] {
            let sum: f64 = grey
                .blurred(sigma)
                .values
                .iter()
                .map(|&v| f64::from(v) - 2.0)
                .sum();
            assert!((sum - 1000.0).abs() < 20.0, "{sum}");
        }
    }
}
