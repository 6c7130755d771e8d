//! Responses of a factorised harmonic tangent, condensed to a few functionals.
//!
//! Without a hoop and without friction a membrane can have rigid motions that nothing holds (n = 1), so that its flexibility has no bound
//! while its condensed stiffness exists. The tangent K is therefore factorised with springs s on the displacements of one node (E), and
//! they are taken away again in the small: with K' = K + E s E^T, F' = B^T K'^-1 B and X = B^T K'^-1 E,
//! K^-1 gives F = F' + X (1/s - E^T K'^-1 E)^-1 X^T and S = F^-1 = S' - S' X (1/s - E^T K'^-1 E + X^T S' X)^-1 X^T S', S' = F'^-1
//! (Sherman, Morrison and Woodbury), which stays finite where K is singular. X on the right is that of the transposed system; both are
//! kept apart, as the tangent is not symmetric. A rigid motion that the functionals do not tell makes the last inverse singular together
//! with the S' X beside it: it has no part in S.

use super::{Component, HarmonicSystem, Numbering};
use crate::error::SolveError;
use crate::newton::{Functional, functional};
use nalgebra::DMatrix;

/// Right-hand sides solved for at once.
const AT_ONCE: usize = 4;

/// Stiffness over that of the springs below which a motion of their node counts as free.
const FREE: f64 = 1e-9;

/// A factorised harmonic tangent.
pub struct Response<'a> {
    system: &'a mut HarmonicSystem,
    /// Unknowns with a spring, and its stiffness.
    pub(super) springs: Vec<(usize, f64)>,
    /// Responses to a unit force on each of them.
    pub(super) by_spring: Vec<Vec<f64>>,
    pub(super) held: Vec<bool>,
}

impl<'a> Response<'a> {
    pub(super) fn new(system: &'a mut HarmonicSystem, held: &[bool]) -> Result<Self, SolveError> {
        let springs = add_springs(system, held)?;
        let mut response = Self { system, springs, by_spring: Vec::new(), held: held.to_vec() };
        let units: Vec<Functional> = response.springs.iter().map(|(unknown, _)| vec![(*unknown, 1.0)]).collect();
        response.by_spring = response.solve(&units, true)?;
        Ok(response)
    }

    /// Values of the functionals (rows) under a unit generalised force for each radian on each of them (columns), mm/N: the force is
    /// spread over the unknowns by the functional's own coefficients.
    ///
    /// # Errors
    /// [`SolveError::Singular`] where the body is not held, [`SolveError::Inaccurate`].
    pub fn flexibility(&mut self, functionals: &[Functional]) -> Result<DMatrix<f64>, SolveError> {
        let parts = self.parts(functionals)?;
        let size = 1.0 / self.springs[0].1;
        if parts.loose.singular_values().min() < FREE * size {
            return Err(SolveError::Singular);
        }
        let bound = parts.loose.try_inverse().ok_or(SolveError::Singular)?;
        Ok(parts.flexibility + parts.from_springs * bound * parts.to_springs)
    }

    /// Generalised forces for each radian (rows) that unit values of the functionals (columns) take while nothing else is loaded, N/mm:
    /// the inverse of the flexibility, which exists for a body that nothing else holds too.
    /// Over the radius it is the stiffness for each length of the circumference, N/mm^2. Along a path the sign of its determinant changes
    /// where the tangent becomes singular.
    ///
    /// # Errors
    /// [`SolveError::Singular`] where the functionals depend on each other or are held, [`SolveError::Inaccurate`].
    pub fn stiffness(&mut self, functionals: &[Functional]) -> Result<DMatrix<f64>, SolveError> {
        let parts = self.parts(functionals)?;
        let stiffness = parts.flexibility.try_inverse().ok_or(SolveError::Singular)?;
        let bound = parts.loose + &parts.to_springs * &stiffness * &parts.from_springs;
        let bound = bound.pseudo_inverse(FREE / self.springs[0].1).map_err(|_| SolveError::Singular)?;
        let taken = &stiffness * parts.from_springs * bound * parts.to_springs * &stiffness;
        Ok(stiffness - taken)
    }

    /// The pieces of the formulas above.
    fn parts(&mut self, functionals: &[Functional]) -> Result<Parts, SolveError> {
        let free = |f: &Functional| f.iter().copied().filter(|(unknown, _)| !self.held[*unknown]).collect::<Functional>();
        let functionals: Vec<Functional> = functionals.iter().map(free).collect();
        let responses = self.solve(&functionals, false)?;
        let (m, s) = (functionals.len(), self.springs.len());
        let by_unit = |i: usize, j: usize| self.by_spring[j][self.springs[i].0];
        let loose = |i: usize, j: usize| if i == j { 1.0 / self.springs[i].1 } else { 0.0 } - by_unit(i, j);
        Ok(Parts {
            flexibility: DMatrix::from_fn(m, m, |i, j| functional(&functionals[i], &responses[j])),
            from_springs: DMatrix::from_fn(m, s, |i, j| functional(&functionals[i], &self.by_spring[j])),
            to_springs: DMatrix::from_fn(s, m, |i, j| responses[j][self.springs[i].0]),
            loose: DMatrix::from_fn(s, s, loose),
        })
    }

    /// Displacements, with the springs, under unit forces on functionals; `afresh` factorises.
    pub(super) fn solve(&mut self, functionals: &[Functional], afresh: bool) -> Result<Vec<Vec<f64>>, SolveError> {
        let (system, mut responses, mut afresh) = (&mut *self.system, Vec::with_capacity(functionals.len()), afresh);
        for batch in functionals.chunks(AT_ONCE) {
            let mut loads: [Vec<f64>; AT_ONCE] = std::array::from_fn(|_| vec![0.0; system.matrix.cols()]);
            for (load, functional) in loads.iter_mut().zip(batch) {
                functional.iter().for_each(|(unknown, c)| load[*unknown] += c);
            }
            let solved = if afresh {
                system.factorisation.solve(&system.matrix, &loads, 0.0)?
            } else {
                system.factorisation.solve_again(&system.matrix, &loads)?
            };
            responses.extend(solved.into_iter().take(batch.len()));
            afresh = false;
        }
        Ok(responses)
    }
}

/// F', X, X of the transposed system, and 1/s - E^T K'^-1 E.
struct Parts {
    flexibility: DMatrix<f64>,
    from_springs: DMatrix<f64>,
    to_springs: DMatrix<f64>,
    loose: DMatrix<f64>,
}

/// Adds springs to the free displacements of the node whose radial stiffness is largest, as stiff as the node itself.
fn add_springs(system: &mut HarmonicSystem, held: &[bool]) -> Result<Vec<(usize, f64)>, SolveError> {
    let diagonal: Vec<f64> = (0..held.len()).map(|k| system.matrix.get(k, k).copied().unwrap_or(0.0)).collect();
    let components = [Component::Radial, Component::Circumferential, Component::Axial];
    let free = |node: usize| components.map(|c| Numbering::of(node, c)).into_iter().filter(|unknown| !held[*unknown]);
    let size = |node: &usize| free(*node).map(|unknown| diagonal[unknown].abs()).fold(0.0, f64::max);
    let best = (0..system.n_nodes()).max_by(|a, b| free(*a).count().cmp(&free(*b).count()).then(size(a).total_cmp(&size(b))));
    let node = best.ok_or(SolveError::Singular)?;
    let stiffness = size(&node);
    if stiffness <= 0.0 || !stiffness.is_finite() {
        return Err(SolveError::Singular);
    }
    let springs: Vec<(usize, f64)> = free(node).map(|unknown| (unknown, stiffness)).collect();
    for (unknown, stiffness) in &springs {
        if let Some(value) = system.matrix.get_mut(*unknown, *unknown) {
            *value += stiffness;
        }
    }
    Ok(springs)
}
