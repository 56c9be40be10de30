//! Where does the foot end, seen from below?
//!
//! The lower envelope of the foot as heights on a regular grid in the foot frame: `z` of the lowest skin
//! over each place, nothing where no skin is. What lies above it a shell can never touch from below.

use mesh::Mesh;
use rayon::prelude::*;

/// Lowest skin over a regular grid of the ground, row by row along x.
#[derive(Debug, Clone, PartialEq)]
pub struct Sole {
    /// Place of the first value in the foot frame: x, y.
    pub origin: [f64; 2],
    /// Distance between values along both axes, mm.
    pub step: f64,
    /// Values along x and along y.
    pub size: [usize; 2],
    /// `heights[j * size[0] + i]` at `origin + step · (i, j)`; NaN where no skin lies above.
    pub heights: Vec<f64>,
}

impl Sole {
    /// Lower envelope of a surface, on a grid of `step` mm that holds all of it.
    ///
    /// Exact at every grid value: the height of the lowest triangle over it.
    pub fn of(skin: &Mesh, step: f64) -> Sole {
        let empty = Sole {
            origin: [0.0; 2],
            step,
            size: [0; 2],
            heights: Vec::new(),
        };
        let Some((low, high)) = skin.bounds() else {
            return empty;
        };
        let first = [0, 1].map(|k| (low[k] / step).floor() - 1.0);
        let size = [0, 1].map(|k| ((high[k] / step).ceil() - first[k]).max(0.0) as usize + 2);
        if step.is_nan() || step <= 0.0 || size[0].saturating_mul(size[1]) > MOST_VALUES {
            return empty;
        }
        let origin = first.map(|f| f * step);
        let count = size[0] * size[1];
        // Each thread lowers a grid of its own; the lowest of all is the same however they shared the triangles.
        let parts = rayon::current_num_threads()
            .min(MOST_VALUES / count.max(1))
            .max(1);
        let share = skin.triangles.len().div_ceil(parts).max(1);
        let nothing = || vec![f64::INFINITY; count];
        let mut heights = skin
            .triangles
            .par_chunks(share)
            .map(|triangles| {
                let mut out = nothing();
                for t in triangles {
                    let corners = t.map(|v| skin.vertices[v as usize]);
                    lower(corners, origin, step, size[0], &mut out);
                }
                out
            })
            .reduce_with(|mut a, b| {
                a.iter_mut().zip(&b).for_each(|(a, b)| *a = a.min(*b));
                a
            })
            .unwrap_or_else(nothing);
        for z in &mut heights {
            if !z.is_finite() {
                *z = f64::NAN;
            }
        }
        Sole {
            origin,
            step,
            size,
            heights,
        }
    }

    /// The same sole on a coarser grid; a step that is not coarser leaves it as it is.
    pub fn resampled(&self, step: f64) -> Sole {
        let every = (step / self.step).round() as usize;
        if every <= 1 {
            return self.clone();
        }
        let size = self.size.map(|n| n.div_ceil(every));
        let heights = (0..size[0] * size[1])
            .map(|at| {
                self.value(at % size[0] * every, at / size[0] * every)
                    .unwrap_or(f64::NAN)
            })
            .collect();
        Sole {
            origin: self.origin,
            step: self.step * every as f64,
            size,
            heights,
        }
    }

    /// Height at a grid value; `None` outside the foot.
    pub fn value(&self, i: usize, j: usize) -> Option<f64> {
        if i >= self.size[0] || j >= self.size[1] {
            return None;
        }
        let z = self.heights[j * self.size[0] + i];
        z.is_finite().then_some(z)
    }

    /// Height between grid values, where all four around lie on the foot.
    pub fn height(&self, x: f64, y: f64) -> Option<f64> {
        let u = (x - self.origin[0]) / self.step;
        let v = (y - self.origin[1]) / self.step;
        if !(u >= 0.0 && v >= 0.0) {
            return None;
        }
        let (i, j) = (u as usize, v as usize);
        let (s, t) = (u - i as f64, v - j as f64);
        let at = |i: usize, j: usize, weight: f64| {
            if weight == 0.0 {
                Some(0.0)
            } else {
                Some(self.value(i, j)? * weight)
            }
        };
        Some(
            at(i, j, (1.0 - s) * (1.0 - t))?
                + at(i + 1, j, s * (1.0 - t))?
                + at(i, j + 1, (1.0 - s) * t)?
                + at(i + 1, j + 1, s * t)?,
        )
    }
}

/// More values than any foot has on any sensible grid.
const MOST_VALUES: usize = 16_000_000;

/// Takes one triangle into the grid.
fn lower(corners: [[f64; 3]; 3], origin: [f64; 2], step: f64, columns: usize, out: &mut [f64]) {
    let grid = corners.map(|c| [(c[0] - origin[0]) / step, (c[1] - origin[1]) / step]);
    let rows = out.len() / columns;
    let span = |k: usize| {
        let (low, high) = grid
            .iter()
            .fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), g| {
                (l.min(g[k]), h.max(g[k]))
            });
        (low.ceil().max(0.0), high.floor())
    };
    let (low, high) = span(1);
    let last = high.min(rows as f64 - 1.0);
    if last < low {
        return;
    }
    let (left, right) = span(0);
    if right < left {
        return;
    }
    let [a, b, c] = grid;
    let area = (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]);
    // A triangle that stands upright covers no place; its neighbours hold its edges.
    if area.abs() < 1e-12 {
        return;
    }
    for j in low as usize..=last as usize {
        for i in left as usize..=(right.min(columns as f64 - 1.0)) as usize {
            let (x, y) = (i as f64, j as f64);
            let wb = ((x - a[0]) * (c[1] - a[1]) - (y - a[1]) * (c[0] - a[0])) / area;
            let wc = ((b[0] - a[0]) * (y - a[1]) - (b[1] - a[1]) * (x - a[0])) / area;
            let wa = 1.0 - wb - wc;
            if wa >= -1e-9 && wb >= -1e-9 && wc >= -1e-9 {
                let z = wa * corners[0][2] + wb * corners[1][2] + wc * corners[2][2];
                let value = &mut out[j * columns + i];
                *value = value.min(z);
            }
        }
    }
}
