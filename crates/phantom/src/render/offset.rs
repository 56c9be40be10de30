//! Where does a surface come to lie when it is moved inwards or outwards, and smoothed?
//!
//! The solid is sampled on a grid, smoothed, turned into signed distances (negative inside) and cut at
//! any level. Every surface cut from the grid is closed by construction: each cell is split into six
//! tetrahedra that share their faces with their neighbours.

use super::raster::coverage_of_columns;
use mesh::Mesh;
use rayon::prelude::*;

/// Signed distances on a grid, mm: negative inside.
#[derive(Debug, Clone)]
pub struct DistanceGrid {
    low: [f64; 3],
    step: f64,
    counts: [usize; 3],
    values: Vec<f32>,
}

/// A grid that would be too large, or a solid without volume.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum NoGrid {
    #[error(
        "found a solid of {0:.0} x {1:.0} x {2:.0} mm, too large for a grid of {3} mm; a foot's bones in millimetres were expected"
    )]
    TooLarge(f64, f64, f64, f64),
    #[error("found nothing inside the surface; a closed surface turned outward was expected")]
    Empty,
}

const MOST_CELLS: f64 = 60e6;

impl DistanceGrid {
    /// Samples the union of closed surfaces every `step_mm`, smooths the inside by `smooth_mm`
    /// (Gaussian) and measures distances, good within `margin_mm` of the surface.
    ///
    /// # Errors
    /// More than 60 million cells, or nothing inside.
    pub fn of(
        meshes: &[&Mesh],
        step_mm: f64,
        margin_mm: f64,
        smooth_mm: f64,
    ) -> Result<DistanceGrid, NoGrid> {
        let (mut low, mut high) = ([f64::INFINITY; 3], [f64::NEG_INFINITY; 3]);
        for (l, h) in meshes.iter().filter_map(|m| m.bounds()) {
            for k in 0..3 {
                low[k] = low[k].min(l[k]);
                high[k] = high[k].max(h[k]);
            }
        }
        let around = margin_mm + 3.0 * smooth_mm + 3.0 * step_mm;
        let size: [f64; 3] = std::array::from_fn(|k| high[k] - low[k]);
        if size.iter().any(|s| !s.is_finite() || *s < 0.0) {
            return Err(NoGrid::Empty);
        }
        let counts = size.map(|s| ((s + 2.0 * around) / step_mm).ceil() + 1.0);
        if counts.iter().product::<f64>() > MOST_CELLS {
            return Err(NoGrid::TooLarge(size[0], size[1], size[2], step_mm));
        }
        let counts = counts.map(|c| c as usize);
        let low = low.map(|l| l - around);
        let mut grid = DistanceGrid {
            low,
            step: step_mm,
            counts,
            values: vec![0.0; counts.iter().product()],
        };
        for mesh in meshes {
            grid.fill(mesh);
        }
        grid.smooth(smooth_mm / step_mm);
        if !grid.values.iter().any(|&v| v > 0.5) {
            return Err(NoGrid::Empty);
        }
        grid.measure();
        grid.smooth(1.0);
        Ok(grid)
    }

    /// Part of every cell that lies inside, measured along x.
    fn fill(&mut self, mesh: &Mesh) {
        let [nx, ny, nz] = self.counts;
        let to_grid = |v: &[f64; 3]| std::array::from_fn(|k| (v[k] - self.low[k]) / self.step);
        let vertices: Vec<[f64; 3]> = mesh.vertices.iter().map(to_grid).collect();
        let columns = coverage_of_columns(&vertices, &mesh.triangles, ny, nz);
        for (row, crossings) in self.values.chunks_mut(nx).zip(columns) {
            let mut winding = 0;
            for (i, &(from, turn)) in crossings.iter().enumerate() {
                winding += turn;
                if winding <= 0 {
                    continue;
                }
                let to = crossings.get(i + 1).map_or(from, |c| c.0);
                let first = (from + 0.5).floor().max(0.0) as usize;
                let last = ((to + 0.5).floor().max(0.0) as usize).min(nx.saturating_sub(1));
                for (x, value) in row.iter_mut().enumerate().take(last + 1).skip(first) {
                    let part = (to.min(x as f64 + 0.5) - from.max(x as f64 - 0.5)).max(0.0);
                    *value = (*value + part as f32).min(1.0);
                }
            }
        }
    }

    /// Gaussian smoothing along all three axes; sigma in cells.
    fn smooth(&mut self, sigma: f64) {
        if sigma < 0.2 {
            return;
        }
        let reach = (3.0 * sigma).ceil() as usize;
        let mut weights: Vec<f32> = (0..=2 * reach)
            .map(|i| (-0.5 * ((i as f64 - reach as f64) / sigma).powi(2)).exp() as f32)
            .collect();
        let sum: f32 = weights.iter().sum();
        weights.iter_mut().for_each(|w| *w /= sum);
        self.along_every_axis(|line| {
            let n = line.len();
            let at = |i: usize| line[i.saturating_sub(reach).min(n - 1)];
            (0..n)
                .map(|x| weights.iter().enumerate().map(|(i, w)| w * at(x + i)).sum())
                .collect()
        });
    }

    /// Replaces parts inside by signed distances: exact to the nearest cell's middle on the other side.
    fn measure(&mut self) {
        const FAR: f32 = 1e12;
        let mut to_inside = self.clone();
        to_inside
            .values
            .par_iter_mut()
            .for_each(|v| *v = if *v > 0.5 { 0.0 } else { FAR });
        let mut to_outside = self.clone();
        to_outside
            .values
            .par_iter_mut()
            .for_each(|v| *v = if *v > 0.5 { FAR } else { 0.0 });
        to_inside.along_every_axis(lower_envelope);
        to_outside.along_every_axis(lower_envelope);
        let step = self.step as f32;
        self.values
            .par_iter_mut()
            .zip(&to_inside.values)
            .zip(&to_outside.values)
            .for_each(|((v, a), b)| {
                *v = if *a > 0.0 {
                    a.sqrt() - 0.5
                } else {
                    0.5 - b.sqrt()
                } * step;
            });
    }

    fn along_every_axis(&mut self, work: impl Fn(&[f32]) -> Vec<f32> + Sync) {
        let [nx, ny, nz] = self.counts;
        self.values
            .par_chunks_mut(nx)
            .for_each(|line| line.copy_from_slice(&work(line)));
        self.values.par_chunks_mut(nx * ny).for_each(|slice| {
            let mut line = vec![0.0; ny];
            for x in 0..nx {
                for (y, v) in line.iter_mut().enumerate() {
                    *v = slice[y * nx + x];
                }
                for (y, v) in work(&line).into_iter().enumerate() {
                    slice[y * nx + x] = v;
                }
            }
        });
        // Lines along z cross every slice: work on copies, one row of slices at a time.
        let layer = nx * ny;
        let old = &self.values;
        let lines: Vec<Vec<f32>> = (0..layer)
            .into_par_iter()
            .with_min_len(256)
            .map(|i| work(&(0..nz).map(|z| old[z * layer + i]).collect::<Vec<_>>()))
            .collect();
        self.values
            .par_chunks_mut(layer)
            .enumerate()
            .for_each(|(z, slice)| {
                for (v, line) in slice.iter_mut().zip(&lines) {
                    *v = line[z];
                }
            });
    }

    /// Changes every distance, given its place.
    pub fn change(&mut self, to: impl Fn([f64; 3], f32) -> f32 + Sync) {
        let ([nx, ny, _], low, step) = (self.counts, self.low, self.step);
        self.values
            .par_chunks_mut(nx)
            .enumerate()
            .for_each(|(row, line)| {
                let (y, z) = ((row % ny) as f64, (row / ny) as f64);
                for (x, v) in line.iter_mut().enumerate() {
                    *v = to(
                        [
                            low[0] + x as f64 * step,
                            low[1] + y * step,
                            low[2] + z * step,
                        ],
                        *v,
                    );
                }
            });
    }

    /// The closed surface at a signed distance: 0 the surface itself, −1.3 lies 1.3 mm further in.
    /// Empty where the solid is thinner than that everywhere.
    pub fn surface(&self, level_mm: f64) -> Mesh {
        let mut cutter = Cutter::new(self, level_mm as f32);
        for z in 0..self.counts[2].saturating_sub(1) {
            cutter.layer(z);
        }
        Mesh {
            vertices: cutter.vertices,
            triangles: cutter.triangles,
        }
    }
}

/// Squared distances to the lower envelope of parabolas (Felzenszwalb and Huttenlocher 2012, section 2).
fn lower_envelope(f: &[f32]) -> Vec<f32> {
    let n = f.len();
    let (mut v, mut z) = (vec![0usize; n], vec![0.0f64; n + 1]);
    let height = |q: usize| f64::from(f[q]) + (q * q) as f64;
    let mut k = 0;
    (z[0], z[1]) = (f64::NEG_INFINITY, f64::INFINITY);
    for q in 1..n {
        loop {
            let s = (height(q) - height(v[k])) / (2.0 * (q as f64 - v[k] as f64));
            if s <= z[k] && k > 0 {
                k -= 1;
                continue;
            }
            k += 1;
            (v[k], z[k], z[k + 1]) = (q, s, f64::INFINITY);
            break;
        }
    }
    k = 0;
    (0..n)
        .map(|q| {
            while z[k + 1] < q as f64 {
                k += 1;
            }
            ((q as f64 - v[k] as f64).powi(2) + f64::from(f[v[k]])) as f32
        })
        .collect()
}

/// The six ways from corner 0 to corner 7 of a cell along its axes (bits x 1, y 2, z 4): six
/// tetrahedra that fill the cell and match those of its neighbours.
const PATHS: [[usize; 4]; 6] = [
    [0, 1, 3, 7],
    [0, 1, 5, 7],
    [0, 2, 3, 7],
    [0, 2, 6, 7],
    [0, 4, 5, 7],
    [0, 4, 6, 7],
];

struct Cutter<'a> {
    grid: &'a DistanceGrid,
    level: f32,
    vertices: Vec<[f64; 3]>,
    triangles: Vec<[u32; 3]>,
    /// Vertex numbers on the seven edges that start at each grid point of this and the next layer.
    edges: [Vec<u32>; 2],
}

impl<'a> Cutter<'a> {
    fn new(grid: &'a DistanceGrid, level: f32) -> Cutter<'a> {
        let slots = grid.counts[0] * grid.counts[1] * 7;
        Cutter {
            grid,
            level,
            vertices: vec![],
            triangles: vec![],
            edges: [vec![u32::MAX; slots], vec![u32::MAX; slots]],
        }
    }

    fn value(&self, x: usize, y: usize, z: usize) -> f32 {
        let [nx, ny, _] = self.grid.counts;
        self.grid.values[(z * ny + y) * nx + x] - self.level
    }

    fn layer(&mut self, z: usize) {
        let [nx, ny, _] = self.grid.counts;
        for y in 0..ny.saturating_sub(1) {
            for x in 0..nx.saturating_sub(1) {
                let corner: [f32; 8] = std::array::from_fn(|i| {
                    self.value(x + (i & 1), y + (i >> 1 & 1), z + (i >> 2))
                });
                let inside = corner.iter().filter(|&&v| v < 0.0).count();
                if inside != 0 && inside != 8 {
                    for path in &PATHS {
                        self.tetrahedron([x, y, z], path, &corner);
                    }
                }
            }
        }
        self.edges.swap(0, 1);
        self.edges[1].fill(u32::MAX);
    }

    fn tetrahedron(&mut self, cell: [usize; 3], path: &[usize; 4], corner: &[f32; 8]) {
        let (mut within, mut without) = ([0usize; 4], [0usize; 4]);
        let (mut i, mut o) = (0, 0);
        for &c in path {
            if corner[c] < 0.0 {
                within[i] = c;
                i += 1;
            } else {
                without[o] = c;
                o += 1;
            }
        }
        let (w, x) = (within, without);
        match (i, o) {
            (1, 3) => self.facet(cell, corner, [[w[0], x[0]], [w[0], x[1]], [w[0], x[2]]]),
            (3, 1) => self.facet(cell, corner, [[w[0], x[0]], [w[1], x[0]], [w[2], x[0]]]),
            (2, 2) => {
                self.facet(cell, corner, [[w[0], x[0]], [w[0], x[1]], [w[1], x[0]]]);
                self.facet(cell, corner, [[w[1], x[0]], [w[0], x[1]], [w[1], x[1]]]);
            }
            _ => {}
        }
    }

    /// One triangle between three cut edges (inner corner, outer corner), turned outward. Which way is
    /// out is decided on the edges' middles, in whole numbers, so that neighbours always agree.
    fn facet(&mut self, cell: [usize; 3], corner: &[f32; 8], cuts: [[usize; 2]; 3]) {
        let place = |c: usize| [(c & 1) as i32, (c >> 1 & 1) as i32, (c >> 2) as i32];
        let middle =
            cuts.map(|[a, b]| std::array::from_fn::<i32, 3, _>(|k| place(a)[k] + place(b)[k]));
        let d = |i: usize| std::array::from_fn::<i32, 3, _>(|k| middle[i][k] - middle[0][k]);
        let (u, v) = (d(1), d(2));
        let normal = [
            u[1] * v[2] - u[2] * v[1],
            u[2] * v[0] - u[0] * v[2],
            u[0] * v[1] - u[1] * v[0],
        ];
        let out: i32 = cuts
            .iter()
            .map(|&[a, b]| {
                (0..3)
                    .map(|k| normal[k] * (place(b)[k] - place(a)[k]))
                    .sum::<i32>()
            })
            .sum();
        let [a, b, c] = cuts.map(|cut| self.vertex(cell, corner, cut));
        self.triangles
            .push(if out > 0 { [a, b, c] } else { [a, c, b] });
    }

    fn vertex(&mut self, cell: [usize; 3], corner: &[f32; 8], [a, b]: [usize; 2]) -> u32 {
        let (first, kind) = (a & b, a ^ b);
        let at = [cell[0] + (first & 1), cell[1] + (first >> 1 & 1)];
        let slot = (at[1] * self.grid.counts[0] + at[0]) * 7 + kind - 1;
        let edges = &mut self.edges[first >> 2];
        if edges[slot] == u32::MAX {
            edges[slot] = self.vertices.len() as u32;
            // Never quite at a grid point: two vertices must not fall together.
            let t = f64::from(corner[a] / (corner[a] - corner[b])).clamp(0.01, 0.99);
            let g = self.grid;
            self.vertices.push(std::array::from_fn(|k| {
                let (pa, pb) = ((a >> k & 1) as f64, (b >> k & 1) as f64);
                g.low[k] + (cell[k] as f64 + pa + t * (pb - pa)) * g.step
            }));
        }
        edges[slot]
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::render::shapes::ball;

    #[test]
    fn a_ball_moved_inwards_is_a_smaller_ball_and_closed() {
        let mesh = ball([3.0, 2.0, 1.0], 12.0, 96);
        let grid = DistanceGrid::of(&[&mesh], 0.5, 3.0, 0.0).unwrap();
        for (level, radius) in [(0.0, 12.0), (-1.3, 10.7), (2.0, 14.0)] {
            let moved = grid.surface(level);
            assert_eq!(mesh::check::closed(&moved), None);
            let (low, high) = moved.bounds().unwrap();
            for k in 0..3 {
                // Half a cell, as distances are measured between the middles of cells, and the little that
                // smoothing takes from a ball.
                assert!(
                    ((high[k] - low[k]) / 2.0 - radius).abs() < 0.3,
                    "{level}: {low:?} {high:?}"
                );
            }
        }
        assert!(grid.surface(-20.0).triangles.is_empty());
    }

    #[test]
    fn two_balls_that_overlap_become_one_solid() {
        let (a, b) = (ball([0.0; 3], 8.0, 48), ball([8.0, 0.0, 0.0], 8.0, 48));
        let grid = DistanceGrid::of(&[&a, &b], 1.0, 2.0, 0.5).unwrap();
        let both = grid.surface(0.0);
        assert_eq!(mesh::check::closed(&both), None);
        // Two balls of 8 mm, 8 mm apart: 2·V − lens = 3619 mm³.
        assert!((both.volume() - 3619.0).abs() < 180.0, "{}", both.volume());
    }
}
