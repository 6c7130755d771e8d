//! Constitutive laws: energy, stress and tangent as functions of the five-component deformation gradient.

pub mod compressible;
pub mod cord;
pub mod invariants;
pub mod linear_elastic;
pub mod mooney_rivlin;
pub mod neo_hookean;
pub mod yeoh;

use crate::kinematics::{Mat4, Mat5, Vec5};

/// Response of a material at one deformation gradient.
#[derive(Clone, Copy, Debug)]
pub struct Response {
    /// Strain energy per reference volume, MPa.
    pub energy: f64,
    /// First Piola-Kirchhoff stress, MPa.
    pub stress: Vec5,
    /// d stress / d F, MPa.
    pub tangent: Mat5,
}

/// A hyperelastic law.
pub trait Material: Send + Sync {
    /// Energy, stress and tangent at `f`; the caller has checked J > 0.
    fn evaluate(&self, f: &Vec5) -> Response;

    /// First Piola-Kirchhoff stress alone, MPa, at `f`.
    fn stress(&self, f: &Vec5) -> Vec5;

    /// d stress / d F, MPa, in the four components that vanish without torsion; they are not coupled with the five others.
    fn shear_tangent(&self, f: &Vec5) -> Mat4;
}

#[cfg(test)]
pub(crate) mod tests {
    use super::*;
    use approx::assert_relative_eq;

    /// Compares stress and tangent of a law with central differences of energy and stress to 1e-6 relative.
    pub(crate) fn check_derivatives(law: &dyn Material) {
        for f in [Vec5::new(1.0, 0.0, 0.0, 1.0, 1.0), Vec5::new(1.2, 0.3, -0.2, 0.8, 1.1), Vec5::new(0.7, -0.1, 0.4, 1.3, 0.9)] {
            let response = law.evaluate(&f);
            let scale = response.tangent.amax();
            assert_relative_eq!(law.stress(&f), response.stress, epsilon = 1e-14 * scale);
            let h = 1e-5;
            for i in 0..5 {
                let e = Vec5::ith(i, h);
                let (plus, minus) = (law.evaluate(&(f + e)), law.evaluate(&(f - e)));
                assert_relative_eq!(response.stress[i], (plus.energy - minus.energy) / (2.0 * h), epsilon = 1e-6 * scale);
                let difference = (plus.stress - minus.stress) / (2.0 * h);
                assert_relative_eq!(response.tangent.column(i).into_owned(), difference, epsilon = 1e-6 * scale);
            }
        }
    }
}
