//! Harmonic tangent of one item, and its condensation.

use crate::error::SolveError;
use nalgebra::SMatrix;

/// Largest number of harmonic unknowns of one item: nine nodes, or three with twelve modes and three multipliers.
pub const MAX_UNKNOWNS: usize = 27;
/// Largest number of condensed unknowns of one item: forces of both families of cords at three points.
pub const MAX_INNER: usize = 6;

/// Rows by unknown.
pub(super) type Square = SMatrix<f64, MAX_UNKNOWNS, MAX_UNKNOWNS>;

/// Tangent of one item, N/mm per radian; the first `n` rows and columns are used.
#[derive(Clone, Debug)]
pub struct LocalTangent {
    /// Number of unknowns.
    pub n: usize,
    pub(super) tangent: Square,
    /// d residual / d condensed unknowns; the transpose couples back.
    pub(super) coupling: SMatrix<f64, MAX_UNKNOWNS, MAX_INNER>,
    pub(super) inner: SMatrix<f64, MAX_INNER, MAX_INNER>,
}

impl Default for LocalTangent {
    fn default() -> Self {
        Self { n: 0, tangent: SMatrix::zeros(), coupling: SMatrix::zeros(), inner: SMatrix::zeros() }
    }
}

impl LocalTangent {
    /// Zeroes the tangent for an item with `n` unknowns.
    pub fn reset(&mut self, n: usize) {
        *self = Self { n, ..Self::default() };
    }

    /// Adds to the tangent.
    pub fn add(&mut self, row: usize, column: usize, value: f64) {
        self.tangent[(row, column)] += value;
    }

    /// Reads the tangent.
    pub fn at(&self, row: usize, column: usize) -> f64 {
        self.tangent[(row, column)]
    }

    /// Eliminates the first `m` condensed unknowns.
    ///
    /// # Errors
    /// [`SolveError::Singular`] where they have no stiffness.
    pub fn condense(&mut self, m: usize) -> Result<(), SolveError> {
        let mut inner = self.inner;
        // Those that the item does not have.
        (m..MAX_INNER).for_each(|k| inner[(k, k)] = 1.0);
        let inverse = inner.try_inverse().ok_or(SolveError::Singular)?;
        self.tangent -= self.coupling * inverse * self.coupling.transpose();
        Ok(())
    }
}
