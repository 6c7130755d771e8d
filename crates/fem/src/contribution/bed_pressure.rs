//! Gas pressure on the part of a carried profile that lies between the mirror plane and a node's axial position.
//!
//! The pressure acts on the profile at rest: its force on the mode phi_k is -p int phi_k . n 2 pi r ds, n towards the gas, up to the arc
//! length at which the profile first reaches the node's z.

use super::{Contribution, LocalSystem};
use crate::contact::carrier::Carrier;
use crate::contact::profile::Profile;
use crate::error::SolveError;
use crate::state::{Load, State};

/// Smallest axial part of the profile's tangent: where the profile stands straight up, a node that moves along it uncovers no more.
const STEEP: f64 = 1e-3;

/// The bed between the tyre's two toes.
#[derive(Clone, Debug)]
pub struct BedPressure {
    /// The profile, starting at z = 0.
    pub profile: Profile,
    /// How it is carried.
    pub carrier: Carrier,
    /// The node up to whose axial position the gas acts.
    pub node: usize,
    /// Reference axial position of the node, mm.
    pub reference: f64,
}

impl BedPressure {
    /// Axial extent, mm.
    pub fn extent(&self, state: &State) -> f64 {
        self.reference + state.u[2 * self.node + 1]
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
        out.extend(self.carrier.dofs());
        out.push(2 * self.node + 1);
    }

    fn evaluate(
        &self,
        _item: usize,
        state: &State,
        _internal: &[f64],
        load: &Load,
        out: &mut LocalSystem,
    ) -> Result<(), SolveError> {
        let end = self.profile.arc_at(self.extent(state));
        let (lifted, by_arc) = self.carrier.lifted(&self.profile, end);
        let steepness = self.profile.tangent(end)[1].max(STEEP);
        let n = self.carrier.n_modes();
        for k in 0..n {
            out.by_pressure[k] = lifted[k];
            out.residual[k] = load.pressure * lifted[k];
            if end < self.profile.length() {
                out.add(k, n, load.pressure * by_arc[k] / steepness);
            }
        }
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
        let carrier = Carrier::new(&profile, 2, &[&|_| [1.0, 0.0], &|s| [0.1 * s, 0.3]]);
        let bed = BedPressure { profile, carrier, node: 0, reference: 6.5 };
        let state = State { u: vec![0.0, 0.2, -0.1, 0.2], ..State::default() };
        crate::contribution::tests::check_tangent(&bed, &state, &Load { pressure: 0.6, ..Load::default() });
    }
}
