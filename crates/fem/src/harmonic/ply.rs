//! Harmonic tangent of a ply: half of its cords lie at +alpha, half at -alpha, each half with a force of its own.
//!
//! With x_t and x_S the deformed tangents for each radian and for each length of the meridian, a cord stretches by l with
//! l^2 = cos^2 |x_t|^2 / R^2 + sin^2 |x_S|^2 +- 2 sin cos x_t . x_S / R. Half its square varies by m_c cos n t +- m_s sin n t,
//! m_c = cos^2 lt (U + n V) / R + sin^2 (r_S U_S + z_S W_S), m_s = sin cos (lt V_S - (n U + V) r_S / R - n W z_S / R),
//! and to second order by half of cos^2 ((U + n V)^2 cos^2 n t + ((n U + V)^2 + n^2 W^2) sin^2 n t) / R^2 +
//! sin^2 ((U_S^2 + W_S^2) cos^2 n t + V_S^2 sin^2 n t); what goes with sin n t cos n t vanishes in the sum.
//! The cord forces vary by P cos n t +- S sin n t, both condensed.

use super::local::MAX_UNKNOWNS;
use super::{Harmonic, LocalTangent, Wave};
use crate::contribution::ply::{LinePoint, Ply, Stretch};
use crate::error::SolveError;
use crate::state::{Load, State};
use nalgebra::SVector;
use std::f64::consts::PI;

type Row = SVector<f64, MAX_UNKNOWNS>;

impl Harmonic for Ply {
    fn n_inner(&self) -> usize {
        6
    }

    fn tangent(
        &self,
        item: usize,
        state: &State,
        forces: &[f64],
        _load: &Load,
        wave: &Wave,
        out: &mut LocalTangent,
    ) -> Result<(), SolveError> {
        let u = state.gather(&self.quads[item]);
        for (k, p) in self.points[item].iter().enumerate() {
            let (s, length) = (self.stretch(item, p, &u), p.length / (2.0 * PI));
            let (_, compliance) = self.cord.strain(forces[k]);
            let (even, odd) = (even_row(p, &s, wave.order()), odd_row(p, &s, wave.order()));
            for (inner, row) in [(k, even), (3 + k, odd)] {
                out.coupling.column_mut(inner).copy_from(&(row * (length / s.stretch)));
                out.inner[(inner, inner)] = -length * compliance;
            }
            let geometric = length * forces[k] / s.stretch;
            out.tangent -= (even * even.transpose() + odd * odd.transpose()) * (geometric / (s.stretch * s.stretch));
            add_second(p, wave.order(), geometric, out);
        }
        Ok(())
    }
}

/// m_c by the unknowns.
fn even_row(p: &LinePoint, s: &Stretch, order: f64) -> Row {
    let mut row = Row::zeros();
    for a in 0..9 {
        let hoop = p.cos2 * s.hoop * p.hoop[a];
        row[3 * a] = hoop + p.sin2 * s.tangent[0] * p.slope[a];
        row[3 * a + 1] = order * hoop;
        row[3 * a + 2] = p.sin2 * s.tangent[1] * p.slope[a];
    }
    row
}

/// m_s by the unknowns.
fn odd_row(p: &LinePoint, s: &Stretch, order: f64) -> Row {
    let (mut row, c) = (Row::zeros(), (p.cos2 * p.sin2).sqrt());
    for a in 0..9 {
        row[3 * a] = -c * order * p.hoop[a] * s.tangent[0];
        row[3 * a + 1] = c * (s.hoop * p.slope[a] - p.hoop[a] * s.tangent[0]);
        row[3 * a + 2] = -c * order * p.hoop[a] * s.tangent[1];
    }
    row
}

/// Adds the second-order part of half the squared stretch, times `factor`.
fn add_second(p: &LinePoint, n: f64, factor: f64, out: &mut LocalTangent) {
    for a in 0..9 {
        for b in 0..9 {
            let hoop = factor * p.cos2 * p.hoop[a] * p.hoop[b];
            let meridian = factor * p.sin2 * p.slope[a] * p.slope[b];
            let both = (1.0 + n * n) * hoop + meridian;
            out.add(3 * a, 3 * b, both);
            out.add(3 * a + 1, 3 * b + 1, both);
            out.add(3 * a, 3 * b + 1, 2.0 * n * hoop);
            out.add(3 * a + 1, 3 * b, 2.0 * n * hoop);
            out.add(3 * a + 2, 3 * b + 2, n * n * hoop + meridian);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::Friction;
    use super::super::trial::{Placed, check_energy, check_even, check_rigid, over_pi, wave};
    use super::*;
    use crate::contribution::ply::PlySegment;
    use crate::contribution::tests::distorted;
    use crate::material::cord::{Cord, WIDTH};
    use crate::mesh::{Mesh, quad_point};
    use crate::quadrature::GAUSS_3;

    const ETA: f64 = 0.4;
    const STIFFNESS: f64 = 20.0;

    fn lay(r: f64) -> (f64, f64) {
        (0.9 - 0.01 * r, 4.0)
    }

    /// Energy over pi of both families of cords, forces as unknowns.
    fn energy(mesh: &Mesh, state: &State, a: &[f64], n: usize) -> f64 {
        let (x, u) = (mesh.corners(0), state.gather(&mesh.quads[0]));
        // w* with w*' = F / EA - EA w^2 / F.
        let complementary = |f: f64| 0.5 * f * f / STIFFNESS - STIFFNESS * WIDTH * WIDTH * f.ln();
        let at = |t: f64| {
            let (sn, cn) = (n as f64 * t).sin_cos();
            let mut sum = 0.0;
            for (k, (xi, weight)) in GAUSS_3.into_iter().enumerate() {
                let (Some(p), along) = (quad_point(&x, xi, ETA, 1.0), crate::element::quad9::derivatives(xi, ETA)) else {
                    continue;
                };
                let way: [f64; 2] = std::array::from_fn(|i| (0..9).map(|b| along[b][0] * x[b][i]).sum());
                let (length, (angle, ends)) = (way[0].hypot(way[1]), lay(p.position[0]));
                let f = Placed::new(&p, &u, a, n, t).gradient;
                for sign in [1.0, -1.0] {
                    let meridian = (f.column(0) * way[0] + f.column(2) * way[1]) * (sign * angle.sin() / length);
                    let stretch = (f.column(1) * angle.cos() + meridian).norm();
                    let force = state.internal[k] + a[27 + k] * cn + sign * a[30 + k] * sn;
                    let each = force * (stretch - 1.0) - complementary(force);
                    sum += 0.5 * ends * p.position[0] * length * weight * each;
                }
            }
            sum
        };
        over_pi(at)
    }

    #[test]
    fn agrees_with_the_energy_in_three_dimensions() {
        let (mesh, mut state) = distorted();
        for b in 0..9 {
            state.u[2 * b] += 2.0;
            state.u[2 * b + 1] += 0.3 * mesh.nodes[b][1];
        }
        state.internal = vec![0.4, 0.05, 0.9];
        let ply = Ply::new(&mesh, &[PlySegment { quad: 0, eta: ETA }], Cord { stiffness: STIFFNESS }, lay);
        for n in [1, 3] {
            check_energy(&ply, &state, &Load::default(), &wave(n), |a| energy(&mesh, &state, a, n));
        }
        check_even(&ply, &state, &Load::default(), Friction::Free);
        check_rigid(&ply, &state, &Load::default(), &mesh.nodes);
    }
}
