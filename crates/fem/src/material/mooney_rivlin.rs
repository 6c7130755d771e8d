//! Mooney-Rivlin law: W = C1 (I1bar - 3) + C2 (I2bar - 3); shear modulus 2 (C1 + C2).

use super::invariants::{Derivatives, Isochoric, response, shear_tangent, stress};
use super::{Material, Response};
use crate::kinematics::{Mat4, Vec5};

/// Isochoric Mooney-Rivlin rubber.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MooneyRivlin {
    /// Coefficient of I1bar, MPa.
    pub c1: f64,
    /// Coefficient of I2bar, MPa.
    pub c2: f64,
}

impl Isochoric for MooneyRivlin {
    fn derivatives(&self, i1: f64, i2: f64) -> Derivatives {
        Derivatives { w: self.c1 * (i1 - 3.0) + self.c2 * (i2 - 3.0), w1: self.c1, w2: self.c2, w11: 0.0 }
    }
}

impl Material for MooneyRivlin {
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
        crate::material::tests::check_derivatives(&MooneyRivlin { c1: 0.4, c2: 0.1 });
    }
}
