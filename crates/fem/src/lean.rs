//! Keeps flat facets of a curved surface from locking.
//!
//! Leaves the surface's normals to [`mesh`](crate::mesh). One surprise: it needs no integration and no further
//! unknowns, only eighteen numbers that add parts of the corners' turns to one another.

use nalgebra::{Matrix2, Vector2, Vector3};

use crate::facet::{Frame, Freedoms18, Stiffness};

/// What a turn within the facet's plane adds to the turn about its normal at each corner, the surface being
/// curved.
///
/// On a curved surface the normals at the corners lean against the facet's. Where the surface bends without
/// stretching, the turns of the corners then have parts about the facet's normal that are no stretch at all,
/// but the membrane would take them for one and lock. To second order of the size they are half of each
/// corner's lean times its turn, counted from the point where facet and surface are parallel; that half is
/// taken out. A motion of the whole body turns all corners alike and is left as it is, and a flat mesh is not
/// touched. Derived here from n . dT = 0 (no in-plane bending of the surface); proven by the curved cases.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Lean {
    /// Per corner, the factors of the turns about the facet's first and second axis at all corners.
    added: [[[f64; 2]; 3]; 3],
}

impl Lean {
    /// `None` where every normal is the facet's own.
    pub fn of(frame: &Frame, normals: &[Vector3<f64>; 3]) -> Option<Self> {
        let leans = normals.map(|normal| {
            let local = frame.axes * normal;
            Vector2::new(local.x, local.y)
        });
        if leans.iter().all(|lean| lean.norm() < 1e-12) {
            return None;
        }
        let parallel = parallel_point(&leans);
        let mut added = [[[0.0; 2]; 3]; 3];
        for i in 0..3 {
            for j in 0..3 {
                let share = if i == j {
                    1.0 - parallel[j]
                } else {
                    -parallel[j]
                };
                added[i][j] = [leans[i].x * share / 2.0, leans[i].y * share / 2.0];
            }
        }
        Some(Self { added })
    }

    pub fn freedoms(&self, local: &Freedoms18) -> Freedoms18 {
        let mut upright = *local;
        for (i, row) in self.added.iter().enumerate() {
            for (j, [x, y]) in row.iter().enumerate() {
                upright[6 * i + 5] += x * local[6 * j + 3] + y * local[6 * j + 4];
            }
        }
        upright
    }

    /// The stiffness seen through [`Lean::freedoms`].
    pub fn stiffness(&self, upright: &Stiffness) -> Stiffness {
        let mut half = *upright;
        for (i, row) in self.added.iter().enumerate() {
            for (j, [x, y]) in row.iter().enumerate() {
                for k in 0..18 {
                    half[(k, 6 * j + 3)] += x * upright[(k, 6 * i + 5)];
                    half[(k, 6 * j + 4)] += y * upright[(k, 6 * i + 5)];
                }
            }
        }
        let mut whole = half;
        for (i, row) in self.added.iter().enumerate() {
            for (j, [x, y]) in row.iter().enumerate() {
                for k in 0..18 {
                    whole[(6 * j + 3, k)] += x * half[(6 * i + 5, k)];
                    whole[(6 * j + 4, k)] += y * half[(6 * i + 5, k)];
                }
            }
        }
        whole
    }
}

/// Weights of the corners at the point where the leans cancel; as near the centre as that allows.
fn parallel_point(leans: &[Vector2<f64>; 3]) -> [f64; 3] {
    let mean = (leans[0] + leans[1] + leans[2]) / 3.0;
    let apart = leans.map(|lean| lean - mean);
    let spread: Matrix2<f64> = apart.iter().map(|a| a * a.transpose()).sum();
    let eigen = nalgebra::SymmetricEigen::new(spread);
    let largest = eigen.eigenvalues[0].max(eigen.eigenvalues[1]);
    let mut step = Vector2::zeros();
    for k in 0..2 {
        // A direction in which the surface hardly curves says nothing of the point.
        if eigen.eigenvalues[k] > 0.01 * largest {
            let direction = eigen.eigenvectors.column(k);
            step -= direction * (direction.dot(&mean) / eigen.eigenvalues[k]);
        }
    }
    let size = apart.iter().map(|a| a.dot(&step).abs()).fold(0.0, f64::max);
    // Normals that do not belong to one curved surface may put it far off.
    let limit = if size > 1.0 { 1.0 / size } else { 1.0 };
    apart.map(|a| 1.0 / 3.0 + limit * a.dot(&step))
}
