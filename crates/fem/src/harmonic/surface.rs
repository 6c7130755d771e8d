//! Pressure on a deformed surface that is uneven round the circumference.
//!
//! With x(xi, t) the surface, ' the derivative by xi and t the angle, the pressure p makes the force p x_t x x' for each dxi dt. Under
//! (U cos n t, V sin n t, W cos n t) the product varies by
//! radial `(r W' + (U + n V) z') cos n t`, circumferential `((n U + V) z' - n W r') sin n t`, axial `-(r U' + (U + n V) r') cos n t`.
//! Source: as in the axisymmetric pressure, written out for the wave.

use super::LocalTangent;
use crate::element::line3;
use crate::mesh::line_point;

/// A point of a quadratic edge whose three nodes' unknowns come first in an item.
pub(super) struct SurfacePoint {
    shape: [f64; 3],
    slope: [f64; 3],
    /// r, r', z'.
    pub(super) radius: f64,
    pub(super) along: [f64; 2],
    /// Weight of the quadrature.
    weight: f64,
}

impl SurfacePoint {
    pub(super) fn new(x: &[[f64; 2]; 3], (xi, weight): (f64, f64)) -> Self {
        let ([radius, _], along) = line_point(x, xi);
        Self { shape: line3::shape(xi), slope: line3::derivative(xi), radius, along, weight }
    }

    /// Adds what the pressure p does to the tangent under an even displacement (n = 0, without V).
    pub(super) fn add_even_pressure(&self, pressure: f64, out: &mut LocalTangent) {
        let ([dr, dz], c) = (self.along, pressure * self.weight);
        self.add(out, |na, nb, db| {
            let (radial, axial) = (c * na * nb * dz, c * na * self.radius * db);
            [[-radial, 0.0, -axial], [0.0; 3], [c * na * nb * dr + axial, 0.0, 0.0]]
        });
    }

    /// Adds what comes to that with waves and with V.
    pub(super) fn add_uneven_pressure(&self, pressure: f64, order: f64, out: &mut LocalTangent) {
        let ([dr, dz], c) = (self.along.map(|d| d * pressure * self.weight), order);
        self.add(out, |na, nb, _| {
            let m = na * nb;
            [[0.0, -m * c * dz, 0.0], [-m * c * dz, -m * dz, m * c * dr], [0.0, m * c * dr, 0.0]]
        });
    }

    /// Adds what a traction s along x' does in V and by V: the force s |x_t| x' varies by s (n V x' + r (0, V', 0)).
    pub(super) fn add_uneven_traction(&self, traction: f64, order: f64, out: &mut LocalTangent) {
        let ([dr, dz], s) = (self.along, traction * self.weight);
        self.add(out, |na, nb, db| {
            let by_v = -s * order * na * nb;
            [[0.0, by_v * dr, 0.0], [0.0, -s * self.radius * na * db, 0.0], [0.0, by_v * dz, 0.0]]
        });
    }

    /// Adds springs for each area against V.
    pub(super) fn add_circumferential_springs(&self, stiffness: f64, out: &mut LocalTangent) {
        let c = stiffness * self.weight * self.radius * self.along[0].hypot(self.along[1]);
        self.add(out, |na, nb, _| [[0.0; 3], [0.0, c * na * nb, 0.0], [0.0; 3]]);
    }

    /// Adds the blocks (U, V, W) x (U, V, W) that a function gives from N_a, N_b and N_b'.
    fn add(&self, out: &mut LocalTangent, block: impl Fn(f64, f64, f64) -> [[f64; 3]; 3]) {
        for (a, na) in self.shape.iter().enumerate() {
            for (b, nb) in self.shape.iter().enumerate() {
                let block = block(*na, *nb, self.slope[b]);
                for i in 0..3 {
                    for j in 0..3 {
                        out.add(3 * a + i, 3 * b + j, block[i][j]);
                    }
                }
            }
        }
    }
}

/// A surface in three dimensions, for the tests of what acts on it.
#[cfg(test)]
pub(super) mod trial {
    use crate::element::line3;
    use crate::harmonic::trial::over_pi;
    use nalgebra::Vector3;

    /// A point of a deformed surface, Cartesian: position, derivatives by xi and by the angle, and their product x_t x x'.
    pub(in crate::harmonic) struct Sheet {
        pub(in crate::harmonic) position: Vector3<f64>,
        pub(in crate::harmonic) along: Vector3<f64>,
        pub(in crate::harmonic) around: Vector3<f64>,
        pub(in crate::harmonic) normal: Vector3<f64>,
        /// Reference angle.
        pub(in crate::harmonic) angle: f64,
    }

    /// Directions at an angle.
    pub(in crate::harmonic) fn directions(t: f64) -> [Vector3<f64>; 3] {
        let (s, c) = t.sin_cos();
        [Vector3::new(c, s, 0.0), Vector3::new(-s, c, 0.0), Vector3::z()]
    }

    impl Sheet {
        /// Edge with nodes at `x`, displaced by nine amplitudes of order n.
        pub(in crate::harmonic) fn new(x: &[[f64; 2]; 3], a: &[f64], n: usize, xi: f64, t: f64) -> Self {
            let (n, shape, slope) = (n as f64, line3::shape(xi), line3::derivative(xi));
            let ((sn, cn), [er, et, ez]) = ((n * t).sin_cos(), directions(t));
            let (mut position, mut along, mut around) = (Vector3::zeros(), Vector3::zeros(), Vector3::zeros());
            for b in 0..3 {
                let [r, c, z] = [x[b][0] + a[3 * b] * cn, a[3 * b + 1] * sn, x[b][1] + a[3 * b + 2] * cn];
                let [r_t, c_t, z_t] = [-n * a[3 * b] * sn, n * a[3 * b + 1] * cn, -n * a[3 * b + 2] * sn];
                position += (er * r + et * c + ez * z) * shape[b];
                along += (er * r + et * c + ez * z) * slope[b];
                around += (er * (r_t - c) + et * (r + c_t) + ez * z_t) * shape[b];
            }
            Self { position, along, around, normal: around.cross(&along), angle: t }
        }
    }

    /// Minus the virtual work over pi of a force for each dxi dt, on unit amplitudes of order n. The function gets the surface, the number
    /// of the quadrature point.
    pub(in crate::harmonic) fn residual(
        x: &[[f64; 2]; 3],
        rule: &[(f64, f64)],
        a: &[f64],
        n: usize,
        force: impl Fn(&Sheet, usize) -> Vector3<f64>,
    ) -> Vec<f64> {
        let row = |i: usize| {
            over_pi(|t| {
                let ((sn, cn), e) = ((n as f64 * t).sin_cos(), directions(t));
                let virtual_displacement = e[i % 3] * if i % 3 == 1 { sn } else { cn };
                let at = |(q, (xi, weight)): (usize, &(f64, f64))| {
                    -weight * line3::shape(*xi)[i / 3] * force(&Sheet::new(x, a, n, *xi, t), q).dot(&virtual_displacement)
                };
                rule.iter().enumerate().map(at).sum()
            })
        };
        (0..9).map(row).collect()
    }
}
