//! Elimination of the pivots of one dense front.

use faer::dyn_stack::{MemBuffer, MemStack};
use faer::linalg::lu::partial_pivoting::factor::{lu_in_place, lu_in_place_scratch};
use faer::linalg::matmul::matmul;
use faer::linalg::triangular_solve::{solve_lower_triangular_in_place, solve_unit_lower_triangular_in_place};
use faer::{Accum, MatMut, MatRef, Par};

/// A front being eliminated: `lower` is (p + u) x p, `upper` p x u, `update` u x u, all by columns; the pivot block heads `lower`.
pub(super) struct Dense<'a> {
    pub(super) p: usize,
    pub(super) u: usize,
    pub(super) lower: &'a mut [f64],
    pub(super) upper: &'a mut [f64],
    pub(super) update: &'a mut [f64],
    /// Row of the pivot block that came to each place: row i of the factors was row `order[i]`.
    pub(super) order: &'a mut [usize],
}

impl Dense<'_> {
    /// LU with partial pivoting inside the pivot block; leaves L and U in place and the Schur complement in `update`.
    pub(super) fn eliminate(&mut self) {
        self.factorise();
        let (p, u, m) = (self.p, self.u, self.p + self.u);
        if u > 0 {
            let below = MatRef::from_column_major_slice_with_stride(&self.lower[p..], u, p, m);
            let right = MatRef::from_column_major_slice(self.upper, p, u);
            let schur = MatMut::from_column_major_slice_mut(self.update, u, u);
            matmul(schur, Accum::Add, below, right, -1.0, Par::Seq);
        }
    }

    fn factorise(&mut self) {
        let (p, u, m) = (self.p, self.u, self.p + self.u);
        let panel = MatMut::from_column_major_slice_mut(self.lower, m, p);
        let (mut pivot, below) = panel.split_at_row_mut(p);
        let mut inverse = vec![0; p];
        let mut memory = MemBuffer::new(lu_in_place_scratch::<usize, f64>(p, p, Par::Seq, Default::default()));
        lu_in_place(pivot.as_mut(), self.order, &mut inverse, Par::Seq, MemStack::new(&mut memory), Default::default());
        if u == 0 {
            return;
        }
        // X U = B as U^T X^T = B^T.
        solve_lower_triangular_in_place(pivot.as_ref().transpose(), below.transpose_mut(), Par::Seq);
        let mut moved = vec![0.0; p];
        for column in self.upper.chunks_exact_mut(p) {
            for (value, from) in moved.iter_mut().zip(&*self.order) {
                *value = column[*from];
            }
            column.copy_from_slice(&moved);
        }
        let right = MatMut::from_column_major_slice_mut(self.upper, p, u);
        solve_unit_lower_triangular_in_place(pivot.as_ref(), right, Par::Seq);
    }
}
