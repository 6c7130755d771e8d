//! Structured meshes and solves shared by the verification tests.
#![allow(dead_code, unreachable_pub, clippy::unwrap_used)]

use hoopwright_fem::assembly::System;
use hoopwright_fem::contribution::Contribution;
use hoopwright_fem::mesh::{Mesh, quad_point};
use hoopwright_fem::newton::{self, Control, Cost, Settings};
use hoopwright_fem::state::{Load, State};
use std::sync::Arc;

/// A structured mesh of `n` x `m` nine-node elements, the node at half steps (i, j) placed by `place(i / 2n, j / 2m)`.
pub struct Grid {
    pub mesh: Mesh,
    n: usize,
    m: usize,
}

impl Grid {
    pub fn new(n: usize, m: usize, place: impl Fn(f64, f64) -> [f64; 2]) -> Self {
        let nodes = (0..=2 * m)
            .flat_map(|j| (0..=2 * n).map(move |i| (i, j)))
            .map(|(i, j)| place(i as f64 / (2 * n) as f64, j as f64 / (2 * m) as f64))
            .collect();
        let at = |i: usize, j: usize| j * (2 * n + 1) + i;
        let quads = (0..m)
            .flat_map(|b| (0..n).map(move |a| (2 * a, 2 * b)))
            .map(|(i, j)| [(0, 0), (2, 0), (2, 2), (0, 2), (1, 0), (2, 1), (1, 2), (0, 1), (1, 1)].map(|(a, b)| at(i + a, j + b)))
            .collect();
        Self { mesh: Mesh { nodes, quads }, n, m }
    }

    pub fn node(&self, i: usize, j: usize) -> usize {
        j * (2 * self.n + 1) + i
    }

    /// Nodes with the first index 0 (left) in order of the second.
    pub fn left(&self) -> Vec<usize> {
        (0..=2 * self.m).map(|j| self.node(0, j)).collect()
    }

    pub fn right(&self) -> Vec<usize> {
        (0..=2 * self.m).map(|j| self.node(2 * self.n, j)).collect()
    }

    pub fn bottom(&self) -> Vec<usize> {
        (0..=2 * self.n).map(|i| self.node(i, 0)).collect()
    }

    pub fn top(&self) -> Vec<usize> {
        (0..=2 * self.n).map(|i| self.node(i, 2 * self.m)).collect()
    }

    pub fn all_quads(&self) -> Vec<usize> {
        (0..self.mesh.quads.len()).collect()
    }

    pub fn boundary(&self) -> Vec<usize> {
        [self.left(), self.right(), self.bottom(), self.top()].concat()
    }
}

/// Edges (first, last, mid) along a line of nodes, in its direction.
pub fn edges(line: &[usize]) -> Vec<[usize; 3]> {
    line.windows(3).step_by(2).map(|w| [w[0], w[2], w[1]]).collect()
}

pub fn reversed(mut line: Vec<usize>) -> Vec<usize> {
    line.reverse();
    line
}

/// Newton's settings with a tolerance: a nearly incompressible body under a small load ends at the round-off of its own stiffness.
pub fn settings(tolerance: f64) -> Settings {
    Settings { tolerance, ..Settings::default() }
}

/// Solves at a load from rest, with `u` prescribed where `fixed` says so, in `steps` equal steps of both.
pub fn solve(
    n_nodes: usize,
    fixed: &[(usize, f64)],
    contributions: Vec<Arc<dyn Contribution>>,
    load: Load,
    (steps, tolerance): (usize, f64),
) -> (System, State) {
    let dofs: Vec<usize> = fixed.iter().map(|f| f.0).collect();
    let mut system = System::new(2 * n_nodes, &dofs, contributions).unwrap();
    let mut state = system.rest();
    for step in 1..=steps {
        let share = step as f64 / steps as f64;
        for (dof, value) in fixed {
            state.u[*dof] = share * value;
        }
        let mut load = Load { pressure: share * load.pressure, ..load };
        newton::solve(&mut system, &mut state, &mut load, Control::Load, &settings(tolerance), &mut Cost::default()).unwrap();
    }
    (system, state)
}

/// L2 norm over the volume of the difference between the computed displacement and `exact`.
pub fn l2_error(mesh: &Mesh, state: &State, exact: impl Fn([f64; 2]) -> [f64; 2]) -> f64 {
    let mut sum = 0.0;
    for quad in 0..mesh.quads.len() {
        let u = state.gather(&mesh.quads[quad]);
        for point in mesh.quad_points(quad).unwrap() {
            let wanted = exact(point.position);
            for i in 0..2 {
                let found: f64 = (0..9).map(|a| point.n[a] * u[a][i]).sum();
                sum += point.volume * (found - wanted[i]).powi(2);
            }
        }
    }
    sum.sqrt()
}

/// Displacement at the centre of the reference coordinates of a quad.
pub fn centre(mesh: &Mesh, quad: usize) -> [f64; 2] {
    quad_point(&mesh.corners(quad), 0.0, 0.0, 1.0).unwrap().position
}

/// Slope of log(error) against log(size) between the first and the last pair.
pub fn slope(pairs: &[(f64, f64)]) -> f64 {
    let (a, b) = (pairs[0], pairs[pairs.len() - 1]);
    (a.1 / b.1).ln() / (a.0 / b.0).ln()
}
