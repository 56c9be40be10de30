//! Factors the equations and solves them for many loads at once.
//!
//! Leaves where entries come from to [`pattern`](crate::pattern). The factorisation is supernodal Cholesky of
//! a sparse library, one thread. One surprise: the library's high-level entry would permute and copy the
//! matrix; its parts are called instead, since the equations are already in the order of elimination.

use faer::dyn_stack::{MemBuffer, MemStack, StackReq};
use faer::linalg::cholesky::llt::factor::{LltError, LltRegularization};
use faer::sparse::linalg::SymbolicSupernodalParams;
use faer::sparse::linalg::cholesky::{simplicial, supernodal};
use faer::sparse::{SparseColMatRef, SymbolicSparseColMatRef};
use faer::{Conj, MatMut, Par};
use rayon::prelude::*;

use crate::FemError;
use crate::pattern::{Matrix, Pattern};

/// Supernodes of up to so many columns are joined while their share of zeros stays below the second number
/// (own judgement, from timing shell matrices of 30,000 to 200,000 unknowns).
const JOIN: [(usize, f64); 4] = [(8, 1.0), (32, 0.5), (96, 0.15), (usize::MAX, 0.08)];
/// Loads are solved in blocks of so many, which keeps the factor's one passage per block in step with memory.
const BLOCK: usize = 16;

/// What is known of the factor before its numbers.
#[derive(Debug)]
pub struct Plan {
    symbolic: supernodal::SymbolicSupernodalCholesky<usize>,
}

/// A factor of a matrix.
#[derive(Debug)]
pub struct Factor {
    values: Vec<f64>,
}

fn memory<E>(_: E) -> FemError {
    FemError::Memory
}

impl Plan {
    /// # Errors
    /// No memory left.
    pub fn of(pattern: &Pattern) -> Result<Self, FemError> {
        let n = pattern.equations();
        let (start, rows) = pattern.lower();
        // The library reads the upper triangle by columns here: the lower one by rows.
        let mut upper_start = vec![0_usize; n + 1];
        for &row in rows {
            upper_start[row + 1] += 1;
        }
        for row in 0..n {
            upper_start[row + 1] += upper_start[row];
        }
        let mut next = upper_start.clone();
        let mut upper_rows = vec![0_usize; rows.len()];
        for column in 0..n {
            for &row in &rows[start[column]..start[column + 1]] {
                upper_rows[next[row]] = column;
                next[row] += 1;
            }
        }
        let upper = SymbolicSparseColMatRef::new_checked(n, n, &upper_start, None, &upper_rows);
        let request = StackReq::any_of(&[
            simplicial::prefactorize_symbolic_cholesky_scratch::<usize>(n, rows.len()),
            supernodal::factorize_supernodal_symbolic_cholesky_scratch::<usize>(n),
        ]);
        let mut buffer = MemBuffer::try_new(request).map_err(memory)?;
        let stack = MemStack::new(&mut buffer);
        let mut tree = vec![0_isize; n];
        let mut counts = vec![0_usize; n];
        let tree = simplicial::prefactorize_symbolic_cholesky::<usize>(
            &mut tree,
            &mut counts,
            upper,
            stack,
        );
        let symbolic = supernodal::factorize_supernodal_symbolic_cholesky(
            upper,
            tree,
            &counts,
            stack,
            SymbolicSupernodalParams { relax: Some(&JOIN) },
        )
        .map_err(memory)?;
        Ok(Self { symbolic })
    }

    /// Numbers kept in the factor, zeros of joined supernodes included.
    #[must_use]
    pub fn entries(&self) -> usize {
        self.symbolic.len_val()
    }

    /// # Errors
    /// A structure that can move freely, or no memory left.
    pub fn factor(&self, pattern: &Pattern, matrix: &Matrix) -> Result<Factor, FemError> {
        // Asked for to learn whether there is so much; then taken as zeros, which costs no pass over it.
        let length = self.symbolic.len_val();
        Vec::<f64>::new()
            .try_reserve_exact(length)
            .map_err(memory)?;
        let mut factor = Factor {
            values: vec![0.0; length],
        };
        self.factor_again(pattern, matrix, &mut factor)?;
        Ok(factor)
    }

    /// Factors new numbers of the same pattern into an earlier factor's memory.
    ///
    /// # Errors
    /// As [`Plan::factor`].
    pub fn factor_again(
        &self,
        pattern: &Pattern,
        matrix: &Matrix,
        factor: &mut Factor,
    ) -> Result<(), FemError> {
        let n = pattern.equations();
        if matrix.values.len() != pattern.entries() || self.symbolic.nrows() != n {
            return Err(FemError::PatternChanged);
        }
        factor.values.resize(self.symbolic.len_val(), 0.0);
        let (start, rows) = pattern.lower();
        let lower = SymbolicSparseColMatRef::new_checked(n, n, start, None, rows);
        let request = supernodal::factorize_supernodal_numeric_llt_scratch::<usize, f64>(
            &self.symbolic,
            Par::Seq,
            Default::default(),
        );
        let mut buffer = MemBuffer::try_new(request).map_err(memory)?;
        supernodal::factorize_supernodal_numeric_llt(
            &mut factor.values,
            SparseColMatRef::new(lower, &matrix.values),
            LltRegularization::default(),
            &self.symbolic,
            Par::Seq,
            MemStack::new(&mut buffer),
            Default::default(),
        )
        .map_err(|LltError::NonPositivePivot { index }| mechanism(pattern, index))?;
        Ok(())
    }

    pub(crate) fn lower<'a>(
        &'a self,
        factor: &'a Factor,
    ) -> supernodal::SupernodalLltRef<'a, usize, f64> {
        supernodal::SupernodalLltRef::new(&self.symbolic, &factor.values)
    }

    /// The smallest pivot over the largest diagonal entry that went into it: near round-off, the structure
    /// is nearly free to move.
    #[must_use]
    pub fn smallest_pivot(
        &self,
        pattern: &Pattern,
        matrix: &Matrix,
        factor: &Factor,
    ) -> (f64, usize) {
        let llt = self.lower(factor);
        let mut least = (f64::INFINITY, 0);
        for s in 0..self.symbolic.n_supernodes() {
            let node = llt.supernode(s);
            let block = node.val();
            for j in 0..block.ncols() {
                let equation = node.start() + j;
                let diagonal = matrix.values[pattern.column_start[equation]];
                let ratio = block[(j, j)] * block[(j, j)] / diagonal;
                if ratio < least.0 {
                    least = (ratio, equation);
                }
            }
        }
        least
    }

    /// Solves for the columns of `sides` (each as long as there are equations), in place.
    ///
    /// # Errors
    /// No memory left.
    pub fn solve(&self, factor: &Factor, sides: &mut [f64]) -> Result<(), FemError> {
        self.passes(factor, sides, true)
    }

    /// Half a solution: the columns come out as the inverse of the lower factor times them, so that products
    /// of two such columns are entries of the inverse matrix.
    ///
    /// # Errors
    /// No memory left.
    pub fn solve_lower(&self, factor: &Factor, sides: &mut [f64]) -> Result<(), FemError> {
        self.passes(factor, sides, false)
    }

    fn passes(&self, factor: &Factor, sides: &mut [f64], both: bool) -> Result<(), FemError> {
        let n = self.symbolic.nrows();
        let llt = self.lower(factor);
        // Blocks are the same however many threads there are.
        sides
            .par_chunks_mut(n.max(1) * BLOCK)
            .try_for_each(|block| {
                let columns = block.len() / n.max(1);
                let Some(block) = block.get_mut(..columns * n) else {
                    return Ok(());
                };
                let request = self
                    .symbolic
                    .solve_in_place_scratch::<f64>(columns, Par::Seq);
                let mut buffer = MemBuffer::try_new(request).map_err(memory)?;
                let sides = MatMut::from_column_major_slice_mut(block, n, columns);
                let stack = MemStack::new(&mut buffer);
                if both {
                    llt.solve_in_place_with_conj(Conj::No, sides, Par::Seq, stack);
                } else {
                    llt.l_solve_with_conj(Conj::No, sides, Par::Seq, stack);
                }
                Ok(())
            })
    }
}

pub(crate) fn mechanism(pattern: &Pattern, equation: usize) -> FemError {
    let nodes = pattern.nodes();
    for node in 0..nodes {
        for freedom in crate::Freedom::ALL {
            if pattern.equation(node, freedom.index()) == Some(equation) {
                return FemError::Mechanism {
                    node,
                    freedom: freedom.name(),
                };
            }
        }
    }
    FemError::PatternChanged
}
