//! An isochoric law with a volumetric energy kappa/2 (J - 1)^2 in pure displacement form.
//!
//! For moderate kappa / mu only: near incompressibility use the mixed contribution, which does not lock.

use super::{Material, Response};
use crate::kinematics::{Mat4, Vec5, add_jacobian_shear_hessian, jacobian, jacobian_gradient, jacobian_hessian};

/// Compressible hyperelastic law.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Compressible<L> {
    /// Isochoric part.
    pub isochoric: L,
    /// Bulk modulus, MPa.
    pub kappa: f64,
}

impl<L: Material> Material for Compressible<L> {
    fn evaluate(&self, f: &Vec5) -> Response {
        let mut response = self.isochoric.evaluate(f);
        let (x, g) = (jacobian(f) - 1.0, jacobian_gradient(f));
        response.energy += 0.5 * self.kappa * x * x;
        response.stress += g * (self.kappa * x);
        response.tangent += (g * g.transpose() + jacobian_hessian(f) * x) * self.kappa;
        response
    }

    fn stress(&self, f: &Vec5) -> Vec5 {
        self.isochoric.stress(f) + jacobian_gradient(f) * (self.kappa * (jacobian(f) - 1.0))
    }

    fn shear_tangent(&self, f: &Vec5) -> Mat4 {
        let mut tangent = self.isochoric.shear_tangent(f);
        add_jacobian_shear_hessian(f, self.kappa * (jacobian(f) - 1.0), &mut tangent);
        tangent
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::material::mooney_rivlin::MooneyRivlin;

    #[test]
    fn derivatives() {
        let isochoric = MooneyRivlin { c1: 0.4, c2: 0.1 };
        crate::material::tests::check_derivatives(&Compressible { isochoric, kappa: 3.0 });
    }
}
