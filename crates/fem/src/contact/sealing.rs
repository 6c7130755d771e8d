//! How far gas creeps into a contact.
//!
//! The points of a contact are numbered from the gas side. Gas wets every point up to the seal: the first point that presses
//! harder than the gas. Where no point does, the joint leaks; gas is then taken to the point that presses hardest.

use super::unilateral::{Contact, POINTS};
use crate::state::State;

/// A wetted point must press this much harder than the gas to seal again, so that points do not flicker.
const RESEAL: f64 = 1.02;

/// State of the seal.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Seal {
    /// Number of points wetted.
    pub wetted: usize,
    /// Whether no point presses harder than the gas.
    pub leaks: bool,
    /// Largest contact pressure of the dry points, MPa.
    pub peak: f64,
}

/// Total normal pressure on each point, MPa: what the contact transmits plus the gas where wetted.
pub fn contact_pressure(contact: &Contact, state: &State, gas: f64) -> Vec<f64> {
    total(&transmitted(contact, state, gas), state, gas)
}

fn total(own: &[f64], state: &State, gas: f64) -> Vec<f64> {
    own.iter().zip(&state.contact).map(|(own, point)| own + if point.wetted { gas } else { 0.0 }).collect()
}

/// Pressure that the contact transmits at each point, MPa.
fn transmitted(contact: &Contact, state: &State, gas: f64) -> Vec<f64> {
    let at_edge = |edge: usize| {
        let far = contact.is_far(edge, &contact.edge_positions(edge, state), state);
        let at_point = move |q: usize| if far { 0.0 } else { contact.status(POINTS * edge + q, state, gas).normal };
        (0..POINTS).map(at_point)
    };
    (0..contact.n_points() / POINTS).flat_map(at_edge).collect()
}

/// Where the seal lies at a state.
pub fn seal(contact: &Contact, state: &State, gas: f64) -> Seal {
    let own = transmitted(contact, state, gas);
    let pressure = total(&own, state, gas);
    let holds = |i: &usize| pressure[*i] > gas * if state.contact[*i].wetted { RESEAL } else { 1.0 };
    let first = (0..pressure.len()).find(holds);
    // A leaking joint keeps what is wetted: letting it dry would move the seal to and fro.
    let reached = first.unwrap_or_else(|| hardest(&own).max(wetted(state)));
    let peak = pressure[reached..].iter().copied().fold(0.0, f64::max);
    Seal { wetted: reached, leaks: gas > 0.0 && first.is_none(), peak }
}

/// The point that transmits most; the first if none transmits anything.
fn hardest(pressure: &[f64]) -> usize {
    let mut best = 0;
    for (i, p) in pressure.iter().enumerate() {
        if *p > pressure[best] {
            best = i;
        }
    }
    best
}

/// Number of points wetted at a state.
pub fn wetted(state: &State) -> usize {
    state.contact.iter().filter(|c| c.wetted).count()
}

/// Wets the first points and dries the others. The total pressure on a point that turns from wetted to dry or back stays, as it is what
/// the multipliers hold.
pub fn wet(state: &mut State, points: usize) {
    state.contact.iter_mut().enumerate().for_each(|(i, point)| point.wetted = i < points);
}

/// Number of points that gas should reach at a state.
pub fn reach(contact: &Contact, state: &State, gas: f64) -> usize {
    if gas > 0.0 { seal(contact, state, gas).wetted } else { 0 }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::super::reduced_basis::ReducedBasis;
    use super::super::unilateral::Parameters;
    use super::super::unilateral::tests::floor_and_wall;
    use super::*;
    use crate::mesh::Mesh;

    const GAS: f64 = 0.6;

    /// An edge that lies on a floor, pressed by `pressure` times that of the gas all along, its first points wetted.
    fn sealed(pressure: f64, wetted: usize) -> Seal {
        let profile = floor_and_wall();
        let mesh = Mesh { nodes: vec![[300.0, 2.0], [300.0, 4.0], [300.0, 3.0]], quads: vec![] };
        let parameters = Parameters { penalty: 100.0, tangential_penalty: 10.0, friction: 0.0 };
        let basis = ReducedBasis::rigid(&profile, 6);
        let contact = Contact::new(&mesh, &[[0, 1, 2]], profile, parameters, basis);
        let mut state = State { u: vec![0.0; contact.unknowns().end], ..State::default() };
        contact.begin(&mut state);
        state.u[contact.unknowns()].fill(pressure * GAS / parameters.penalty);
        wet(&mut state, wetted);
        seal(&contact, &state, GAS)
    }

    #[test]
    fn a_wetted_point_seals_again_only_where_it_presses_clearly_harder_than_the_gas() {
        assert_eq!(sealed(1.01, 2).wetted, 2, "the first dry point holds, the wetted ones before it not yet");
        assert_eq!(sealed(1.03, 2).wetted, 0);
        let dry = sealed(1.01, 0);
        assert_eq!((dry.wetted, dry.leaks), (0, false));
        assert!((dry.peak - 1.01 * GAS).abs() < 1e-12);
    }

    #[test]
    fn a_leaking_joint_keeps_what_is_wetted() {
        for wetted in [2, POINTS - 1] {
            let seal = sealed(0.0, wetted);
            assert_eq!((seal.wetted, seal.leaks), (wetted, true), "nothing presses");
        }
        let seal = sealed(0.9, 1);
        assert_eq!((seal.wetted, seal.leaks), (1, true), "dry points press by less than the gas");
    }
}
