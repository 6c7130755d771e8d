//! Linear elastic body of revolution of six-node triangles: small strains, small rotations; for stiff bodies.
//!
//! Strains (rr, zz, theta theta, 2 rz) = B u with u_r / r in hoop direction; residual B^T D B u over the whole circumference.
//! Source: Zienkiewicz and Taylor, The Finite Element Method, volume 1, chapter on axisymmetric stress analysis (from memory).

use super::{Contribution, LocalSystem};
use crate::element::tri6;
use crate::error::SolveError;
use crate::mesh::{Mesh, map_to_section};
use crate::quadrature::TRIANGLE_6;
use crate::state::{Load, State};
use nalgebra::{Matrix3, Matrix4, Vector4};
use std::f64::consts::PI;

/// Points at which stresses are sampled: where the strains of a quadratic triangle are most exact (Barlow, Int. J. Numer. Methods
/// Eng. 10 (1976) 243, from memory).
const SAMPLES: [(f64, f64); 3] = [(1.0 / 6.0, 1.0 / 6.0), (2.0 / 3.0, 1.0 / 6.0), (1.0 / 6.0, 2.0 / 3.0)];

/// Stress (rr, zz, theta theta, rz), MPa.
pub type Stress = [f64; 4];

/// Stiffness alike in all directions of the section, another one in hoop direction (transverse isotropy about the hoop).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Law {
    stiffness: Matrix4<f64>,
}

/// Moduli of a [`Law`].
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Moduli {
    /// Young's modulus in the section, MPa.
    pub section: f64,
    /// Young's modulus in hoop direction, MPa.
    pub hoop: f64,
    /// Contraction across a stress in the section, within the section.
    pub section_poisson: f64,
    /// Contraction in the section under a stress in hoop direction.
    pub hoop_poisson: f64,
}

impl Law {
    /// From the moduli; `None` if no material can have them (the compliance is not positive definite).
    pub fn new(m: &Moduli) -> Option<Self> {
        let (in_section, by_hoop) = (-m.section_poisson / m.section, -m.hoop_poisson / m.hoop);
        let (s, h) = (1.0 / m.section, 1.0 / m.hoop);
        let compliance = Matrix3::new(s, in_section, by_hoop, in_section, s, by_hoop, by_hoop, by_hoop, h);
        let inverse = compliance.cholesky()?.inverse();
        let mut stiffness = Matrix4::zeros();
        stiffness.fixed_view_mut::<3, 3>(0, 0).copy_from(&inverse);
        stiffness[(3, 3)] = m.section / (2.0 * (1.0 + m.section_poisson));
        Some(Self { stiffness })
    }
}

/// Gradients of the shape functions at a point, and its volume 2 pi R |J| w, mm^3.
#[derive(Clone, Copy, Debug)]
struct Point {
    n: [f64; 6],
    grad: [[f64; 2]; 6],
    radius: f64,
    volume: f64,
}

impl Point {
    /// `None` if the element is inverted there.
    fn new(x: &[[f64; 2]; 6], xi: f64, eta: f64, weight: f64) -> Option<Self> {
        let n = tri6::shape(xi, eta);
        let ([radius, _], det, grad) = map_to_section(x, &n, &tri6::derivatives(xi, eta))?;
        Some(Self { n, grad, radius, volume: 2.0 * PI * radius * det * weight })
    }

    /// Column of B for one unknown (node a, component i).
    fn column(&self, a: usize, i: usize) -> Vector4<f64> {
        let [dr, dz] = self.grad[a];
        if i == 0 { Vector4::new(dr, 0.0, self.n[a] / self.radius, dz) } else { Vector4::new(0.0, dz, 0.0, dr) }
    }

    fn strain(&self, u: &[[f64; 2]; 6]) -> Vector4<f64> {
        (0..12).map(|k| self.column(k / 2, k % 2) * u[k / 2][k % 2]).sum()
    }
}

/// Elements of one material.
#[derive(Clone, Debug)]
pub struct Elastic {
    triangles: Vec<[usize; 6]>,
    points: Vec<[Point; 6]>,
    samples: Vec<[Point; 3]>,
    law: Law,
}

impl Elastic {
    /// Triangles (corners counter-clockwise, then mid-sides 01, 12, 20) over nodes (r, z), mm.
    ///
    /// # Errors
    /// The number of the first inverted triangle.
    pub fn new(nodes: &[[f64; 2]], triangles: &[[usize; 6]], law: Law) -> Result<Self, usize> {
        let points = |x: &[[f64; 2]; 6]| collect::<6>(TRIANGLE_6.iter().map(|(xi, eta, w)| Point::new(x, *xi, *eta, *w)));
        let samples = |x: &[[f64; 2]; 6]| collect::<3>(SAMPLES.iter().map(|(xi, eta)| Point::new(x, *xi, *eta, 0.0)));
        let mut body = Self { triangles: triangles.to_vec(), points: Vec::new(), samples: Vec::new(), law };
        for (number, triangle) in triangles.iter().enumerate() {
            let x = triangle.map(|n| nodes[n]);
            body.points.push(points(&x).ok_or(number)?);
            body.samples.push(samples(&x).ok_or(number)?);
        }
        Ok(body)
    }

    /// Nodes of an element.
    pub fn nodes(&self, item: usize) -> &[usize; 6] {
        &self.triangles[item]
    }

    /// Section area, mm^2.
    pub fn area(&self) -> f64 {
        self.points.iter().flatten().map(|p| p.volume / (2.0 * PI * p.radius)).sum()
    }

    /// Volume of the whole body, mm^3.
    pub fn volume(&self) -> f64 {
        self.points.iter().flatten().map(|p| p.volume).sum()
    }

    /// Hoop force int sigma_theta dA of the section, N, under displacements `u` (2 an node), mm.
    pub fn hoop_force(&self, u: &[f64]) -> f64 {
        let of = |item: usize| {
            let local = self.gather(item, u);
            let force = |p: &Point| (self.law.stiffness * p.strain(&local))[2] * p.volume / (2.0 * PI * p.radius);
            self.points[item].iter().map(force).sum::<f64>()
        };
        (0..self.triangles.len()).map(of).sum()
    }

    /// Stress at every node of the mesh under displacements `u`: sampled inside the elements, extended straight to their nodes and
    /// averaged over the elements that meet there. Nodes of other bodies get zero.
    pub fn nodal_stress(&self, u: &[f64]) -> Vec<Stress> {
        let mut sum = vec![([0.0; 4], 0.0); u.len() / 2];
        for (item, triangle) in self.triangles.iter().enumerate() {
            let local = self.gather(item, u);
            let [a, b, c] = self.samples[item].each_ref().map(|p| self.law.stiffness * p.strain(&local));
            for (node, (xi, eta)) in triangle.iter().zip(tri6::NODES) {
                let stress = a + (b - a) * (2.0 * xi - 1.0 / 3.0) + (c - a) * (2.0 * eta - 1.0 / 3.0);
                for k in 0..4 {
                    sum[*node].0[k] += stress[k];
                }
                sum[*node].1 += 1.0;
            }
        }
        sum.into_iter().map(|(s, n)| if n > 0.0 { s.map(|s| s / n) } else { s }).collect()
    }

    fn gather(&self, item: usize, u: &[f64]) -> [[f64; 2]; 6] {
        self.triangles[item].map(|n| [u[2 * n], u[2 * n + 1]])
    }
}

fn collect<const N: usize>(points: impl Iterator<Item = Option<Point>>) -> Option<[Point; N]> {
    points.collect::<Option<Vec<_>>>()?.try_into().ok()
}

impl Contribution for Elastic {
    fn name(&self) -> &'static str {
        "elastic body"
    }

    fn n_items(&self) -> usize {
        self.triangles.len()
    }

    fn dofs(&self, item: usize, out: &mut Vec<usize>) {
        out.extend(Mesh::dofs(self.triangles[item]));
    }

    fn evaluate(
        &self,
        item: usize,
        state: &State,
        _internal: &[f64],
        _load: &Load,
        out: &mut LocalSystem,
    ) -> Result<(), SolveError> {
        let u = self.gather(item, &state.u);
        for point in &self.points[item] {
            let columns: [Vector4<f64>; 12] = std::array::from_fn(|k| point.column(k / 2, k % 2));
            let stress = self.law.stiffness * point.strain(&u) * point.volume;
            let by = columns.map(|c| self.law.stiffness * c * point.volume);
            for i in 0..12 {
                out.residual[i] += columns[i].dot(&stress);
                for j in 0..12 {
                    out.add(i, j, columns[i].dot(&by[j]));
                }
            }
        }
        Ok(())
    }
}

/// Equivalent stress after von Mises, MPa.
pub fn von_mises([rr, zz, tt, rz]: Stress) -> f64 {
    (0.5 * ((rr - zz).powi(2) + (zz - tt).powi(2) + (tt - rr).powi(2)) + 3.0 * rz * rz).sqrt()
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use approx::assert_relative_eq;

    const LAMINATE: Moduli = Moduli { section: 45e3, hoop: 70e3, section_poisson: 0.3, hoop_poisson: 0.25 };

    /// One triangle with curved sides near r = 300.
    fn triangle(law: Law) -> Elastic {
        let nodes = [[300.0, 0.0], [302.0, 0.3], [300.2, 1.7], [301.0, 0.05], [301.2, 1.1], [300.0, 0.9]];
        Elastic::new(&nodes, &[[0, 1, 2, 3, 4, 5]], law).unwrap()
    }

    #[test]
    fn tangent_agrees_with_differences() {
        let u = (0..12).map(|i| 0.01 * f64::from(i * 5 % 7)).collect();
        let body = triangle(Law::new(&LAMINATE).unwrap());
        crate::contribution::tests::check_tangent(&body, &State { u, ..State::default() }, &Load::default());
    }

    #[test]
    fn a_single_stress_gives_the_strains_of_its_moduli() {
        let law = Law::new(&LAMINATE).unwrap();
        let hoop = law.stiffness * Vector4::new(-0.25e-3, -0.25e-3, 1e-3, 0.0);
        assert_relative_eq!(hoop[2], 70.0, max_relative = 1e-12);
        assert_relative_eq!(hoop[0], 0.0, epsilon = 1e-10);
        let radial = law.stiffness * Vector4::new(1e-3, -0.3e-3, -0.25e-3 * 45.0 / 70.0, 0.0);
        assert_relative_eq!(radial[0], 45.0, max_relative = 1e-12);
        assert_relative_eq!(radial[2], 0.0, epsilon = 1e-10);
        assert!(Law::new(&Moduli { hoop_poisson: 1.5, ..LAMINATE }).is_none());
    }

    #[test]
    fn a_stress_that_is_straight_in_the_element_is_met_at_its_nodes() {
        // u_z = a z^2 / 2: strain a z along z and none else.
        let (a, moduli) = (1e-3, Moduli { section: 70e3, hoop: 70e3, section_poisson: 0.3, hoop_poisson: 0.3 });
        let nodes = [[300.0, 0.0], [302.0, 0.4], [300.4, 1.8], [301.0, 0.2], [301.2, 1.1], [300.2, 0.9]];
        let body = Elastic::new(&nodes, &[[0, 1, 2, 3, 4, 5]], Law::new(&moduli).unwrap()).unwrap();
        let u: Vec<f64> = nodes.iter().flat_map(|x| [0.0, 0.5 * a * x[1] * x[1]]).collect();
        let (along, across) = (70e3 * 0.7 / (1.3 * 0.4), 70e3 * 0.3 / (1.3 * 0.4));
        for (stress, x) in body.nodal_stress(&u).iter().zip(nodes) {
            let strain = a * x[1];
            for (found, expected) in stress.iter().zip([across * strain, along * strain, across * strain, 0.0]) {
                assert_relative_eq!(*found, expected, epsilon = 1e-9);
            }
        }
    }

    #[test]
    fn a_uniform_growth_has_its_hoop_force_and_stress() {
        // u_r = e r, u_z = e z: strains e in every direction, stress E e / (1 - 2 nu).
        let (e, young, nu) = (1e-3, 70e3, 0.33);
        let law = Law::new(&Moduli { section: young, hoop: young, section_poisson: nu, hoop_poisson: nu }).unwrap();
        let body = triangle(law);
        let nodes = [[300.0, 0.0], [302.0, 0.3], [300.2, 1.7], [301.0, 0.05], [301.2, 1.1], [300.0, 0.9]];
        let u: Vec<f64> = nodes.iter().flat_map(|x| [e * x[0], e * x[1]]).collect();
        let stress = young * e / (1.0 - 2.0 * nu);
        assert_relative_eq!(body.hoop_force(&u), stress * body.area(), max_relative = 1e-9);
        for s in body.nodal_stress(&u) {
            assert_relative_eq!(s[0], stress, max_relative = 1e-9);
            assert_relative_eq!(s[2], stress, max_relative = 1e-9);
            assert!(von_mises(s) < 1e-6 * stress);
        }
        assert_relative_eq!(von_mises([3.0, 0.0, 0.0, 0.0]), 3.0, max_relative = 1e-12);
        assert_relative_eq!(von_mises([0.0, 0.0, 0.0, 1.0]), 3.0_f64.sqrt(), max_relative = 1e-12);
    }
}
