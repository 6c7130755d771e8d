//! An inflated casing whose one bead lies higher than the other, as a netting meridian over its whole length.

use super::value;
use crate::error::{ValidationError, Value};
use hoopwright_fem::assembly::System;
use hoopwright_fem::contribution::mixed::Mixed;
use hoopwright_fem::contribution::ply::{Ply, PlySegment};
use hoopwright_fem::contribution::pressure::Pressure;
use hoopwright_fem::material::cord::Cord;
use hoopwright_fem::material::neo_hookean::NeoHookean;
use hoopwright_fem::mesh::Mesh;
use hoopwright_fem::newton::{self, Control, Cost, Settings};
use hoopwright_fem::state::{Load, State};
use hoopwright_solver::estimate::netting::Netting;
use std::f64::consts::PI;
use std::sync::Arc;

/// Radius of the lower bead, distance of the beads and meridian length, mm.
const BEAD: f64 = 313.9;
const SPACING: f64 = 17.0;
const LENGTH: f64 = 67.0;
/// Cord angle at the crown of the shape that the casing takes, rad.
const ANGLE: f64 = 0.25 * PI;
/// Gas pressure, MPa.
const PRESSURE: f64 = 0.5;
/// Steps in which it rises to that, each time doubled.
const DOUBLINGS: i32 = 8;
/// Largest step of the raised bead, mm.
const STEP: f64 = 0.25;

/// Pull of the higher bead over pressure and radius, for four heights of it over the other.
pub(super) fn two_beads() -> Result<Vec<Value>, ValidationError> {
    let even = Netting::new(BEAD, SPACING, LENGTH, ANGLE)?;
    let mut values = Vec::new();
    for raised in [0.0, 1.0, 2.0, 3.0] {
        // Cords cross at the angle at the crown of the shape taken, whose radius hardly depends on them: found with those of even beads.
        let crown = Casing::new(&even, even.crown)?.inflate(raised)?.crown;
        let taken = Casing::new(&even, crown)?.inflate(raised)?;
        values.push(value(format!("pull of a bead {raised} mm above the other"), taken.pull));
    }
    Ok(values)
}

/// What is read off the casing: pull of the higher bead over pressure, and the crown's radius, mm.
struct Taken {
    pull: f64,
    crown: f64,
}

/// The casing as one row of elements along the meridian from bead to bead, the ply on its middle line.
struct Casing {
    system: System,
    mesh: Mesh,
}

/// Elements from a bead to the crown.
const HALF: usize = 48;
const ELEMENTS: usize = 2 * HALF;
const THICKNESS: f64 = 0.2;
/// Nodes along the meridian.
const ROW: usize = 2 * ELEMENTS + 1;

impl Casing {
    /// Drawn on even beads, with cords that cross at the angle at a radius, mm, by the pantograph law.
    fn new(even: &Netting, crown: f64) -> Result<Self, ValidationError> {
        let mesh = Self::mesh(even);
        let all: Vec<usize> = (0..ELEMENTS).collect();
        let rubber = Mixed::new(&mesh, &all, Box::new(NeoHookean { mu: 0.2 }), 200.0).ok_or(ValidationError::Mesh)?;
        let lay = move |r: f64| {
            let alpha = (ANGLE.cos() * r / crown).min(1.0).acos();
            (alpha, crown * ANGLE.sin() / (r * alpha.sin()))
        };
        let segments: Vec<PlySegment> = all.iter().map(|q| PlySegment { quad: *q, eta: 0.0 }).collect();
        let ply = Ply::new(&mesh, &segments, Cord { stiffness: 3e4 }, lay);
        // The inner face walked from the higher to the lower bead has the gas on its left.
        let inner: Vec<[usize; 3]> = all.iter().rev().map(|e| [2 * e + 2, 2 * e, 2 * e + 1]).collect();
        let pressure = Pressure::new(&mesh, inner);
        let fixed: Vec<usize> = [0, ROW - 1].into_iter().flat_map(Self::across).flat_map(|n| [2 * n, 2 * n + 1]).collect();
        let system = System::new(2 * mesh.nodes.len(), &fixed, vec![Arc::new(rubber), Arc::new(ply), Arc::new(pressure)])?;
        Ok(Self { system, mesh })
    }

    /// Nodes across the wall at a place along it.
    fn across(place: usize) -> [usize; 3] {
        [place, ROW + place, 2 * ROW + place]
    }

    fn mesh(even: &Netting) -> Mesh {
        let half = even.meridian(ELEMENTS);
        // From the lower bead on the one side over the crown to the other, which will be the higher one.
        let points: Vec<[f64; 2]> =
            (0..ROW).map(|k| if k <= ELEMENTS { half[k].0 } else { [half[ROW - 1 - k].0[0], -half[ROW - 1 - k].0[1]] }).collect();
        let normal = |k: usize| {
            let (a, b) = (points[k.saturating_sub(1)], points[(k + 1).min(ROW - 1)]);
            let t = [b[0] - a[0], b[1] - a[1]];
            let size = t[0].hypot(t[1]);
            [-t[1] / size, t[0] / size]
        };
        let nodes = (0..3).flat_map(|j| (0..ROW).map(move |k| (k, j))).map(|(k, j)| {
            let (x, m) = (points[k], normal(k));
            let offset = THICKNESS * (f64::from(j) - 1.0) / 2.0;
            [x[0] + offset * m[0], x[1] + offset * m[1]]
        });
        let local = [(0, 0), (2, 0), (2, 2), (0, 2), (1, 0), (2, 1), (1, 2), (0, 1), (1, 1)];
        let quads = (0..ELEMENTS).map(|e| local.map(|(a, b)| b * ROW + 2 * e + a)).collect();
        Mesh { nodes: nodes.collect(), quads }
    }

    /// Inflates the casing on even beads and raises the one at its end.
    fn inflate(&mut self, raised: f64) -> Result<Taken, ValidationError> {
        let mut state = self.system.rest();
        for step in 0..=DOUBLINGS {
            self.solve(&mut state, PRESSURE * 0.5_f64.powi(DOUBLINGS - step))?;
        }
        let steps = (raised / STEP).ceil() as usize;
        for step in 1..=steps {
            for node in Self::across(ROW - 1) {
                state.u[2 * node] = raised * step as f64 / steps as f64;
            }
            self.solve(&mut state, PRESSURE)?;
        }
        let reaction: f64 = Self::across(ROW - 1).into_iter().map(|n| self.system.residual()[2 * n]).sum();
        let radius = |node: usize| self.mesh.nodes[node][0] + state.u[2 * node];
        let crown = (ROW..2 * ROW).map(radius).fold(0.0, f64::max);
        Ok(Taken { pull: -reaction / (2.0 * PI * (BEAD + raised)) / PRESSURE, crown })
    }

    fn solve(&mut self, state: &mut State, pressure: f64) -> Result<(), ValidationError> {
        let settings = Settings { tolerance: 1e-8, max_iterations: 60, max_change: 0.1, ..Settings::default() };
        let mut load = Load { pressure, ..Load::default() };
        newton::solve(&mut self.system, state, &mut load, Control::Load, &settings, &mut Cost::default())?;
        Ok(())
    }
}
