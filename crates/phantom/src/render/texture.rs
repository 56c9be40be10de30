//! How uneven is spongy bone along the beam?
//!
//! Trabeculae run along the main stress lines, so their sum along a ray is noise that is drawn out
//! along those lines. A tile of such noise is made once and laid over each bone in its own plane and
//! along its own lines. It is a picture of the texture, not a model of bone: nothing is measured on it.

use rand::{Rng, SeedableRng, rngs::StdRng};
use rayon::prelude::*;
use std::sync::OnceLock;

/// Pixels along one side of the tile, a power of two, and their size.
const SIDE: usize = 512;
const TILE_PX_MM: f64 = 0.12;

/// A repeating square of noise, mean 0 and standard deviation 1, drawn out along its x axis.
pub(crate) struct Grain {
    tile: Vec<f32>,
}

impl Grain {
    /// The one tile that every film uses; made once per process.
    pub fn tile() -> &'static Grain {
        static TILE: OnceLock<Grain> = OnceLock::new();
        TILE.get_or_init(|| Grain::new(7))
    }

    fn new(seed: u64) -> Grain {
        // Strut-sized streaks, coarser bundles of them, and the slow unevenness of the whole.
        let octaves: [(f64, f64, f32); 4] = [
            (3.2, 1.1, 0.50),
            (6.0, 2.0, 0.45),
            (12.0, 5.0, 0.35),
            (18.0, 16.0, 0.50),
        ];
        let layers: Vec<Vec<f32>> = octaves
            .par_iter()
            .enumerate()
            .map(|(i, &(along, across, weight))| {
                let mut rng = StdRng::seed_from_u64(seed ^ (0x9E37_79B9 * (i as u64 + 1)));
                let mut layer: Vec<f32> = (0..SIDE * SIDE)
                    .map(|_| rng.random::<f32>() - 0.5)
                    .collect();
                blur_rows_wrapped(&mut layer, along);
                turn(&mut layer);
                blur_rows_wrapped(&mut layer, across);
                turn(&mut layer);
                standardise(&mut layer, weight);
                layer
            })
            .collect();
        let mut tile = vec![0.0f32; SIDE * SIDE];
        for layer in &layers {
            for (sum, value) in tile.iter_mut().zip(layer) {
                *sum += value;
            }
        }
        standardise(&mut tile, 1.0);
        Grain { tile }
    }

    /// The grain at a place given along and across its lines, mm; linear between tile pixels.
    pub fn at(&self, along_mm: f64, across_mm: f64) -> f32 {
        let (x, y) = (along_mm / TILE_PX_MM, across_mm / TILE_PX_MM);
        let (fx, fy) = (x.floor(), y.floor());
        let (tx, ty) = ((x - fx) as f32, (y - fy) as f32);
        let wrap = |v: f64, step: i64| ((v as i64 + step) & (SIDE as i64 - 1)) as usize;
        let (x0, x1) = (wrap(fx, 0), wrap(fx, 1));
        let (r0, r1) = (wrap(fy, 0) * SIDE, wrap(fy, 1) * SIDE);
        let t = &self.tile;
        let top = t[r0 + x0] + (t[r0 + x1] - t[r0 + x0]) * tx;
        let low = t[r1 + x0] + (t[r1 + x1] - t[r1 + x0]) * tx;
        top + (low - top) * ty
    }
}

fn blur_rows_wrapped(layer: &mut [f32], sigma_px: f64) {
    let reach = (3.0 * sigma_px).ceil() as usize;
    let weights: Vec<f32> = (0..=2 * reach)
        .map(|i| (-0.5 * ((i as f64 - reach as f64) / sigma_px).powi(2)).exp() as f32)
        .collect();
    for row in layer.chunks_mut(SIDE) {
        let old: Vec<f32> = (0..SIDE + 2 * reach)
            .map(|i| row[(i + 4 * SIDE - reach) % SIDE])
            .collect();
        for (x, out) in row.iter_mut().enumerate() {
            *out = weights.iter().zip(&old[x..]).map(|(w, v)| w * v).sum();
        }
    }
}

fn turn(layer: &mut [f32]) {
    for y in 0..SIDE {
        for x in y + 1..SIDE {
            layer.swap(y * SIDE + x, x * SIDE + y);
        }
    }
}

fn standardise(layer: &mut [f32], deviation: f32) {
    let n = layer.len() as f64;
    let mean = layer.iter().map(|&v| f64::from(v)).sum::<f64>() / n;
    let var = layer
        .iter()
        .map(|&v| (f64::from(v) - mean).powi(2))
        .sum::<f64>()
        / n;
    let gain = if var > 0.0 {
        f64::from(deviation) / var.sqrt()
    } else {
        0.0
    };
    for v in layer {
        *v = ((f64::from(*v) - mean) * gain) as f32;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_grain_is_smoother_along_its_lines_than_across_them() {
        let grain = Grain::new(1);
        let rough = |dx: f64, dy: f64| -> f64 {
            (0..4000)
                .map(|i| {
                    let (x, y) = (f64::from(i % 61) * 0.97, f64::from(i / 61) * 0.89);
                    f64::from(grain.at(x + dx, y + dy) - grain.at(x, y)).powi(2)
                })
                .sum()
        };
        assert!(rough(0.5, 0.0) < 0.5 * rough(0.0, 0.5));
    }

    #[test]
    fn the_grain_repeats_without_a_seam() {
        let grain = Grain::new(3);
        let side = SIDE as f64 * TILE_PX_MM;
        assert!((grain.at(-0.01, 4.0) - grain.at(side - 0.01, 4.0)).abs() < 1e-3);
        assert!((grain.at(0.01, 4.0) - grain.at(-0.01, 4.0)).abs() < 0.2);
    }
}
