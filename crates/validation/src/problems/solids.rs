//! Thick cylinder and sphere under internal pressure: linear theory.

use super::value;
use crate::error::{ValidationError, Value};
use crate::grid::{Grid, Parts, axially, radially, solve};
use hoopwright_fem::material::linear_elastic::LinearElastic;
use hoopwright_fem::material::neo_hookean::NeoHookean;

/// Elements through the thickness.
const THROUGH: usize = 8;
/// Elements along a quarter meridian.
const ALONG: usize = 16;
/// Young's modulus, MPa.
const YOUNG: f64 = 1000.0;
/// Pressure, MPa, at which the finite-strain body is still linear; results are scaled to unit pressure.
const SMALL: f64 = 0.05;

/// Shear and bulk modulus, MPa.
fn moduli(poisson: f64) -> (f64, f64) {
    (YOUNG / (2.0 * (1.0 + poisson)), YOUNG / (3.0 * (1.0 - 2.0 * poisson)))
}

/// Radii 4 and 10 mm at nu 0 and 10 MPa with stresses; radii 1 and 2 mm at 1 MPa from nu 0.3 to nearly incompressible.
pub(super) fn thick_cylinder() -> Result<Vec<Value>, ValidationError> {
    let tube = |a: f64, b: f64| Grid::new(THROUGH, 1, |x, y| [a + (b - a) * x, 0.2 * y]);
    let ends = |grid: &Grid| axially(&[grid.bottom(), grid.top()].concat());
    let last = 2 * THROUGH;

    let grid = tube(4.0, 10.0);
    let law = LinearElastic::new(YOUNG, 0.0);
    // Linear elements under a pressure that hardly moves its face, scaled up: the gas follows the face otherwise.
    let scale = 10.0 / SMALL;
    let parts: Parts = vec![grid.linear(law)?, grid.gas(&grid.left())];
    let (_, state) = solve(&grid, &ends(&grid), parts, SMALL, (1, 1e-8))?;
    let mut values = vec![
        value("radial displacement at r = 4 mm, nu 0", scale * state.u[2 * grid.node(0, 1)]),
        value("radial displacement at r = 10 mm, nu 0", scale * state.u[2 * grid.node(last, 1)]),
        value("hoop stress at r = 4 mm, nu 0", scale * grid.stress(&law, &state, 0, 1)[2]),
        value("hoop stress at r = 10 mm, nu 0", scale * grid.stress(&law, &state, last, 1)[2]),
    ];
    for poisson in [0.3, 0.4999] {
        let grid = tube(1.0, 2.0);
        let (mu, kappa) = moduli(poisson);
        let parts: Parts = vec![grid.rubber(NeoHookean { mu }, kappa)?, grid.gas(&grid.left())];
        let (_, state) = solve(&grid, &ends(&grid), parts, SMALL, (1, 1e-7))?;
        for (r, i) in [(1, 0), (2, last)] {
            values.push(value(format!("radial displacement at r = {r} mm, nu {poisson}"), state.u[2 * grid.node(i, 1)] / SMALL));
        }
    }
    Ok(values)
}

/// Radii 1 and 2 mm at 1 MPa.
pub(super) fn thick_sphere() -> Result<Vec<Value>, ValidationError> {
    let supports = |grid: &Grid| [axially(&grid.bottom()), radially(&grid.top())].concat();
    // Stress at a face converges with the square of the element's size only: four times as many for 0.1 %.
    let grid = Grid::sphere(4 * THROUGH, ALONG, 1.0, 2.0);
    let last = 8 * THROUGH;
    let law = LinearElastic::new(YOUNG, 0.3);
    let parts: Parts = vec![grid.linear(law)?, grid.gas(&grid.left())];
    let (_, state) = solve(&grid, &supports(&grid), parts, SMALL, (1, 1e-8))?;
    let mut values = vec![
        value("hoop stress at r = 1 mm, nu 0.3", grid.stress(&law, &state, 0, 0)[2] / SMALL),
        value("hoop stress at r = 2 mm, nu 0.3", grid.stress(&law, &state, last, 0)[2] / SMALL),
    ];
    let grid = Grid::sphere(THROUGH, ALONG, 1.0, 2.0);
    let last = 2 * THROUGH;
    for poisson in [0.0, 0.3, 0.4999] {
        let (mu, kappa) = moduli(poisson);
        let parts: Parts = vec![grid.rubber(NeoHookean { mu }, kappa)?, grid.gas(&grid.left())];
        let (_, state) = solve(&grid, &supports(&grid), parts, SMALL, (1, 1e-7))?;
        for (r, i) in [(1, 0), (2, last)] {
            values.push(value(format!("radial displacement at r = {r} mm, nu {poisson}"), state.u[2 * grid.node(i, 0)] / SMALL));
        }
    }
    Ok(values)
}
