//! Finds which places press and which stand off: pressures and gaps, none below zero, never both at one place.
//!
//! Leaves where the numbers come from to [`contact`](crate::contact). Whole groups of places change sides at
//! once; when that stops helping, one at a time, which always ends for a positive definite matrix. One
//! surprise: nothing here is random and no tolerance decides a side except round-off.
//!
//! # Sources
//! Block principal pivoting of Judice & Pires, Comput. Oper. Res. 21 (1994) 587, with the least-index rule of
//! Murty as the way out. Written from memory of the method; proven here against all ways of choosing sides.

use faer::dyn_stack::{MemBuffer, MemStack, StackReq};
use faer::linalg::lu::partial_pivoting::factor::{lu_in_place, lu_in_place_scratch};
use faer::linalg::lu::partial_pivoting::solve::{self, solve_in_place_scratch};
use faer::prelude::*;
use faer::{Mat, MatMut, Par};
use nalgebra::{DMatrix, DVector};

use crate::FemError;

/// Group changes without progress before single ones.
const PATIENCE: usize = 8;

/// Places that a common motion lifts: gaps `flexible * p + lift * m + at_rest`, where the motion `m` answers
/// `resistance * m = push + lift' * p`.
pub(crate) struct Places<'a> {
    pub flexible: &'a DMatrix<f64>,
    pub at_rest: &'a DVector<f64>,
    pub lift: &'a DMatrix<f64>,
    /// Symmetric and positive definite, however weak.
    pub resistance: &'a DMatrix<f64>,
    pub push: &'a DVector<f64>,
}

/// Pressures and the motion: pressures and gaps not below zero, one of them zero at each place.
///
/// The motion is kept as an unknown: put into the pressures' matrix, a weak resistance would drown it.
///
/// # Errors
/// A matrix that is not positive definite, or no end within a number of steps that grows with the places.
pub(crate) fn solve(
    places: &Places<'_>,
    start: &[bool],
) -> Result<(DVector<f64>, DVector<f64>), FemError> {
    let n = places.at_rest.len();
    let mut pressing: Vec<bool> = (0..n)
        .map(|i| start.get(i).copied().unwrap_or(false))
        .collect();
    let (mut fewest, mut patience) = (n + 1, PATIENCE);
    let most = 200 + 20 * n;
    for _ in 0..most {
        let (pressure, motion) = with_sides(places, &pressing)?;
        let lifted = places.lift * &motion;
        let gap = places.flexible * &pressure + &lifted + places.at_rest;
        let least_pressure = pressure.amax() * 1e-11;
        let least_gap = (places.at_rest.amax() + lifted.amax()) * 1e-11;
        let wrong: Vec<usize> = (0..n)
            .filter(|&i| {
                if pressing[i] {
                    pressure[i] < -least_pressure
                } else {
                    gap[i] < -least_gap
                }
            })
            .collect();
        let Some(&last) = wrong.last() else {
            return Ok((pressure.map(|p| p.max(0.0)), motion));
        };
        if wrong.len() < fewest {
            (fewest, patience) = (wrong.len(), PATIENCE);
        } else if patience > 0 {
            patience -= 1;
        } else {
            pressing[last] = !pressing[last];
            continue;
        }
        for i in wrong {
            pressing[i] = !pressing[i];
        }
    }
    Err(FemError::ContactUnsettled { steps: most })
}

/// Pressures and motion when it is settled which places press.
pub(crate) fn with_sides(
    places: &Places<'_>,
    pressing: &[bool],
) -> Result<(DVector<f64>, DVector<f64>), FemError> {
    let set: Vec<usize> = (0..pressing.len()).filter(|&i| pressing[i]).collect();
    let (m, k) = (set.len(), places.push.len());
    let mut matrix = Mat::<f64>::zeros(m + k, m + k);
    let mut side = DVector::zeros(m + k);
    // Forces and motions in like sizes.
    let flexible = set
        .iter()
        .map(|&i| places.flexible[(i, i)])
        .fold(0.0, f64::max);
    let scale = if flexible > 0.0 { 1.0 / flexible } else { 1.0 };
    for (j, &b) in set.iter().enumerate() {
        let column = places.flexible.column(b);
        for (i, &a) in set.iter().enumerate() {
            matrix[(i, j)] = column[a] * scale;
        }
        side[j] = -places.at_rest[b] * scale;
        for i in 0..k {
            matrix[(j, m + i)] = places.lift[(b, i)];
            matrix[(m + i, j)] = places.lift[(b, i)];
        }
    }
    for i in 0..k {
        for j in 0..k {
            matrix[(m + i, m + j)] = -places.resistance[(i, j)] / scale;
        }
        side[m + i] = -places.push[i];
    }
    solve_in_place(matrix.as_mut(), side.as_mut_slice())?;
    let found = side;
    if !found.iter().all(|value| value.is_finite()) {
        return Err(FemError::ContactUnsettled { steps: 0 });
    }
    let mut pressure = DVector::zeros(pressing.len());
    for (i, &a) in set.iter().enumerate() {
        pressure[a] = found[i];
    }
    Ok((pressure, found.rows(m, k) / scale))
}

/// Gauss with rows exchanged; a matrix that has no inverse leaves numbers that are not finite.
fn solve_in_place(matrix: MatMut<'_, f64>, side: &mut [f64]) -> Result<(), FemError> {
    let n = side.len();
    let (mut order, mut back) = (vec![0_usize; n], vec![0_usize; n]);
    let request = StackReq::any_of(&[
        lu_in_place_scratch::<usize, f64>(n, n, Par::Seq, Default::default()),
        solve_in_place_scratch::<usize, f64>(n, 1, Par::Seq),
    ]);
    let mut buffer = MemBuffer::try_new(request).map_err(|_| FemError::Memory)?;
    let stack = MemStack::new(&mut buffer);
    let mut matrix = matrix;
    let (_, order) = lu_in_place(
        matrix.rb_mut(),
        &mut order,
        &mut back,
        Par::Seq,
        stack,
        Default::default(),
    );
    let side = MatMut::from_column_major_slice_mut(side, n, 1);
    solve::solve_in_place(matrix.rb(), matrix.rb(), order, side, Par::Seq, stack);
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn noise(seed: u64) -> impl FnMut() -> f64 {
        let mut state = seed;
        move || {
            state = state
                .wrapping_mul(6_364_136_223_846_793_005)
                .wrapping_add(1_442_695_040_888_963_407);
            ((state >> 33) as f64 / f64::from(1_u32 << 31)) * 2.0 - 1.0
        }
    }

    fn still<'a>(
        flexible: &'a DMatrix<f64>,
        at_rest: &'a DVector<f64>,
        none: &'a (DMatrix<f64>, DMatrix<f64>, DVector<f64>),
    ) -> Places<'a> {
        Places {
            flexible,
            at_rest,
            lift: &none.0,
            resistance: &none.1,
            push: &none.2,
        }
    }

    fn nothing(n: usize) -> (DMatrix<f64>, DMatrix<f64>, DVector<f64>) {
        (
            DMatrix::zeros(n, 0),
            DMatrix::zeros(0, 0),
            DVector::zeros(0),
        )
    }

    #[test]
    fn the_sides_found_are_the_only_ones_of_all_that_fit() {
        for seed in 0..60 {
            let mut next = noise(seed);
            let n = 7;
            let root = DMatrix::from_fn(n, n, |_, _| next());
            let matrix = &root * root.transpose() + DMatrix::identity(n, n) * 0.01;
            let at_rest = DVector::from_fn(n, |_, _| next());
            let none = nothing(n);
            let places = still(&matrix, &at_rest, &none);
            let (found, _) = solve(&places, &[]).unwrap();
            let fitting: Vec<DVector<f64>> = (0..1_u32 << n)
                .filter_map(|mask| {
                    let pressing: Vec<bool> = (0..n).map(|i| mask >> i & 1 == 1).collect();
                    let (pressure, _) = with_sides(&places, &pressing).unwrap();
                    let gap = &matrix * &pressure + &at_rest;
                    let fits = pressure.iter().all(|p| *p >= -1e-9)
                        && (0..n).all(|i| pressing[i] || gap[i] >= -1e-9);
                    fits.then_some(pressure)
                })
                .collect();
            assert!(!fitting.is_empty());
            for other in fitting {
                assert!(
                    (&other - &found).amax() < 1e-6 * (1.0 + found.amax()),
                    "seed {seed}"
                );
            }
        }
    }

    #[test]
    fn a_seesaw_hardly_held_by_anything_is_shared_by_the_lever_rule() {
        // Two legs at 1 and 3 under a load at 1.5; motions: rise and tilt, held ten million times weaker.
        let flexible = DMatrix::identity(2, 2);
        let lift = DMatrix::from_row_slice(2, 2, &[1.0, 1.0, 1.0, 3.0]);
        let resistance = DMatrix::identity(2, 2) * 1e-7;
        let push = DVector::from_vec(vec![-4.0, -6.0]);
        let at_rest = DVector::zeros(2);
        let places = Places {
            flexible: &flexible,
            at_rest: &at_rest,
            lift: &lift,
            resistance: &resistance,
            push: &push,
        };
        let (pressure, _) = solve(&places, &[]).unwrap();
        assert!(
            (pressure[0] - 3.0).abs() < 1e-5 && (pressure[1] - 1.0).abs() < 1e-5,
            "{pressure}"
        );
    }

    #[test]
    fn a_large_badly_scaled_problem_ends_with_both_conditions_kept() {
        let mut next = noise(5);
        let n = 150;
        let root = DMatrix::from_fn(n, 20, |_, _| next());
        let matrix = &root * root.transpose() * 1e4 + DMatrix::identity(n, n) * 0.1;
        let at_rest = DVector::from_fn(n, |_, _| next());
        let none = nothing(n);
        let (found, _) = solve(&still(&matrix, &at_rest, &none), &[]).unwrap();
        let gap = &matrix * &found + &at_rest;
        for i in 0..n {
            assert!(found[i] >= 0.0 && gap[i] > -1e-8 && found[i] * gap[i].abs() < 1e-7);
        }
    }
}
