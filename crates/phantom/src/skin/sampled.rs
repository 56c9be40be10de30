//! From flesh to a grid of distances: only near the skin is anything asked.

use super::flesh::Flesh;
use crate::bones::grid::Grid;
use crate::bones::solid::{P, meet};
use rayon::prelude::*;

/// Distances in the world near the skin, the leg cut off at the plan's height `top`. Where the middle of a
/// block is far from the skin, the whole block takes its value.
pub(super) fn sampled(flesh: &Flesh, scale: f64, top: f64, step: f64) -> Grid {
    const BLOCK: usize = 4;
    let (low, high) = flesh.bounds(top);
    let (low, high) = (low * scale, high * scale);
    let blocks =
        [0, 1, 2].map(|k| ((high[k] - low[k]) / (step * BLOCK as f64)).ceil().max(1.0) as usize);
    let size = blocks.map(|n| n * BLOCK);
    let half = 0.5 * (BLOCK - 1) as f64;
    let reach = half * 3f64.sqrt() * step;
    // A quarter more for functions that run too steep, and the blur's reach.
    let far = reach * 1.25 + 2.0 * step;
    let mut values = vec![0f32; size[0] * size[1] * size[2]];
    values
        .par_chunks_mut(size[0] * size[1] * BLOCK)
        .enumerate()
        .for_each(|(layer, out)| {
            let place =
                |i: f64, j: f64, k: f64| low + P::new(i, j, k + (layer * BLOCK) as f64) * step;
            let cut = |q: P, d: f64| meet(d, q.y / scale - top, 1.5) * scale;
            for (bj, bi) in (0..blocks[1]).flat_map(|bj| (0..blocks[0]).map(move |bi| (bj, bi))) {
                let middle = place((bi * BLOCK) as f64 + half, (bj * BLOCK) as f64 + half, half);
                let plain = flesh.at(middle / scale);
                let d = cut(middle, plain);
                let near =
                    (d.abs() <= far).then(|| flesh.near(middle / scale, plain, reach / scale));
                // A body must not touch the border of its box, or its surface would be open there.
                let border = [(layer, 2), (bi, 0), (bj, 1)]
                    .into_iter()
                    .any(|(b, k)| b == 0 || b + 1 == blocks[k]);
                for n in 0..BLOCK * BLOCK * BLOCK {
                    let (i, j, k) = (n % BLOCK, n / BLOCK % BLOCK, n / (BLOCK * BLOCK));
                    let (x, y) = (bi * BLOCK + i, bj * BLOCK + j);
                    let at = near.as_ref().map_or(d, |near| {
                        let q = place(x as f64, y as f64, k as f64);
                        cut(q, flesh.at_near(q / scale, near))
                    });
                    out[(k * size[1] + y) * size[0] + x] =
                        if border { at.max(step) } else { at } as f32;
                }
            }
        });
    Grid {
        origin: low,
        step,
        size,
        values,
    }
}

/// Gaps between bodies deep inside the flesh are flesh.
pub(super) fn fill_voids(grid: &mut Grid) {
    let [nx, ny, _] = grid.size;
    let steps = [1isize, nx as isize, (nx * ny) as isize];
    let mut outside = vec![false; grid.values.len()];
    // The border is outside all around, so the first corner is.
    let mut front = vec![0usize];
    outside[0] = true;
    while let Some(here) = front.pop() {
        for step in steps {
            for next in [here as isize - step, here as isize + step] {
                // A step past the end of a row lands on the border of the next one, which is outside too.
                let Ok(next) = usize::try_from(next) else {
                    continue;
                };
                if next < outside.len() && !outside[next] && grid.values[next] >= 0.0 {
                    outside[next] = true;
                    front.push(next);
                }
            }
        }
    }
    let within = -(grid.step as f32);
    for (value, outside) in grid.values.iter_mut().zip(outside) {
        if *value >= 0.0 && !outside {
            *value = within;
        }
    }
}
