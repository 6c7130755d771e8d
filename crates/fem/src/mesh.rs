//! Mesh of nine-node quadrilaterals and its reference geometry.

use crate::element::{line3, quad9};
use crate::quadrature::gauss_3x3;
use std::f64::consts::PI;

/// Nodes (r, z) in mm and nine-node quadrilaterals (see [`quad9`] for the order), positively oriented in the (r, z) plane.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Mesh {
    /// Reference positions (r, z), mm.
    pub nodes: Vec<[f64; 2]>,
    /// Connectivity.
    pub quads: Vec<[usize; 9]>,
}

/// One quadrature point of an element in the reference configuration.
#[derive(Clone, Copy, Debug)]
pub struct QuadPoint {
    /// Shape functions.
    pub n: [f64; 9],
    /// Shape function gradients (d/dR, d/dZ), 1/mm.
    pub grad: [[f64; 2]; 9],
    /// Reference position (R, Z), mm.
    pub position: [f64; 2],
    /// 2 pi R |dX/dxi| w, mm^3.
    pub volume: f64,
}

impl Mesh {
    /// The nine reference positions of a quadrilateral.
    pub fn corners(&self, quad: usize) -> [[f64; 2]; 9] {
        self.quads[quad].map(|i| self.nodes[i])
    }

    /// The displacement unknowns of the nodes given.
    pub fn dofs<const N: usize>(nodes: [usize; N]) -> impl Iterator<Item = usize> {
        nodes.into_iter().flat_map(|i| [2 * i, 2 * i + 1])
    }

    /// The nine quadrature points of a quadrilateral; `None` if its Jacobian is not positive at one of them.
    pub fn quad_points(&self, quad: usize) -> Option<[QuadPoint; 9]> {
        let x = self.corners(quad);
        let mut points = Vec::with_capacity(9);
        for (xi, eta, weight) in gauss_3x3() {
            points.push(quad_point(&x, xi, eta, weight)?);
        }
        points.try_into().ok()
    }

    /// Reference area of a quadrilateral's section, mm^2.
    pub fn section_area(&self, quad: usize) -> f64 {
        self.quad_points(quad).map_or(0.0, |points| points.iter().map(|p| p.volume / (2.0 * PI * p.position[0])).sum())
    }
}

/// Position, mm, determinant of the Jacobian, mm^2, and shape function gradients (d/dR, d/dZ), 1/mm, at a point of an element with node
/// positions `x`, shape functions `n` and their derivatives `d` by the element's coordinates; `None` if the Jacobian is not positive.
pub(crate) fn map_to_section<const N: usize>(
    x: &[[f64; 2]; N],
    n: &[f64; N],
    d: &[[f64; 2]; N],
) -> Option<([f64; 2], f64, [[f64; 2]; N])> {
    let mut jac = [[0.0; 2]; 2];
    let mut position = [0.0; 2];
    for a in 0..N {
        for i in 0..2 {
            position[i] += n[a] * x[a][i];
            jac[i][0] += x[a][i] * d[a][0];
            jac[i][1] += x[a][i] * d[a][1];
        }
    }
    let det = jac[0][0] * jac[1][1] - jac[0][1] * jac[1][0];
    if det <= 0.0 || !det.is_finite() {
        return None;
    }
    // grad N = J^-T dN/dxi
    let grad = d.map(|[dxi, deta]| [(jac[1][1] * dxi - jac[1][0] * deta) / det, (-jac[0][1] * dxi + jac[0][0] * deta) / det]);
    Some((position, det, grad))
}

/// Reference quantities at (xi, eta) of an element with node positions `x`; `None` if the Jacobian is not positive.
pub fn quad_point(x: &[[f64; 2]; 9], xi: f64, eta: f64, weight: f64) -> Option<QuadPoint> {
    let n = quad9::shape(xi, eta);
    let (position, det, grad) = map_to_section(x, &n, &quad9::derivatives(xi, eta))?;
    Some(QuadPoint { n, grad, position, volume: 2.0 * PI * position[0] * det * weight })
}

/// Position and derivative by xi of a quadratic line with nodes `x` (ends, then middle) at `xi`.
pub fn line_point(x: &[[f64; 2]; 3], xi: f64) -> ([f64; 2], [f64; 2]) {
    let (n, d) = (line3::shape(xi), line3::derivative(xi));
    let mut position = [0.0; 2];
    let mut tangent = [0.0; 2];
    for a in 0..3 {
        for i in 0..2 {
            position[i] += n[a] * x[a][i];
            tangent[i] += d[a] * x[a][i];
        }
    }
    (position, tangent)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use approx::assert_relative_eq;

    #[test]
    fn a_curved_element_has_the_area_of_its_sector() {
        // A ring sector between radii 1 and 1.2 over 0.2 rad about a centre at r = 10: area = 0.2 (1.2^2 - 1^2)/2.
        let polar = |radius: f64, angle: f64| [10.0 + radius * angle.cos(), radius * angle.sin()];
        let nodes = quad9::NODES.map(|(xi, eta)| polar(1.1 + 0.1 * xi, 0.1 * eta)).to_vec();
        let mesh = Mesh { nodes, quads: vec![[0, 1, 2, 3, 4, 5, 6, 7, 8]] };
        assert_relative_eq!(mesh.section_area(0), 0.2 * (1.44 - 1.0) / 2.0, max_relative = 1e-5);
    }

    #[test]
    fn an_inverted_element_is_refused() {
        let nodes = quad9::NODES.map(|(xi, eta)| [10.0 - xi, eta]).to_vec();
        let mesh = Mesh { nodes, quads: vec![[0, 1, 2, 3, 4, 5, 6, 7, 8]] };
        assert!(mesh.quad_points(0).is_none());
    }
}
