//! Harmonic tangent of a nearly incompressible solid: the element's pressure varies with cos n t and is condensed.

use super::strain::Strain;
use super::{Harmonic, LocalTangent, Wave};
use crate::contribution::{Contribution, mixed::Mixed};
use crate::error::SolveError;
use crate::kinematics::{add_jacobian_hessian, add_jacobian_shear_hessian, deformation_gradient, jacobian, jacobian_gradient};
use crate::state::{Load, State};

impl Harmonic for Mixed {
    fn n_inner(&self) -> usize {
        3
    }

    fn tangent(
        &self,
        item: usize,
        state: &State,
        q: &[f64],
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
            let basis = self.pressure_basis(item, point.position);
            let p: f64 = basis.iter().zip(q).map(|(b, q)| b * q).sum();
            let (mut even, mut odd) = (self.isochoric.evaluate(&f).tangent, self.isochoric.shear_tangent(&f));
            add_jacobian_hessian(&f, p, &mut even);
            add_jacobian_shear_hessian(&f, p, &mut odd);
            let strain = Strain::new(point, wave.order());
            strain.add(&even, &odd, out);
            let swelling = strain.even.tr_mul(&jacobian_gradient(&f)) * strain.volume;
            for (k, bk) in basis.iter().enumerate() {
                let mut column = out.coupling.column_mut(k);
                column += swelling * *bk;
                for (l, bl) in basis.iter().enumerate() {
                    out.inner[(k, l)] -= strain.volume * bk * bl / self.kappa;
                }
            }
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
    use crate::material::invariants::Isochoric;
    use crate::material::yeoh::Yeoh;
    use std::f64::consts::PI;

    #[test]
    fn agrees_with_the_energy_in_three_dimensions() {
        let (isochoric, kappa) = (Yeoh { c: [0.5, -0.1, 0.05] }, 50.0);
        let (mesh, mut state) = distorted();
        state.internal = vec![0.3, -0.1, 0.2];
        let mixed = Mixed::new(&mesh, &[0], Box::new(isochoric), kappa).unwrap();
        let u = state.gather(&mixed.quads[0]);
        let energy = |a: &[f64], n: usize| {
            over_pi(|t| {
                let at = |p: &crate::mesh::QuadPoint| {
                    let f = Placed::new(p, &u, a, n, t).gradient;
                    let basis = mixed.pressure_basis(0, p.position);
                    let varied = |k: usize| state.internal[k] + a[27 + k] * (n as f64 * t).cos();
                    let (q, j) = ((0..3).map(|k| basis[k] * varied(k)).sum::<f64>(), f.determinant());
                    let w = isochoric.derivatives(j.powf(-2.0 / 3.0) * f.norm_squared(), 3.0).w;
                    p.volume / (2.0 * PI) * (w + q * (j - 1.0) - 0.5 * q * q / kappa)
                };
                mixed.points[0].iter().map(at).sum::<f64>()
            })
        };
        for n in [1, 4] {
            check_energy(&mixed, &state, &Load::default(), &wave(n), |a| energy(a, n));
        }
        check_even(&mixed, &state, &Load::default(), Friction::Free);
        check_rigid(&mixed, &state, &Load::default(), &mesh.nodes);
    }
}
