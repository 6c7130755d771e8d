//! Gas pressure on the part of a radially moving profile that lies between the mirror plane and a node's axial position.
//!
//! Force on the profile's radial unknown: -p int_0^z 2 pi (r + u) dz.

use super::{Contribution, LocalSystem};
use crate::contact::profile::Profile;
use crate::error::SolveError;
use crate::state::{Load, State};
use std::f64::consts::PI;

/// The bed between the tyre's two toes.
#[derive(Clone, Debug)]
pub struct BedPressure {
    /// The profile, starting at z = 0.
    pub profile: Profile,
    /// Its radial unknown.
    pub dof: usize,
    /// The node up to whose axial position the gas acts, and its reference z, mm.
    pub node: usize,
    /// Reference axial position of the node, mm.
    pub reference: f64,
}

impl BedPressure {
    /// Axial extent z, mm, and int r dz over the displaced profile, mm^2.
    pub fn extent(&self, state: &State) -> (f64, f64) {
        let z = self.reference + state.u[2 * self.node + 1];
        (z, self.profile.moment(z).0 + state.u[self.dof] * z)
    }
}

impl Contribution for BedPressure {
    fn name(&self) -> &'static str {
        "bed pressure"
    }

    fn n_items(&self) -> usize {
        1
    }

    fn dofs(&self, _item: usize, out: &mut Vec<usize>) {
        out.extend([self.dof, 2 * self.node + 1]);
    }

    fn evaluate(
        &self,
        _item: usize,
        state: &State,
        _internal: &[f64],
        load: &Load,
        out: &mut LocalSystem,
    ) -> Result<(), SolveError> {
        let (z, moment) = self.extent(state);
        let radius = self.profile.moment(z).1 + state.u[self.dof];
        out.by_pressure[0] = 2.0 * PI * moment;
        out.residual[0] = load.pressure * out.by_pressure[0];
        out.add(0, 0, 2.0 * PI * load.pressure * z);
        out.add(0, 1, 2.0 * PI * load.pressure * radius);
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use crate::contact::profile::Corner;

    #[test]
    fn tangent_agrees_with_differences() {
        let corner = |r: f64, z: f64| Corner { position: [r, z], radius: 0.5, label: 0, fillet_label: 0 };
        let profile = Profile::new(&[corner(300.0, 0.0), corner(300.0, 5.0), corner(303.0, 8.0), corner(303.0, 12.0)]).unwrap();
        let bed = BedPressure { profile, dof: 2, node: 0, reference: 6.5 };
        let state = State { u: vec![0.0, 0.2, -0.1], ..State::default() };
        crate::contribution::tests::check_tangent(&bed, &state, &Load { pressure: 0.6, ..Load::default() });
    }
}
