//! Harmonic tangent of a compressible solid.

use super::strain::Strain;
use super::{Harmonic, LocalTangent, Wave};
use crate::contribution::{Contribution, solid::Solid};
use crate::error::SolveError;
use crate::kinematics::{deformation_gradient, jacobian};
use crate::state::{Load, State};

impl Harmonic for Solid {
    fn tangent(
        &self,
        item: usize,
        state: &State,
        _internal: &[f64],
        _load: &Load,
        wave: &Wave,
        out: &mut LocalTangent,
    ) -> Result<(), SolveError> {
        let u = state.gather(&self.quads[item]);
        for point in &self.points[item] {
            let f = deformation_gradient(point, &u);
            let j = jacobian(&f);
            if j <= 0.0 || f[4] <= 0.0 {
                return Err(SolveError::Inverted { contribution: self.name(), item, place: point.position, jacobian: j });
            }
            let response = self.material.evaluate(&f);
            Strain::new(point, wave.order()).add(&response.tangent, &self.material.shear_tangent(&f), out);
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::super::Friction;
    use super::super::trial::{Placed, check_energy, check_even, check_rigid, over_pi, wave};
    use super::*;
    use crate::contribution::tests::distorted;
    use crate::material::Material;
    use crate::material::compressible::Compressible;
    use crate::material::invariants::Isochoric;
    use crate::material::linear_elastic::LinearElastic;
    use crate::material::mooney_rivlin::MooneyRivlin;
    use nalgebra::Matrix3;
    use std::f64::consts::PI;

    fn solid(material: Box<dyn Material>) -> (Solid, State, Vec<[f64; 2]>) {
        let (mesh, state) = distorted();
        (Solid::new(&mesh, &[0], material).unwrap(), state, mesh.nodes)
    }

    /// Energy over pi of a solid with displacements of order n.
    fn energy(solid: &Solid, state: &State, a: &[f64], n: usize, law: &impl Fn(&Matrix3<f64>, f64) -> f64) -> f64 {
        let u = state.gather(&solid.quads[0]);
        let at = |t: f64| {
            solid.points[0].iter().map(|p| p.volume / (2.0 * PI) * law(&Placed::new(p, &u, a, n, t).gradient, t)).sum::<f64>()
        };
        over_pi(at)
    }

    #[test]
    fn a_rubber_agrees_with_its_energy_in_three_dimensions() {
        let (isochoric, kappa) = (MooneyRivlin { c1: 0.6, c2: 0.2 }, 4.0);
        let (solid, state, nodes) = solid(Box::new(Compressible { isochoric, kappa }));
        let law = |f: &Matrix3<f64>, _: f64| {
            let (c, j) = (f.tr_mul(f), f.determinant());
            let (i1, i2) = (c.trace(), 0.5 * (c.trace().powi(2) - (c * c).trace()));
            isochoric.derivatives(j.powf(-2.0 / 3.0) * i1, j.powf(-4.0 / 3.0) * i2).w + 0.5 * kappa * (j - 1.0).powi(2)
        };
        for n in [1, 2, 5] {
            check_energy(&solid, &state, &Load::default(), &wave(n), |a| energy(&solid, &state, a, n, &law));
        }
        check_even(&solid, &state, &Load::default(), Friction::Free);
        check_rigid(&solid, &state, &Load::default(), &nodes);
    }

    #[test]
    fn a_linear_solid_agrees_with_its_energy_in_three_dimensions() {
        let (young, poisson) = (7.0, 0.3);
        let (solid, state, _) = solid(Box::new(LinearElastic::new(young, poisson)));
        let (g, lambda) = (young / (2.0 * (1.0 + poisson)), young * poisson / ((1.0 + poisson) * (1.0 - 2.0 * poisson)));
        let law = |f: &Matrix3<f64>, t: f64| {
            // To the directions at the reference angle.
            let (s, c) = t.sin_cos();
            let f = Matrix3::new(c, s, 0.0, -s, c, 0.0, 0.0, 0.0, 1.0) * f;
            let e = 0.5 * (f + f.transpose()) - Matrix3::identity();
            0.5 * lambda * e.trace().powi(2) + g * e.norm_squared()
        };
        check_energy(&solid, &state, &Load::default(), &wave(3), |a| energy(&solid, &state, a, 3, &law));
        check_even(&solid, &state, &Load::default(), Friction::Free);
    }
}
