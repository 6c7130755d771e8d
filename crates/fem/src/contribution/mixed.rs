//! Nearly incompressible solid of revolution: biquadratic displacements, discontinuous linear pressure (Q9-P1).
//!
//! Perturbed Lagrangian: Pi = int W_iso(F) + p (J - 1) - p^2 / (2 kappa) dV with p = q0 + q1 (R - Rc)/h + q2 (Z - Zc)/h in
//! each element; q is condensed element by element. p is the mean tensile stress J-conjugate (positive in tension).
//! The pair satisfies the inf-sup condition with the unmapped pressure basis: Arnold, Boffi and Bonizzoni, Numer. Math. 129
//! (2015) 1 on mapped bases (from memory); Hughes, The Finite Element Method, section 4.4 on the pair.

use super::blocks::{Blocks, Gradients};
use super::{Contribution, Internal, LocalSystem};
use crate::error::SolveError;
use crate::kinematics::{Vec5, add_jacobian_hessian, cauchy, deformation_gradient, jacobian, jacobian_gradient};
use crate::material::Material;
use crate::mesh::{Mesh, QuadPoint};
use crate::state::{Load, State};
use std::f64::consts::PI;

/// Elements of one nearly incompressible material.
pub struct Mixed {
    pub(crate) quads: Vec<[usize; 9]>,
    pub(crate) points: Vec<[QuadPoint; 9]>,
    /// Centre (R, Z) and size h of each element, for its pressure basis.
    frames: Vec<([f64; 2], f64)>,
    pub(crate) isochoric: Box<dyn Material>,
    pub(crate) kappa: f64,
}

impl Mixed {
    /// The elements `quads` of a mesh with an isochoric law and the bulk modulus kappa, MPa; `None` if an element is inverted.
    pub fn new(mesh: &Mesh, quads: &[usize], isochoric: Box<dyn Material>, kappa: f64) -> Option<Self> {
        let points = quads.iter().map(|&q| mesh.quad_points(q)).collect::<Option<Vec<_>>>()?;
        let frames = quads.iter().map(|&q| (mesh.nodes[mesh.quads[q][8]], mesh.section_area(q).sqrt())).collect();
        Some(Self { quads: quads.iter().map(|&q| mesh.quads[q]).collect(), points, frames, isochoric, kappa })
    }

    /// Pressure basis of an element at a reference position.
    pub fn pressure_basis(&self, item: usize, x: [f64; 2]) -> [f64; 3] {
        let (c, h) = self.frames[item];
        [1.0, (x[0] - c[0]) / h, (x[1] - c[1]) / h]
    }

    /// Connectivity of an element.
    pub fn nodes(&self, item: usize) -> &[usize; 9] {
        &self.quads[item]
    }

    /// First Piola-Kirchhoff stress, MPa, at deformation gradient `f` with the condensed unknowns `q` at reference position `x`.
    pub fn stress(&self, item: usize, f: &Vec5, q: &[f64], x: [f64; 2]) -> Vec5 {
        let basis = self.pressure_basis(item, x);
        let p: f64 = basis.iter().zip(q).map(|(b, q)| b * q).sum();
        self.isochoric.stress(f) + jacobian_gradient(f) * p
    }

    /// Number of elements.
    pub fn len(&self) -> usize {
        self.quads.len()
    }

    /// Whether there is no element.
    pub fn is_empty(&self) -> bool {
        self.quads.is_empty()
    }

    /// Hoop force of an element, N: the Cauchy hoop stress over its deformed section, which is what a cut through the axle bares.
    pub fn hoop_force(&self, item: usize, state: &State, q: &[f64]) -> f64 {
        let u = state.gather(&self.quads[item]);
        let force = |point: &QuadPoint| {
            let f = deformation_gradient(point, &u);
            let sigma = cauchy(&self.stress(item, &f, q, point.position), &f)[2];
            // Deformed section area = in-plane volume ratio x reference area.
            sigma * jacobian(&f) / f[4] * point.volume / (2.0 * PI * point.position[0])
        };
        self.points[item].iter().map(force).sum()
    }
}

impl Contribution for Mixed {
    fn name(&self) -> &'static str {
        "mixed solid"
    }

    fn n_items(&self) -> usize {
        self.quads.len()
    }

    fn dofs(&self, item: usize, out: &mut Vec<usize>) {
        out.extend(Mesh::dofs(self.quads[item]));
    }

    fn n_internal(&self) -> usize {
        3
    }

    fn evaluate(&self, item: usize, state: &State, q: &[f64], _load: &Load, out: &mut LocalSystem) -> Result<(), SolveError> {
        out.internal = Internal::default();
        let mut blocks = Blocks::default();
        let u = state.gather(&self.quads[item]);
        for point in &self.points[item] {
            let f = deformation_gradient(point, &u);
            let j = jacobian(&f);
            if j <= 0.0 || f[4] <= 0.0 {
                return Err(SolveError::Inverted { contribution: self.name(), item, place: point.position, jacobian: j });
            }
            let basis = self.pressure_basis(item, point.position);
            let p: f64 = basis.iter().zip(q).map(|(b, q)| b * q).sum();
            let g = jacobian_gradient(&f);
            let (v, gradients) = (point.volume, Gradients::new(point));
            add_pressure_rows(v, &basis, j - 1.0 - p / self.kappa, self.kappa, &mut out.internal);
            if out.residual_only {
                blocks.add_stress(&gradients, v, &(self.isochoric.stress(&f) + g * p));
                continue;
            }
            let mut response = self.isochoric.evaluate(&f);
            add_jacobian_hessian(&f, p, &mut response.tangent);
            blocks.add_stress(&gradients, v, &(response.stress + g * p));
            blocks.add_tangent(&gradients, v, &response.tangent);
            let (by_r, by_z) = gradients.transpose_times(&(g * v));
            for a in 0..9 {
                for k in 0..3 {
                    out.internal.coupling[2 * a][k] += basis[k] * by_r[a];
                    out.internal.coupling[2 * a + 1][k] += basis[k] * by_z[a];
                }
            }
        }
        blocks.store(out);
        Ok(())
    }
}

/// Adds one point's part of the condensed rows: residual N_k (J - 1 - p / kappa), tangent -N_k N_l / kappa.
fn add_pressure_rows(volume: f64, basis: &[f64; 3], misfit: f64, kappa: f64, out: &mut Internal) {
    for k in 0..3 {
        let vk = volume * basis[k];
        out.residual[k] += vk * misfit;
        for l in 0..3 {
            out.tangent[k][l] -= vk * basis[l] / kappa;
        }
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use crate::material::mooney_rivlin::MooneyRivlin;

    #[test]
    fn tangent_agrees_with_differences() {
        let (mesh, mut state) = super::super::tests::distorted();
        state.internal = vec![0.3, -0.1, 0.2];
        let mixed = Mixed::new(&mesh, &[0], Box::new(MooneyRivlin { c1: 0.5, c2: 0.1 }), 50.0).unwrap();
        super::super::tests::check_tangent(&mixed, &state, &Load::default());
    }
}
