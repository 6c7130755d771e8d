//! Unilateral contact with Coulomb friction at boundary nodes, by the augmented Lagrangian method.
//!
//! Each node carries the reference area of its share of the boundary (Lobatto weights on quadratic edges, so a constant pressure
//! gives exactly the consistent nodal forces). With gap g, multiplier l and penalty e the normal traction is
//! t = max(0, l - e g); the tangential traction is the trial s = s0 - e_t (arc - arc0), returned to |s| <= mu t.
//! Augmentation (l <- t) drives the penetration under any bound. Where gas wets a node, the gas pressure acts as a follower load
//! and t is what the bodies press beyond it: the total normal traction is at least the gas pressure, as an open interface demands.
//! Sources: Simo and Laursen, Comput. Struct. 42 (1992) 97; Wriggers, Computational Contact Mechanics, chapter 6 (from memory).

use super::profile::{Foot, Profile};
use crate::contribution::{Contribution, LocalSystem, MAX_DOFS};
use crate::error::SolveError;
use crate::mesh::{Mesh, line_point};
use crate::quadrature::LOBATTO_3;
use crate::state::{ContactPoint, Load, State};
use std::f64::consts::PI;

/// Boundary nodes that may touch a profile.
#[derive(Clone, Debug)]
pub struct Contact {
    nodes: Vec<usize>,
    edges: Vec<[usize; 3]>,
    reference: Vec<[f64; 2]>,
    area: Vec<f64>,
    profile: Profile,
    parameters: Parameters,
    profile_dof: Option<usize>,
}

/// Contact parameters.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Parameters {
    /// Normal penalty, MPa/mm.
    pub penalty: f64,
    /// Tangential penalty, MPa/mm.
    pub tangential_penalty: f64,
    /// Coulomb friction coefficient.
    pub friction: f64,
}

/// What happens at one contact point.
#[derive(Clone, Copy, Debug)]
pub struct Status {
    /// Foot on the profile.
    pub foot: Foot,
    /// Normal traction of the contact (beyond the gas where wetted), MPa on the reference area.
    pub normal: f64,
    /// Tangential traction on the body along the profile, MPa on the reference area.
    pub tangential: f64,
    /// Whether the point slips.
    pub slips: bool,
}

impl Contact {
    /// Contact of the quadratic `edges` (first, last, mid node), given in order along the boundary, with `profile`.
    ///
    /// Points are numbered along the boundary: edge i has the points 2 i (first), 2 i + 1 (mid), 2 i + 2 (last).
    /// `profile_dof` is the unknown that moves the profile radially.
    pub fn new(mesh: &Mesh, edges: &[[usize; 3]], profile: Profile, parameters: Parameters, profile_dof: Option<usize>) -> Self {
        let mut nodes = Vec::with_capacity(2 * edges.len() + 1);
        let mut area = vec![0.0; 2 * edges.len() + 1];
        for (i, edge) in edges.iter().enumerate() {
            let x = edge.map(|n| mesh.nodes[n]);
            let shares = lobatto_areas(&x);
            for (k, share) in [(0, shares[0]), (1, shares[1]), (2, shares[2])] {
                area[2 * i + k] += share;
            }
            nodes.extend([edge[0], edge[2]]);
        }
        nodes.extend(edges.last().map(|e| e[1]));
        let reference = nodes.iter().map(|&n| mesh.nodes[n]).collect();
        Self { nodes, edges: edges.to_vec(), reference, area, profile, parameters, profile_dof }
    }

    /// Nodes in order of the points.
    pub fn nodes(&self) -> &[usize] {
        &self.nodes
    }

    /// Reference areas of the points, mm^2.
    pub fn areas(&self) -> &[f64] {
        &self.area
    }

    /// The profile in its place of rest.
    pub fn profile(&self) -> &Profile {
        &self.profile
    }

    /// History of points that have touched nothing, their feet taken in the state given.
    pub fn fresh(&self, state: &State) -> Vec<ContactPoint> {
        (0..self.nodes.len()).map(|i| ContactPoint { arc: self.foot(i, state).arc, ..ContactPoint::default() }).collect()
    }

    /// Current areas of the points, mm^2.
    pub fn current_areas(&self, state: &State) -> Vec<f64> {
        let mut area = vec![0.0; self.nodes.len()];
        for i in 0..self.edges.len() {
            let x = [2 * i, 2 * i + 2, 2 * i + 1].map(|k| self.position(k, state));
            let shares = lobatto_areas(&x);
            for (k, share) in shares.into_iter().enumerate() {
                area[2 * i + k] += share;
            }
        }
        area
    }

    /// Current position of a point (r, z), mm.
    pub fn position(&self, point: usize, state: &State) -> [f64; 2] {
        let (n, x) = (self.nodes[point], self.reference[point]);
        [x[0] + state.u[2 * n], x[1] + state.u[2 * n + 1]]
    }

    /// Status of a point.
    pub fn status(&self, point: usize, state: &State) -> Status {
        let foot = self.foot(point, state);
        let history = &state.contact[point];
        let p = &self.parameters;
        let normal = (history.normal - p.penalty * foot.gap).max(0.0);
        let trial = history.tangential - p.tangential_penalty * (foot.arc - history.arc);
        let bound = p.friction * normal;
        let slips = trial.abs() > bound;
        let tangential = if slips { bound.copysign(trial) } else { trial };
        Status { foot, normal, tangential, slips }
    }

    /// History after an accepted step: multipliers, tractions and feet of now; wetting unchanged.
    pub fn accepted(&self, state: &State) -> Vec<ContactPoint> {
        (0..self.nodes.len())
            .map(|i| {
                let s = self.status(i, state);
                ContactPoint { normal: s.normal, tangential: s.tangential, arc: s.foot.arc, wetted: state.contact[i].wetted }
            })
            .collect()
    }

    /// History with the normal multipliers of now and the rest unchanged.
    pub fn augmented(&self, state: &State) -> Vec<ContactPoint> {
        (0..self.nodes.len()).map(|i| ContactPoint { normal: self.status(i, state).normal, ..state.contact[i] }).collect()
    }

    /// Largest penetration, mm.
    pub fn penetration(&self, state: &State) -> f64 {
        (0..self.nodes.len()).map(|i| -self.foot(i, state).gap).fold(0.0, f64::max)
    }

    /// Force of the profile on the body at a point (r, z), N over the circumference.
    pub fn force(&self, point: usize, state: &State) -> [f64; 2] {
        let s = self.status(point, state);
        let (n, t) = (s.foot.normal, s.foot.tangent());
        std::array::from_fn(|i| self.area[point] * (s.normal * n[i] + s.tangential * t[i]))
    }

    fn foot(&self, point: usize, state: &State) -> Foot {
        let mut x = self.position(point, state);
        if let Some(dof) = self.profile_dof {
            x[0] -= state.u[dof];
        }
        self.profile.foot(x)
    }
}

/// 2 pi r |x'| w at the nodes first, mid, last of an edge given as (first, last, mid).
fn lobatto_areas(x: &[[f64; 2]; 3]) -> [f64; 3] {
    LOBATTO_3.map(|(xi, weight)| {
        let (position, tangent) = line_point(x, xi);
        2.0 * PI * position[0] * tangent[0].hypot(tangent[1]) * weight
    })
}

impl Contribution for Contact {
    fn name(&self) -> &'static str {
        "contact"
    }

    fn n_items(&self) -> usize {
        self.nodes.len()
    }

    fn dofs(&self, item: usize, out: &mut Vec<usize>) {
        out.extend([2 * self.nodes[item], 2 * self.nodes[item] + 1]);
        out.extend(self.profile_dof);
    }

    fn evaluate(
        &self,
        item: usize,
        state: &State,
        _internal: &[f64],
        _load: &Load,
        out: &mut LocalSystem,
    ) -> Result<(), SolveError> {
        let s = self.status(item, state);
        if s.normal <= 0.0 {
            return Ok(());
        }
        let (n, t) = (s.foot.normal, s.foot.tangent());
        let (p, area, turn) = (&self.parameters, self.area[item], s.foot.turn);
        // d normal traction / dx = -penalty n; d tangential / dx likewise while it slips, -e_t stretch t while it sticks.
        let by_slip = if s.slips { -p.penalty * p.friction * s.tangential.signum() } else { 0.0 };
        let by_stick = if s.slips { 0.0 } else { -p.tangential_penalty * s.foot.stretch };
        for i in 0..2 {
            out.residual[i] = -area * (s.normal * n[i] + s.tangential * t[i]);
            for j in 0..2 {
                // dn/dx = turn t t^T and dt/dx = -turn n t^T.
                let change = -p.penalty * n[i] * n[j] + s.normal * turn * t[i] * t[j] + t[i] * (by_slip * n[j] + by_stick * t[j])
                    - s.tangential * turn * n[i] * t[j];
                out.tangent[i * MAX_DOFS + j] = -area * change;
            }
        }
        if self.profile_dof.is_some() {
            move_with_profile(out);
        }
        Ok(())
    }
}

/// Extends the 2 x 2 system to the profile's radial unknown: the point moves relative to it, and it takes the opposite force.
fn move_with_profile(out: &mut LocalSystem) {
    out.residual[2] = -out.residual[0];
    for i in 0..2 {
        out.tangent[i * MAX_DOFS + 2] = -out.tangent[i * MAX_DOFS];
    }
    for j in 0..3 {
        out.tangent[2 * MAX_DOFS + j] = -out.tangent[j];
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use crate::contact::profile::Corner;
    use approx::assert_relative_eq;

    fn contact(friction: f64) -> (Contact, State) {
        let corner = |r: f64, z: f64, radius: f64| Corner { position: [r, z], radius, label: 0, fillet_label: 1 };
        let corners = [corner(300.0, 0.0, 0.0), corner(300.0, 10.0, 1.0), corner(306.0, 10.0, 0.8), corner(306.0, 12.0, 0.0)];
        // One node on the seat, one in the corner fillet, one on the wall.
        let s = 0.5_f64.sqrt();
        let mesh = Mesh { nodes: vec![[300.0, 6.0], [303.0, 10.0], [301.0 - s, 9.0 + s]], quads: vec![] };
        let parameters = Parameters { penalty: 500.0, tangential_penalty: 80.0, friction };
        let contact = Contact::new(&mesh, &[[0, 1, 2]], Profile::new(&corners).unwrap(), parameters, Some(6));
        let mut state = State { u: vec![0.0; 7], ..State::default() };
        state.contact = contact.fresh(&state);
        state.u = vec![-0.02, 0.011, 0.012, 0.03, -0.02, 0.025, 0.004];
        (contact, state)
    }

    #[test]
    fn tangent_agrees_with_differences_in_stick_and_slip() {
        for (friction, slipping) in [(0.0, 3), (0.02, 2), (0.9, 0)] {
            let (contact, state) = contact(friction);
            assert_eq!((0..3).filter(|&i| contact.status(i, &state).slips).count(), slipping);
            crate::contribution::tests::check_tangent(&contact, &state, &Load::default());
        }
    }

    #[test]
    fn augmentation_keeps_the_traction_at_no_penetration() {
        let (contact, mut state) = contact(0.0);
        let before = contact.status(0, &state).normal;
        state.contact = contact.augmented(&state);
        state.u[0] = state.u[6];
        assert_relative_eq!(contact.foot(0, &state).gap, 0.0, epsilon = 1e-12);
        assert_relative_eq!(contact.status(0, &state).normal, before, max_relative = 1e-12);
    }
}
