//! Harmonic tangent of a bundle: a string along the circumference.
//!
//! The string's stretch is |x_t| / R with x_t = (-(n U + V) sin n t, r + (U + n V) cos n t, -n W sin n t) its tangent for each radian.
//! To second order it is l0 + (U + n V) / R cos n t + ((n U + V)^2 + n^2 W^2) sin^2 n t / (2 l0 R^2): the law's stiffness acts on the
//! first part, the force T on the second.

use super::{Harmonic, LocalTangent, Wave};
use crate::contribution::hoop::Hoop;
use crate::error::SolveError;
use crate::kinematics::deformation_gradient;
use crate::state::{Load, State};
use std::f64::consts::PI;

impl Harmonic for Hoop {
    fn tangent(
        &self,
        item: usize,
        state: &State,
        _internal: &[f64],
        load: &Load,
        wave: &Wave,
        out: &mut LocalTangent,
    ) -> Result<(), SolveError> {
        let (u, n) = (state.gather(&self.quads[item]), wave.order());
        for point in &self.points[item] {
            let (force, stiffness) = (self.force)(self.strain(point, &u, load));
            let radius = point.position[0];
            let share = point.volume / (2.0 * PI * self.area * radius * radius);
            let stretching = share * stiffness / self.applied_growth(load);
            let turning = share * force / deformation_gradient(point, &u)[4];
            // Of (U, V, W) with (U, V, W): (U + n V)^2 of the stretching, (n U + V)^2 + n^2 W^2 of the turning.
            let uu = stretching + n * n * turning;
            let uv = n * (stretching + turning);
            let vv = n * n * stretching + turning;
            let ww = n * n * turning;
            add_block(&point.n, &[[uu, uv, 0.0], [uv, vv, 0.0], [0.0, 0.0, ww]], out);
        }
        Ok(())
    }
}

/// Adds N_a N_b times a block to every pair of nodes.
fn add_block(shape: &[f64; 9], block: &[[f64; 3]; 3], out: &mut LocalTangent) {
    for (a, na) in shape.iter().enumerate() {
        for (b, nb) in shape.iter().enumerate() {
            for i in 0..3 {
                for j in 0..3 {
                    out.add(3 * a + i, 3 * b + j, na * nb * block[i][j]);
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::super::Friction;
    use super::super::trial::{Placed, check_energy, check_even, check_rigid, over_pi, wave};
    use super::*;
    use crate::contribution::hoop::HoopForce;
    use crate::contribution::tests::distorted;
    use std::sync::Arc;

    #[test]
    fn agrees_with_the_energy_in_three_dimensions() {
        let (mesh, state) = distorted();
        let law: HoopForce = Arc::new(|e| (100.0 * e + 40.0 * e * e, 100.0 + 80.0 * e));
        let (hoop, load) = (Hoop::new(&mesh, &[0], law, 0.97).unwrap(), Load { eigenstrain: 0.7, ..Load::default() });
        let (u, growth) = (state.gather(&hoop.quads[0]), hoop.applied_growth(&load));
        let energy = |a: &[f64], n: usize| {
            over_pi(|t| {
                let at = |p: &crate::mesh::QuadPoint| {
                    let e = Placed::new(p, &u, a, n, t).gradient.column(1).norm() / growth - 1.0;
                    p.volume / (2.0 * PI * hoop.area) * growth * (50.0 * e * e + 40.0 / 3.0 * e.powi(3))
                };
                hoop.points[0].iter().map(at).sum::<f64>()
            })
        };
        for n in [1, 3] {
            check_energy(&hoop, &state, &load, &wave(n), |a| energy(a, n));
        }
        check_even(&hoop, &state, &load, Friction::Free);
        check_rigid(&hoop, &state, &load, &mesh.nodes);
    }
}
