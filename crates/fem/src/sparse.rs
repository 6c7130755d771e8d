//! The only file that names the factorisation of the linear-algebra crate.
//!
//! Supernodal LU with partial pivoting on a COLAMD ordering: robust on the unsymmetric, indefinite tangents of frictional
//! contact and follower loads. The symbolic part is kept as long as the pattern stays.

use crate::error::SolveError;
use faer::dyn_stack::{MemBuffer, MemStack};
use faer::sparse::linalg::SupernodalThreshold;
use faer::sparse::linalg::lu::{LuRef, LuSymbolicParams, NumericLu, SymbolicLu, factorize_symbolic_lu};
use faer::sparse::{SparseColMatRef, SymbolicSparseColMat};
use faer::{Conj, MatMut, Par};
use sprs::CsMat;

/// Largest backward error taken as a solution.
const ACCURACY: f64 = 1e-10;

/// Factorisation of a square matrix of fixed pattern.
pub struct Factorisation {
    pattern: SymbolicSparseColMat<usize>,
    symbolic: SymbolicLu<usize>,
    numeric: NumericLu<usize, f64>,
    memory: MemBuffer,
}

impl Factorisation {
    /// Analyses the pattern of a compressed-column matrix.
    ///
    /// # Errors
    /// [`SolveError::Singular`] when the pattern alone makes the matrix singular.
    pub fn new(matrix: &CsMat<f64>) -> Result<Self, SolveError> {
        let n = matrix.cols();
        let columns = matrix.indptr().raw_storage().to_vec();
        let pattern = SymbolicSparseColMat::new_checked(n, n, columns, None, matrix.indices().to_vec());
        let parameters = LuSymbolicParams {
            supernodal_flop_ratio_threshold: SupernodalThreshold::FORCE_SUPERNODAL,
            ..LuSymbolicParams::default()
        };
        let symbolic = factorize_symbolic_lu(pattern.as_ref(), parameters).map_err(|_| SolveError::Singular)?;
        let scratch = symbolic
            .factorize_numeric_lu_scratch::<f64>(Par::Seq, Default::default())
            .or(symbolic.solve_in_place_scratch::<f64>(2, Par::Seq));
        Ok(Self { pattern, symbolic, numeric: NumericLu::new(), memory: MemBuffer::new(scratch) })
    }

    /// Factorises `matrix` (of the analysed pattern) and solves for the right-hand sides in place, `n` rows each, refining once
    /// where the backward error asks for it.
    ///
    /// # Errors
    /// [`SolveError::Singular`] or [`SolveError::Inaccurate`].
    pub fn solve(&mut self, matrix: &CsMat<f64>, rhs: &mut [Vec<f64>]) -> Result<(), SolveError> {
        let a = SparseColMatRef::new(self.pattern.as_ref(), matrix.data());
        let stack = MemStack::new(&mut self.memory);
        let lu = self
            .symbolic
            .factorize_numeric_lu(&mut self.numeric, a, Par::Seq, stack, Default::default())
            .map_err(|_| SolveError::Singular)?;
        for b in rhs {
            let wanted = b.clone();
            substitute(lu, b, stack);
            if backward_error(matrix, b, &wanted).0 > 0.01 * ACCURACY {
                refine(lu, matrix, b, &wanted, stack);
            }
            let (error, _) = backward_error(matrix, b, &wanted);
            if error.is_nan() || error > ACCURACY {
                return Err(SolveError::Inaccurate { backward_error: error });
            }
        }
        Ok(())
    }
}

fn substitute(lu: LuRef<'_, usize, f64>, b: &mut [f64], stack: &mut MemStack) {
    let n = b.len();
    lu.solve_in_place_with_conj(Conj::No, MatMut::from_column_major_slice_mut(b, n, 1), Par::Seq, stack);
}

fn refine(lu: LuRef<'_, usize, f64>, matrix: &CsMat<f64>, x: &mut [f64], b: &[f64], stack: &mut MemStack) {
    let mut r = backward_error(matrix, x, b).1;
    substitute(lu, &mut r, stack);
    for (x, d) in x.iter_mut().zip(&r) {
        *x += d;
    }
}

/// |b - A x| / (|A| |x| + |b|) in infinity norms (Higham, Accuracy and Stability, theorem 7.1), and the residual b - A x.
fn backward_error(matrix: &CsMat<f64>, x: &[f64], b: &[f64]) -> (f64, Vec<f64>) {
    let mut r = b.to_vec();
    let mut size: Vec<f64> = b.iter().map(|v| v.abs()).collect();
    for (column, entries) in matrix.outer_iterator().enumerate() {
        for (row, value) in entries.iter() {
            r[row] -= value * x[column];
            size[row] += (value * x[column]).abs();
        }
    }
    let norm = |v: &[f64]| v.iter().fold(0.0_f64, |m, v| if v.is_nan() { f64::NAN } else { m.max(v.abs()) });
    let (num, den) = (norm(&r), norm(&size));
    (if den > 0.0 { num / den } else { num }, r)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use approx::assert_relative_eq;

    #[test]
    fn solves_an_unsymmetric_system_twice_with_one_analysis() {
        // [2 1 0; 0 0 3; 4 0 1], zero diagonal included.
        let mut matrix =
            CsMat::new_csc((3, 3), vec![0, 3, 5, 7], vec![0, 1, 2, 0, 1, 1, 2], vec![2.0, 0.0, 4.0, 1.0, 0.0, 3.0, 1.0]);
        let mut lu = Factorisation::new(&matrix).unwrap();
        let mut rhs = [vec![4.0, 9.0, 7.0], vec![1.0, 0.0, 0.0]];
        lu.solve(&matrix, &mut rhs).unwrap();
        for (x, wanted) in rhs[0].iter().zip([1.0, 2.0, 3.0]) {
            assert_relative_eq!(*x, wanted, max_relative = 1e-12);
        }
        matrix.data_mut()[3] = 2.0;
        let mut rhs = [vec![6.0, 9.0, 7.0]];
        lu.solve(&matrix, &mut rhs).unwrap();
        assert_relative_eq!(rhs[0][1], 2.0, max_relative = 1e-12);
    }

    #[test]
    fn a_singular_matrix_is_an_error_not_a_solution() {
        let matrix = CsMat::new_csc((2, 2), vec![0, 2, 4], vec![0, 1, 0, 1], vec![1.0, 2.0, 2.0, 4.0]);
        let mut lu = Factorisation::new(&matrix).unwrap();
        assert!(lu.solve(&matrix, &mut [vec![1.0, 1.0]]).is_err());
    }
}
