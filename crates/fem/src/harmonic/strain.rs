//! How the deformation gradient of a nine-node element follows its 27 harmonic unknowns.

use super::local::{LocalTangent, MAX_UNKNOWNS};
use crate::kinematics::{Mat4, Mat5};
use crate::mesh::QuadPoint;
use nalgebra::SMatrix;
use std::f64::consts::PI;

/// Variation of the five components with cos n t by the unknowns.
pub(super) type Even = SMatrix<f64, 5, MAX_UNKNOWNS>;
/// Variation of the four components with sin n t by the unknowns.
pub(super) type Odd = SMatrix<f64, 4, MAX_UNKNOWNS>;

/// Both parts at a quadrature point, and its volume per radian.
pub(super) struct Strain {
    pub(super) even: Even,
    pub(super) odd: Odd,
    pub(super) volume: f64,
}

impl Strain {
    /// At a point, for `order` waves.
    pub(super) fn new(point: &QuadPoint, order: f64) -> Self {
        let (mut even, mut odd) = (Even::zeros(), Odd::zeros());
        for (a, (n, [dr, dz])) in point.n.iter().zip(point.grad).enumerate() {
            let over_radius = n / point.position[0];
            let (u, v, w) = (3 * a, 3 * a + 1, 3 * a + 2);
            (even[(0, u)], even[(1, u)], even[(4, u)]) = (dr, dz, over_radius);
            even[(4, v)] = order * over_radius;
            (even[(2, w)], even[(3, w)]) = (dr, dz);
            odd[(0, u)] = -order * over_radius;
            (odd[(0, v)], odd[(1, v)], odd[(2, v)]) = (-over_radius, dr, dz);
            odd[(3, w)] = -order * over_radius;
        }
        Self { even, odd, volume: point.volume / (2.0 * PI) }
    }

    /// Adds the second variation of an energy for each volume whose derivatives by the two sets of components are given.
    pub(super) fn add(&self, even: &Mat5, odd: &Mat4, out: &mut LocalTangent) {
        out.tangent += self.even.tr_mul(&(even * self.even * self.volume));
        out.tangent += self.odd.tr_mul(&(odd * self.odd * self.volume));
    }
}
