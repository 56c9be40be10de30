//! What else a scanner saw: a plate under the foot, or a block of foam instead of it.

use crate::Mesh;

/// How far a plate is seen around the foot.
const PLATE_MARGIN_MM: f64 = 45.0;
const PLATE_STEP_MM: f64 = 3.0;
/// How much of the block is seen around the impression.
const BLOCK_MARGIN_MM: f64 = 28.0;

/// Two surfaces in one mesh, joined nowhere.
pub(super) fn beside(mut a: Mesh, b: &Mesh) -> Mesh {
    let first = a.vertices.len() as u32;
    a.vertices.extend(&b.vertices);
    a.triangles
        .extend(b.triangles.iter().map(|t| t.map(|v| v + first)));
    a
}

/// Columns of a regular grid over the ground.
struct Floor {
    low: [f64; 2],
    step: f64,
    size: [usize; 2],
}

impl Floor {
    fn around(mesh: &Mesh, below: f64, margin: f64, step: f64) -> Floor {
        let (mut low, mut high) = ([f64::INFINITY; 2], [f64::NEG_INFINITY; 2]);
        for v in mesh.vertices.iter().filter(|v| v[1] < below) {
            for (k, c) in [v[0], v[2]].into_iter().enumerate() {
                low[k] = low[k].min(c - margin);
                high[k] = high[k].max(c + margin);
            }
        }
        let size = [0, 1].map(|k| (((high[k] - low[k]) / step).max(1.0) as usize) + 2);
        Floor { low, step, size }
    }

    fn place(&self, i: usize, j: usize) -> [f64; 2] {
        [
            self.low[0] + i as f64 * self.step,
            self.low[1] + j as f64 * self.step,
        ]
    }

    /// Height of the lowest surface over every grid point.
    fn envelope(&self, mesh: &Mesh) -> Vec<f64> {
        let mut heights = vec![f64::INFINITY; self.size[0] * self.size[1]];
        for t in 0..mesh.triangles.len() {
            let c = mesh.corners(t);
            let flat = c.map(|v| {
                [
                    (v[0] - self.low[0]) / self.step,
                    (v[2] - self.low[1]) / self.step,
                ]
            });
            let area = (flat[1][0] - flat[0][0]) * (flat[2][1] - flat[0][1])
                - (flat[2][0] - flat[0][0]) * (flat[1][1] - flat[0][1]);
            if area.abs() < 1e-12 {
                continue;
            }
            let range = |k: usize| {
                let (low, high) = flat.iter().fold((f64::INFINITY, 0.0f64), |(low, high), q| {
                    (low.min(q[k]), high.max(q[k]))
                });
                (
                    low.max(0.0).ceil() as usize,
                    (high as usize + 1).min(self.size[k]),
                )
            };
            let ((i0, i1), (j0, j1)) = (range(0), range(1));
            for j in j0..j1 {
                for i in i0..i1 {
                    let side = |a: usize, b: usize| {
                        ((flat[b][0] - flat[a][0]) * (j as f64 - flat[a][1])
                            - (i as f64 - flat[a][0]) * (flat[b][1] - flat[a][1]))
                            / area
                    };
                    let w = [side(1, 2), side(2, 0), side(0, 1)];
                    if w.iter().all(|&w| w >= -1e-9) {
                        let height = w[0] * c[0][1] + w[1] * c[1][1] + w[2] * c[2][1];
                        let at = &mut heights[j * self.size[0] + i];
                        *at = at.min(height);
                    }
                }
            }
        }
        heights
    }

    /// The grid as a surface looking up, where `keep` says so.
    fn surface(&self, height: impl Fn(usize) -> f64, keep: impl Fn(usize) -> bool) -> Mesh {
        let [nx, nz] = self.size;
        let mut mesh = Mesh::default();
        for j in 0..nz {
            for i in 0..nx {
                let [x, z] = self.place(i, j);
                mesh.vertices.push([x, height(j * nx + i), z]);
            }
        }
        for j in 0..nz - 1 {
            for i in 0..nx - 1 {
                let [a, b, c, d] = [
                    j * nx + i,
                    j * nx + i + 1,
                    (j + 1) * nx + i + 1,
                    (j + 1) * nx + i,
                ];
                if [a, b, c, d].iter().all(|&n| keep(n)) {
                    let [a, b, c, d] = [a, b, c, d].map(|n| n as u32);
                    mesh.triangles.extend([[a, c, b], [a, d, c]]);
                }
            }
        }
        mesh
    }
}

/// A plate at this height, open where the foot stands over it.
pub(super) fn plate(foot: &Mesh, height: f64) -> Mesh {
    let floor = Floor::around(foot, 60.0, PLATE_MARGIN_MM, PLATE_STEP_MM);
    let over = floor.envelope(foot);
    let [nx, nz] = floor.size;
    // Seen from the side, a plate is lost a little way under the foot's edge.
    let covered = |n: usize| over[n] < 25.0;
    let near = |n: usize| {
        let (i, j) = (n % nx, n / nx);
        (j.saturating_sub(1)..=(j + 1).min(nz - 1))
            .all(|j| (i.saturating_sub(1)..=(i + 1).min(nx - 1)).all(|i| !covered(j * nx + i)))
    };
    floor.surface(|_| height, near)
}

/// The top of a block into which the foot was pressed, about so many triangles.
pub(super) fn impression(foot: &Mesh, depth: f64, triangles: usize) -> Mesh {
    let rough = Floor::around(foot, depth, BLOCK_MARGIN_MM, 10.0);
    let area = (rough.size[0] as f64 - 1.0) * (rough.size[1] as f64 - 1.0) * 100.0;
    let step = (2.0 * area / triangles as f64).sqrt();
    let floor = Floor::around(foot, depth, BLOCK_MARGIN_MM, step);
    let over = floor.envelope(foot);
    floor.surface(|n| over[n].min(depth), |_| true)
}
