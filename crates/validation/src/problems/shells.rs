//! Thin shells in linear theory: membrane states, an edge disturbance, and a cylinder closed by a hemisphere.

use super::value;
use crate::error::{ValidationError, Value};
use crate::grid::{Grid, NodalForce, Parts, axially, radially, solve};
use hoopwright_fem::material::linear_elastic::LinearElastic;
use std::f64::consts::PI;
use std::sync::Arc;

/// Young's modulus of a metal, MPa.
const YOUNG: f64 = 210e3;
/// Pressure, MPa, small enough for the gas not to move with its face; results are scaled to unit pressure.
const SMALL: f64 = 1e-3;

/// Mean radius 100 mm, thickness 0.1 mm: stress times t over p R.
pub(super) fn thin_shells() -> Result<Vec<Value>, ValidationError> {
    let (radius, t, law) = (100.0, 0.1, LinearElastic::new(YOUNG, 0.3));
    let cylinder = Grid::new(1, 4, |x, y| [radius + t * (x - 0.5), 2.0 * y]);
    let parts: Parts = vec![cylinder.linear(law)?, cylinder.gas(&cylinder.left())];
    let (_, state) = solve(&cylinder, &axially(&cylinder.bottom()), parts, SMALL, (1, 1e-7))?;
    let hoop = cylinder.resultants(&law, &state, 4)[1] / (SMALL * radius);

    let sphere = Grid::sphere(1, 24, radius - 0.5 * t, radius + 0.5 * t);
    let fixed = [axially(&sphere.bottom()), radially(&sphere.top())].concat();
    let parts: Parts = vec![sphere.linear(law)?, sphere.gas(&sphere.left())];
    let (_, state) = solve(&sphere, &fixed, parts, SMALL, (1, 1e-7))?;
    let equator = sphere.resultants(&law, &state, 0)[1] / (SMALL * radius);
    Ok(vec![value("cylinder, hoop stress t / (p R)", hoop), value("sphere, hoop stress t / (p R)", equator)])
}

/// Radius 1000 mm, thickness 0.1 mm, radial force 1e-3 N/mm round one edge.
pub(super) fn edge_loaded_cylinder() -> Result<Vec<Value>, ValidationError> {
    let (radius, t, q0, law): (f64, f64, f64, _) = (1000.0, 0.1, 1e-3, LinearElastic::new(YOUNG, 0.3));
    let beta = (3.0 * (1.0 - 0.09) / (radius * t).powi(2)).powf(0.25);
    // A quarter wave, pi / (4 beta), in 24 elements; twelve of these lengths are an endless cylinder.
    let (per, quarters) = (24, 12);
    let length = 0.25 * PI / beta * quarters as f64;
    let grid = Grid::new(1, per * quarters, |x, y| [radius + t * (x - 0.5), length * y]);
    let total = 2.0 * PI * radius * q0;
    let forces = grid.bottom().iter().zip([1.0 / 6.0, 4.0 / 6.0, 1.0 / 6.0]).map(|(n, w)| (2 * n, w * total)).collect();
    let parts: Parts = vec![grid.linear(law)?, Arc::new(NodalForce { forces })];
    let (_, state) = solve(&grid, &axially(&grid.top()), parts, 0.0, (1, 1e-8))?;
    let w = |j: usize| state.u[2 * grid.node(1, j)];
    let step = length / (2 * per * quarters) as f64;
    let slope = (-3.0 * w(0) + 4.0 * w(1) - w(2)) / (2.0 * step);
    let moment = |j: usize| {
        let s = |i: usize| grid.stress(&law, &state, i, j)[1];
        (s(2) - s(0)) * t * t / 12.0
    };
    Ok(vec![
        value("edge deflection", w(0)),
        value("edge slope", slope),
        value("deflection at beta x = pi / 4", w(2 * per)),
        value("largest moment, at beta x = pi / 4", moment(2 * per).abs() * beta / q0),
        value("moment at beta x = pi / 2", moment(4 * per).abs() * beta / q0),
    ])
}

/// Tube of radius 14 mm about 325 mm, 0.5 MPa.
pub(super) fn torus_membrane() -> Result<Vec<Value>, ValidationError> {
    let (big, a, t, law) = (325.0, 14.0, 0.05, LinearElastic::new(YOUNG, 0.3));
    let m = 120;
    // From the outer to the inner equator. The gas acts on the middle line, as in membrane theory.
    let grid = Grid::new(2, m, |x, y| {
        let (r, angle) = (a + t * (x - 0.5), PI * y);
        [big + r * angle.cos(), r * angle.sin()]
    });
    let fixed = axially(&[grid.bottom(), grid.top()].concat());
    let parts: Parts = vec![grid.linear(law)?, grid.gas(&grid.column(2))];
    let (_, state) = solve(&grid, &fixed, parts, SMALL, (1, 1e-7))?;
    let scale = 0.5 / SMALL;
    let (outer, inner) = (grid.resultants(&law, &state, 0), grid.resultants(&law, &state, 2 * m));
    Ok(vec![
        value("meridional resultant, outer equator", scale * outer[0]),
        value("meridional resultant, inner equator", scale * inner[0]),
        value("hoop resultant, outer equator", scale * outer[1]),
        value("hoop resultant, inner equator", scale * inner[1]),
    ])
}

/// Mean radius 1000 mm, 1 MPa, thickness 25 mm as published and a tenth of it.
pub(super) fn cylinder_hemisphere() -> Result<Vec<Value>, ValidationError> {
    Ok(vec![
        value("axial stress at R = 1012.5 mm, Z = 1403.4 mm", dome(25.0)?),
        value("axial stress t / (p R), a tenth as thick", dome(2.5)? * 2.5e-3),
    ])
}

/// Axial stress, MPa, at the outer face at beta x = pi / 4 below the junction with the hemisphere, at 1 MPa.
fn dome(t: f64) -> Result<f64, ValidationError> {
    let (radius, law) = (1000.0_f64, LinearElastic::new(YOUNG, 0.3));
    let quarter = 0.25 * PI * (radius * t).sqrt() / (3.0 * (1.0 - 0.09_f64)).powf(0.25);
    // Elements up to the point (eight quarter waves), up to the junction, and to the pole, finer towards the junction.
    let (below, between, cap) = (48, 6, 60);
    let m = below + between + cap;
    let grid = Grid::new(2, m, |x, y| {
        let (r, s) = (radius + t * (x - 0.5), y * m as f64);
        if s <= below as f64 {
            [r, quarter * (8.0 * s / below as f64 - 9.0)]
        } else if s <= (below + between) as f64 {
            [r, quarter * ((s - below as f64) / between as f64 - 1.0)]
        } else {
            let share = (s - (below + between) as f64) / cap as f64;
            let angle = 0.5 * PI * share * share;
            [r * angle.cos(), r * angle.sin()]
        }
    });
    let fixed = [axially(&grid.bottom()), radially(&grid.top())].concat();
    // The target is that of a shell, whose load acts on the middle surface.
    let parts: Parts = vec![grid.linear(law)?, grid.gas(&grid.column(2))];
    let (_, state) = solve(&grid, &fixed, parts, SMALL, (1, 1e-7))?;
    Ok(grid.stress(&law, &state, 4, 2 * below)[1] / SMALL)
}
