//! Answer of a body to a load while some functionals of its displacements are held at zero: what they are held with is what the load does to
//! whatever holds them.
//!
//! With the springs of [`Response`], K' = K + E s E^T, forces l on the functionals B and g on the springs' displacements:
//! K' u = f + B l + E g, where g = s E^T u gives back what the springs take, and B^T u = 0. So
//! u = K'^-1 (f + B l + E g), and l and g follow from B^T u = 0 and E^T u - g / s = 0.

use super::{DMatrix, Response};
use crate::error::SolveError;
use crate::newton::{Functional, functional};
use nalgebra::DVector;

/// Share of the largest singular value below which the smallest means that what is held does not hold the body.
const LOOSE: f64 = 1e-12;

/// A body under a unit generalised force for each radian.
#[derive(Clone, Debug, PartialEq)]
pub struct Blocked {
    /// Harmonic unknowns, mm/N.
    pub displacement: Vec<f64>,
    /// Generalised forces for each radian on the functionals that keep them at zero.
    pub holding: Vec<f64>,
}

impl Response<'_> {
    /// Displacements under a unit generalised force on the functional `load` while the functionals `held` stay zero.
    ///
    /// # Errors
    /// [`SolveError::Singular`] where functionals are held twice or do not hold the body, [`SolveError::Inaccurate`].
    pub fn blocked(&mut self, held: &[Functional], load: &Functional) -> Result<Blocked, SolveError> {
        let free = |f: &Functional| f.iter().copied().filter(|(unknown, _)| !self.held[*unknown]).collect::<Functional>();
        let functionals: Vec<Functional> = held.iter().chain([load]).map(free).collect();
        let mut responses = self.solve(&functionals, false)?;
        let mut displacement = responses.pop().ok_or(SolveError::Singular)?;
        let springs = self.springs.iter().map(|(unknown, _)| vec![(*unknown, 1.0)]);
        let rows: Vec<Functional> = functionals[..held.len()].iter().cloned().chain(springs).collect();
        let columns: Vec<&Vec<f64>> = responses.iter().chain(&self.by_spring).collect();
        let m = held.len();
        // Springs' forces over the roots of their stiffnesses: their part of the matrix is about one.
        let scale: Vec<f64> = (0..rows.len()).map(|i| if i < m { 1.0 } else { self.springs[i - m].1.sqrt() }).collect();
        let own = |i: usize, j: usize| if i == j && i >= m { 1.0 } else { 0.0 };
        let matrix =
            DMatrix::from_fn(rows.len(), rows.len(), |i, j| scale[i] * functional(&rows[i], columns[j]) * scale[j] - own(i, j));
        let loaded = DVector::from_fn(rows.len(), |i, _| -scale[i] * functional(&rows[i], &displacement));
        let sizes = matrix.singular_values();
        if sizes.min() < LOOSE * sizes.max() {
            return Err(SolveError::Singular);
        }
        let forces = matrix.lu().solve(&loaded).ok_or(SolveError::Singular)?;
        for ((force, scale), column) in forces.iter().zip(&scale).zip(columns) {
            displacement.iter_mut().zip(column).for_each(|(u, by)| *u += force * scale * by);
        }
        Ok(Blocked { displacement, holding: forces.iter().take(m).copied().collect() })
    }
}
