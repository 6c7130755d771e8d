//! Neo-Hookean law: W = mu/2 (I1bar - 3).

use super::invariants::{Derivatives, Isochoric, response, shear_tangent, stress};
use super::{Material, Response};
use crate::kinematics::{Mat4, Vec5};

/// Isochoric neo-Hookean rubber.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct NeoHookean {
    /// Shear modulus, MPa.
    pub mu: f64,
}

impl Isochoric for NeoHookean {
    fn derivatives(&self, i1: f64, _i2: f64) -> Derivatives {
        Derivatives { w: 0.5 * self.mu * (i1 - 3.0), w1: 0.5 * self.mu, ..Derivatives::default() }
    }
}

impl Material for NeoHookean {
    fn evaluate(&self, f: &Vec5) -> Response {
        response(self, f)
    }

    fn stress(&self, f: &Vec5) -> Vec5 {
        stress(self, f)
    }

    fn shear_tangent(&self, f: &Vec5) -> Mat4 {
        shear_tangent(self, f)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn derivatives() {
        crate::material::tests::check_derivatives(&NeoHookean { mu: 1.3 });
    }
}
