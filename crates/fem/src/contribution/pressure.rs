//! Gas pressure on the deformed surface of quadratic edges (follower load) with its exact tangent.
//!
//! Gas lies to the left of an edge when one walks it from its first to its second node in the (r, z) plane; the force on the
//! body is f = int N p 2 pi r (z', -r') dxi: the traction -p n of an edge whose outward normal is n = (-z', r') / |x'|.
//! Source: Bonet and Wood, Nonlinear Continuum Mechanics for Finite Element Analysis, section 8.5 (from memory), here written out
//! for the axisymmetric case.
//! Edges in a contact zone are integrated at the contact's points: one that turns from wetted to dry then hands the same force from
//! gas to contact.
//! Edges may pass force on to an extra radial unknown (the rim): the gas in an interface presses both sides alike.

use super::{Contribution, LocalSystem, MAX_DOFS};
use crate::contact::unilateral::POINTS;
use crate::element::line3;
use crate::error::SolveError;
use crate::mesh::{Mesh, line_point};
use crate::quadrature::{GAUSS_3, GAUSS_4};
use crate::state::{Load, State};
use std::f64::consts::PI;

/// One edge.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PressureEdge {
    /// First node, last node, mid node.
    pub nodes: [usize; 3],
    /// For an edge in a contact zone: its number among the contact's edges; it is loaded at those of its points that are wetted.
    pub contact: Option<usize>,
}

/// Edges loaded by the gas.
pub struct Pressure {
    edges: Vec<PressureEdge>,
    reference: Vec<[[f64; 2]; 3]>,
    /// Unknown that takes the opposite radial force of the edges in the contact zone.
    reaction: Option<usize>,
}

impl Pressure {
    /// Edges of a mesh; `reaction` is the radial unknown of the body on the other side of the contact zone.
    pub fn new(mesh: &Mesh, edges: Vec<PressureEdge>, reaction: Option<usize>) -> Self {
        let reference = edges.iter().map(|e| e.nodes.map(|i| mesh.nodes[i])).collect();
        Self { edges, reference, reaction }
    }

    /// Force on the body (r, z), N, over the circumference, and its moment-free hoop share: the radial part divided by 2 pi, N.
    pub fn resultant(&self, state: &State, load: &Load) -> [f64; 2] {
        let mut force = [0.0; 2];
        for item in 0..self.edges.len() {
            let x = self.positions(item, state);
            for (q, &(xi, weight)) in self.rule(item).iter().enumerate() {
                let p = load.pressure * self.share(item, q, state);
                let (position, tangent) = line_point(&x, xi);
                let c = 2.0 * PI * weight * p * position[0];
                force[0] += c * tangent[1];
                force[1] -= c * tangent[0];
            }
        }
        force
    }

    fn rule(&self, item: usize) -> &'static [(f64, f64)] {
        if self.edges[item].contact.is_some() { &GAUSS_4 } else { &GAUSS_3 }
    }

    fn share(&self, item: usize, q: usize, state: &State) -> f64 {
        match self.edges[item].contact {
            None => 1.0,
            Some(edge) => f64::from(u8::from(state.contact[edge * POINTS + q].wetted)),
        }
    }

    fn positions(&self, item: usize, state: &State) -> [[f64; 2]; 3] {
        let u = state.gather(&self.edges[item].nodes);
        std::array::from_fn(|a| std::array::from_fn(|i| self.reference[item][a][i] + u[a][i]))
    }

    /// The extra unknown of an edge, if it passes force on.
    fn extra(&self, item: usize) -> Option<usize> {
        self.edges[item].contact.and(self.reaction)
    }
}

impl Contribution for Pressure {
    fn name(&self) -> &'static str {
        "gas pressure"
    }

    fn n_items(&self) -> usize {
        self.edges.len()
    }

    fn dofs(&self, item: usize, out: &mut Vec<usize>) {
        out.extend(Mesh::dofs(self.edges[item].nodes));
        out.extend(self.extra(item));
    }

    fn evaluate(
        &self,
        item: usize,
        state: &State,
        _internal: &[f64],
        load: &Load,
        out: &mut LocalSystem,
    ) -> Result<(), SolveError> {
        let x = self.positions(item, state);
        for (q, &(xi, weight)) in self.rule(item).iter().enumerate() {
            let share = self.share(item, q, state);
            if share > 0.0 {
                add_point(&x, xi, 2.0 * PI * weight * share, load.pressure, out);
            }
        }
        if self.extra(item).is_some() {
            add_reaction(out);
        }
        Ok(())
    }
}

/// Subtracts the external force of one point from the residual, with its tangent.
fn add_point(x: &[[f64; 2]; 3], xi: f64, c: f64, pressure: f64, out: &mut LocalSystem) {
    let (n, d) = (line3::shape(xi), line3::derivative(xi));
    let ([r, _], [dr, dz]) = line_point(x, xi);
    for a in 0..3 {
        out.by_pressure[2 * a] -= c * n[a] * r * dz;
        out.by_pressure[2 * a + 1] += c * n[a] * r * dr;
        out.residual[2 * a] -= pressure * c * n[a] * r * dz;
        out.residual[2 * a + 1] += pressure * c * n[a] * r * dr;
        let k = pressure * c * n[a];
        for b in 0..3 {
            out.tangent[2 * a * MAX_DOFS + 2 * b] -= k * n[b] * dz;
            out.tangent[2 * a * MAX_DOFS + 2 * b + 1] -= k * r * d[b];
            out.tangent[(2 * a + 1) * MAX_DOFS + 2 * b] += k * (n[b] * dr + r * d[b]);
        }
    }
}

/// Puts the opposite of the radial rows into row 6.
fn add_reaction(out: &mut LocalSystem) {
    for a in 0..3 {
        out.residual[6] -= out.residual[2 * a];
        out.by_pressure[6] -= out.by_pressure[2 * a];
        for j in 0..6 {
            out.tangent[6 * MAX_DOFS + j] -= out.tangent[2 * a * MAX_DOFS + j];
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::state::ContactPoint;
    use approx::assert_relative_eq;

    #[test]
    fn tangent_agrees_with_differences() {
        let (mesh, mut state) = super::super::tests::distorted();
        state.u.push(0.02);
        state.contact = vec![ContactPoint { wetted: true, ..ContactPoint::default() }; POINTS];
        state.contact[1].wetted = false;
        let edges = vec![PressureEdge { nodes: [0, 1, 4], contact: None }, PressureEdge { nodes: [2, 3, 6], contact: Some(0) }];
        let pressure = Pressure::new(&mesh, edges, Some(18));
        super::super::tests::check_tangent(&pressure, &state, &Load { pressure: 0.7, ..Load::default() });
    }

    #[test]
    fn resultant_on_a_plane_ring_is_pressure_times_area() {
        // From r = 12 to r = 8 at z = 0 the gas lies below (left of the way): the force points to +z.
        let mesh = Mesh { nodes: vec![[12.0, 0.0], [8.0, 0.0], [10.0, 0.0]], quads: vec![] };
        let pressure = Pressure::new(&mesh, vec![PressureEdge { nodes: [0, 1, 2], contact: None }], None);
        let state = State { u: vec![0.0; 6], ..State::default() };
        let force = pressure.resultant(&state, &Load { pressure: 0.5, ..Load::default() });
        assert_relative_eq!(force[1], 0.5 * PI * (144.0 - 64.0), max_relative = 1e-12);
        assert_relative_eq!(force[0], 0.0);
    }
}
