//! Unilateral contact with Coulomb friction at points of a boundary, by the augmented Lagrangian method.
//!
//! Integration points are the four Gauss points of each quadratic edge: twice as many as the edge has nodes of its own, so that the
//! force passes smoothly from edge to edge when the body rolls over a sharp part of the profile. Multipliers live at the nodes, straight
//! in between, one for each node, so that they do not ask for more than the edge can do. With gap g, multiplier l, penalty e and the gas
//! pressure p of a wetted point (0 elsewhere) the normal pressure that the contact transmits is t = max(0, l - e g - p); the tangential
//! traction is the trial s = s0 - e_t (arc - arc0), returned to |s| <= mu t. Augmentation `l <- max(0, l - e <g>)`, with the gap
//! averaged round each node, drives the penetration under any bound.
//! Pressure and traction act on the deformed surface of the body: t along its own normal, s along its own tangent. In equilibrium the
//! body's normal is the profile's; taking the body's keeps the force smooth where the profile's curvature jumps, and makes contact
//! pressure and gas pressure the same operator.
//! The gas itself is another contribution; so the total normal pressure on a wetted point is at least p, as an open interface demands.
//! Sources: Simo and Laursen, Comput. Struct. 42 (1992) 97; Wriggers, Computational Contact Mechanics, chapter 6 (from memory).

use super::aitken;
use super::profile::{Foot, Profile};
use crate::contribution::{Contribution, LocalSystem, MAX_DOFS};
use crate::element::line3;
use crate::error::SolveError;
use crate::mesh::{Mesh, line_point};
use crate::quadrature::GAUSS_4;
use crate::state::{ContactPoint, Load, State};
use std::f64::consts::PI;

/// Contact points of an edge.
pub const POINTS: usize = GAUSS_4.len();

/// A boundary that may touch a profile.
#[derive(Clone, Debug)]
pub struct Contact {
    edges: Vec<[usize; 3]>,
    reference: Vec<[[f64; 2]; 3]>,
    profile: Profile,
    parameters: Parameters,
    profile_dof: Option<usize>,
    /// Share of each point in the gap round its edge's nodes (first, mid, last), before division by `measure`.
    weights: Vec<[f64; 3]>,
    /// Sum of the weights of each node.
    measure: Vec<f64>,
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
    /// Points are numbered along the boundary: edge i has the points i [`POINTS`] and the following.
    /// `profile_dof` is the unknown that moves the profile radially.
    pub fn new(mesh: &Mesh, edges: &[[usize; 3]], profile: Profile, parameters: Parameters, profile_dof: Option<usize>) -> Self {
        let reference: Vec<[[f64; 2]; 3]> = edges.iter().map(|e| e.map(|n| mesh.nodes[n])).collect();
        let weights: Vec<[f64; 3]> = reference.iter().flat_map(node_weights).collect();
        let mut measure = vec![0.0; 2 * edges.len() + 1];
        for (point, shares) in weights.iter().enumerate() {
            for (k, share) in shares.iter().enumerate() {
                measure[2 * (point / POINTS) + k] += share;
            }
        }
        Self { edges: edges.to_vec(), reference, profile, parameters, profile_dof, weights, measure }
    }

    /// Number of points.
    pub fn n_points(&self) -> usize {
        POINTS * self.edges.len()
    }

    /// The profile in its place of rest.
    pub fn profile(&self) -> &Profile {
        &self.profile
    }

    /// Gives a state the history of a contact that has touched nothing, feet taken where its points are.
    pub fn begin(&self, state: &mut State) {
        state.contact =
            (0..self.n_points()).map(|i| ContactPoint { arc: self.foot(i, state).arc, ..ContactPoint::default() }).collect();
        state.multipliers = vec![0.0; self.measure.len()];
    }

    /// Current position of a point (r, z), mm.
    pub fn position(&self, point: usize, state: &State) -> [f64; 2] {
        line_point(&self.edge_positions(point / POINTS, state), GAUSS_4[point % POINTS].0).0
    }

    /// Status of a point under the gas pressure `gas`, MPa.
    pub fn status(&self, point: usize, state: &State, gas: f64) -> Status {
        let foot = self.foot(point, state);
        let history = &state.contact[point];
        let p = &self.parameters;
        let multiplier = self.multiplier(point, state);
        let floor = if history.wetted { gas } else { 0.0 };
        let normal = (multiplier - p.penalty * foot.gap - floor).max(0.0);
        let trial = history.tangential - p.tangential_penalty * (foot.arc - history.arc);
        let bound = p.friction * normal;
        let slips = trial.abs() > bound;
        let tangential = if slips { bound.copysign(trial) } else { trial };
        Status { foot, normal, tangential, slips }
    }

    fn multiplier(&self, point: usize, state: &State) -> f64 {
        let first = 2 * (point / POINTS);
        hats(GAUSS_4[point % POINTS].0).iter().enumerate().map(|(k, h)| h * state.multipliers[first + k]).sum()
    }

    /// The history of an accepted step: tractions and feet of now, multipliers augmented; wetting unchanged.
    pub fn accept(&self, state: &mut State, gas: f64) {
        let points = (0..self.n_points()).map(|i| {
            let s = self.status(i, state, gas);
            ContactPoint { tangential: s.tangential, arc: s.foot.arc, wetted: state.contact[i].wetted }
        });
        state.contact = points.collect();
        self.augment(state, aitken::FIRST);
    }

    /// Multipliers corrected by `relaxation` x penalty x the gap averaged round each node; tractions and feet unchanged.
    pub fn augment(&self, state: &mut State, relaxation: f64) {
        let gaps = self.gaps(state);
        for (l, gap) in state.multipliers.iter_mut().zip(gaps) {
            *l = (*l - relaxation * self.parameters.penalty * gap).max(0.0);
        }
    }

    /// How far each node is from what the multipliers aim at, mm: penetration, or gap across which a multiplier still presses. It is
    /// the natural residual min(gap, multiplier / penalty) of the complementarity conditions.
    pub fn misfits(&self, state: &State) -> Vec<f64> {
        self.gaps(state).into_iter().zip(&state.multipliers).map(|(gap, l)| gap.min(l / self.parameters.penalty)).collect()
    }

    /// Largest size of [`Self::misfits`], mm.
    pub fn misfit(&self, state: &State) -> f64 {
        self.misfits(state).into_iter().fold(0.0, |worst, m| worst.max(m.abs()))
    }

    /// Gap averaged round each node, mm.
    fn gaps(&self, state: &State) -> Vec<f64> {
        let mut gaps = vec![0.0; self.measure.len()];
        for (point, shares) in self.weights.iter().enumerate() {
            let gap = self.foot(point, state).gap;
            for (k, share) in shares.iter().enumerate() {
                gaps[2 * (point / POINTS) + k] += share * gap;
            }
        }
        gaps.iter().zip(&self.measure).map(|(gap, measure)| gap / measure).collect()
    }

    /// Force of the profile on the body at every point (r, z), N over the circumference.
    pub fn forces(&self, state: &State, gas: f64) -> Vec<[f64; 2]> {
        (0..self.n_points())
            .map(|point| {
                let x = self.edge_positions(point / POINTS, state);
                let s = self.status(point, state, gas);
                Traction::new(&x, point % POINTS, s.normal, s.tangential).force
            })
            .collect()
    }

    fn edge_positions(&self, edge: usize, state: &State) -> [[f64; 2]; 3] {
        let u = state.gather(&self.edges[edge]);
        std::array::from_fn(|a| std::array::from_fn(|i| self.reference[edge][a][i] + u[a][i]))
    }

    fn foot(&self, point: usize, state: &State) -> Foot {
        let mut x = self.position(point, state);
        if let Some(dof) = self.profile_dof {
            x[0] -= state.u[dof];
        }
        self.profile.foot(x)
    }
}

/// Hat functions of an edge's nodes (first, mid, last), straight between them.
fn hats(xi: f64) -> [f64; 3] {
    [(-xi).max(0.0), 1.0 - xi.abs(), xi.max(0.0)]
}

/// Weight of each point of an edge in the averages round the edge's nodes.
fn node_weights(x: &[[f64; 2]; 3]) -> [[f64; 3]; POINTS] {
    GAUSS_4.map(|(xi, w)| {
        let (_, along) = line_point(x, xi);
        hats(xi).map(|h| h * w * along[0].hypot(along[1]))
    })
}

/// Force of one point's traction and what its derivatives need.
struct Traction {
    force: [f64; 2],
    /// Force per normal pressure and per tangential traction, mm^2.
    by_normal: [f64; 2],
    by_tangential: [f64; 2],
    /// 2 pi w r, mm, and r, mm.
    weight: f64,
    radius: f64,
}

impl Traction {
    /// Normal pressure along the normal (z', -r') and tangential traction along (r', z') at point `q` of an edge.
    fn new(x: &[[f64; 2]; 3], q: usize, normal: f64, tangential: f64) -> Self {
        let (xi, w) = GAUSS_4[q];
        let (position, along) = line_point(x, xi);
        let (weight, radius) = (2.0 * PI * w * position[0], position[0]);
        let by_normal = [weight * along[1], -weight * along[0]];
        let by_tangential = [weight * along[0], weight * along[1]];
        let force = std::array::from_fn(|i| normal * by_normal[i] + tangential * by_tangential[i]);
        Self { force, by_normal, by_tangential, weight, radius }
    }
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

    fn evaluate(
        &self,
        item: usize,
        state: &State,
        _internal: &[f64],
        load: &Load,
        out: &mut LocalSystem,
    ) -> Result<(), SolveError> {
        let x = self.edge_positions(item, state);
        if self.is_far(item, &x, state) {
            return Ok(());
        }
        for q in 0..POINTS {
            let point = item * POINTS + q;
            let s = self.status(point, state, load.pressure);
            if s.normal > 0.0 {
                self.add_point(&x, q, &s, state.contact[point].wetted, out);
            }
        }
        if self.profile_dof.is_some() {
            react(out);
        }
        Ok(())
    }
}

impl Contact {
    /// Whether no point of an edge can touch: none presses and the middle is further from the profile than any point from the middle.
    fn is_far(&self, edge: usize, x: &[[f64; 2]; 3], state: &State) -> bool {
        if state.multipliers[2 * edge..2 * edge + 3].iter().any(|l| *l > 0.0) {
            return false;
        }
        let shift = self.profile_dof.map_or(0.0, |dof| state.u[dof]);
        let square = |k: usize| (x[k][0] - x[2][0]).powi(2) + (x[k][1] - x[2][1]).powi(2);
        self.profile.foot([x[2][0] - shift, x[2][1]]).gap > 1.5 * (square(0).sqrt() + square(1).sqrt())
    }

    /// Subtracts the force of point `q` of an edge from the residual, with its tangent. Column 6 is the profile's unknown.
    fn add_point(&self, x: &[[f64; 2]; 3], q: usize, s: &Status, wetted: bool, out: &mut LocalSystem) {
        let p = &self.parameters;
        let (n, t) = (s.foot.normal, s.foot.tangent());
        let pull = Traction::new(x, q, s.normal, s.tangential);
        let (shape, slope) = (line3::shape(GAUSS_4[q].0), line3::derivative(GAUSS_4[q].0));
        // The normal pressure falls by the penalty along the profile's normal; the tangential traction likewise while the point slips,
        // and along the profile's tangent while it sticks.
        let normal_by = n.map(|n| -p.penalty * n);
        let tangential_by: [f64; 2] = std::array::from_fn(|j| {
            if s.slips {
                p.friction * s.tangential.signum() * normal_by[j]
            } else {
                -p.tangential_penalty * s.foot.stretch * t[j]
            }
        });
        for i in 0..2 {
            // d(z', -r') and d(r', z') by the edge's tangent, and the growth of the circumference.
            let turn = [[s.tangential, s.normal], [-s.normal, s.tangential]][i];
            let by_position: [f64; 2] =
                std::array::from_fn(|j| pull.by_normal[i] * normal_by[j] + pull.by_tangential[i] * tangential_by[j]);
            let by_radius = pull.force[i] / pull.radius;
            // At a wetted point the contact transmits less by what the gas rises.
            let slip = if s.slips { p.friction * s.tangential.signum() } else { 0.0 };
            let by_gas = if wetted { -pull.by_normal[i] - pull.by_tangential[i] * slip } else { 0.0 };
            for a in 0..3 {
                let row = (2 * a + i) * MAX_DOFS;
                out.residual[2 * a + i] -= shape[a] * pull.force[i];
                out.by_pressure[2 * a + i] -= shape[a] * by_gas;
                for b in 0..3 {
                    let c = pull.weight * slope[b];
                    out.tangent[row + 2 * b] -= shape[a] * (shape[b] * (by_position[0] + by_radius) + c * turn[0]);
                    out.tangent[row + 2 * b + 1] -= shape[a] * (shape[b] * by_position[1] + c * turn[1]);
                }
                if self.profile_dof.is_some() {
                    out.tangent[row + 6] += shape[a] * by_position[0];
                }
            }
        }
    }
}

/// Puts the opposite of the radial rows into the profile's row.
fn react(out: &mut LocalSystem) {
    for a in 0..3 {
        out.residual[6] -= out.residual[2 * a];
        out.by_pressure[6] -= out.by_pressure[2 * a];
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

    /// An edge that bends round the corner fillet between a seat and a wall, pressed into it.
    fn contact(friction: f64) -> (Contact, State) {
        let corner = |r: f64, z: f64, radius: f64| Corner { position: [r, z], radius, label: 0, fillet_label: 1 };
        let corners = [corner(300.0, 0.0, 0.0), corner(300.0, 10.0, 1.0), corner(306.0, 10.0, 0.8), corner(306.0, 12.0, 0.0)];
        let s = 0.5_f64.sqrt();
        let mesh = Mesh { nodes: vec![[300.0, 8.6], [301.4, 10.0], [301.0 - s, 9.0 + s]], quads: vec![] };
        let parameters = Parameters { penalty: 500.0, tangential_penalty: 80.0, friction };
        let contact = Contact::new(&mesh, &[[0, 1, 2]], Profile::new(&corners).unwrap(), parameters, Some(6));
        let mut state = State { u: vec![0.0; 7], ..State::default() };
        contact.begin(&mut state);
        state.multipliers = vec![12.0, 15.0, 13.0];
        state.u = vec![-0.02, 0.011, 0.012, 0.03, -0.02, 0.025, 0.004];
        state.contact[1].wetted = true;
        (contact, state)
    }

    #[test]
    fn tangent_agrees_with_differences_in_stick_and_slip() {
        let load = Load { pressure: 0.6, ..Load::default() };
        for (friction, slipping) in [(0.0, 4), (0.02, 2), (0.9, 0)] {
            let (contact, state) = contact(friction);
            let status: Vec<_> = (0..POINTS).map(|i| contact.status(i, &state, load.pressure)).collect();
            assert!(status.iter().all(|s| s.normal > 0.0));
            assert_eq!(status.iter().filter(|s| s.slips).count(), slipping);
            crate::contribution::tests::check_tangent(&contact, &state, &load);
        }
    }

    #[test]
    fn augmentation_raises_the_multiplier_where_the_bodies_overlap_and_drops_it_where_they_part() {
        let (contact, mut state) = contact(0.0);
        let gaps = contact.gaps(&state);
        assert!(gaps.iter().all(|g| *g < 0.0));
        assert_relative_eq!(contact.misfit(&state), -gaps.iter().copied().fold(0.0, f64::min), max_relative = 1e-12);
        contact.augment(&mut state, aitken::FIRST);
        assert_relative_eq!(state.multipliers[1], 15.0 - 1.7 * 500.0 * gaps[1], max_relative = 1e-12);
        state.u[6] = -1.0;
        contact.augment(&mut state, aitken::FIRST);
        assert!(state.multipliers[0] == 0.0);
    }
}
