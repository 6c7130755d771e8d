//! Elimination of the pivots of one dense front.

use faer::dyn_stack::{MemBuffer, MemStack};
use faer::linalg::lu::partial_pivoting::factor::{lu_in_place, lu_in_place_scratch};
use faer::linalg::matmul::matmul;
use faer::linalg::triangular_solve::{solve_lower_triangular_in_place, solve_unit_lower_triangular_in_place};
use faer::{Accum, MatMut, MatRef, Par};

/// Up to so many pivots plain loops are faster than the library's blocked kernels.
const SMALL: usize = 12;

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
        if self.p <= SMALL {
            self.factorise_small();
        } else {
            self.factorise_blocked();
        }
        let (p, u, m) = (self.p, self.u, self.p + self.u);
        if u > 0 {
            let below = MatRef::from_column_major_slice_with_stride(&self.lower[p..], u, p, m);
            let right = MatRef::from_column_major_slice(self.upper, p, u);
            let schur = MatMut::from_column_major_slice_mut(self.update, u, u);
            matmul(schur, Accum::Add, below, right, -1.0, Par::Seq);
        }
    }

    fn factorise_small(&mut self) {
        let (p, m) = (self.p, self.p + self.u);
        for (i, place) in self.order.iter_mut().enumerate() {
            *place = i;
        }
        for k in 0..p {
            let best = (k + 1..p).fold(k, |b, i| if self.lower[k * m + i].abs() > self.lower[k * m + b].abs() { i } else { b });
            if best != k {
                self.order.swap(k, best);
                (0..p).for_each(|j| self.lower.swap(j * m + k, j * m + best));
            }
            let (done, later) = self.lower.split_at_mut((k + 1) * m);
            let column = &mut done[k * m..];
            let inverse = 1.0 / column[k];
            column[k + 1..].iter_mut().for_each(|v| *v *= inverse);
            for next in later.chunks_exact_mut(m) {
                let factor = next[k];
                subtract(&mut next[k + 1..], &column[k + 1..], factor);
            }
        }
        let mut moved = [0.0; SMALL];
        for column in self.upper.chunks_exact_mut(p) {
            for (value, from) in moved.iter_mut().zip(&*self.order) {
                *value = column[*from];
            }
            column.copy_from_slice(&moved[..p]);
            for k in 0..p {
                let factor = column[k];
                subtract(&mut column[k + 1..], &self.lower[k * m + k + 1..k * m + p], factor);
            }
        }
    }

    fn factorise_blocked(&mut self) {
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

/// y -= factor x.
pub(super) fn subtract(y: &mut [f64], x: &[f64], factor: f64) {
    for (y, x) in y.iter_mut().zip(x) {
        *y -= factor * x;
    }
}
