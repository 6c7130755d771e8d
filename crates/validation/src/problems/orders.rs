//! Order of convergence of the whole solver with contact.

use super::contact::{Problem, corner};
use super::friction::pull;
use super::value;
use crate::error::{ValidationError, Value};
use crate::grid::{Grid, axially};
use hoopwright_fem::contact::unilateral::Parameters;
use hoopwright_fem::material::neo_hookean::NeoHookean;
use std::f64::consts::PI;

/// Radii of the tube and its height, mm, and the growth of the mandrel as a share of the inner radius.
const INNER: f64 = 10.0;
const OUTER: f64 = 20.0;
const HEIGHT: f64 = 2.0;
const GROWTH: f64 = 0.5;

/// A rubber tube on a rigid mandrel that grows: contact pressure at 2, 4 and 8 elements through the wall.
pub(super) fn mandrel() -> Result<Vec<Value>, ValidationError> {
    let [coarse, middle, fine] = [pressure(2)?, pressure(4)?, pressure(8)?];
    let order = ((middle - coarse) / (fine - middle)).abs().log2();
    Ok(vec![value("contact pressure over shear modulus", fine), value("order of the contact pressure, 2 to 8 elements", order)])
}

fn pressure(n: usize) -> Result<f64, ValidationError> {
    let grid = Grid::new(n, 1, |x, y| [INNER + (OUTER - INNER) * x, HEIGHT * y]);
    let fixed: Vec<usize> = axially(&[grid.bottom(), grid.top()].concat()).iter().map(|f| f.0).collect();
    let seat = [-50.0, 50.0].map(|z| corner(INNER, z, 0.0));
    let parameters = Parameters { penalty: 10.0, tangential_penalty: 1.0, friction: 0.0 };
    let rubber = grid.rubber(NeoHookean { mu: 1.0 }, 2e4)?;
    let mut problem = Problem::new(&grid, &seat, parameters, &fixed, vec![rubber], true)?;
    let mut at = problem.path.rest();
    let mandrel = [2 * grid.mesh.nodes.len()];
    let steps = 50;
    for step in 1..=steps {
        pull(&mut problem, &mut at, &mandrel, GROWTH * INNER * f64::from(step) / f64::from(steps))?;
    }
    let radius = INNER * (1.0 + GROWTH);
    Ok(problem.force(&at)[0] / (2.0 * PI * radius * HEIGHT))
}
