//! How a flat triangle bends and shears across its thickness.
//!
//! Leaves stretch to [`membrane`](crate::membrane). One surprise: each side carries one more turn than its
//! ends, and that turn is settled at once from the ends by the side's own balance of moment and shear. For a
//! thin plate this leaves no shear strain at all, so nothing can lock; for a thick one the shear comes in.
//!
//! # Sources
//! The element DKMT of I. Katili, A new discrete Kirchhoff-Mindlin element based on Mindlin-Reissner plate
//! theory and assumed shear strain fields, part I, Int. J. Numer. Methods Engrg. 36 (1993) 1859. Written from
//! memory of the paper's formulas; proven here by the patch, thin-limit and plate tests. For layered sections
//! the side's ratio of bending to shear stiffness is taken along that side.

use nalgebra::{Matrix2, Matrix3, SMatrix, Vector3};

pub(crate) type Curvature9 = SMatrix<f64, 3, 9>;
pub(crate) type Shear9 = SMatrix<f64, 2, 9>;

/// The sides, in the order of their middles.
const SIDES: [(usize, usize); 3] = [(0, 1), (1, 2), (2, 0)];

/// Curvature (xx, yy, 2xy) and shear (xz, yz) at the middles of the sides 0-1, 1-2 and 2-0, from the nine
/// freedoms (w, turn about x, turn about y) of the corners.
///
/// `bending` and `shear` are the section's stiffness in the facet's axes at the triangle's mean thickness.
///
/// # Sign
/// A point at height z moves by z times the turn about y along x, and by -z times the turn about x along y.
pub(crate) fn strain_at_middles(
    xy: &[[f64; 2]; 3],
    area: f64,
    bending: &Matrix3<f64>,
    shear: &Matrix2<f64>,
) -> ([Curvature9; 3], [Shear9; 3]) {
    let slope = |i: usize| {
        let (j, k) = ((i + 1) % 3, (i + 2) % 3);
        [
            (xy[j][1] - xy[k][1]) / (2.0 * area),
            (xy[k][0] - xy[j][0]) / (2.0 * area),
        ]
    };
    let slopes = [slope(0), slope(1), slope(2)];

    // Per side: direction, the extra turn from the corners, and the side's mean shear strain from it.
    let mut direction = [[0.0; 2]; 3];
    let mut extra = [SMatrix::<f64, 1, 9>::zeros(); 3];
    let mut along_side = [SMatrix::<f64, 1, 9>::zeros(); 3];
    for (side, &(i, j)) in SIDES.iter().enumerate() {
        let (dx, dy) = (xy[j][0] - xy[i][0], xy[j][1] - xy[i][1]);
        let length = dx.hypot(dy);
        let (c, s) = (dx / length, dy / length);
        // A turn that grows along the side is the curvature (c², s², 2cs); its moment is read back along it.
        let pull = Vector3::new(c * c, s * s, 2.0 * c * s);
        let stiff = pull.dot(&(bending * pull));
        let across = c * c * shear[(0, 0)] + 2.0 * c * s * shear[(0, 1)] + s * s * shear[(1, 1)];
        let ratio = 12.0 * stiff / (across * length * length);
        let factor = -1.5 / (length * (1.0 + ratio));
        let row = &mut extra[side];
        row[3 * i] = -factor;
        row[3 * j] = factor;
        for corner in [i, j] {
            // Turn along the side is c times the turn about y less s times the turn about x.
            row[3 * corner + 1] = -factor * length / 2.0 * s;
            row[3 * corner + 2] = factor * length / 2.0 * c;
        }
        along_side[side] = *row * (-2.0 / 3.0 * ratio);
        direction[side] = [c, s];
    }

    let mut linear = Curvature9::zeros();
    for corner in 0..3 {
        let [dx, dy] = slopes[corner];
        linear[(0, 3 * corner + 2)] = dx;
        linear[(1, 3 * corner + 1)] = -dy;
        linear[(2, 3 * corner + 1)] = -dx;
        linear[(2, 3 * corner + 2)] = dy;
    }
    // At the middle of a side the two bubbles' slopes need the corners' weights there.
    let weights = [[0.5, 0.5, 0.0], [0.0, 0.5, 0.5], [0.5, 0.0, 0.5]];
    let curvature = weights.map(|n| {
        let mut all = linear;
        for (side, &(i, j)) in SIDES.iter().enumerate() {
            let dx = 4.0 * (n[i] * slopes[j][0] + n[j] * slopes[i][0]);
            let dy = 4.0 * (n[i] * slopes[j][1] + n[j] * slopes[i][1]);
            let [c, s] = direction[side];
            all += Vector3::new(dx * c, dy * s, dy * c + dx * s) * extra[side];
        }
        all
    });

    // Shear at a corner from its two sides, then linear between the corners.
    let at_corner = [(0, 2, 0), (1, 0, 1), (2, 1, 2)].map(|(_, before, after)| {
        let ([ca, sa], [cb, sb]) = (direction[before], direction[after]);
        let determinant = ca * sb - sa * cb;
        let first = (along_side[before] * sb - along_side[after] * sa) / determinant;
        let second = (along_side[after] * ca - along_side[before] * cb) / determinant;
        let mut rows = Shear9::zeros();
        rows.set_row(0, &first);
        rows.set_row(1, &second);
        rows
    });
    let shears = SIDES.map(|(i, j)| (at_corner[i] + at_corner[j]) * 0.5);
    (curvature, shears)
}
