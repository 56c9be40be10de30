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
        self.blurred_then(sigma_px, |_, _| {})
    }

    /// Gaussian smoothing, and `finish` of every row as soon as it is smooth, so that the picture is
    /// walked through once: a few rows at a time stay in the processor's own memory.
    pub fn blurred_then(&self, sigma_px: f64, finish: impl Fn(usize, &mut [f32]) + Sync) -> Grey {
        const BAND: usize = 64;
        let (weights, reach) = bell(sigma_px);
        let (width, height) = (self.width, self.height);
        let mut values = vec![0.0f32; self.values.len()];
        if values.is_empty() {
            return self.clone();
        }
        values
            .par_chunks_mut(BAND * width)
            .enumerate()
            .for_each(|(band, out)| {
                let first = band * BAND;
                let rows = out.len() / width;
                let (low, high) = (
                    first.saturating_sub(reach),
                    (first + rows + reach).min(height),
                );
                let mut across = vec![0.0f32; (high - low) * width];
                let mut padded = Vec::with_capacity(width + 2 * reach);
                for (y, row) in (low..high).zip(across.chunks_mut(width)) {
                    blur_row(self.row(y), row, &weights, reach, &mut padded);
                }
                for (y, row) in (first..).zip(out.chunks_mut(width)) {
                    for (i, &w) in weights.iter().enumerate() {
                        let from = (y + i).saturating_sub(reach).min(height - 1) - low;
                        let smooth = &across[from * width..(from + 1) * width];
                        for (v, &s) in row.iter_mut().zip(smooth) {
                            *v += w * s;
                        }
                    }
                    finish(y, row);
                }
            });
        Grey {
            width,
            height,
            values,
        }
    }

    /// The wide blur of this picture, kept small: it changes nothing finer than itself.
    pub fn wide(&self, sigma_px: f64) -> Wide {
        let step = (sigma_px / 4.0).floor().max(1.0) as usize;
        Wide::new(
            self.shrunk(step).blurred(sigma_px / step as f64),
            step,
            self.width,
        )
    }

    /// Means of squares of `step` pixels; the last ones may be cut.
    pub fn shrunk(&self, step: usize) -> Grey {
        self.shrunk_as(step, |_, _, v| v)
    }

    /// [`Grey::shrunk`] of what `to` makes of every pixel (column, row, value).
    pub fn shrunk_as(&self, step: usize, to: impl Fn(usize, usize, f32) -> f32 + Sync) -> Grey {
        let (width, height) = (self.width.div_ceil(step), self.height.div_ceil(step));
        let mut values = vec![0.0f32; width * height];
        values
            .par_chunks_mut(width.max(1))
            .enumerate()
            .for_each(|(j, out)| {
                let rows = j * step..((j + 1) * step).min(self.height);
                let high = rows.len();
                for y in rows {
                    for (i, (sum, part)) in out.iter_mut().zip(self.row(y).chunks(step)).enumerate()
                    {
                        for (k, &v) in part.iter().enumerate() {
                            *sum += to(i * step + k, y, v);
                        }
                    }
                }
                for (i, v) in out.iter_mut().enumerate() {
                    *v /= (high * step.min(self.width - i * step)) as f32;
                }
            });
        Grey {
            width,
            height,
            values,
        }
    }

    pub fn row(&self, y: usize) -> &[f32] {
        &self.values[y * self.width..(y + 1) * self.width]
    }
}

/// A picture kept at one pixel for `step` of another, read row by row at the other's size.
pub(crate) struct Wide {
    small: Grey,
    step: usize,
    /// For every column of the large picture: the small columns on either side and the share of the second.
    columns: Vec<(u32, u32, f32)>,
}

impl Wide {
    pub fn new(small: Grey, step: usize, width: usize) -> Wide {
        let columns = (0..width)
            .map(|x| {
                let (a, b, t) = place(x, step, small.width);
                (a as u32, b as u32, t)
            })
            .collect();
        Wide {
            small,
            step,
            columns,
        }
    }

    /// The same for a picture of which the one it was made from has one pixel for `step` each way.
    pub fn into_part_of(self, step: usize, width: usize) -> Wide {
        Wide::new(self.small, self.step * step, width)
    }

    /// Divides by the product of two pictures one pixel high, blurred as this one was: of its columns and of
    /// its rows. Where hardly anything was seen, nothing changes.
    pub fn divide(&mut self, columns: &Wide, rows: &Wide) {
        let width = self.small.width.max(1);
        for (row, r) in self.small.values.chunks_mut(width).zip(&rows.small.values) {
            for (v, c) in row.iter_mut().zip(&columns.small.values) {
                if r * c > 0.05 {
                    *v /= r * c;
                }
            }
        }
    }

    /// Row `y` of the large picture; `work` is a buffer that may be used again.
    pub fn row(&self, y: usize, work: &mut Vec<f32>, out: &mut Vec<f32>) {
        let (a, b, t) = place(y, self.step, self.small.height);
        work.clear();
        work.extend(
            self.small
                .row(a)
                .iter()
                .zip(self.small.row(b))
                .map(|(a, b)| a + (b - a) * t),
        );
        out.clear();
        out.extend(self.columns.iter().map(|&(a, b, t)| {
            let (a, b) = (work[a as usize], work[b as usize]);
            a + (b - a) * t
        }));
    }
}

/// The two of `n` small pixels between whose middles large pixel `i` lies, and the share of the second.
fn place(i: usize, step: usize, n: usize) -> (usize, usize, f32) {
    let at = ((i as f32 + 0.5) / step as f32 - 0.5).clamp(0.0, n as f32 - 1.0);
    let low = (at as usize).min(n - 1);
    (low, (low + 1).min(n - 1), at - low as f32)
}

/// Weights of a Gaussian that sum to one, and how far they reach to either side.
fn bell(sigma_px: f64) -> (Vec<f32>, usize) {
    if sigma_px < 0.2 {
        return (vec![1.0], 0);
    }
    let reach = (3.0 * sigma_px).ceil() as usize;
    let mut weights: Vec<f32> = (0..=2 * reach)
        .map(|i| (-0.5 * ((i as f64 - reach as f64) / sigma_px).powi(2)).exp() as f32)
        .collect();
    let sum: f32 = weights.iter().sum();
    weights.iter_mut().for_each(|w| *w /= sum);
    (weights, reach)
}

fn blur_row(row: &[f32], out: &mut [f32], weights: &[f32], reach: usize, padded: &mut Vec<f32>) {
    let n = row.len();
    padded.clear();
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

    fn whole(wide: &Wide, height: usize) -> Vec<f32> {
        let (mut work, mut row) = (Vec::new(), Vec::new());
        (0..height)
            .flat_map(|y| {
                wide.row(y, &mut work, &mut row);
                row.clone()
            })
            .collect()
    }

    #[test]
    fn smoothing_keeps_a_flat_picture_flat_and_a_spot_its_sum() {
        let mut grey = Grey {
            width: 301,
            height: 257,
            values: vec![2.0; 301 * 257],
        };
        let both = |grey: &Grey| {
            [
                grey.blurred(1.5).values,
                whole(&grey.wide(20.0), grey.height),
            ]
        };
        for smooth in both(&grey) {
            assert!(smooth.iter().all(|v| (v - 2.0).abs() < 1e-4));
        }
        grey.values[128 * 301 + 150] += 1000.0;
        for smooth in both(&grey) {
            let sum: f64 = smooth.iter().map(|&v| f64::from(v) - 2.0).sum();
            assert!((sum - 1000.0).abs() < 20.0, "{sum}");
        }
    }

    #[test]
    fn a_wide_blur_lies_close_to_the_plain_one() {
        let grey = Grey {
            width: 240,
            height: 200,
            values: (0..48_000)
                .map(|i| {
                    if i % 240 > 110 && i / 240 > 80 {
                        3.0
                    } else {
                        0.5
                    }
                })
                .collect(),
        };
        let plain = grey.blurred(16.0).values;
        let wide = whole(&grey.wide(16.0), 200);
        // The edge of 2.5 falls over 16 pixels; shrinking by 4 and straight lines between lose under 2 %.
        let worst = plain
            .iter()
            .zip(&wide)
            .map(|(a, b)| (a - b).abs())
            .fold(0.0f32, f32::max);
        assert!(worst < 0.05, "{worst}");
    }
}
