//! Friction: a ring that sticks and slides on a seat, partial slip under a cylinder.

use super::contact::{APPROACH, PLANE, Problem, block, cylinder, graded, hertz_contact, ring};
use super::value;
use crate::error::{ValidationError, Value};
use crate::grid::Grid;
use hoopwright_fem::contact::unilateral::Parameters;
use hoopwright_fem::continuation::{Equilibrium, Target};
use std::f64::consts::PI;

const FRICTION: f64 = 0.3;

/// Moves the prescribed unknowns `held` to `travel`, mm, in one step.
pub(super) fn pull(problem: &mut Problem, at: &mut Equilibrium, held: &[usize], travel: f64) -> Result<(), ValidationError> {
    for dof in held {
        at.accepted.u[*dof] = travel;
    }
    *at = problem.path.step(None, at, Target::Eigenstrain(at.load.eigenstrain), &mut |_, _, _| {})?;
    Ok(())
}

/// A ring drawn on a seat by its hoop, pushed along it and back: axial over radial force.
pub(super) fn sliding_ring() -> Result<Vec<Value>, ValidationError> {
    let young = 2e3;
    let (grid, _, parts, seat) = ring(0.0, young)?;
    let held: Vec<usize> = grid.right().iter().map(|n| 2 * n + 1).collect();
    let parameters = Parameters { penalty: 500.0, tangential_penalty: 500.0, friction: FRICTION };
    let mut problem = Problem::new(&grid, &seat, parameters, &held, parts, false)?;
    let mut at = problem.fit()?;
    let mut values = Vec::new();
    for (name, travel) in [("pushed on", 0.05), ("pushed further", 0.1), ("pushed back", -0.05)] {
        pull(&mut problem, &mut at, &held, travel)?;
        let [radial, axial] = problem.force(&at);
        values.push(value(format!("axial over radial force of a ring {name}"), -axial / radial));
    }
    Ok(values)
}

/// A rigid cylinder of 5 mm radius on an incompressible block which is then moved sideways; a ring of 2 m radius stands for the plane.
pub(super) fn partial_slip() -> Result<Vec<Value>, ValidationError> {
    let n = 32;
    let grid = Grid::new(n, 2 * n, |x, y| {
        let side = 2.0 * y - 1.0;
        [PLANE + graded(x), graded(side.abs()).copysign(side)]
    });
    let sideways: Vec<usize> = grid.right().iter().map(|n| 2 * n + 1).collect();
    let inward: Vec<usize> = grid.right().iter().map(|n| 2 * n).collect();
    let fixed = [inward.clone(), sideways.clone()].concat();
    let parameters = Parameters { penalty: 2000.0, tangential_penalty: 1e4, friction: FRICTION };
    let mut problem = Problem::new(&grid, &cylinder(0.0), parameters, &fixed, block(&grid)?, false)?;
    let mut at = problem.path.rest();
    for step in 1..=8 {
        pull(&mut problem, &mut at, &inward, -APPROACH * f64::from(step) / 8.0)?;
    }
    for step in 1..=4 {
        pull(&mut problem, &mut at, &sideways, 2.5e-4 * f64::from(step))?;
    }
    Ok(slip_values(&problem, &at))
}

/// Tractions against those of Cattaneo and Mindlin at the forces found.
fn slip_values(problem: &Problem, at: &Equilibrium) -> Vec<Value> {
    let [normal, tangential] = problem.force(at).map(|f| f / (2.0 * PI * PLANE));
    let (half_width, peak) = hertz_contact(normal);
    let share = tangential.abs() / (FRICTION * normal);
    let stick = half_width * (1.0 - share).sqrt();
    let points: Vec<(f64, f64, bool)> = (0..problem.contact.n_points())
        .map(|i| {
            let s = problem.contact.status(i, &at.state, 0.0);
            (problem.contact.position(i, &at.state)[1], s.tangential.abs(), s.slips || s.normal == 0.0)
        })
        .collect();
    let sticking: Vec<f64> = points.iter().filter(|p| !p.2).map(|p| p.0).collect();
    let span =
        sticking.iter().copied().fold(f64::NEG_INFINITY, f64::max) - sticking.iter().copied().fold(f64::INFINITY, f64::min);
    let highest = points.iter().map(|p| p.1).fold(0.0, f64::max);
    let middle = points.iter().min_by(|a, b| a.0.abs().total_cmp(&b.0.abs())).map_or(f64::NAN, |p| p.1);
    vec![
        value("stick width over 2 c at the forces found", 0.5 * span / stick),
        value(
            "largest shear traction over that of theory",
            highest / (FRICTION * peak * (1.0 - (stick / half_width).powi(2)).sqrt()),
        ),
        value("shear traction in the middle over that of theory", middle / (FRICTION * peak * (1.0 - stick / half_width))),
    ]
}
