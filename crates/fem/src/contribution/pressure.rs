//! Gas pressure on the deformed surface of quadratic edges (follower load) with its exact tangent.
//!
//! Gas lies to the left of an edge when one walks it from its first to its second node in the (r, z) plane; the force on the
//! body is f = int N p 2 pi r (z', -r') dxi: the traction -p n of an edge whose outward normal is n = (-z', r') / |x'|.
//! Source: Bonet and Wood, Nonlinear Continuum Mechanics for Finite Element Analysis, section 8.5 (from memory), here written out
//! for the axisymmetric case.
//! Gas between a body and a profile belongs to the contact.

use super::{Contribution, LocalSystem, MAX_DOFS};
use crate::element::line3;
use crate::error::SolveError;
use crate::mesh::{Mesh, line_point};
use crate::quadrature::GAUSS_3;
use crate::state::{Load, State};
use std::f64::consts::PI;

/// Edges (first, last, mid node) loaded by the gas.
pub struct Pressure {
    edges: Vec<[usize; 3]>,
    reference: Vec<[[f64; 2]; 3]>,
}

impl Pressure {
    /// Edges of a mesh.
    pub fn new(mesh: &Mesh, edges: Vec<[usize; 3]>) -> Self {
        let reference = edges.iter().map(|e| e.map(|i| mesh.nodes[i])).collect();
        Self { edges, reference }
    }

    /// Force on the body (r, z), N over the circumference.
    pub fn resultant(&self, state: &State, load: &Load) -> [f64; 2] {
        let mut force = [0.0; 2];
        for item in 0..self.edges.len() {
            let x = self.positions(item, state);
            for (xi, weight) in GAUSS_3 {
                let (position, tangent) = line_point(&x, xi);
                let c = 2.0 * PI * weight * load.pressure * position[0];
                force[0] += c * tangent[1];
                force[1] -= c * tangent[0];
            }
        }
        force
    }

    pub(crate) fn positions(&self, item: usize, state: &State) -> [[f64; 2]; 3] {
        let u = state.gather(&self.edges[item]);
        std::array::from_fn(|a| std::array::from_fn(|i| self.reference[item][a][i] + u[a][i]))
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
        out.extend(Mesh::dofs(self.edges[item]));
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
        for (xi, weight) in GAUSS_3 {
            add_point(&x, xi, 2.0 * PI * weight, load.pressure, out);
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

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    #[test]
    fn tangent_agrees_with_differences() {
        let (mesh, state) = super::super::tests::distorted();
        let pressure = Pressure::new(&mesh, vec![[0, 1, 4], [2, 3, 6]]);
        super::super::tests::check_tangent(&pressure, &state, &Load { pressure: 0.7, ..Load::default() });
    }

    #[test]
    fn resultant_on_a_plane_ring_is_pressure_times_area() {
        // From r = 12 to r = 8 at z = 0 the gas lies below (left of the way): the force points to +z.
        let mesh = Mesh { nodes: vec![[12.0, 0.0], [8.0, 0.0], [10.0, 0.0]], quads: vec![] };
        let pressure = Pressure::new(&mesh, vec![[0, 1, 2]]);
        let state = State { u: vec![0.0; 6], ..State::default() };
        let force = pressure.resultant(&state, &Load { pressure: 0.5, ..Load::default() });
        assert_relative_eq!(force[1], 0.5 * PI * (144.0 - 64.0), max_relative = 1e-12);
        assert_relative_eq!(force[0], 0.0);
    }
}
