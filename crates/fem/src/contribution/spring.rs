//! A linear spring on one unknown: a ring on its foundation moving radially, or a temporary support that can be taken away.

use super::{Contribution, LocalSystem};
use crate::error::SolveError;
use crate::state::{Load, State};

/// Spring of stiffness k, N/mm over the whole circumference, on one unknown.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spring {
    /// The unknown.
    pub dof: usize,
    /// Stiffness, N/mm.
    pub stiffness: f64,
    /// Whether it acts with the load's share of support only.
    pub temporary: bool,
}

impl Spring {
    /// Force on the body, N.
    pub fn force(&self, state: &State, load: &Load) -> f64 {
        -self.acting(load) * state.u[self.dof]
    }

    pub(crate) fn acting(&self, load: &Load) -> f64 {
        self.stiffness * if self.temporary { load.support } else { 1.0 }
    }
}

impl Contribution for Spring {
    fn name(&self) -> &'static str {
        "spring"
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
        load: &Load,
        out: &mut LocalSystem,
    ) -> Result<(), SolveError> {
        out.residual[0] = -self.force(state, load);
        out.add(0, 0, self.acting(load));
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::float_cmp)]
    use super::*;

    #[test]
    fn tangent_agrees_with_differences_and_a_temporary_support_can_be_taken_away() {
        let state = State { u: vec![0.3], ..State::default() };
        for (temporary, load) in [(false, Load::default()), (true, Load { support: 0.4, ..Load::default() })] {
            super::super::tests::check_tangent(&Spring { dof: 0, stiffness: 7.0, temporary }, &state, &load);
        }
        let support = Spring { dof: 0, stiffness: 7.0, temporary: true };
        assert_eq!(support.force(&state, &Load::default()), 0.0);
        assert!((support.force(&state, &Load { support: 1.0, ..Load::default() }) + 2.1).abs() < 1e-12);
    }
}
