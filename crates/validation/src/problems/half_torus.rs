//! A half torus of rubber with a layer of cords under gas, as a tubular tyre glued to its rim, on which an outside library solves the
//! same equations: for its values, for the script that compares the time of both, and for the benchmarks.

use super::value;
use crate::error::{ValidationError, Value};
use crate::grid::{Grid, Parts};
use hoopwright_fem::assembly::System;
use hoopwright_fem::continuation::{Effort, Path, PathSettings, Target};
use hoopwright_fem::contribution::mixed::Mixed;
use hoopwright_fem::contribution::ply::{Ply, PlySegment};
use hoopwright_fem::contribution::pressure::Pressure;
use hoopwright_fem::material::cord::{Cord, WIDTH};
use hoopwright_fem::material::neo_hookean::NeoHookean;
use hoopwright_fem::newton::Settings;
use hoopwright_fem::state::State;
use serde_json::json;
use std::f64::consts::PI;
use std::sync::Arc;

/// Radius of the torus's centre line and radii of the tube's inside and outside, mm.
const CENTRE: f64 = 325.0;
const INNER: f64 = 12.0;
const OUTER: f64 = 14.0;
/// Shear and bulk modulus of the rubber, MPa.
const SHEAR: f64 = 1.0;
const BULK: f64 = 2000.0;
/// Cord stiffness E A, N, cords per length across them, 1/mm, and their angle from the hoop direction at the centre line, rad.
const CORD: f64 = 145.0;
const ENDS: f64 = 1.0;
const ANGLE: f64 = 0.95;
/// Gas pressure, MPa, and the number of equal steps to it.
const PRESSURE: f64 = 0.5;
const STEPS: usize = 20;
/// Size of the free residual, over the gas's force on the torus's mid-plane, at which a state counts as an equilibrium.
const TOLERANCE: f64 = 1e-9;
/// Elements through the wall and round it for about 8000 unknowns of displacement and pressure.
const DEFAULT: (usize, usize) = (11, 64);

/// The half torus on a mesh.
pub struct HalfTorus {
    grid: Grid,
    through: usize,
    round: usize,
}

impl HalfTorus {
    /// `through` (odd, so that the cords lie in the middle of a layer) x `round` nine-node elements.
    pub fn new(through: usize, round: usize) -> Self {
        let place = |x: f64, y: f64| {
            let (rho, phi) = (INNER + (OUTER - INNER) * y, PI * (1.0 - x));
            [CENTRE + rho * phi.cos(), rho * phi.sin()]
        };
        Self { grid: Grid::new(round, through, place), through, round }
    }

    /// About 8000 unknowns of displacement and pressure.
    pub fn of_default_size() -> Self {
        Self::new(DEFAULT.0, DEFAULT.1)
    }

    /// Number of elements.
    pub fn n_elements(&self) -> usize {
        self.through * self.round
    }

    /// Unknowns that are held: both displacements of the inner equator, axial ones of the outer.
    fn held(&self) -> Vec<usize> {
        let inner = self.grid.left().into_iter().flat_map(|k| [2 * k, 2 * k + 1]);
        inner.chain(self.grid.right().into_iter().map(|k| 2 * k + 1)).collect()
    }

    /// Edges of the inside (ends, middle), with the gas to their left.
    fn wetted(&self) -> Vec<[usize; 3]> {
        let mut line = self.grid.bottom();
        line.reverse();
        line.windows(3).step_by(2).map(|w| [w[0], w[2], w[1]]).collect()
    }

    /// Elements that the cords run through, in their middle.
    fn plied(&self) -> Vec<usize> {
        let layer = self.through / 2;
        (layer * self.round..(layer + 1) * self.round).collect()
    }

    /// The rubber.
    ///
    /// # Errors
    /// [`ValidationError::Mesh`] where an element is turned over.
    pub fn rubber(&self) -> Result<Mixed, ValidationError> {
        let law = Box::new(NeoHookean { mu: SHEAR });
        Mixed::new(&self.grid.mesh, &self.grid.all(), law, BULK).ok_or(ValidationError::Mesh)
    }

    /// The cords, at angles after the pantograph law.
    pub fn cords(&self) -> Ply {
        let segments: Vec<PlySegment> = self.plied().into_iter().map(|quad| PlySegment { quad, eta: 0.0 }).collect();
        let lay = |r: f64| ((ANGLE.cos() * r / CENTRE).acos(), ENDS);
        Ply::new(&self.grid.mesh, &segments, Cord { stiffness: CORD }, lay)
    }

    /// The assembled system.
    ///
    /// # Errors
    /// [`ValidationError`] where an element is turned over or the pattern is singular.
    pub fn system(&self) -> Result<System, ValidationError> {
        let gas = Pressure::new(&self.grid.mesh, self.wetted());
        let parts: Parts = vec![Arc::new(self.rubber()?), Arc::new(self.cords()), Arc::new(gas)];
        Ok(System::new(2 * self.grid.mesh.nodes.len(), &self.held(), parts)?)
    }

    /// The path of inflation, at rest.
    ///
    /// # Errors
    /// As [`Self::system`].
    pub fn path(&self) -> Result<Path, ValidationError> {
        let newton = Settings { tolerance: TOLERANCE, force_floor: force(), ..Settings::default() };
        let settings = PathSettings { newton, ..PathSettings::default() };
        Ok(Path { system: self.system()?, contact: None, functional: Vec::new(), settings, effort: Effort::default() })
    }

    /// Follows a path to the full pressure; each step starts from the straight continuation of the last two or from the last state.
    ///
    /// # Errors
    /// [`ValidationError::Solve`] where a step finds no equilibrium.
    pub fn inflate(&self, path: &mut Path, predict: bool) -> Result<State, ValidationError> {
        let mut points = vec![path.rest()];
        for step in 1..=STEPS {
            let before = if predict { points.len().checked_sub(2).map(|k| &points[k]) } else { None };
            let pressure = PRESSURE * step as f64 / STEPS as f64;
            let next = path.step(before, &points[points.len() - 1], Target::Pressure(pressure), &mut |_, _, _| {})?;
            points.push(next);
        }
        points.pop().map(|last| last.state).ok_or(ValidationError::Mesh)
    }

    /// Everything an outside library needs to solve the same problem.
    pub fn json(&self) -> serde_json::Value {
        json!({
            "nodes": self.grid.mesh.nodes,
            "quads": self.grid.mesh.quads,
            "held": self.held(),
            "wetted": self.wetted(),
            "plied": self.plied(),
            "centre": CENTRE,
            "shear_modulus": SHEAR,
            "bulk_modulus": BULK,
            "cord_stiffness": CORD,
            "cord_rounding": WIDTH,
            "ends": ENDS,
            "angle": ANGLE,
            "pressure": PRESSURE,
            "steps": STEPS,
            "tolerance": TOLERANCE * force(),
        })
    }
}

/// Force of the gas on the torus's mid-plane at full pressure, N.
fn force() -> f64 {
    PRESSURE * 4.0 * PI * CENTRE * INNER
}

/// Displacements, mm, of the inside.
pub(super) fn half_torus() -> Result<Vec<Value>, ValidationError> {
    let torus = HalfTorus::of_default_size();
    let state = torus.inflate(&mut torus.path()?, true)?;
    let at = |eighths: usize, component: usize| state.u[2 * torus.grid.node(eighths * torus.round / 4, 0) + component];
    Ok(vec![
        value("radial displacement, outer equator", at(8, 0)),
        value("radial displacement, crown of the tube", at(4, 0)),
        value("axial displacement, crown of the tube", at(4, 1)),
        value("radial displacement, 45 deg from the inner equator", at(2, 0)),
        value("axial displacement, 45 deg from the inner equator", at(2, 1)),
    ])
}
