//! Noise that looks like skin, wood and plaster: smoothed white noise of several grains, from a seed.

use rand::rngs::StdRng;
use rand::{Rng, SeedableRng};
use rayon::prelude::*;

/// Brightness over a rectangle, read between its points; beyond the edge the last one is repeated.
pub(crate) struct Texture {
    width: usize,
    height: usize,
    /// Points in a millimetre (or pixel) each way.
    per_unit: f64,
    values: Vec<f32>,
}

/// One grain of noise: how far it reaches and how strong it is.
pub(crate) struct Grain {
    pub(crate) size: f64,
    pub(crate) strength: f32,
    /// Stretch along x against y.
    pub(crate) stretch: f64,
}

impl Texture {
    pub(crate) fn flat(width: f64, height: f64, per_unit: f64, value: f32) -> Self {
        let (w, h) = (
            (width * per_unit).ceil() as usize + 2,
            (height * per_unit).ceil() as usize + 2,
        );
        Self {
            width: w,
            height: h,
            per_unit,
            values: vec![value; w * h],
        }
    }

    /// Adds a grain: random values on a lattice, joined smoothly.
    pub(crate) fn grain(&mut self, grain: &Grain, seed: u64) {
        let mut lot = StdRng::seed_from_u64(seed);
        let cell = grain.size * self.per_unit;
        let (cw, ch) = (cell * grain.stretch, cell);
        let (nx, ny) = (
            (self.width as f64 / cw) as usize + 4,
            (self.height as f64 / ch) as usize + 4,
        );
        let lattice: Vec<f32> = (0..nx * ny)
            .map(|_| lot.random_range(-1.7f32..1.7))
            .collect();
        let width = self.width;
        // Cubic B-spline weights: no lattice lines are seen.
        let weights = |t: f32| {
            let (u, t2) = (1.0 - t, t * t);
            [
                u * u * u / 6.0,
                (3.0 * t2 * t - 6.0 * t2 + 4.0) / 6.0,
                (3.0 * u * u * u - 6.0 * u * u + 4.0) / 6.0,
                t2 * t / 6.0,
            ]
        };
        // The spline smooths the lattice to 0.48 of its strength each way.
        let strength = grain.strength / 0.48;
        let columns: Vec<(usize, [f32; 4])> = (0..width)
            .map(|x| {
                let at = x as f64 / cw;
                (at as usize, weights((at - at.floor()) as f32))
            })
            .collect();
        self.values
            .par_chunks_mut(width)
            .enumerate()
            .for_each(|(y, row)| {
                let at = y as f64 / ch;
                let (iy, wy) = (at as usize, weights((at - at.floor()) as f32));
                let blended: Vec<f32> = (0..nx)
                    .map(|i| (0..4).map(|k| wy[k] * lattice[(iy + k) * nx + i]).sum())
                    .collect();
                for (o, (ix, wx)) in row.iter_mut().zip(&columns) {
                    let v: f32 = (0..4).map(|k| wx[k] * blended[ix + k]).sum();
                    *o += strength * v;
                }
            });
    }

    /// Changes each point within `radius` of (x, y), told its offset in units.
    pub(crate) fn paint(
        &mut self,
        (x, y): (f64, f64),
        (rx, ry): (f64, f64),
        mut colour: impl FnMut(f64, f64, f32) -> f32,
    ) {
        let k = self.per_unit;
        let range = |c: f64, r: f64, n: usize| {
            let from = ((c - r) * k).floor().max(0.0) as usize;
            let to = (((c + r) * k).ceil().max(0.0) as usize).min(n);
            from..to
        };
        for j in range(y, ry, self.height) {
            for i in range(x, rx, self.width) {
                let o = &mut self.values[j * self.width + i];
                *o = colour(i as f64 / k - x, j as f64 / k - y, *o);
            }
        }
    }

    pub(crate) fn at(&self, x: f64, y: f64) -> f32 {
        let x = (x * self.per_unit).clamp(0.0, (self.width - 2) as f64);
        let y = (y * self.per_unit).clamp(0.0, (self.height - 2) as f64);
        let (ix, iy) = (x as usize, y as usize);
        let (fx, fy) = ((x - ix as f64) as f32, (y - iy as f64) as f32);
        let at = iy * self.width + ix;
        let v = &self.values;
        let top = v[at] + fx * (v[at + 1] - v[at]);
        let low = v[at + self.width] + fx * (v[at + self.width + 1] - v[at + self.width]);
        top + fy * (low - top)
    }
}
