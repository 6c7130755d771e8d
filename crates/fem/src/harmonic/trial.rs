//! Harmonic tangents of single items against what is known of them, for the tests of every contribution.
#![allow(clippy::unwrap_used)]

use super::{Friction, Harmonic, LocalTangent, Numbering, Wave};
use crate::contribution::tests::local;
use crate::mesh::QuadPoint;
use crate::state::{Load, State};
use approx::assert_relative_eq;
use nalgebra::{DMatrix, DVector, Matrix3, Vector3};
use std::f64::consts::PI;

/// Angles round the circumference: their mean is exact for products of up to four harmonics.
pub(super) const ANGLES: usize = 40;

/// Free contact with n waves.
pub(super) fn wave(n: usize) -> Wave {
    Wave { n, friction: Friction::Free }
}

/// Harmonic tangent of an item, not condensed.
pub(super) fn tangent(c: &dyn Harmonic, item: usize, state: &State, load: &Load, wave: &Wave) -> LocalTangent {
    let q = &state.internal[item * c.n_internal()..(item + 1) * c.n_internal()];
    let mut out = LocalTangent::default();
    out.reset(unknowns(c, item, state).len());
    c.tangent(item, state, q, load, wave, &mut out).unwrap();
    out
}

/// The same, condensed.
pub(super) fn condensed(c: &dyn Harmonic, item: usize, state: &State, load: &Load, wave: &Wave) -> DMatrix<f64> {
    let mut out = tangent(c, item, state, load, wave);
    if c.n_inner() > 0 {
        out.condense(c.n_inner()).unwrap();
    }
    DMatrix::from_fn(out.n, out.n, |i, j| out.at(i, j))
}

/// Local harmonic numbers of an item's axisymmetric unknowns, nodes counted by the largest even pair.
fn unknowns(c: &dyn Harmonic, item: usize, state: &State) -> Vec<usize> {
    let mut dofs = Vec::new();
    c.dofs(item, &mut dofs);
    let mut out = Vec::new();
    Numbering { n_nodes: nodes(&dofs, state) }.of_item(&dofs, &mut out);
    out
}

/// Number of nodes: the extra unknowns of the items tried here are those from 6 on, or none.
fn nodes(dofs: &[usize], state: &State) -> usize {
    if dofs.len() > 6 && dofs.len() != 18 { 3 } else { state.u.len() / 2 }
}

/// With n = 0 the tangent without V is the axisymmetric one for each radian, to 1e-12 of its largest entry, and V is coupled with nothing.
pub(super) fn check_even(c: &dyn Harmonic, state: &State, load: &Load, friction: Friction) {
    for item in 0..c.n_items() {
        let q = &state.internal[item * c.n_internal()..(item + 1) * c.n_internal()];
        let (even, m) = (local(c, item, state, q, load), c.n_internal());
        let inner = DMatrix::from_fn(m, m, |k, l| even.internal.tangent[k][l]);
        let coupling = DMatrix::from_fn(even.n, m, |i, k| even.internal.coupling[i][k]);
        let full = DMatrix::from_fn(even.n, even.n, |i, j| even.at(i, j));
        let expected = (&full - &coupling * inner.try_inverse().unwrap() * coupling.transpose()) / (2.0 * PI);
        let found = condensed(c, item, state, load, &Wave { n: 0, friction });
        let mut dofs = Vec::new();
        c.dofs(item, &mut dofs);
        let numbering = Numbering { n_nodes: nodes(&dofs, state) };
        let all = unknowns(c, item, state);
        let place = |dof: usize| all.iter().position(|u| *u == numbering.of_even(dof)).unwrap();
        let places: Vec<usize> = dofs.iter().map(|dof| place(*dof)).collect();
        let scale = full.amax() / (2.0 * PI);
        for (i, a) in places.iter().enumerate() {
            for (j, b) in places.iter().enumerate() {
                assert_relative_eq!(found[(*a, *b)], expected[(i, j)], epsilon = 1e-12 * scale);
            }
            for v in (0..all.len()).filter(|v| !places.contains(v)) {
                assert!(found[(*a, v)] == 0.0 && found[(v, *a)] == 0.0);
            }
        }
    }
}

/// Rigid motions of the deformed item change its forces as they turn them, whatever its state: forces R for each radian become
/// K u = 0 for a shift, axial or (U, V) = (1, -1) with n = 1, (0, R_r, 0) for a turn V = r about the axis, and (-R_z, R_z, R_r) for a tilt
/// (-z, z, r) with n = 1.
pub(super) fn check_rigid(c: &dyn Harmonic, state: &State, load: &Load, reference: &[[f64; 2]]) {
    for item in 0..c.n_items() {
        let q = &state.internal[item * c.n_internal()..(item + 1) * c.n_internal()];
        let (even, mut dofs) = (local(c, item, state, q, load), Vec::new());
        c.dofs(item, &mut dofs);
        let n = dofs.len() / 2;
        let x = |a: usize, i: usize| reference[dofs[2 * a] / 2][i] + state.u[dofs[2 * a + i]];
        let r = |a: usize, i: usize| even.residual[2 * a + i] / (2.0 * PI);
        let each = |of: &dyn Fn(usize) -> [f64; 3]| DVector::from_iterator(3 * n, (0..n).flat_map(of));
        let (zero, one) = (condensed(c, item, state, load, &wave(0)), condensed(c, item, state, load, &wave(1)));
        let none = DVector::zeros(3 * n);
        let cases = [
            (&zero, each(&|_| [0.0, 0.0, 1.0]), none.clone()),
            (&one, each(&|_| [1.0, -1.0, 0.0]), none),
            (&zero, each(&|a| [0.0, x(a, 0), 0.0]), each(&|a| [0.0, r(a, 0), 0.0])),
            (&one, each(&|a| [-x(a, 1), x(a, 1), x(a, 0)]), each(&|a| [-r(a, 1), r(a, 1), r(a, 0)])),
        ];
        for (k, u, expected) in cases {
            assert_relative_eq!(k * &u, expected, epsilon = 1e-11 * k.amax() * u.amax());
        }
    }
}

/// Displaced amplitudes as a point's displacement along the directions at the angle `t`, its derivative by the angle included: position
/// and the derivatives by R, by R t and by Z, in Cartesian coordinates.
pub(super) struct Placed {
    pub(super) gradient: Matrix3<f64>,
}

impl Placed {
    /// Deformation gradient at a point of an element in the state `u` with harmonic amplitudes `a` of order `n` at the angle `t`, Cartesian
    /// in the deformed and cylindrical in the reference configuration.
    pub(super) fn new(point: &QuadPoint, u: &[[f64; 2]; 9], a: &[f64], n: usize, t: f64) -> Self {
        let (n, radius) = (n as f64, point.position[0]);
        let ((s, c), (sn, cn)) = (t.sin_cos(), (n * t).sin_cos());
        // Cylindrical components of the position and their derivatives by R, t and Z.
        let mut p = [Vector3::new(radius, 0.0, point.position[1]), Vector3::x(), Vector3::zeros(), Vector3::z()];
        for b in 0..9 {
            let (even, odd) = (Vector3::new(u[b][0], 0.0, u[b][1]), &a[3 * b..3 * b + 3]);
            let value = even + Vector3::new(odd[0] * cn, odd[1] * sn, odd[2] * cn);
            p[0] += value * point.n[b];
            p[1] += value * point.grad[b][0];
            p[2] += Vector3::new(-odd[0] * sn, odd[1] * cn, -odd[2] * sn) * (n * point.n[b]);
            p[3] += value * point.grad[b][1];
        }
        let (er, et) = (Vector3::new(c, s, 0.0), Vector3::new(-s, c, 0.0));
        let cartesian = |v: &Vector3<f64>| er * v[0] + et * v[1] + Vector3::z() * v[2];
        // The directions turn with the angle.
        let by_angle = cartesian(&p[2]) + et * p[0][0] - er * p[0][1];
        Self { gradient: Matrix3::from_columns(&[cartesian(&p[1]), by_angle / radius, cartesian(&p[3])]) }
    }
}

/// Mean over the circumference of a function of the angle times two: over pi of the integral.
pub(super) fn over_pi(f: impl Fn(f64) -> f64) -> f64 {
    (0..ANGLES).map(|k| f(2.0 * PI * (k as f64 + 0.3) / ANGLES as f64)).sum::<f64>() * 2.0 / ANGLES as f64
}

/// Compares the tangent of the first item, condensed unknowns included, with second differences of an energy over pi of the amplitudes
/// (unknowns, then condensed unknowns), to 1e-6 of the largest entry.
pub(super) fn check_energy(c: &dyn Harmonic, state: &State, load: &Load, wave: &Wave, energy: impl Fn(&[f64]) -> f64) {
    let (out, h) = (tangent(c, 0, state, load, wave), 2e-4);
    let m = out.n + c.n_inner();
    let found = DMatrix::from_fn(m, m, |i, j| match (i < out.n, j < out.n) {
        (true, true) => out.at(i, j),
        (true, false) => out.coupling[(i, j - out.n)],
        (false, true) => out.coupling[(j, i - out.n)],
        (false, false) => out.inner[(i - out.n, j - out.n)],
    });
    let shifted = |i: usize, a: f64, j: usize, b: f64| {
        let mut x = vec![0.0; m];
        x[i] += a * h;
        x[j] += b * h;
        energy(&x)
    };
    let blocks = [(0..out.n, 0..out.n), (0..out.n, out.n..m), (out.n..m, out.n..m)];
    for (rows, columns) in blocks {
        let part = found.view((rows.start, columns.start), (rows.len(), columns.len()));
        let scale = part.iter().fold(1e-12_f64, |m, v| m.max(v.abs()));
        for i in rows {
            for j in columns.clone() {
                let four = [(1.0, 1.0), (1.0, -1.0), (-1.0, 1.0), (-1.0, -1.0)];
                let difference = four.iter().map(|(a, b)| a * b * shifted(i, *a, j, *b)).sum::<f64>() / (4.0 * h * h);
                assert_relative_eq!(found[(i, j)], difference, epsilon = 1e-6 * scale);
            }
        }
    }
}

/// Compares the tangent of the first item with central differences of a residual over pi of the amplitudes, to 1e-6 of the largest entry.
pub(super) fn check_residual(c: &dyn Harmonic, state: &State, load: &Load, wave: &Wave, residual: impl Fn(&[f64]) -> Vec<f64>) {
    let (out, h) = (tangent(c, 0, state, load, wave), 1e-6);
    let scale = out.tangent.amax();
    for j in 0..out.n {
        let shifted = |by: f64| {
            let mut x = vec![0.0; out.n];
            x[j] = by;
            residual(&x)
        };
        let (plus, minus) = (shifted(h), shifted(-h));
        for i in 0..plus.len() {
            assert_relative_eq!(out.at(i, j), (plus[i] - minus[i]) / (2.0 * h), epsilon = 1e-6 * scale);
        }
    }
}
