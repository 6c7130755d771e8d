//! The harmonic tangent at one equilibrium for many numbers of waves.
//!
//! Strains are straight in n, so every tangent is a parabola in n, and so is what is left when unknowns with a constant stiffness are
//! condensed. Three assemblies give it for all n.

use super::{HarmonicSystem, Middle, Response, Setting};
use crate::error::SolveError;
use crate::state::{Load, State};

/// A system at one equilibrium.
pub struct Waves<'a> {
    system: &'a mut HarmonicSystem,
    /// Matrix values are those of the first, plus n times the second, plus n^2 times the third.
    coefficients: [Vec<f64>; 3],
}

impl<'a> Waves<'a> {
    /// Assembles the tangent at an equilibrium; the setting's own n and mirror plane play no part.
    pub(super) fn new(system: &'a mut HarmonicSystem, state: &State, load: &Load, setting: &Setting) -> Result<Self, SolveError> {
        let mut values = |n: usize| Ok(system.assemble(state, load, &Setting { n, ..setting.clone() })?.data().to_vec());
        let (zero, mut first, mut second) = (values(0)?, values(1)?, values(2)?);
        for ((a, b), c) in zero.iter().zip(&mut first).zip(&mut second) {
            (*b, *c) = (2.0 * *b - 1.5 * a - 0.5 * *c, 0.5 * (a + *c) - *b);
        }
        Ok(Self { system, coefficients: [zero, first, second] })
    }

    /// Factorises the tangent for a number of waves.
    ///
    /// # Errors
    /// [`SolveError::Singular`] or [`SolveError::Inaccurate`].
    pub fn factorise(&mut self, n: usize, middle: Middle) -> Result<Response<'_>, SolveError> {
        let (order, [a, b, c]) = (n as f64, &self.coefficients);
        let values = self.system.matrix.data_mut().iter_mut();
        for (value, ((a, b), c)) in values.zip(a.iter().zip(b).zip(c)) {
            *value = a + order * (b + order * c);
        }
        self.system.hold_and_factorise(n, middle)
    }
}
