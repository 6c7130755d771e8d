//! Interference fits: two thick rings of one metal, and a thin hoop on a ring.

use super::value;
use crate::error::{ValidationError, Value};
use crate::grid::{Grid, Parts, axially, solve};
use hoopwright_fem::assembly::System;
use hoopwright_fem::contribution::hoop::Hoop;
use hoopwright_fem::material::linear_elastic::LinearElastic;
use hoopwright_fem::newton::{self, Control, Cost, Settings};
use hoopwright_fem::state::Load;
use std::sync::Arc;

/// Pressure, MPa, small enough for linear theory.
const SMALL: f64 = 1e-2;

/// Radii 10, 20, 30 mm with 0.02 mm of radial interference; then a bead of 150 kN on a rim of 7.18 MN at 311 mm with 0.25 mm.
pub(super) fn shrink_fit() -> Result<Vec<Value>, ValidationError> {
    // The radial gap that unit pressure opens at the joint, of either ring with free ends; linear theory does the rest.
    let (inner, outer) = (compliance(10.0, 20.0, false)?, compliance(20.0, 30.0, true)?);
    let (bead, lift) = thin_rings()?;
    Ok(vec![
        value("joint pressure of radii 10, 20, 30 mm", 0.02 / (outer + inner)),
        value("hoop force of a thin bead on a rim", bead),
        value("inward displacement of the rim", lift),
    ])
}

/// Magnitude of the radial displacement of the loaded face per pressure, mm/MPa.
fn compliance(a: f64, b: f64, inside: bool) -> Result<f64, ValidationError> {
    let grid = Grid::new(6, 1, |x, y| [a + (b - a) * x, y]);
    let mut face = if inside { grid.left() } else { grid.right() };
    let node = face[1];
    if !inside {
        face.reverse();
    }
    let parts: Parts = vec![grid.linear(LinearElastic::new(210e3, 0.3))?, grid.gas(&face)];
    let (_, state) = solve(&grid, &axially(&grid.bottom()), parts, SMALL, (1, 1e-7))?;
    Ok(state.u[2 * node].abs() / SMALL)
}

/// Hoop force of the bead, N, and how far it presses the rim inward, mm.
fn thin_rings() -> Result<(f64, f64), ValidationError> {
    let (radius, size, interference): (f64, f64, f64) = (311.0, 0.1, 0.25);
    let grid = Grid::new(1, 1, |x, y| [radius + size * (x - 0.5), size * y]);
    let ring = |stiffness: f64, growth: f64| {
        let law = Arc::new(move |e: f64| (stiffness * e, stiffness));
        Hoop::new(&grid.mesh, &grid.all(), law, growth).map(Arc::new).ok_or(ValidationError::Mesh)
    };
    let bead = ring(150e3, 1.0 - interference / radius)?;
    let rim = ring(7.18e6, 1.0)?;
    // A filling that only keeps the section together: its hoop stiffness, E A, is 1e-3 N.
    let filling = grid.linear(LinearElastic::new(0.1, 0.0))?;
    let fixed: Vec<usize> = axially(&grid.bottom()).iter().map(|f| f.0).collect();
    let mut system = System::new(2 * grid.mesh.nodes.len(), &fixed, vec![filling, bead.clone(), rim])?;
    let mut state = system.rest();
    let mut load = Load { eigenstrain: 1.0, ..Load::default() };
    let settings = Settings { tolerance: 1e-9, ..Settings::default() };
    newton::solve(&mut system, &mut state, &mut load, Control::Load, &settings, &mut Cost::default())?;
    Ok((bead.tension(&state, &load).0, -state.u[2 * grid.node(1, 1)]))
}
