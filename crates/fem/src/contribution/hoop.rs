//! A ring with hoop stiffness only, spread over the section of its elements, with an eigenstrain.
//!
//! At a point at reference radius R with hoop stretch lt the hoop strain is lt / g - 1 with g = 1 + x (g1 - 1): g1 is the ratio of
//! the unstretched to the drawn diameter and x the share of the eigenstrain applied. The ring's force T(strain) is spread over
//! the reference section A: residual = int T / A d(lt) dV, as a hoop T at radius r does virtual work 2 pi T dr.
//! Spreading is necessary: a hoop tied to one node of a soft solid never converges (the logarithm under a line load).

use super::{Contribution, LocalSystem, MAX_DOFS};
use crate::error::SolveError;
use crate::kinematics::deformation_gradient;
use crate::mesh::{Mesh, QuadPoint};
use crate::state::{Load, State, Unknown};
use std::f64::consts::PI;
use std::sync::Arc;

/// Hoop force, N, and its derivative by strain, N, at a strain.
pub type HoopForce = Arc<dyn Fn(f64) -> (f64, f64) + Send + Sync>;

/// A ring with hoop stiffness only.
pub struct Hoop {
    pub(crate) quads: Vec<[usize; 9]>,
    pub(crate) points: Vec<[QuadPoint; 9]>,
    pub(crate) force: HoopForce,
    pub(crate) area: f64,
    growth: f64,
}

impl Hoop {
    /// The elements `quads` of a mesh with the force law of the whole ring and `growth` = unstretched over drawn diameter.
    pub fn new(mesh: &Mesh, quads: &[usize], force: HoopForce, growth: f64) -> Option<Self> {
        let points = quads.iter().map(|&q| mesh.quad_points(q)).collect::<Option<Vec<_>>>()?;
        let area = quads.iter().map(|&q| mesh.section_area(q)).sum();
        Some(Self { quads: quads.iter().map(|&q| mesh.quads[q]).collect(), points, force, area, growth })
    }

    /// Nodes of the ring with their shares of a radial force that the hoop would carry; a node may come several times.
    pub fn weights(&self) -> Vec<(usize, f64)> {
        let share = |point: &QuadPoint| point.volume / (2.0 * PI * self.area * point.position[0]);
        let of = |(quad, points): (&[usize; 9], &[QuadPoint; 9])| {
            let weight = |a: usize| points.iter().map(|p| share(p) * p.n[a]).sum::<f64>();
            quad.iter().enumerate().map(|(a, node)| (*node, weight(a))).collect::<Vec<_>>()
        };
        self.quads.iter().zip(&self.points).flat_map(of).collect()
    }

    /// Hoop force of the whole ring by its law, N (without what a load adds), and its mean strain.
    pub fn tension(&self, state: &State, load: &Load) -> (f64, f64) {
        let (mut tension, mut strain) = (0.0, 0.0);
        for (quad, points) in self.quads.iter().zip(&self.points) {
            let u = state.gather(quad);
            for point in points {
                let share = point.volume / (2.0 * PI * point.position[0]) / self.area;
                let e = self.strain(point, &u, load);
                tension += share * (self.force)(e).0;
                strain += share * e;
            }
        }
        (tension, strain)
    }

    pub(crate) fn applied_growth(&self, load: &Load) -> f64 {
        1.0 + load.eigenstrain * (self.growth - 1.0)
    }

    pub(crate) fn strain(&self, point: &QuadPoint, u: &[[f64; 2]; 9], load: &Load) -> f64 {
        deformation_gradient(point, u)[4] / self.applied_growth(load) - 1.0
    }
}

impl Contribution for Hoop {
    fn name(&self) -> &'static str {
        "hoop"
    }

    fn n_items(&self) -> usize {
        self.quads.len()
    }

    fn dofs(&self, item: usize, out: &mut Vec<usize>) {
        out.extend(Mesh::dofs(self.quads[item]));
    }

    fn driven_by(&self) -> Unknown {
        Unknown::HoopForce
    }

    fn evaluate(
        &self,
        item: usize,
        state: &State,
        _internal: &[f64],
        load: &Load,
        out: &mut LocalSystem,
    ) -> Result<(), SolveError> {
        let u = state.gather(&self.quads[item]);
        for point in &self.points[item] {
            let (force, stiffness) = (self.force)(self.strain(point, &u, load));
            let v = point.volume / (self.area * point.position[0]);
            let k = stiffness / (self.applied_growth(load) * point.position[0]);
            for a in 0..9 {
                out.residual[2 * a] += v * (force + load.hoop_force) * point.n[a];
                out.by_pressure[2 * a] += v * point.n[a];
                for b in 0..9 {
                    out.tangent[2 * a * MAX_DOFS + 2 * b] += v * k * point.n[a] * point.n[b];
                }
            }
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use approx::assert_relative_eq;

    fn ring() -> (Hoop, State) {
        let (mesh, state) = super::super::tests::distorted();
        let law: HoopForce = Arc::new(|e| (100.0 * e + 40.0 * e * e, 100.0 + 80.0 * e));
        (Hoop::new(&mesh, &[0], law, 0.97).unwrap(), state)
    }

    #[test]
    fn tangent_agrees_with_differences() {
        let (hoop, state) = ring();
        super::super::tests::check_tangent(&hoop, &state, &Load { eigenstrain: 0.7, hoop_force: 3.0, ..Load::default() });
    }

    #[test]
    fn undeformed_ring_carries_the_force_of_its_eigenstrain() {
        let (hoop, state) = ring();
        let rest = State { u: vec![0.0; state.u.len()], ..state };
        let (tension, strain) = hoop.tension(&rest, &Load { eigenstrain: 1.0, ..Load::default() });
        assert_relative_eq!(strain, 1.0 / 0.97 - 1.0, max_relative = 1e-12);
        assert_relative_eq!(tension, 100.0 * strain + 40.0 * strain * strain, max_relative = 1e-12);
    }
}
