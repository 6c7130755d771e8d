//! Problems whose references are another library's answers: an inflated half torus with cords, and an L-shaped ring.

use super::value;
use crate::error::{ValidationError, Value};
use crate::grid::{Grid, Parts, axially, solve};
use hoopwright_fem::contribution::ply::{Ply, PlySegment};
use hoopwright_fem::material::cord::Cord;
use hoopwright_fem::material::linear_elastic::LinearElastic;
use hoopwright_fem::material::neo_hookean::NeoHookean;
use std::f64::consts::PI;
use std::sync::Arc;

/// Half torus: radius of its centre line, radii of the tube's inside, of the cord layer and of the outside, mm.
const CENTRE: f64 = 40.0;
const RADII: [f64; 4] = [10.0, 11.9, 12.1, 14.0];
/// Elements through each layer, and round.
const LAYERS: [usize; 3] = [2, 1, 2];
const ROUND: usize = 24;

/// Displacements, mm, of the inside of a half torus of rubber under gas, alone and with cords.
pub(super) fn rubber_torus() -> Result<Vec<Value>, ValidationError> {
    let mut values = Vec::new();
    for (title, pressure, corded) in [("rubber alone", 0.1, false), ("with cords", 0.3, true)] {
        values.extend(torus(title, pressure, corded)?);
    }
    Ok(values)
}

fn torus(title: &str, pressure: f64, corded: bool) -> Result<Vec<Value>, ValidationError> {
    let through = LAYERS.iter().sum::<usize>();
    let grid = Grid::new(through, ROUND, |x, y| {
        let (rho, phi) = (radius(x * through as f64), PI * y);
        [CENTRE + rho * phi.cos(), rho * phi.sin()]
    });
    let mut parts: Parts = vec![grid.rubber(NeoHookean { mu: 1.0 }, 50.0)?, grid.gas(&grid.left())];
    if corded {
        parts.push(Arc::new(cords(&grid, through)));
    }
    let mirror = axially(&[grid.bottom(), grid.top()].concat());
    let (_, state) = solve(&grid, &mirror, parts, pressure, (40, 1e-9))?;
    let at = |j: usize, component: usize| state.u[2 * grid.node(0, j) + component];
    Ok(vec![
        value(format!("{title}: radial displacement, outer equator"), at(0, 0)),
        value(format!("{title}: axial displacement, crown of the tube"), at(ROUND, 1)),
        value(format!("{title}: radial displacement, inner equator"), at(2 * ROUND, 0)),
    ])
}

/// Radius of the tube at a number of elements from the inside.
fn radius(elements: f64) -> f64 {
    let mut first = 0.0;
    for (layer, n) in LAYERS.iter().enumerate() {
        let share = (elements - first) / *n as f64;
        if share <= 1.0 + 1e-9 {
            return RADII[layer] + share * (RADII[layer + 1] - RADII[layer]);
        }
        first += *n as f64;
    }
    RADII[3]
}

/// Cords of 10 N at 2 per mm along the middle of the middle layer; their angle grows with the radius.
fn cords(grid: &Grid, through: usize) -> Ply {
    let segments: Vec<PlySegment> = (0..ROUND).map(|j| PlySegment { quad: j * through + LAYERS[0], eta: 0.0 }).collect();
    Ply::new(&grid.turned(), &segments, Cord { stiffness: 10.0 }, |r| (0.8 + 0.01 * (r - CENTRE), 2.0))
}

/// Displacements, mm, of a ring with the section of a seat and a wall under gas on both.
pub(super) fn rim_section() -> Result<Vec<Value>, ValidationError> {
    let (seat, wall, n, m) = (303.0, 9.5, 24, 24);
    // A third of the elements below the seat, two thirds of them inside the wall's face; drawn towards the corner between them.
    let drawn = |x: f64, corner: f64, below: f64, above: f64, share: f64| {
        if x < share {
            corner - below * (1.0 - x / share).powf(1.5)
        } else {
            corner + above * ((x - share) / (1.0 - share)).powf(1.5)
        }
    };
    let mut grid = Grid::new(n, m, |x, y| [drawn(x, seat, 3.0, 6.0, 1.0 / 3.0), drawn(y, wall, 9.5, 2.5, 2.0 / 3.0)]);
    let nodes = grid.mesh.nodes.clone();
    grid.mesh.quads.retain(|q| nodes[q[8]][0] < seat || nodes[q[8]][1] > wall);
    let law = LinearElastic::new(70e3, 0.33);
    let (corner_i, corner_j) = (2 * n / 3, 4 * m / 3);
    // Along the seat away from the mirror and up the wall: the gas lies to the left.
    let mut wetted: Vec<usize> = (0..=corner_j).map(|j| grid.node(corner_i, j)).collect();
    wetted.extend((corner_i + 1..=2 * n).map(|i| grid.node(i, corner_j)));
    wetted.reverse();
    let parts: Parts = vec![grid.linear(law)?, grid.gas(&wetted)];
    let mut fixed = axially(&grid.bottom()[..=corner_i]);
    fixed.extend(unused(&grid).into_iter().flat_map(|k| [(2 * k, 0.0), (2 * k + 1, 0.0)]));
    let (_, state) = solve(&grid, &fixed, parts, 1e-3, (1, 1e-7))?;
    let at = |i: usize, j: usize, component: usize| 1e3 * state.u[2 * grid.node(i, j) + component];
    Ok(vec![
        value("radial displacement of the seat at the mirror", at(corner_i, 0, 0)),
        value("radial displacement under the wall", at(0, 2 * m, 0)),
        value("axial displacement of the wall's tip", at(2 * n, corner_j, 1)),
        value("radial displacement of the wall's tip", at(2 * n, corner_j, 0)),
    ])
}

/// Nodes that belong to no element.
fn unused(grid: &Grid) -> Vec<usize> {
    let mut used = vec![false; grid.mesh.nodes.len()];
    grid.mesh.quads.iter().flatten().for_each(|k| used[*k] = true);
    (0..used.len()).filter(|k| !used[*k]).collect()
}
