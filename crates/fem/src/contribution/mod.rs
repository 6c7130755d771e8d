//! One protocol for all that adds to residual and tangent.
//!
//! A contribution is a list of items (elements, edges, points). [`Contribution::evaluate`] adds one item's residual (internal
//! minus external force, N), its tangent and its derivative by the gas pressure to a [`LocalSystem`]. Contributions hold no
//! solution: the [`State`] is passed in.

mod blocks;
pub mod elastic;
pub mod hoop;
pub mod mixed;
pub mod ply;
pub mod pressure;
pub mod solid;
pub mod spring;
pub mod winkler;

use crate::error::SolveError;
use crate::state::{Load, State, Unknown};

/// Largest number of unknowns of one item.
pub const MAX_DOFS: usize = 21;
/// Largest number of condensed unknowns of one item.
pub const MAX_INTERNAL: usize = 3;

/// Residual and tangent of one item; the first `n` rows and columns are used.
#[derive(Clone, Debug)]
pub struct LocalSystem {
    /// Number of unknowns.
    pub n: usize,
    /// Whether only the residuals are wanted: what else is filled plays no part.
    pub residual_only: bool,
    /// Residual, N.
    pub residual: [f64; MAX_DOFS],
    /// Tangent by rows with stride [`MAX_DOFS`], N/mm.
    pub tangent: [f64; MAX_DOFS * MAX_DOFS],
    /// d residual / d gas pressure, N/MPa, or by the part of the load that [`Contribution::driven_by`] names.
    pub by_pressure: [f64; MAX_DOFS],
    /// Condensed unknowns, if the item has any.
    pub internal: Internal,
}

/// Rows and columns of the condensed unknowns q of one item: residual, d residual_u / dq, d residual_q / dq (symmetric).
#[derive(Clone, Debug, Default)]
pub struct Internal {
    /// Residual of the condensed unknowns.
    pub residual: [f64; MAX_INTERNAL],
    /// Coupling: row = unknown, column = condensed unknown; the transpose couples back.
    pub coupling: [[f64; MAX_INTERNAL]; MAX_DOFS],
    /// d residual_q / dq.
    pub tangent: [[f64; MAX_INTERNAL]; MAX_INTERNAL],
}

impl Default for LocalSystem {
    fn default() -> Self {
        Self {
            n: 0,
            residual_only: false,
            residual: [0.0; MAX_DOFS],
            tangent: [0.0; MAX_DOFS * MAX_DOFS],
            by_pressure: [0.0; MAX_DOFS],
            internal: Internal::default(),
        }
    }
}

impl LocalSystem {
    /// Zeroes the system for an item with `n` unknowns.
    pub fn reset(&mut self, n: usize) {
        self.n = n;
        self.residual = [0.0; MAX_DOFS];
        if !self.residual_only {
            self.tangent[..n * MAX_DOFS].fill(0.0);
            self.by_pressure = [0.0; MAX_DOFS];
        }
    }

    /// Adds to the tangent.
    pub fn add(&mut self, row: usize, column: usize, value: f64) {
        self.tangent[row * MAX_DOFS + column] += value;
    }

    /// Reads the tangent.
    pub fn at(&self, row: usize, column: usize) -> f64 {
        self.tangent[row * MAX_DOFS + column]
    }
}

/// Anything that adds to residual and tangent.
pub trait Contribution: Send + Sync {
    /// Name for messages.
    fn name(&self) -> &'static str;

    /// Number of items.
    fn n_items(&self) -> usize;

    /// Appends the global unknowns of an item in local order.
    fn dofs(&self, item: usize, out: &mut Vec<usize>);

    /// Appends the unknowns that have no stiffness of their own (multipliers), each with one that it must be eliminated with.
    fn multipliers(&self, _out: &mut Vec<(usize, usize)>) {}

    /// The part of the load that [`LocalSystem::by_pressure`] is the derivative by.
    fn driven_by(&self) -> Unknown {
        Unknown::Pressure
    }

    /// Number of condensed unknowns of each item.
    fn n_internal(&self) -> usize {
        0
    }

    /// Fills `out` (already reset) with one item's residual and tangent. `internal` are its condensed unknowns.
    ///
    /// # Errors
    /// [`SolveError::Inverted`] when the deformation of the item is not invertible.
    fn evaluate(
        &self,
        item: usize,
        state: &State,
        internal: &[f64],
        load: &Load,
        out: &mut LocalSystem,
    ) -> Result<(), SolveError>;
}

/// Helpers for the tests of contributions.
#[cfg(test)]
pub(crate) mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use approx::assert_relative_eq;

    /// Residual and tangent of one item.
    pub(crate) fn local(c: &dyn Contribution, item: usize, state: &State, internal: &[f64], load: &Load) -> LocalSystem {
        let mut dofs = Vec::new();
        c.dofs(item, &mut dofs);
        let mut out = LocalSystem::default();
        out.reset(dofs.len());
        c.evaluate(item, state, internal, load, &mut out).unwrap();
        out
    }

    /// Compares the tangent, the pressure derivative and the condensed blocks of every item with central differences,
    /// to 1e-6 of the largest entry.
    pub(crate) fn check_tangent(c: &dyn Contribution, state: &State, load: &Load) {
        for item in 0..c.n_items() {
            let q = &state.internal[item * c.n_internal()..(item + 1) * c.n_internal()];
            let base = local(c, item, state, q, load);
            let mut dofs = Vec::new();
            c.dofs(item, &mut dofs);
            check_columns(c, item, state, load, &base, &dofs, q);
            check_internal(c, item, state, load, &base, q);
            let h = 1e-5;
            let by = Load { unknown: c.driven_by(), ..*load };
            let shifted = |sign: f64| local(c, item, state, q, &by.driven_to(by.driving() + sign * h));
            let (plus, minus) = (shifted(1.0), shifted(-1.0));
            let scale = base.by_pressure.iter().fold(1e-12_f64, |m, v| m.max(v.abs()));
            for i in 0..base.n {
                assert_relative_eq!(
                    base.by_pressure[i],
                    (plus.residual[i] - minus.residual[i]) / (2.0 * h),
                    epsilon = 1e-6 * scale
                );
            }
        }
    }

    fn check_columns(
        c: &dyn Contribution,
        item: usize,
        state: &State,
        load: &Load,
        base: &LocalSystem,
        dofs: &[usize],
        q: &[f64],
    ) {
        let scale = base.tangent.iter().fold(1e-12_f64, |m, v| m.max(v.abs()));
        let h = 1e-6;
        for (j, dof) in dofs.iter().enumerate() {
            let shifted = |sign: f64| {
                let mut s = state.clone();
                s.u[*dof] += sign * h;
                local(c, item, &s, q, load)
            };
            let (plus, minus) = (shifted(1.0), shifted(-1.0));
            for i in 0..base.n {
                let difference = (plus.residual[i] - minus.residual[i]) / (2.0 * h);
                assert_relative_eq!(base.at(i, j), difference, epsilon = 1e-6 * scale);
            }
            for k in 0..q.len() {
                let difference = (plus.internal.residual[k] - minus.internal.residual[k]) / (2.0 * h);
                assert_relative_eq!(base.internal.coupling[j][k], difference, epsilon = 1e-5 * coupling_scale(base));
            }
        }
    }

    fn coupling_scale(base: &LocalSystem) -> f64 {
        base.internal.coupling.iter().flatten().fold(1e-12_f64, |m, v| m.max(v.abs()))
    }

    fn check_internal(c: &dyn Contribution, item: usize, state: &State, load: &Load, base: &LocalSystem, q: &[f64]) {
        for k in 0..q.len() {
            let h = 1e-4;
            let shifted = |sign: f64| {
                let mut p = q.to_vec();
                p[k] += sign * h;
                local(c, item, state, &p, load)
            };
            let (plus, minus) = (shifted(1.0), shifted(-1.0));
            for i in 0..base.n {
                let difference = (plus.residual[i] - minus.residual[i]) / (2.0 * h);
                assert_relative_eq!(base.internal.coupling[i][k], difference, epsilon = 1e-6 * coupling_scale(base));
            }
            for l in 0..q.len() {
                let difference = (plus.internal.residual[l] - minus.internal.residual[l]) / (2.0 * h);
                let scale = base.internal.tangent.iter().flatten().fold(1e-12_f64, |m, v| m.max(v.abs()));
                assert_relative_eq!(base.internal.tangent[l][k], difference, epsilon = 1e-6 * scale);
            }
        }
    }

    /// A distorted element near r = 10 with a mesh of one quad and a deformed state of nine nodes.
    pub(crate) fn distorted() -> (crate::mesh::Mesh, State) {
        let nodes =
            crate::element::quad9::NODES.map(|(xi, eta)| [10.0 + xi + 0.1 * eta * eta, 1.2 * eta + 0.15 * xi * eta]).to_vec();
        let mesh = crate::mesh::Mesh { nodes, quads: vec![[0, 1, 2, 3, 4, 5, 6, 7, 8]] };
        let u = (0..18).map(|i| 0.05 * f64::from(i * 7 % 5) - 0.08).collect();
        (mesh, State { u, ..State::default() })
    }
}
