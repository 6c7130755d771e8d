//! Structured meshes, loads and solves shared by the problems.

use crate::error::ValidationError;
use hoopwright_fem::assembly::System;
use hoopwright_fem::contribution::mixed::Mixed;
use hoopwright_fem::contribution::pressure::Pressure;
use hoopwright_fem::contribution::solid::Solid;
use hoopwright_fem::contribution::{Contribution, LocalSystem};
use hoopwright_fem::element::quad9;
use hoopwright_fem::error::SolveError;
use hoopwright_fem::kinematics::deformation_gradient;
use hoopwright_fem::material::Material;
use hoopwright_fem::material::linear_elastic::LinearElastic;
use hoopwright_fem::mesh::{Mesh, quad_point};
use hoopwright_fem::newton::{self, Control, Cost, Settings};
use hoopwright_fem::state::{Load, State};
use std::sync::Arc;

/// Contributions of a problem.
pub(crate) type Parts = Vec<Arc<dyn Contribution>>;

/// A mesh of `n` x `m` nine-node elements; the node at half steps (i, j) lies at `place(i / 2n, j / 2m)`, mm.
pub(crate) struct Grid {
    pub(crate) mesh: Mesh,
    n: usize,
    m: usize,
}

impl Grid {
    pub(crate) fn new(n: usize, m: usize, place: impl Fn(f64, f64) -> [f64; 2]) -> Self {
        let nodes = (0..=2 * m)
            .flat_map(|j| (0..=2 * n).map(move |i| (i, j)))
            .map(|(i, j)| place(i as f64 / (2 * n) as f64, j as f64 / (2 * m) as f64))
            .collect();
        let at = |i: usize, j: usize| j * (2 * n + 1) + i;
        let local = [(0, 0), (2, 0), (2, 2), (0, 2), (1, 0), (2, 1), (1, 2), (0, 1), (1, 1)];
        let quads = (0..m).flat_map(|b| (0..n).map(move |a| local.map(|(i, j)| at(2 * a + i, 2 * b + j)))).collect();
        Self { mesh: Mesh { nodes, quads }, n, m }
    }

    /// A quarter of a meridian of a sphere about the origin, from the equator (bottom) to the pole (top).
    pub(crate) fn sphere(n: usize, m: usize, inner: f64, outer: f64) -> Self {
        Self::new(n, m, |x, y| {
            let (r, angle) = (inner + (outer - inner) * x, std::f64::consts::FRAC_PI_2 * y);
            [r * angle.cos(), r * angle.sin()]
        })
    }

    pub(crate) fn node(&self, i: usize, j: usize) -> usize {
        j * (2 * self.n + 1) + i
    }

    /// Nodes with the first index `i` in order of the second.
    pub(crate) fn column(&self, i: usize) -> Vec<usize> {
        (0..=2 * self.m).map(|j| self.node(i, j)).collect()
    }

    pub(crate) fn left(&self) -> Vec<usize> {
        self.column(0)
    }

    pub(crate) fn right(&self) -> Vec<usize> {
        self.column(2 * self.n)
    }

    pub(crate) fn bottom(&self) -> Vec<usize> {
        (0..=2 * self.n).map(|i| self.node(i, 0)).collect()
    }

    pub(crate) fn top(&self) -> Vec<usize> {
        (0..=2 * self.n).map(|i| self.node(i, 2 * self.m)).collect()
    }

    pub(crate) fn all(&self) -> Vec<usize> {
        (0..self.mesh.quads.len()).collect()
    }

    /// The mesh with each element's node numbers turned a quarter: a ply's line runs along an element's first direction, which then is
    /// the second of the grid.
    pub(crate) fn turned(&self) -> Mesh {
        let mut mesh = self.mesh.clone();
        for q in &mut mesh.quads {
            *q = [q[1], q[2], q[3], q[0], q[5], q[6], q[7], q[4], q[8]];
        }
        mesh
    }

    pub(crate) fn linear(&self, law: LinearElastic) -> Result<Arc<dyn Contribution>, ValidationError> {
        Ok(Arc::new(Solid::new(&self.mesh, &self.all(), Box::new(law)).ok_or(ValidationError::Mesh)?))
    }

    pub(crate) fn rubber(&self, law: impl Material + 'static, kappa: f64) -> Result<Arc<dyn Contribution>, ValidationError> {
        Ok(Arc::new(Mixed::new(&self.mesh, &self.all(), Box::new(law), kappa).ok_or(ValidationError::Mesh)?))
    }

    /// Gas along a line of nodes; it lies to the left of the way.
    pub(crate) fn gas(&self, line: &[usize]) -> Arc<dyn Contribution> {
        let edges = line.windows(3).step_by(2).map(|w| [w[0], w[2], w[1]]).collect();
        Arc::new(Pressure::new(&self.mesh, edges))
    }

    /// Stress (rr, zz, hoop), MPa, of the linear law at node (i, j), averaged over the elements that meet there.
    pub(crate) fn stress(&self, law: &LinearElastic, state: &State, i: usize, j: usize) -> [f64; 3] {
        let (node, mut sum, mut count) = (self.node(i, j), [0.0; 3], 0.0);
        for (q, nodes) in self.mesh.quads.iter().enumerate() {
            let Some(a) = nodes.iter().position(|n| *n == node) else { continue };
            let (xi, eta) = quad9::NODES[a];
            let Some(point) = quad_point(&self.mesh.corners(q), xi, eta, 1.0) else { continue };
            let p = law.evaluate(&deformation_gradient(&point, &state.gather(nodes))).stress;
            for (s, k) in sum.iter_mut().zip([0, 3, 4]) {
                *s += p[k];
            }
            count += 1.0;
        }
        sum.map(|s| s / count)
    }

    /// Resultants (axial, hoop), N/mm, over the thickness at row j: Simpson's rule on the nodes of the row.
    pub(crate) fn resultants(&self, law: &LinearElastic, state: &State, j: usize) -> [f64; 2] {
        let mut sum = [0.0; 2];
        for a in 0..self.n {
            let x = |i: usize| self.mesh.nodes[self.node(i, j)];
            let width = (x(2 * a + 2)[0] - x(2 * a)[0]).hypot(x(2 * a + 2)[1] - x(2 * a)[1]);
            for (i, w) in [(2 * a, 1.0), (2 * a + 1, 4.0), (2 * a + 2, 1.0)] {
                let s = self.stress(law, state, i, j);
                sum[0] += w / 6.0 * width * s[1];
                sum[1] += w / 6.0 * width * s[2];
            }
        }
        sum
    }
}

/// Radial forces, N over the whole circumference, on nodes: those of an edge load.
pub(crate) struct NodalForce {
    pub(crate) forces: Vec<(usize, f64)>,
}

impl Contribution for NodalForce {
    fn name(&self) -> &'static str {
        "nodal force"
    }

    fn n_items(&self) -> usize {
        self.forces.len()
    }

    fn dofs(&self, item: usize, out: &mut Vec<usize>) {
        out.push(self.forces[item].0);
    }

    fn evaluate(&self, item: usize, _: &State, _: &[f64], _: &Load, out: &mut LocalSystem) -> Result<(), SolveError> {
        out.residual[0] = -self.forces[item].1;
        Ok(())
    }
}

/// Axial unknowns of nodes, held at 0.
pub(crate) fn axially(nodes: &[usize]) -> Vec<(usize, f64)> {
    nodes.iter().map(|i| (2 * i + 1, 0.0)).collect()
}

/// Radial unknowns of nodes, held at 0.
pub(crate) fn radially(nodes: &[usize]) -> Vec<(usize, f64)> {
    nodes.iter().map(|i| (2 * i, 0.0)).collect()
}

/// Equilibrium at pressure `pressure` (MPa) and prescribed unknowns `fixed`, reached in `steps` equal steps of both.
pub(crate) fn solve(
    grid: &Grid,
    fixed: &[(usize, f64)],
    parts: Parts,
    pressure: f64,
    (steps, tolerance): (usize, f64),
) -> Result<(System, State), ValidationError> {
    let dofs: Vec<usize> = fixed.iter().map(|f| f.0).collect();
    let mut system = System::new(2 * grid.mesh.nodes.len(), &dofs, parts)?;
    let mut state = system.rest();
    let settings = Settings { tolerance, ..Settings::default() };
    let mut before = state.clone();
    for step in 1..=steps {
        if step > 1 {
            // Start from the straight continuation: a nearly incompressible body has a tiny reach of convergence.
            let last = state.clone();
            extrapolate(&mut state.u, &before.u);
            extrapolate(&mut state.internal, &before.internal);
            before = last;
        }
        let share = step as f64 / steps as f64;
        for (dof, value) in fixed {
            state.u[*dof] = share * value;
        }
        let mut load = Load { pressure: share * pressure, ..Load::default() };
        newton::solve(&mut system, &mut state, &mut load, Control::Load, &settings, &mut Cost::default())?;
    }
    Ok((system, state))
}

/// Takes the step from `before` to `now` once more.
fn extrapolate(now: &mut [f64], before: &[f64]) {
    for (n, b) in now.iter_mut().zip(before) {
        *n += *n - b;
    }
}
