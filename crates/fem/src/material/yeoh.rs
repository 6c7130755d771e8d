//! Yeoh law: W = C1 (I1bar - 3) + C2 (I1bar - 3)^2 + C3 (I1bar - 3)^3; shear modulus 2 C1.
//!
//! Source: O. H. Yeoh, Rubber Chemistry and Technology 66 (1993) 754 (from memory).

use super::invariants::{Derivatives, Isochoric, response, shear_tangent, stress};
use super::{Material, Response};
use crate::kinematics::{Mat4, Vec5};

/// Isochoric Yeoh rubber.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Yeoh {
    /// Coefficients C1, C2, C3, MPa.
    pub c: [f64; 3],
}

impl Isochoric for Yeoh {
    fn derivatives(&self, i1: f64, _i2: f64) -> Derivatives {
        let [c1, c2, c3] = self.c;
        let x = i1 - 3.0;
        Derivatives {
            w: x * (c1 + x * (c2 + x * c3)),
            w1: c1 + x * (2.0 * c2 + 3.0 * c3 * x),
            w2: 0.0,
            w11: 2.0 * c2 + 6.0 * c3 * x,
        }
    }
}

impl Material for Yeoh {
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
        crate::material::tests::check_derivatives(&Yeoh { c: [0.4, -0.05, 0.02] });
    }
}
