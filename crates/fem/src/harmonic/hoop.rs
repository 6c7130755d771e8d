//! Harmonic tangent of a ring with hoop stiffness only: a string along the circumference.
//!
//! The string's stretch is |x_t| / R with x_t = (-(n U + V) sin n t, r + (U + n V) cos n t, -n W sin n t) its tangent for each radian.
//! To second order it is l0 + (U + n V) / R cos n t + ((n U + V)^2 + n^2 W^2) sin^2 n t / (2 l0 R^2): the law's stiffness acts on the
//! first part, the force T on the second.

use super::{Harmonic, LocalTangent, Wave};
use crate::contribution::hoop::Hoop;
use crate::error::SolveError;
use crate::kinematics::deformation_gradient;
use crate::mesh::QuadPoint;
use crate::state::{Load, State};
use nalgebra::DMatrix;
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
            add_block(&point.n, &self.block(point, &u, load, n), out);
        }
        Ok(())
    }
}

impl Hoop {
    /// Stiffness of the whole ring against (U, V, W) of n waves alike all over its section, N/mm per radian: that of a string.
    pub fn string_stiffness(&self, state: &State, load: &Load, n: usize) -> DMatrix<f64> {
        let mut sum = DMatrix::zeros(3, 3);
        for (quad, points) in self.quads.iter().zip(&self.points) {
            let u = state.gather(quad);
            for point in points {
                let block = self.block(point, &u, load, n as f64);
                sum += DMatrix::from_fn(3, 3, |i, j| block[i][j]);
            }
        }
        sum
    }

    /// What one point adds to the stiffness of (U, V, W) against (U, V, W): (U + n V)^2 times what stretching, (n U + V)^2 + n^2 W^2 times
    /// what turning asks for.
    fn block(&self, point: &QuadPoint, u: &[[f64; 2]; 9], load: &Load, n: f64) -> [[f64; 3]; 3] {
        let (force, stiffness) = (self.force)(self.strain(point, u, load));
        let radius = point.position[0];
        let share = point.volume / (2.0 * PI * self.area * radius * radius);
        let stretching = share * stiffness / self.applied_growth(load);
        let turning = share * force / deformation_gradient(point, u)[4];
        let uv = n * (stretching + turning);
        [[stretching + n * n * turning, uv, 0.0], [uv, n * n * stretching + turning, 0.0], [0.0, 0.0, n * n * turning]]
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
                let at = |p: &QuadPoint| {
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
