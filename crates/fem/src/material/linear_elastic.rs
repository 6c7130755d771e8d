//! Small-strain linear elasticity, isotropic: sigma = lambda tr(eps) 1 + 2 G eps with eps = sym(F - 1).
//!
//! Not objective: for checks against linear theory and for bodies that neither stretch nor turn much.

use super::{Material, Response};
use crate::kinematics::{Mat4, Mat5, Vec5};

/// Isotropic linear elastic law.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LinearElastic {
    tangent: Mat5,
}

impl LinearElastic {
    /// From Young's modulus, MPa, and Poisson's ratio (below 1/2).
    pub fn new(young: f64, poisson: f64) -> Self {
        let g = young / (2.0 * (1.0 + poisson));
        let lambda = young * poisson / ((1.0 + poisson) * (1.0 - 2.0 * poisson));
        let mut tangent = Mat5::zeros();
        for i in [0, 3, 4] {
            for j in [0, 3, 4] {
                tangent[(i, j)] = lambda;
            }
            tangent[(i, i)] += 2.0 * g;
        }
        for i in [1, 2] {
            for j in [1, 2] {
                tangent[(i, j)] = g;
            }
        }
        Self { tangent }
    }
}

impl Material for LinearElastic {
    fn evaluate(&self, f: &Vec5) -> Response {
        let stress = self.stress(f);
        Response { energy: 0.5 * strain(f).dot(&stress), stress, tangent: self.tangent }
    }

    fn stress(&self, f: &Vec5) -> Vec5 {
        self.tangent * strain(f)
    }

    fn shear_tangent(&self, _f: &Vec5) -> Mat4 {
        let mut tangent = Mat4::zeros();
        for i in [0, 2] {
            tangent.fixed_view_mut::<2, 2>(i, i).fill(self.tangent[(1, 1)]);
        }
        tangent
    }
}

fn strain(f: &Vec5) -> Vec5 {
    f - Vec5::new(1.0, 0.0, 0.0, 1.0, 1.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn derivatives() {
        crate::material::tests::check_derivatives(&LinearElastic::new(210.0, 0.3));
    }
}
