//! How a flat triangle stretches in its plane, with a drilling freedom at each corner.
//!
//! Leaves bending to [`plate`](crate::plate). One surprise: the element is built from two parts, a mean
//! strain that alone passes the patch test and a higher-order strain of zero mean, so its stiffness is
//! exactly a three-point sum over the middles of the sides.
//!
//! # Sources
//! The optimal triangle 'OPT' of C. A. Felippa, A study of optimal membrane triangles with drilling
//! freedoms, Comput. Methods Appl. Mech. Engrg. 192 (2003) 2125. Written from memory of the paper's
//! formulas; proven here by the patch tests, the zero-energy test and the exact bending of rectangles.

use nalgebra::{Matrix3, SMatrix};

/// Strain (x, y, gamma) from the nine freedoms (u, v, turn) of the three corners.
pub(crate) type Strain9 = SMatrix<f64, 3, 9>;

/// Part of the lumping of forces that gives the drilling freedoms their share (the paper's alpha-b).
const LUMPING: f64 = 1.5;

/// Strain at the middles of the sides 0-1, 1-2 and 2-0, from corners `xy` in the facet's axes.
///
/// `higher_order` is the weight beta-0 of the section.
pub(crate) fn strain_at_middles(xy: &[[f64; 2]; 3], area: f64, higher_order: f64) -> [Strain9; 3] {
    let [[x1, y1], [x2, y2], [x3, y3]] = *xy;
    let (x12, x23, x31) = (x1 - x2, x2 - x3, x3 - x1);
    let (y12, y23, y31) = (y1 - y2, y2 - y3, y3 - y1);
    let (x21, x32, x13) = (-x12, -x23, -x31);
    let (y21, y32, y13) = (-y12, -y23, -y31);

    // Mean strain: the lumping matrix L over twice the area.
    let (a6, a3) = (LUMPING / 6.0, LUMPING / 3.0);
    #[rustfmt::skip]
    let lumping = SMatrix::<f64, 9, 3>::from_row_slice(&[
        y23, 0.0, x32,
        0.0, x32, y23,
        a6 * y23 * (y13 - y21), a6 * x32 * (x31 - x12), a3 * (x31 * y13 - x12 * y21),
        y31, 0.0, x13,
        0.0, x13, y31,
        a6 * y31 * (y21 - y32), a6 * x13 * (x12 - x23), a3 * (x12 * y21 - x23 * y32),
        y12, 0.0, x21,
        0.0, x21, y12,
        a6 * y12 * (y32 - y13), a6 * x21 * (x23 - x31), a3 * (x23 * y32 - x31 * y13),
    ]);
    let mean: Strain9 = lumping.transpose() / (2.0 * area);

    // Turns of the corners less the mean turn of the triangle.
    let a4 = 4.0 * area;
    #[rustfmt::skip]
    let turn = Strain9::from_row_slice(&[
        x32, y32, a4, x13, y13, 0.0, x21, y21, 0.0,
        x32, y32, 0.0, x13, y13, a4, x21, y21, 0.0,
        x32, y32, 0.0, x13, y13, 0.0, x21, y21, a4,
    ]) / a4;

    // Natural strains along the three sides, and back to x, y, gamma.
    let (l21, l32, l13) = (
        x21 * x21 + y21 * y21,
        x32 * x32 + y32 * y32,
        x13 * x13 + y13 * y13,
    );
    #[rustfmt::skip]
    let from_sides = Matrix3::new(
        y23 * y13 * l21, y31 * y21 * l32, y12 * y32 * l13,
        x23 * x13 * l21, x31 * x21 * l32, x12 * x32 * l13,
        (y23 * x31 + x32 * y13) * l21, (y31 * x12 + x13 * y21) * l32, (y12 * x23 + x21 * y32) * l13,
    ) / (4.0 * area * area);
    let sides =
        Matrix3::from_diagonal(&[1.0 / l21, 1.0 / l32, 1.0 / l13].into()) * (2.0 * area / 3.0);
    #[rustfmt::skip]
    let at_corner = [
        Matrix3::new(1.0, 2.0, 1.0, 0.0, 1.0, -1.0, -1.0, -1.0, -2.0),
        Matrix3::new(-2.0, -1.0, -1.0, 1.0, 1.0, 2.0, -1.0, 0.0, 1.0),
        Matrix3::new(1.0, -1.0, 0.0, -1.0, -2.0, -1.0, 2.0, 1.0, 1.0),
    ]
    .map(|numbers| from_sides * sides * numbers);

    let weight = 1.5 * higher_order.sqrt();
    let middle = |i: usize, j: usize| mean + (at_corner[i] + at_corner[j]) * turn * (0.5 * weight);
    [middle(0, 1), middle(1, 2), middle(2, 0)]
}
