//! A bone's distance field on a regular grid: sampled once, rescaled to millimetres, asked anywhere.

use super::solid::P;
use rayon::prelude::*;

/// Every `STRIDE`th corner, sampled first: where all around is far from the surface, the fine corners
/// are filled in between and cost nothing.
struct Coarse {
    size: [usize; 3],
    values: Vec<f32>,
    /// Beyond this no surface can pass between coarse corners, even where a function runs 1.3 times
    /// too steep.
    far: f32,
}

const STRIDE: usize = 4;

impl Coarse {
    fn sample(low: P, step: f64, fine: [usize; 3], field: &(impl Fn(P) -> f64 + Sync)) -> Coarse {
        let size = fine.map(|n| (n - 1) / STRIDE + 2);
        let coarse = step * STRIDE as f64;
        let mut values = vec![0f32; size[0] * size[1] * size[2]];
        values
            .par_chunks_mut(size[0])
            .enumerate()
            .for_each(|(row, out)| {
                let (j, k) = (row % size[1], row / size[1]);
                for (i, v) in out.iter_mut().enumerate() {
                    *v = field(low + P::new(i as f64, j as f64, k as f64) * coarse) as f32;
                }
            });
        Coarse {
            size,
            values,
            far: (coarse * 3f64.sqrt() * 1.3) as f32,
        }
    }

    /// The value at a fine corner, if its block is far from the surface.
    fn far_from_surface(&self, i: usize, j: usize, k: usize) -> Option<f32> {
        let (a, b, c) = (i / STRIDE, j / STRIDE, k / STRIDE);
        let (dy, dz) = (self.size[0], self.size[0] * self.size[1]);
        let at = c * dz + b * dy + a;
        let v = [0, 1, dy, dy + 1, dz, dz + 1, dz + dy, dz + dy + 1].map(|o| self.values[at + o]);
        if v.iter()
            .any(|x| x.abs() < self.far || (*x < 0.0) != (v[0] < 0.0))
        {
            return None;
        }
        let t = [i, j, k].map(|n| (n % STRIDE) as f32 / STRIDE as f32);
        let mix = |a: f32, b: f32, t: f32| a + (b - a) * t;
        let low = mix(mix(v[0], v[1], t[0]), mix(v[2], v[3], t[0]), t[1]);
        let high = mix(mix(v[4], v[5], t[0]), mix(v[6], v[7], t[0]), t[1]);
        Some(mix(low, high, t[2]))
    }
}

/// Signed distances at the corners of cubes with side `step`; negative inside.
#[derive(Debug, Clone)]
pub(crate) struct Grid {
    pub origin: P,
    pub step: f64,
    pub size: [usize; 3],
    pub values: Vec<f32>,
}

impl Grid {
    /// Samples `field` over the box from `low` to `high`, and rescales it to true distances.
    pub fn sample(low: P, high: P, step: f64, field: impl Fn(P) -> f64 + Sync) -> Grid {
        let size = [0, 1, 2].map(|k| ((high[k] - low[k]) / step).ceil().max(2.0) as usize + 1);
        let coarse = Coarse::sample(low, step, size, &field);
        let mut values = vec![0f32; size[0] * size[1] * size[2]];
        values
            .par_chunks_mut(size[0])
            .enumerate()
            .for_each(|(row, out)| {
                let (j, k) = (row % size[1], row / size[1]);
                for (i, v) in out.iter_mut().enumerate() {
                    *v = coarse.far_from_surface(i, j, k).unwrap_or_else(|| {
                        field(low + P::new(i as f64, j as f64, k as f64) * step) as f32
                    });
                }
            });
        let mut grid = Grid {
            origin: low,
            step,
            size,
            values,
        };
        grid.close_border();
        grid.rescale();
        grid
    }

    pub fn index(&self, i: usize, j: usize, k: usize) -> usize {
        (k * self.size[1] + j) * self.size[0] + i
    }

    pub fn place(&self, i: usize, j: usize, k: usize) -> P {
        self.origin + P::new(i as f64, j as f64, k as f64) * self.step
    }

    /// A body must not touch the border of its box, or its surface would be open there.
    fn close_border(&mut self) {
        let [nx, ny, nz] = self.size;
        let outside = self.step as f32 * 0.5;
        for k in 0..nz {
            for j in 0..ny {
                for i in 0..nx {
                    if i == 0 || j == 0 || k == 0 || i == nx - 1 || j == ny - 1 || k == nz - 1 {
                        let at = self.index(i, j, k);
                        self.values[at] = self.values[at].max(outside);
                    }
                }
            }
        }
    }

    /// Divides by the length of the gradient: the sculpted functions keep the surface but not the scale.
    fn rescale(&mut self) {
        let [nx, ny, nz] = self.size;
        let old = &self.values;
        let h = self.step as f32;
        let at = |i: usize, j: usize, k: usize| old[(k * ny + j) * nx + i];
        let mut scaled = vec![0f32; old.len()];
        scaled
            .par_chunks_mut(nx)
            .enumerate()
            .for_each(|(row, out)| {
                let (j, k) = (row % ny, row / ny);
                let side = |n: usize, i: usize| (i.saturating_sub(1), (i + 1).min(n - 1));
                let ((j0, j1), (k0, k1)) = (side(ny, j), side(nz, k));
                for (i, v) in out.iter_mut().enumerate() {
                    let (i0, i1) = side(nx, i);
                    let gx = (at(i1, j, k) - at(i0, j, k)) / (h * (i1 - i0) as f32);
                    let gy = (at(i, j1, k) - at(i, j0, k)) / (h * (j1 - j0) as f32);
                    let gz = (at(i, j, k1) - at(i, j, k0)) / (h * (k1 - k0) as f32);
                    let length = (gx * gx + gy * gy + gz * gz).sqrt();
                    *v = at(i, j, k) / length.clamp(0.35, 3.0);
                }
            });
        self.values = scaled;
    }

    /// Distance at any point; beyond the box, the way to the box is added.
    pub fn at(&self, q: P) -> f64 {
        let g = (q - self.origin) / self.step;
        let mut cell = [0usize; 3];
        let mut t = [0f64; 3];
        let mut beyond = 0.0f64;
        for k in 0..3 {
            let top = (self.size[k] - 1) as f64;
            let x = g[k].clamp(0.0, top);
            beyond += (g[k] - x).powi(2);
            cell[k] = (x as usize).min(self.size[k] - 2);
            t[k] = x - cell[k] as f64;
        }
        let base = self.index(cell[0], cell[1], cell[2]);
        let (dy, dz) = (self.size[0], self.size[0] * self.size[1]);
        let v = |o: usize| f64::from(self.values[base + o]);
        let mix = |a: f64, b: f64, t: f64| a + (b - a) * t;
        let row = |o: usize| mix(v(o), v(o + 1), t[0]);
        let sheet = |o: usize| mix(row(o), row(o + dy), t[1]);
        mix(sheet(0), sheet(dz), t[2]) + beyond.sqrt() * self.step
    }

    /// Direction in which the distance grows, not normalised.
    pub fn slope(&self, q: P) -> P {
        let h = self.step * 0.5;
        let d = |e: P| self.at(q + e) - self.at(q - e);
        P::new(d(P::x() * h), d(P::y() * h), d(P::z() * h)) / (2.0 * h)
    }

    /// The same grid with another value at every corner.
    pub fn map(&self, value: impl Fn(P, f64) -> f64 + Sync) -> Grid {
        let mut grid = self.clone();
        let [nx, ny, _] = self.size;
        grid.values
            .par_chunks_mut(nx)
            .enumerate()
            .for_each(|(row, out)| {
                let (j, k) = (row % ny, row / ny);
                for (i, v) in out.iter_mut().enumerate() {
                    *v = value(self.place(i, j, k), f64::from(*v)) as f32;
                }
            });
        grid.close_border();
        grid
    }

    /// Averaged with its neighbours along each axis, `times` over: rounds edges off.
    pub fn blurred(&self, times: usize) -> Grid {
        let mut grid = self.clone();
        let [nx, ny, nz] = grid.size;
        let strides = [(1, nx), (nx, ny), (nx * ny, nz)];
        for _ in 0..times {
            for (stride, count) in strides {
                let old = grid.values.clone();
                grid.values.par_iter_mut().enumerate().for_each(|(at, v)| {
                    let i = at / stride % count;
                    if i > 0 && i + 1 < count {
                        *v = 0.25 * old[at - stride] + 0.5 * old[at] + 0.25 * old[at + stride];
                    }
                });
            }
        }
        grid
    }
}
