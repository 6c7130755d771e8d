//! Harmonic tangent of a spring on one unknown: spread evenly round the circumference.

use super::{Harmonic, LocalTangent, Wave};
use crate::contribution::spring::Spring;
use crate::error::SolveError;
use crate::state::{Load, State};
use std::f64::consts::PI;

impl Harmonic for Spring {
    fn tangent(
        &self,
        _item: usize,
        _state: &State,
        _internal: &[f64],
        load: &Load,
        _wave: &Wave,
        out: &mut LocalTangent,
    ) -> Result<(), SolveError> {
        out.add(0, 0, self.acting(load) / (2.0 * PI));
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::super::Friction;
    use super::super::trial::check_even;
    use super::*;

    #[test]
    fn a_spring_is_spread_evenly() {
        let state = State { u: vec![0.3; 2], ..State::default() };
        for dof in [0, 1] {
            let spring = Spring { dof, stiffness: 7.0, temporary: true };
            check_even(&spring, &state, &Load { support: 0.4, ..Load::default() }, Friction::Free);
        }
    }
}
