//! A thin casing of nearly inextensible cords by finite elements against the netting membrane.
#![allow(clippy::unwrap_used)]

use approx::assert_relative_eq;
use hoopwright_fem::assembly::System;
use hoopwright_fem::contribution::Contribution;
use hoopwright_fem::contribution::mixed::Mixed;
use hoopwright_fem::contribution::ply::{Ply, PlySegment};
use hoopwright_fem::contribution::pressure::{Pressure, PressureEdge};
use hoopwright_fem::material::cord::Cord;
use hoopwright_fem::material::neo_hookean::NeoHookean;
use hoopwright_fem::mesh::Mesh;
use hoopwright_fem::newton::{self, Control, Cost, Settings};
use hoopwright_fem::state::{Load, State};
use hoopwright_solver::estimate::netting::Netting;
use std::f64::consts::PI;
use std::sync::Arc;

/// Half the casing as one row of elements along the membrane's meridian, the ply on its middle line.
struct Casing {
    system: System,
    ply: Arc<Ply>,
    inner: Vec<[usize; 3]>,
    mesh: Mesh,
    bead: Vec<usize>,
}

const ELEMENTS: usize = 60;
const THICKNESS: f64 = 0.2;

fn casing(membrane: &Netting) -> Casing {
    let points = membrane.meridian(2 * ELEMENTS);
    let n = points.len();
    let normal = |k: usize| {
        let (a, b) = (points[k.saturating_sub(1)].0, points[(k + 1).min(n - 1)].0);
        let t = [b[0] - a[0], b[1] - a[1]];
        let size = t[0].hypot(t[1]);
        // At the crown the meridian is axial by symmetry.
        if k + 1 == n { [1.0, 0.0] } else { [-t[1] / size, t[0] / size] }
    };
    let nodes = (0..3).flat_map(|j| (0..n).map(move |k| (k, j))).map(|(k, j)| {
        let (x, m) = (points[k].0, normal(k));
        let offset = THICKNESS * (f64::from(j) - 1.0) / 2.0;
        [x[0] + offset * m[0], x[1] + offset * m[1]]
    });
    let at = |k: usize, j: usize| j * n + k;
    let quads = (0..ELEMENTS)
        .map(|e| [(0, 0), (2, 0), (2, 2), (0, 2), (1, 0), (2, 1), (1, 2), (0, 1), (1, 1)].map(|(a, b)| at(2 * e + a, b)))
        .collect();
    let mesh = Mesh { nodes: nodes.collect(), quads };
    let all: Vec<usize> = (0..ELEMENTS).collect();
    let rubber = Arc::new(Mixed::new(&mesh, &all, Box::new(NeoHookean { mu: 0.2 }), 200.0).unwrap());
    let (crown, angle) = (membrane.crown, membrane.angle);
    let lay = move |r: f64| {
        let alpha = (angle.cos() * r / crown).min(1.0).acos();
        (alpha, crown * angle.sin() / (r * alpha.sin()))
    };
    let segments: Vec<PlySegment> = all.iter().map(|q| PlySegment { quad: *q, eta: 0.0 }).collect();
    let ply = Arc::new(Ply::new(&mesh, &segments, Cord { stiffness: 3e4 }, lay));
    // The inner face walked from the crown to the bead has the gas on its left.
    let inner: Vec<[usize; 3]> = (0..ELEMENTS).rev().map(|e| [at(2 * e + 2, 0), at(2 * e, 0), at(2 * e + 1, 0)]).collect();
    let gas = inner.iter().map(|nodes| PressureEdge { nodes: *nodes, contact: None }).collect();
    let pressure = Arc::new(Pressure::new(&mesh, gas, None));
    let bead: Vec<usize> = (0..3).map(|j| at(0, j)).collect();
    let mut fixed: Vec<usize> = bead.iter().flat_map(|i| [2 * i, 2 * i + 1]).collect();
    fixed.extend((0..3).map(|j| 2 * at(n - 1, j) + 1));
    let contributions: Vec<Arc<dyn Contribution>> = vec![rubber, ply.clone(), pressure];
    let system = System::new(2 * mesh.nodes.len(), &fixed, contributions).unwrap();
    Casing { system, ply, inner, mesh, bead }
}

/// Inflates the casing; bead tension, N: what the bead must carry of the casing's radial pull.
fn inflate(casing: &mut Casing, pressure: f64) -> (f64, State) {
    let mut state = casing.system.rest();
    let settings = Settings { tolerance: 1e-8, max_iterations: 60, max_change: 0.1, ..Settings::default() };
    for step in 1..=10 {
        let mut load = Load { pressure: pressure * 0.5_f64.powi(10 - step), ..Load::default() };
        newton::solve(&mut casing.system, &mut state, &mut load, Control::Load, &settings, &mut Cost::default()).unwrap();
    }
    // The reaction holds the bead down against the pull.
    let reaction: f64 = casing.bead.iter().map(|i| casing.system.residual()[2 * i]).sum();
    (-reaction / (2.0 * PI), state)
}

#[test]
fn bead_tension_of_the_netting_membrane_is_found_by_finite_elements() {
    // Circle of radius 14 mm on beads 19 and 25 mm apart, 0.5 MPa; membrane values derived independently.
    for (angle, spacing, tension) in [(90.0_f64, 19.0, 1619.05), (45.0, 19.0, 1413.98), (45.0, 25.0, 1875.37)] {
        let membrane = Netting::new(311.0, spacing, 67.0817, angle.to_radians()).unwrap();
        let mut casing = casing(&membrane);
        let (found, _) = inflate(&mut casing, 0.5);
        assert_relative_eq!(found, tension, max_relative = 1e-2);
    }
}

#[test]
fn tension_and_hoop_forces_balance_the_pressure_without_any_angle() {
    // 2 T + int N_theta ds = p (A + rho_b w) on the deformed shape.
    let membrane = Netting::new(311.0, 19.0, 67.0817, 45.0_f64.to_radians()).unwrap();
    let mut casing = casing(&membrane);
    let (tension, state) = inflate(&mut casing, 0.5);
    let hoop: f64 = 2.0 * (0..casing.ply.n_segments()).map(|i| casing.ply.hoop_force(i, &state)).sum::<f64>();
    let position = |i: usize| [casing.mesh.nodes[i][0] + state.u[2 * i], casing.mesh.nodes[i][1] + state.u[2 * i + 1]];
    // Area over the axis under the inner face by Simpson's rule on each edge: int r dz.
    let section: f64 = casing
        .inner
        .iter()
        .map(|e| {
            let (a, b, m) = (position(e[0]), position(e[1]), position(e[2]));
            (b[1] - a[1]) * (a[0] + 4.0 * m[0] + b[0]) / 6.0
        })
        .sum();
    assert_relative_eq!(2.0 * tension + hoop, 0.5 * 2.0 * section, max_relative = 5e-3);
}
