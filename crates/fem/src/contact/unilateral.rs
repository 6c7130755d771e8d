//! Unilateral contact with Coulomb friction at boundary nodes, by the augmented Lagrangian method.
//!
//! With gap g, multiplier l and penalty e the normal pressure at a node is t = max(0, l - e g); the tangential traction is the trial
//! s = s0 - e_t (arc - arc0), returned to |s| <= mu t. Augmentation (l <- t) drives the penetration under any bound.
//! Pressure and traction act on the deformed surface of the body: t along its own normal, s along its own tangent, integrated on the
//! quadratic edges at their nodes (Lobatto). In equilibrium the body's normal is the profile's; taking the body's keeps the force
//! smooth where the profile's curvature jumps, and makes contact pressure and gas pressure the same operator.
//! Where gas wets a node, the gas pressure acts as a follower load and t is what the bodies press beyond it: the total normal
//! pressure is at least the gas pressure, as an open interface demands.
//! Sources: Simo and Laursen, Comput. Struct. 42 (1992) 97; Wriggers, Computational Contact Mechanics, chapter 6 (from memory).

use super::profile::{Foot, Profile};
use crate::contribution::{Contribution, LocalSystem, MAX_DOFS};
use crate::element::line3;
use crate::error::SolveError;
use crate::mesh::Mesh;
use crate::quadrature::LOBATTO_3;
use crate::state::{ContactPoint, Load, State};
use std::f64::consts::PI;

/// Lobatto point of each local node (first, last, mid).
const POINT_OF_NODE: [usize; 3] = [0, 2, 1];

/// Boundary nodes that may touch a profile.
#[derive(Clone, Debug)]
pub struct Contact {
    nodes: Vec<usize>,
    edges: Vec<[usize; 3]>,
    reference: Vec<[f64; 2]>,
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
    /// Normal pressure of the contact (beyond the gas where wetted), MPa.
    pub normal: f64,
    /// Tangential traction on the body along the profile, MPa.
    pub tangential: f64,
    /// Whether the point slips.
    pub slips: bool,
}

impl Contact {
    /// Contact of the quadratic `edges` (first, last, mid node), given in order along the boundary, with `profile`.
    ///
    /// The edges run in the profile's direction with the body to their right, so that the two surfaces face each other.
    /// Points are numbered along the boundary: edge i has the points 2 i (first), 2 i + 1 (mid), 2 i + 2 (last).
    /// `profile_dof` is the unknown that moves the profile radially.
    pub fn new(mesh: &Mesh, edges: &[[usize; 3]], profile: Profile, parameters: Parameters, profile_dof: Option<usize>) -> Self {
        let mut nodes: Vec<usize> = edges.iter().flat_map(|e| [e[0], e[2]]).collect();
        nodes.extend(edges.last().map(|e| e[1]));
        let reference = nodes.iter().map(|&n| mesh.nodes[n]).collect();
        Self { nodes, edges: edges.to_vec(), reference, profile, parameters, profile_dof }
    }

    /// Nodes in order of the points.
    pub fn nodes(&self) -> &[usize] {
        &self.nodes
    }

    /// The profile in its place of rest.
    pub fn profile(&self) -> &Profile {
        &self.profile
    }

    /// History of points that have touched nothing, their feet taken in the state given.
    pub fn fresh(&self, state: &State) -> Vec<ContactPoint> {
        (0..self.nodes.len()).map(|i| ContactPoint { arc: self.foot(i, state).arc, ..ContactPoint::default() }).collect()
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

    /// Force of the profile on the body at every point (r, z), N over the circumference.
    pub fn forces(&self, state: &State) -> Vec<[f64; 2]> {
        let mut forces = vec![[0.0; 2]; self.nodes.len()];
        for edge in 0..self.edges.len() {
            let x = self.edge_positions(edge, state);
            for a in 0..3 {
                let s = self.status(Self::points(edge)[a], state);
                let force = traction(&x, a, s.normal, s.tangential).force;
                for (sum, f) in forces[Self::points(edge)[a]].iter_mut().zip(force) {
                    *sum += f;
                }
            }
        }
        forces
    }

    /// Points of an edge in the order of its nodes (first, last, mid).
    fn points(edge: usize) -> [usize; 3] {
        [2 * edge, 2 * edge + 2, 2 * edge + 1]
    }

    fn edge_positions(&self, edge: usize, state: &State) -> [[f64; 2]; 3] {
        Self::points(edge).map(|point| self.position(point, state))
    }

    fn foot(&self, point: usize, state: &State) -> Foot {
        let mut x = self.position(point, state);
        if let Some(dof) = self.profile_dof {
            x[0] -= state.u[dof];
        }
        self.profile.foot(x)
    }
}

/// Force of one node's traction and what its derivatives need.
struct Traction {
    force: [f64; 2],
    /// Force per normal pressure and per tangential traction, mm^2.
    by_normal: [f64; 2],
    by_tangential: [f64; 2],
    /// Weight 2 pi w and radius r.
    weight: f64,
    radius: f64,
    /// Derivatives of the edge's shape functions at the node.
    slopes: [f64; 3],
}

/// Normal pressure along the normal (z', -r') and tangential traction along (r', z') at local node `a` of an edge.
fn traction(x: &[[f64; 2]; 3], a: usize, normal: f64, tangential: f64) -> Traction {
    let (xi, w) = LOBATTO_3[POINT_OF_NODE[a]];
    let slopes = line3::derivative(xi);
    let along: [f64; 2] = std::array::from_fn(|i| (0..3).map(|b| slopes[b] * x[b][i]).sum());
    let (weight, radius) = (2.0 * PI * w, x[a][0]);
    let by_normal = [weight * radius * along[1], -weight * radius * along[0]];
    let by_tangential = [weight * radius * along[0], weight * radius * along[1]];
    let force = std::array::from_fn(|i| normal * by_normal[i] + tangential * by_tangential[i]);
    Traction { force, by_normal, by_tangential, weight, radius, slopes }
}

impl Contribution for Contact {
    fn name(&self) -> &'static str {
        "contact"
    }

    fn n_items(&self) -> usize {
        self.edges.len()
    }

    fn dofs(&self, item: usize, out: &mut Vec<usize>) {
        out.extend(Mesh::dofs(self.edges[item]));
        out.extend(self.profile_dof);
    }

    fn evaluate(&self, item: usize, state: &State, _internal: &[f64], _load: &Load, out: &mut LocalSystem) -> Result<(), SolveError> {
        let x = self.edge_positions(item, state);
        for (a, point) in Self::points(item).into_iter().enumerate() {
            let s = self.status(point, state);
            if s.normal > 0.0 {
                self.add_node(&x, a, &s, out);
            }
        }
        if self.profile_dof.is_some() {
            react(out);
        }
        Ok(())
    }
}

impl Contact {
    /// Subtracts the force at local node `a` from the residual, with its tangent. Column 6 is the profile's unknown.
    fn add_node(&self, x: &[[f64; 2]; 3], a: usize, s: &Status, out: &mut LocalSystem) {
        let p = &self.parameters;
        let (n, t) = (s.foot.normal, s.foot.tangent());
        let pull = traction(x, a, s.normal, s.tangential);
        // The normal pressure falls by the penalty along the profile's normal; the tangential traction likewise while the point slips,
        // and along the profile's tangent while it sticks.
        let normal_by = n.map(|n| -p.penalty * n);
        let tangential_by: [f64; 2] = std::array::from_fn(|j| {
            if s.slips { p.friction * s.tangential.signum() * normal_by[j] } else { -p.tangential_penalty * s.foot.stretch * t[j] }
        });
        for i in 0..2 {
            let row = (2 * a + i) * MAX_DOFS;
            out.residual[2 * a + i] -= pull.force[i];
            for j in 0..2 {
                let change = pull.by_normal[i] * normal_by[j] + pull.by_tangential[i] * tangential_by[j];
                out.tangent[row + 2 * a + j] -= change;
                if j == 0 && self.profile_dof.is_some() {
                    out.tangent[row + 6] += change;
                }
            }
            out.tangent[row + 2 * a] -= pull.force[i] / pull.radius;
            for b in 0..3 {
                let c = pull.weight * pull.radius * pull.slopes[b];
                // d(z', -r') and d(r', z') by the positions of node b.
                let turn = [[c * s.tangential, c * s.normal], [-c * s.normal, c * s.tangential]][i];
                out.tangent[row + 2 * b] -= turn[0];
                out.tangent[row + 2 * b + 1] -= turn[1];
            }
        }
    }
}

/// Puts the opposite of the radial rows into the profile's row.
fn react(out: &mut LocalSystem) {
    for a in 0..3 {
        out.residual[6] -= out.residual[2 * a];
        for j in 0..7 {
            out.tangent[6 * MAX_DOFS + j] -= out.tangent[2 * a * MAX_DOFS + j];
        }
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
