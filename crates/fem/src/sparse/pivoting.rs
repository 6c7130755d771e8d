//! Supernodal LU with partial pivoting over the whole matrix, on a column ordering of its own: slow and robust.

use crate::error::SolveError;
use faer::dyn_stack::{MemBuffer, MemStack};
use faer::sparse::linalg::SupernodalThreshold;
use faer::sparse::linalg::lu::{LuRef, LuSymbolicParams, NumericLu, SymbolicLu, factorize_symbolic_lu};
use faer::sparse::{SparseColMatRef, SymbolicSparseColMat};
use faer::{Conj, MatMut, Par};
use sprs::CsMat;

/// The factorisation; the symbolic part is kept.
pub(super) struct PivotingLu {
    pattern: SymbolicSparseColMat<usize>,
    symbolic: SymbolicLu<usize>,
    numeric: NumericLu<usize, f64>,
    memory: MemBuffer,
}

impl PivotingLu {
    /// Analyses the pattern of a compressed-column matrix.
    pub(super) fn new(matrix: &CsMat<f64>) -> Result<Self, SolveError> {
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
            .or(symbolic.solve_in_place_scratch::<f64>(1, Par::Seq));
        Ok(Self { pattern, symbolic, numeric: NumericLu::new(), memory: MemBuffer::new(scratch) })
    }

    /// Factorises a matrix of the analysed pattern.
    pub(super) fn factorise(&mut self, matrix: &CsMat<f64>) -> Result<(), SolveError> {
        let a = SparseColMatRef::new(self.pattern.as_ref(), matrix.data());
        let stack = MemStack::new(&mut self.memory);
        self.symbolic
            .factorize_numeric_lu(&mut self.numeric, a, Par::Seq, stack, Default::default())
            .map(|_| ())
            .map_err(|_| SolveError::Singular)
    }

    /// Solves in place with the last factorisation.
    pub(super) fn substitute(&mut self, rhs: &mut [f64]) {
        // `numeric` belongs to `symbolic`: `factorise` filled it.
        let lu = LuRef::new_unchecked(&self.symbolic, &self.numeric);
        let (n, stack) = (rhs.len(), MemStack::new(&mut self.memory));
        lu.solve_in_place_with_conj(Conj::No, MatMut::from_column_major_slice_mut(rhs, n, 1), Par::Seq, stack);
    }
}
