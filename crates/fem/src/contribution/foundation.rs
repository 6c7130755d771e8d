//! A linear spring on one unknown: a ring on its foundation moving radially.

use super::{Contribution, LocalSystem};
use crate::error::SolveError;
use crate::state::{Load, State};

/// Spring of stiffness k, N/mm over the whole circumference, on one unknown.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Foundation {
    /// The unknown.
    pub dof: usize,
    /// Stiffness, N/mm.
    pub stiffness: f64,
}

impl Contribution for Foundation {
    fn name(&self) -> &'static str {
        "foundation"
    }

    fn n_items(&self) -> usize {
        1
    }

    fn dofs(&self, _item: usize, out: &mut Vec<usize>) {
        out.push(self.dof);
    }

    fn evaluate(
        &self,
        _item: usize,
        state: &State,
        _internal: &[f64],
        _load: &Load,
        out: &mut LocalSystem,
    ) -> Result<(), SolveError> {
        out.residual[0] = self.stiffness * state.u[self.dof];
        out.add(0, 0, self.stiffness);
        Ok(())
    }
}
