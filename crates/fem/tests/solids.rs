//! The solids against theory: patch test, order of convergence, thick cylinder up to incompressibility, finite stretch, thin shells.
#![allow(clippy::unwrap_used)]

mod common;

use approx::assert_relative_eq;
use common::{Grid, edges, l2_error, reversed, slope, solve};
use hoopwright_fem::contribution::Contribution;
use hoopwright_fem::contribution::mixed::Mixed;
use hoopwright_fem::contribution::pressure::Pressure;
use hoopwright_fem::contribution::solid::Solid;
use hoopwright_fem::material::compressible::Compressible;
use hoopwright_fem::material::linear_elastic::LinearElastic;
use hoopwright_fem::material::mooney_rivlin::MooneyRivlin;
use hoopwright_fem::material::neo_hookean::NeoHookean;
use hoopwright_fem::state::Load;
use std::sync::Arc;

/// Gas along lines of nodes; it lies to the left of the way.
fn gas(grid: &Grid, lines: &[Vec<usize>]) -> Arc<dyn Contribution> {
    Arc::new(Pressure::new(&grid.mesh, lines.iter().flat_map(|line| edges(line)).collect()))
}

/// A tube of inner radius a, outer radius b, height h, no axial displacement at either end.
fn tube(n: usize, m: usize, a: f64, b: f64, h: f64) -> (Grid, Vec<(usize, f64)>) {
    let grid = Grid::new(n, m, |x, y| [a + (b - a) * x, h * y]);
    let fixed = [grid.bottom(), grid.top()].concat().into_iter().map(|i| (2 * i + 1, 0.0)).collect();
    (grid, fixed)
}

fn mixed(grid: &Grid, young: f64, poisson: f64) -> Arc<dyn Contribution> {
    let (mu, kappa) = (young / (2.0 * (1.0 + poisson)), young / (3.0 * (1.0 - 2.0 * poisson)));
    Arc::new(Mixed::new(&grid.mesh, &grid.all_quads(), Box::new(NeoHookean { mu }), kappa).unwrap())
}

#[test]
fn patch_test_a_homogeneous_state_is_reproduced_on_a_distorted_mesh() {
    // u_r = a r, u_z = b z is in equilibrium; the inner nodes of a skewed mesh must find it.
    let skew = |x: f64, y: f64| {
        let bump = 0.08 * (std::f64::consts::PI * x).sin() * (std::f64::consts::PI * y).sin();
        [5.0 + 2.0 * x + bump, 3.0 * y - 1.3 * bump]
    };
    let grid = Grid::new(3, 3, skew);
    let exact = |x: [f64; 2]| [0.07 * x[0], -0.05 * x[1]];
    let fixed: Vec<(usize, f64)> = grid
        .boundary()
        .into_iter()
        .flat_map(|i| {
            let u = exact(grid.mesh.nodes[i]);
            [(2 * i, u[0]), (2 * i + 1, u[1])]
        })
        .collect();
    let compressible = Compressible { isochoric: NeoHookean { mu: 1.0 }, kappa: 5.0 };
    let solid = Arc::new(Solid::new(&grid.mesh, &grid.all_quads(), Box::new(compressible)).unwrap());
    for body in [solid as Arc<dyn Contribution>, mixed(&grid, 3.0, 0.49)] {
        let (_, state) = solve(grid.mesh.nodes.len(), &fixed, vec![body], Load::default(), (10, 1e-10));
        for (i, x) in grid.mesh.nodes.iter().enumerate() {
            assert_relative_eq!(state.u[2 * i], exact(*x)[0], epsilon = 1e-10);
            assert_relative_eq!(state.u[2 * i + 1], exact(*x)[1], epsilon = 1e-10);
        }
    }
}

/// Lame, plane strain: u = (1 + nu) C / E ((1 - 2 nu) r + b^2 / r), C = p a^2 / (b^2 - a^2).
/// Source: Timoshenko and Goodier, Theory of Elasticity, section 28 (from memory).
fn lame(r: f64, nu: f64, p: f64) -> f64 {
    let (a, b, young): (f64, f64, f64) = (1.0, 2.0, 1000.0);
    let c = p * a * a / (b * b - a * a);
    (1.0 + nu) / young * c * ((1.0 - 2.0 * nu) * r + b * b / r)
}

#[test]
fn displacements_converge_with_order_three() {
    let p = 1.0;
    let mut pairs = Vec::new();
    for n in [2, 4, 8] {
        let skew = |x: f64, y: f64| {
            let wave = 0.05 * (2.0 * std::f64::consts::PI * y).sin() * x * (1.0 - x);
            [1.0 + x + wave, 0.8 * y + 0.6 * wave * y * (1.0 - y)]
        };
        let grid = Grid::new(n, n, skew);
        let fixed: Vec<_> = [grid.bottom(), grid.top()].concat().into_iter().map(|i| (2 * i + 1, 0.0)).collect();
        let solid = Arc::new(Solid::new(&grid.mesh, &grid.all_quads(), Box::new(LinearElastic::new(1000.0, 0.3))).unwrap());
        let (_, state) = solve(
            grid.mesh.nodes.len(),
            &fixed,
            vec![solid, gas(&grid, &[grid.left()])],
            Load { pressure: 1e-4 * p, ..Load::default() },
            (1, 1e-8),
        );
        pairs.push((1.0 / n as f64, l2_error(&grid.mesh, &state, |x| [lame(x[0], 0.3, 1e-4 * p), 0.0])));
    }
    assert!(slope(&pairs) >= 2.9, "order {} from {pairs:?}", slope(&pairs));
}

#[test]
fn a_thick_cylinder_does_not_lock_as_it_becomes_incompressible() {
    for nu in [0.3, 0.4999] {
        let (grid, fixed) = tube(8, 1, 1.0, 2.0, 0.2);
        let p = 0.1;
        let body = mixed(&grid, 1000.0, nu);
        let (_, state) = solve(
            grid.mesh.nodes.len(),
            &fixed,
            vec![body, gas(&grid, &[grid.left()])],
            Load { pressure: p, ..Load::default() },
            (1, 1e-8),
        );
        for (i, x) in grid.mesh.nodes.iter().enumerate() {
            assert_relative_eq!(state.u[2 * i], lame(x[0], nu, p), max_relative = 1e-3);
        }
    }
}

#[test]
fn a_thick_rubber_tube_follows_the_finite_stretch_solution() {
    // p / mu = ln(la / lb) + (lb^-2 - la^-2) / 2, lb^2 = 1 + (A / B)^2 (la^2 - 1), no axial stretch; Mooney: mu = 2 (C1 + C2).
    // Rivlin, Phil. Trans. A 242 (1949) 173 (from memory); the pressure is evaluated here.
    for la in [1.1_f64, 1.5, 2.0] {
        let lb = (1.0 + 0.25 * (la * la - 1.0)).sqrt();
        let over_mu = (la / lb).ln() + 0.5 * (lb.powi(-2) - la.powi(-2));
        let (grid, mut fixed) = tube(8, 1, 1.0, 2.0, 0.2);
        let mooney = MooneyRivlin { c1: 0.4, c2: 0.1 };
        let body: Arc<dyn Contribution> = Arc::new(Mixed::new(&grid.mesh, &grid.all_quads(), Box::new(mooney), 1e5).unwrap());
        // Stretch control: the inner face is moved, its reaction gives the pressure.
        let inner = grid.left();
        fixed.extend(inner.iter().map(|i| (2 * i, la - 1.0)));
        let (system, _) = solve(grid.mesh.nodes.len(), &fixed, vec![body], Load::default(), (40, 1e-8));
        let reaction: f64 = inner.iter().map(|i| system.residual()[2 * i]).sum();
        let pressure = reaction / (2.0 * std::f64::consts::PI * la * 0.2);
        assert_relative_eq!(pressure, over_mu, max_relative = 2e-3);
    }
}

#[test]
fn thin_shells_carry_p_r_over_t() {
    // Cylinder (open, no axial displacement is free: plane stress axially): hoop strain p r / (E t).
    let (radius, thickness, young, p) = (100.0, 0.1, 1000.0, 1e-4);
    let grid = Grid::new(1, 4, |x, y| [radius - 0.5 * thickness + thickness * x, 2.0 * y]);
    let fixed: Vec<_> = grid.bottom().into_iter().map(|i| (2 * i + 1, 0.0)).collect();
    let solid = Arc::new(Solid::new(&grid.mesh, &grid.all_quads(), Box::new(LinearElastic::new(young, 0.3))).unwrap());
    let (_, state) = solve(
        grid.mesh.nodes.len(),
        &fixed,
        vec![solid, gas(&grid, &[grid.left()])],
        Load { pressure: p, ..Load::default() },
        (1, 1e-8),
    );
    let middle = grid.node(1, 4);
    let inner = radius - 0.5 * thickness;
    assert_relative_eq!(state.u[2 * middle], p * inner * radius / (young * thickness), max_relative = 1e-3);

    // Sphere: u = p r^2 (1 - nu) / (2 E t). Timoshenko and Woinowsky-Krieger, Theory of Plates and Shells (from memory).
    let half_pi = std::f64::consts::FRAC_PI_2;
    let grid = Grid::new(1, 24, |x, y| {
        let r = radius - 0.5 * thickness + thickness * x;
        [r * (half_pi * y).cos(), r * (half_pi * y).sin()]
    });
    let mut fixed: Vec<_> = grid.bottom().into_iter().map(|i| (2 * i + 1, 0.0)).collect();
    fixed.extend(grid.top().into_iter().map(|i| (2 * i, 0.0)));
    let solid = Arc::new(Solid::new(&grid.mesh, &grid.all_quads(), Box::new(LinearElastic::new(young, 0.3))).unwrap());
    let (_, state) = solve(
        grid.mesh.nodes.len(),
        &fixed,
        vec![solid, gas(&grid, &[grid.left()])],
        Load { pressure: p, ..Load::default() },
        (1, 1e-8),
    );
    let equator = grid.node(1, 0);
    assert_relative_eq!(state.u[2 * equator], p * inner * inner * 0.7 / (2.0 * young * thickness), max_relative = 1e-3);
}

#[test]
fn gas_on_both_faces_leaves_only_the_compression() {
    // Under equal pressure all round an incompressible body hardly moves: the follower loads cancel.
    let (grid, _) = tube(4, 4, 1.0, 2.0, 1.0);
    let fixed: Vec<_> = grid.bottom().into_iter().map(|i| (2 * i + 1, 0.0)).collect();
    let all = gas(&grid, &[grid.left(), grid.top(), reversed(grid.right())]);
    let (_, state) = solve(
        grid.mesh.nodes.len(),
        &fixed,
        vec![mixed(&grid, 3.0, 0.4999), all],
        Load { pressure: 0.5, ..Load::default() },
        (1, 1e-8),
    );
    // Volume strain -p / kappa, a third of it in each direction.
    let kappa = 3.0 / (3.0 * (1.0 - 2.0 * 0.4999));
    let corner = grid.node(8, 8);
    assert_relative_eq!(state.u[2 * corner] / 2.0, -0.5 / kappa / 3.0, max_relative = 1e-2);
}
