//! The inflated casing: netting membrane, bead tension by finite elements, and how the width follows the rim.

use super::value;
use crate::error::{ValidationError, Value};
use crate::grid::Parts;
use hoopwright_fem::assembly::System;
use hoopwright_fem::contribution::mixed::Mixed;
use hoopwright_fem::contribution::ply::{Ply, PlySegment};
use hoopwright_fem::contribution::pressure::Pressure;
use hoopwright_fem::contribution::spring::Spring;
use hoopwright_fem::material::cord::Cord;
use hoopwright_fem::material::neo_hookean::NeoHookean;
use hoopwright_fem::mesh::Mesh;
use hoopwright_fem::newton::{self, Control, Cost, Settings};
use hoopwright_fem::state::{Load, State};
use hoopwright_solver::estimate::netting::Netting;
use std::f64::consts::PI;
use std::sync::Arc;

/// Bead radius and meridian length of the reference casing, mm; pressure, MPa.
const BEAD: f64 = 311.0;
const LENGTH: f64 = 67.0817;
const PRESSURE: f64 = 0.5;
/// Crown angle (degrees) and bead spacing (mm) of its variants.
const VARIANTS: [(f64, f64); 3] = [(90.0, 19.0), (45.0, 19.0), (45.0, 25.0)];

/// The closed-form side: shapes and forces of the membrane.
pub(super) fn netting_tyre() -> Result<Vec<Value>, ValidationError> {
    let mut values = Vec::new();
    for (angle, spacing) in VARIANTS {
        let n = Netting::new(BEAD, spacing, LENGTH, angle.to_radians())?;
        let mut add = |what: &str, x: f64| values.push(value(format!("{what}, {angle} deg, {spacing} mm"), x));
        add("crown radius", n.crown);
        add("widest radius", n.widest);
        add("width", n.width);
        add("area", n.area);
        add("lean at the bead", n.lean.to_degrees());
        add("bead tension", PRESSURE * n.tension);
        add("hoop force of the plies", PRESSURE * n.hoop);
    }
    let bias = Netting::new(BEAD, 19.0, LENGTH, PI / 4.0)?;
    for friction in [0.1, 0.3, 0.5, 0.8] {
        values.push(value(format!("net pull at friction {friction}"), PRESSURE * (bias.tension - friction * bias.push)));
    }
    Ok(values)
}

/// The finite-element side: a thin casing of nearly inextensible cords.
pub(super) fn bead_tension() -> Result<Vec<Value>, ValidationError> {
    let mut values = Vec::new();
    for (angle, spacing) in VARIANTS {
        let membrane = Netting::new(BEAD, spacing, LENGTH, f64::to_radians(angle))?;
        let mut casing = Casing::new(&membrane, None)?;
        let (half, _) = casing.inflate(0.5 * PRESSURE)?;
        let (tension, state) = casing.inflate(PRESSURE)?;
        let name = |what: &str| format!("{what}, {angle} deg, {spacing} mm");
        values.push(value(name("tension"), tension));
        values.push(value(name("tension over that at half the pressure"), tension / half));
        let balance = (2.0 * tension + casing.hoop_force(&state)) / (PRESSURE * casing.section(&state));
        values.push(value(name("(2 T + hoop force) / (p (A + rho_b w))"), balance));
    }
    Ok(values)
}

/// Pressure that lifts a bead held by nothing but its hoop, over EA h / (rho_b c_T) at the lift h found, for three lifts.
pub(super) fn first_order_lift() -> Result<Vec<Value>, ValidationError> {
    let (angle, spacing) = VARIANTS[1];
    let membrane = Netting::new(BEAD, spacing, LENGTH, angle.to_radians())?;
    let mut values = Vec::new();
    let stiffness = 100e3;
    for wanted in [0.2, 1.0, 3.0] {
        let pressure = stiffness * wanted / (BEAD * membrane.tension);
        let mut casing = Casing::new(&membrane, Some(stiffness))?;
        let (_, state) = casing.inflate(pressure)?;
        let lift = state.u[2 * ROW];
        values.push(value(format!("pressure over first order, aimed at a lift of {wanted} mm"), wanted / lift));
    }
    Ok(values)
}

/// dW/dw of a casing whose radius is so large that its section is a circle.
pub(super) fn width_rule() -> Result<Vec<Value>, ValidationError> {
    let (bead, width, step) = (1e5, 28.0, 0.01);
    let mut values = Vec::new();
    for share in [0.6_f64, 0.65, 0.7, 0.75, 0.8] {
        let length = width * (PI - share.asin());
        let of = |w: f64| Netting::new(bead, w, length, PI / 2.0).map(|n| n.width);
        let rise = (of(share * width + step)? - of(share * width - step)?) / (2.0 * step);
        values.push(value(format!("width gained per rim width at w/W = {share}"), rise));
    }
    Ok(values)
}

/// Half the casing as one row of elements along the membrane's meridian, the ply on its middle line.
struct Casing {
    system: System,
    ply: Arc<Ply>,
    inner: Vec<[usize; 3]>,
    mesh: Mesh,
}

const ELEMENTS: usize = 60;
const THICKNESS: f64 = 0.2;
/// Nodes along the meridian.
const ROW: usize = 2 * ELEMENTS + 1;

impl Casing {
    /// The bead held rigidly, or radially by a hoop of the stiffness `hoop`, N, alone.
    fn new(membrane: &Netting, hoop: Option<f64>) -> Result<Self, ValidationError> {
        let mesh = Self::mesh(membrane);
        let all: Vec<usize> = (0..ELEMENTS).collect();
        let rubber = Mixed::new(&mesh, &all, Box::new(NeoHookean { mu: 0.2 }), 200.0).ok_or(ValidationError::Mesh)?;
        let (crown, angle) = (membrane.crown, membrane.angle);
        let lay = move |r: f64| {
            let alpha = (angle.cos() * r / crown).min(1.0).acos();
            (alpha, crown * angle.sin() / (r * alpha.sin()))
        };
        let segments: Vec<PlySegment> = all.iter().map(|q| PlySegment { quad: *q, eta: 0.0 }).collect();
        let ply = Arc::new(Ply::new(&mesh, &segments, Cord { stiffness: 3e4 }, lay));
        // The inner face walked from the crown to the bead has the gas on its left.
        let inner: Vec<[usize; 3]> = (0..ELEMENTS).rev().map(|e| [2 * e + 2, 2 * e, 2 * e + 1]).collect();
        let pressure = Arc::new(Pressure::new(&mesh, inner.to_vec()));
        let mut fixed: Vec<usize> = (0..3).map(|j| 2 * ROW * j + 1).collect();
        fixed.extend((0..3).map(|j| 2 * (ROW * j + ROW - 1) + 1));
        let mut parts: Parts = vec![Arc::new(rubber), ply.clone(), pressure];
        match hoop {
            None => fixed.extend((0..3).map(|j| 2 * ROW * j)),
            // Radial force over the circumference, 2 pi EA u / rho, on the middle line, where the ply pulls.
            Some(ea) => parts.push(Arc::new(Spring { dof: 2 * ROW, stiffness: 2.0 * PI * ea / BEAD, temporary: false })),
        }
        let system = System::new(2 * mesh.nodes.len(), &fixed, parts)?;
        Ok(Self { system, ply, inner, mesh })
    }

    fn mesh(membrane: &Netting) -> Mesh {
        let points = membrane.meridian(2 * ELEMENTS);
        let normal = |k: usize| {
            let (a, b) = (points[k.saturating_sub(1)].0, points[(k + 1).min(ROW - 1)].0);
            let t = [b[0] - a[0], b[1] - a[1]];
            let size = t[0].hypot(t[1]);
            // At the crown the meridian is axial by symmetry.
            if k + 1 == ROW { [1.0, 0.0] } else { [-t[1] / size, t[0] / size] }
        };
        let nodes = (0..3).flat_map(|j| (0..ROW).map(move |k| (k, j))).map(|(k, j)| {
            let (x, m) = (points[k].0, normal(k));
            let offset = THICKNESS * (f64::from(j) - 1.0) / 2.0;
            [x[0] + offset * m[0], x[1] + offset * m[1]]
        });
        let local = [(0, 0), (2, 0), (2, 2), (0, 2), (1, 0), (2, 1), (1, 2), (0, 1), (1, 1)];
        let quads = (0..ELEMENTS).map(|e| local.map(|(a, b)| b * ROW + 2 * e + a)).collect();
        Mesh { nodes: nodes.collect(), quads }
    }

    /// Bead tension, N: what the bead must carry of the casing's radial pull, at a pressure, MPa.
    fn inflate(&mut self, pressure: f64) -> Result<(f64, State), ValidationError> {
        let mut state = self.system.rest();
        let settings = Settings { tolerance: 1e-8, max_iterations: 60, max_change: 0.1, ..Settings::default() };
        for step in 1..=10 {
            let mut load = Load { pressure: pressure * 0.5_f64.powi(10 - step), ..Load::default() };
            newton::solve(&mut self.system, &mut state, &mut load, Control::Load, &settings, &mut Cost::default())?;
        }
        let reaction: f64 = (0..3).map(|j| self.system.residual()[2 * ROW * j]).sum();
        Ok((-reaction / (2.0 * PI), state))
    }

    /// Hoop force of both halves' plies, N.
    fn hoop_force(&self, state: &State) -> f64 {
        2.0 * (0..self.ply.n_segments()).map(|i| self.ply.hoop_force(i, state)).sum::<f64>()
    }

    /// Area between the deformed inner face and the axis, mm^2, both halves: int r dz by Simpson's rule on each edge.
    fn section(&self, state: &State) -> f64 {
        let position = |i: usize| [self.mesh.nodes[i][0] + state.u[2 * i], self.mesh.nodes[i][1] + state.u[2 * i + 1]];
        let half: f64 = self
            .inner
            .iter()
            .map(|e| {
                let (a, b, m) = (position(e[0]), position(e[1]), position(e[2]));
                (b[1] - a[1]) * (a[0] + 4.0 * m[0] + b[0]) / 6.0
            })
            .sum();
        2.0 * half
    }
}
