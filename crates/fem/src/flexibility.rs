//! How far each of many places gives way when one of them is pressed by one.
//!
//! Leaves the factor to [`factor`](crate::factor). Every place is touched by a few equations only, and of the
//! factor only what follows those in the elimination is needed: the places' columns are taken up the tree of
//! supernodes together, each joining where it begins. One surprise: nothing is solved backwards. The inverse
//! is the product of the half-solved columns, which is summed on the way.

use faer::linalg::matmul::matmul;
use faer::linalg::matmul::triangular::{self, BlockStructure};
use faer::linalg::triangular_solve::solve_lower_triangular_in_place;
use faer::{Accum, Mat, Par};
use nalgebra::DMatrix;

use crate::factor::{Factor, Plan};

/// Entries of one column of the right-hand side: equation and value.
pub(crate) type Side = Vec<(usize, f64)>;

/// What a supernode hands on: values in its later rows for the columns that have come up so far.
struct Handed {
    rows: Vec<usize>,
    columns: Vec<usize>,
    values: Mat<f64>,
}

const NOWHERE: usize = usize::MAX;

/// `sides' * inverse(matrix) * sides`, dense and symmetric.
pub(crate) fn flexibility(plan: &Plan, factor: &Factor, sides: &[Side]) -> DMatrix<f64> {
    let llt = plan.lower(factor);
    let symbolic = llt.symbolic();
    let (n, count) = (symbolic.nrows(), symbolic.n_supernodes());
    let mut home = vec![0; n];
    for s in 0..count {
        let node = llt.supernode(s);
        home[node.start()..node.start() + node.val().ncols()].fill(s);
    }
    let mut own: Vec<Vec<usize>> = vec![Vec::new(); count];
    for (column, side) in sides.iter().enumerate() {
        for &(equation, _) in side {
            own[home[equation]].push(column);
        }
    }
    let mut waiting: Vec<Vec<Handed>> = (0..count).map(|_| Vec::new()).collect();
    let mut row_place = vec![NOWHERE; n];
    let mut column_place = vec![NOWHERE; sides.len()];
    let mut sum = DMatrix::zeros(sides.len(), sides.len());
    for s in 0..count {
        let below = std::mem::take(&mut waiting[s]);
        let mut columns = std::mem::take(&mut own[s]);
        columns.extend(below.iter().flat_map(|handed| &handed.columns));
        columns.sort_unstable();
        columns.dedup();
        if columns.is_empty() {
            continue;
        }
        let node = llt.supernode(s);
        let (begin, later, lower) = (node.start(), node.pattern(), node.val());
        let width = lower.ncols();
        for (place, &column) in columns.iter().enumerate() {
            column_place[column] = place;
        }
        for place in 0..width {
            row_place[begin + place] = place;
        }
        for (place, &row) in later.iter().enumerate() {
            row_place[row] = width + place;
        }

        let mut front = Mat::<f64>::zeros(width + later.len(), columns.len());
        for &column in &columns {
            for &(equation, value) in &sides[column] {
                if home[equation] == s {
                    front[(equation - begin, column_place[column])] += value;
                }
            }
        }
        for handed in &below {
            for (from, &column) in handed.columns.iter().enumerate() {
                let to = column_place[column];
                for (from_row, &row) in handed.rows.iter().enumerate() {
                    front[(row_place[row], to)] += handed.values[(from_row, from)];
                }
            }
        }

        let (mut top, mut rest) = front.as_mut().split_at_row_mut(width);
        let (square, under) = lower.split_at_row(width);
        solve_lower_triangular_in_place(square, top.as_mut(), Par::Seq);
        // Half of a symmetric product: rows at and below the diagonal, columns being in rising order.
        let mut product = Mat::<f64>::zeros(columns.len(), columns.len());
        triangular::matmul(
            product.as_mut(),
            BlockStructure::TriangularLower,
            Accum::Replace,
            top.as_ref().transpose(),
            BlockStructure::Rectangular,
            top.as_ref(),
            BlockStructure::Rectangular,
            1.0,
            Par::Seq,
        );
        for (j, &to) in columns.iter().enumerate() {
            for (i, &from) in columns.iter().enumerate().skip(j) {
                sum[(from, to)] += product[(i, j)];
            }
        }
        let Some(&next) = later.iter().min() else {
            continue;
        };
        matmul(
            rest.as_mut(),
            Accum::Add,
            under,
            top.as_ref(),
            -1.0,
            Par::Seq,
        );
        waiting[home[next]].push(Handed {
            rows: later.to_vec(),
            columns,
            values: rest.to_owned(),
        });
    }
    mirror(&mut sum);
    sum
}

/// Copies what lies below the diagonal above it, in tiles that stay in the nearest memory.
fn mirror(matrix: &mut DMatrix<f64>) {
    const TILE: usize = 32;
    let n = matrix.nrows();
    for left in (0..n).step_by(TILE) {
        for top in (left..n).step_by(TILE) {
            for j in left..(left + TILE).min(n) {
                for i in top.max(j + 1)..(top + TILE).min(n) {
                    matrix[(j, i)] = matrix[(i, j)];
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fixture::held_sheet;
    use crate::{Isotropic, Load, Section};
    use nalgebra::Vector3;

    #[test]
    fn half_solved_columns_multiplied_give_what_whole_solutions_give() {
        let section = Section::isotropic(Isotropic {
            modulus: 100.0,
            poisson: 0.3,
        })
        .unwrap();
        let system = held_sheet(9, 6, section, |x, y| 0.05 * x * y);
        let at = |i: usize, j: usize| j * 10 + i;
        let way = Vector3::new(0.36, -0.48, 0.8);
        // A held node among them: nothing moves there.
        let pressed = [at(9, 6), at(0, 2), at(4, 3), at(1, 6), at(5, 3), at(9, 0)];
        let sides: Vec<Side> = pressed
            .iter()
            .map(|&node| {
                (0..3)
                    .filter_map(|part| Some((system.pattern().equation(node, part)?, way[part])))
                    .collect()
            })
            .collect();
        let found = system.flexibility(&sides);
        for (j, &node) in pressed.iter().enumerate() {
            let mut load = Load::none(system.model().mesh().nodes().len());
            load.force(node, way).unwrap();
            let moved = system.solve(&[&load]).unwrap().remove(0);
            for (i, &other) in pressed.iter().enumerate() {
                let expected = way.dot(&moved.shift(other));
                assert!(
                    (found[(i, j)] - expected).abs() < 1e-10 * found.amax(),
                    "{i} {j}: {} is not {expected}",
                    found[(i, j)]
                );
            }
        }
    }
}
