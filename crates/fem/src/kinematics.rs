//! Axisymmetric finite-strain kinematics in five components.
//!
//! F = [rR, rZ, zR, zZ, theta Theta]: the in-plane gradient of the deformation by rows, then the hoop stretch r / R.
//! Source: Bonet and Wood, Nonlinear Continuum Mechanics for Finite Element Analysis, 2nd ed., section 9.4 (from memory).

use crate::mesh::QuadPoint;
use nalgebra::{SMatrix, SVector};

/// A deformation gradient, stress or strain in the five components [rR, rZ, zR, zZ, theta Theta].
pub type Vec5 = SVector<f64, 5>;
/// A tangent between two [`Vec5`].
pub type Mat5 = SMatrix<f64, 5, 5>;
/// A tangent in the four components [r Theta, theta R, theta Z, z Theta], which vanish in a state of revolution without torsion.
pub type Mat4 = SMatrix<f64, 4, 4>;

/// Deformation gradient at a quadrature point of an element with displacements `u` (nine nodes).
pub fn deformation_gradient(point: &QuadPoint, u: &[[f64; 2]; 9]) -> Vec5 {
    let mut f = Vec5::new(1.0, 0.0, 0.0, 1.0, 1.0);
    let mut ur = 0.0;
    for a in 0..9 {
        let [dr, dz] = point.grad[a];
        f[0] += u[a][0] * dr;
        f[1] += u[a][0] * dz;
        f[2] += u[a][1] * dr;
        f[3] += u[a][1] * dz;
        ur += point.n[a] * u[a][0];
    }
    f[4] += ur / point.position[0];
    f
}

/// Volume ratio J = det F.
pub fn jacobian(f: &Vec5) -> f64 {
    f[4] * (f[0] * f[3] - f[1] * f[2])
}

/// dJ/dF (the cofactor of F).
pub fn jacobian_gradient(f: &Vec5) -> Vec5 {
    Vec5::new(f[4] * f[3], -f[4] * f[2], -f[4] * f[1], f[4] * f[0], f[0] * f[3] - f[1] * f[2])
}

/// d2J/dF2.
pub fn jacobian_hessian(f: &Vec5) -> Mat5 {
    let mut h = Mat5::zeros();
    add_jacobian_hessian(f, 1.0, &mut h);
    h
}

/// Adds a multiple of d2J/dF2.
pub fn add_jacobian_hessian(f: &Vec5, factor: f64, to: &mut Mat5) {
    let mut add = |i: usize, j: usize, v: f64| {
        to[(i, j)] += factor * v;
        to[(j, i)] += factor * v;
    };
    add(0, 3, f[4]);
    add(1, 2, -f[4]);
    add(0, 4, f[3]);
    add(1, 4, -f[2]);
    add(2, 4, -f[1]);
    add(3, 4, f[0]);
}

/// Adds a multiple of d2J/dF2 in the components of [`Mat4`].
pub fn add_jacobian_shear_hessian(f: &Vec5, factor: f64, to: &mut Mat4) {
    let mut add = |i: usize, j: usize, v: f64| {
        to[(i, j)] += factor * v;
        to[(j, i)] += factor * v;
    };
    add(0, 1, -f[3]);
    add(0, 2, f[2]);
    add(1, 3, f[1]);
    add(2, 3, -f[0]);
}

/// Cauchy stress (rr, zz, theta theta, rz) from the first Piola-Kirchhoff stress: sigma = P F^T / J.
pub fn cauchy(p: &Vec5, f: &Vec5) -> [f64; 4] {
    let j = jacobian(f);
    [(p[0] * f[0] + p[1] * f[1]) / j, (p[2] * f[2] + p[3] * f[3]) / j, p[4] * f[4] / j, (p[0] * f[2] + p[1] * f[3]) / j]
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    #[test]
    fn derivatives_of_the_volume_ratio_agree_with_differences() {
        let f = Vec5::new(1.1, 0.2, -0.15, 0.9, 1.05);
        let h = 1e-6;
        for i in 0..5 {
            let e = Vec5::ith(i, h);
            let dj = (jacobian(&(f + e)) - jacobian(&(f - e))) / (2.0 * h);
            assert_relative_eq!(jacobian_gradient(&f)[i], dj, epsilon = 1e-9);
            let dg = (jacobian_gradient(&(f + e)) - jacobian_gradient(&(f - e))) / (2.0 * h);
            assert_relative_eq!(jacobian_hessian(&f).column(i).into_owned(), dg, epsilon = 1e-9);
        }
    }
}
