//! Stiffness against unevenness round the circumference: rigid motions of inflated bodies, strings, rings and shells in closed form.
#![allow(clippy::unwrap_used, clippy::print_stdout)]

mod common;

use approx::assert_relative_eq;
use common::{Grid, edges, reversed, settings};
use hoopwright_fem::assembly::System;
use hoopwright_fem::contact::reduced_basis::ReducedBasis;
use hoopwright_fem::contact::unilateral::{Contact, Parameters as ContactParameters};
use hoopwright_fem::contribution::Contribution;
use hoopwright_fem::contribution::hoop::Hoop;
use hoopwright_fem::contribution::mixed::Mixed;
use hoopwright_fem::contribution::ply::{Ply, PlySegment};
use hoopwright_fem::contribution::pressure::Pressure;
use hoopwright_fem::contribution::solid::Solid;
use hoopwright_fem::error::SolveError;
use hoopwright_fem::harmonic::{Component, Friction, Harmonic, HarmonicSystem, Layout, Middle, Numbering, Setting};
use hoopwright_fem::material::compressible::Compressible;
use hoopwright_fem::material::cord::Cord;
use hoopwright_fem::material::linear_elastic::LinearElastic;
use hoopwright_fem::material::neo_hookean::NeoHookean;
use hoopwright_fem::mesh::Mesh;
use hoopwright_fem::newton::{self, Control, Cost, Functional};
use hoopwright_fem::state::{Load, State};
use hoopwright_profile::{Corner, Profile};
use nalgebra::DMatrix;
use std::f64::consts::PI;
use std::sync::Arc;

/// A body with its parts as both systems see them.
struct Body {
    mesh: Mesh,
    parts: Vec<Arc<dyn Harmonic>>,
    /// Axisymmetric unknowns that are held.
    held: Vec<usize>,
}

impl Body {
    /// Equilibrium at a load, reached in steps.
    fn solve(&self, load: Load, steps: usize, tolerance: f64) -> State {
        let parts: Vec<Arc<dyn Contribution>> = self.parts.iter().map(|p| p.clone() as Arc<dyn Contribution>).collect();
        let mut system = System::new(2 * self.mesh.nodes.len(), &self.held, parts).unwrap();
        let mut state = system.rest();
        for step in 1..=steps {
            let share = step as f64 / steps as f64;
            let mut load =
                Load { pressure: share * load.pressure, eigenstrain: share * load.eigenstrain, support: 0.0, ..Load::default() };
            let cost = &mut Cost::default();
            newton::solve(&mut system, &mut state, &mut load, Control::Load, &settings(tolerance), cost).unwrap();
        }
        state
    }

    fn harmonic(&self, held: Vec<usize>, mirror: Vec<usize>) -> HarmonicSystem {
        let n_nodes = self.mesh.nodes.len();
        let layout = Layout { n_nodes, n_dofs: 2 * n_nodes, mirror, held };
        HarmonicSystem::new(layout, self.parts.clone()).unwrap()
    }

    /// Deformed position of a node.
    fn at(&self, node: usize, state: &State) -> [f64; 2] {
        std::array::from_fn(|i| self.mesh.nodes[node][i] + state.u[2 * node + i])
    }
}

fn setting(n: usize) -> Setting {
    Setting { n, middle: Middle::Mirror, friction: Friction::Free, left_out: Vec::new() }
}

/// Means of U and V over nodes.
fn means(nodes: &[usize]) -> Vec<Functional> {
    let share = 1.0 / nodes.len() as f64;
    let of = |c: Component| nodes.iter().map(|n| (Numbering::of(*n, c), share)).collect();
    vec![of(Component::Radial), of(Component::Circumferential)]
}

/// A closed tube bent to a ring: rubber with cords in its wall and a bundle in some of its elements, inflated.
fn inflated_ring() -> (Body, State, Load) {
    let (around, radius, section, wall) = (12, 60.0, 12.0, 1.5);
    let mut grid = Grid::new(around, 1, |x, y| {
        let (s, c) = (2.0 * PI * x).sin_cos();
        let rho = section - wall * y;
        [radius + rho * c, rho * s]
    });
    // The last node of each row is the first.
    let row = 2 * around;
    let wrapped = |n: usize| n / (row + 1) * row + n % (row + 1) % row;
    grid.mesh.quads.iter_mut().flatten().for_each(|n| *n = wrapped(*n));
    grid.mesh.nodes = (0..3 * row).map(|n| grid.mesh.nodes[n / row * (row + 1) + n % row]).collect();
    let inner: Vec<usize> = (0..=row).map(|i| 2 * row + i % row).collect();
    let all = grid.all_quads();
    let rubber = Mixed::new(&grid.mesh, &all, Box::new(NeoHookean { mu: 0.6 }), 200.0).unwrap();
    let segments: Vec<PlySegment> = all.iter().map(|&quad| PlySegment { quad, eta: 0.0 }).collect();
    let cords = Ply::new(&grid.mesh, &segments, Cord { stiffness: 300.0 }, |r| ((0.5 * r / radius).acos(), 0.1));
    let bundle = Hoop::new(&grid.mesh, &[around / 2 - 1, around / 2], Arc::new(|e| (3000.0 * e, 3000.0)), 0.98).unwrap();
    let gas = Pressure::new(&grid.mesh, edges(&inner));
    let parts: Vec<Arc<dyn Harmonic>> = vec![Arc::new(rubber), Arc::new(cords), Arc::new(bundle), Arc::new(gas)];
    let body = Body { mesh: grid.mesh, parts, held: vec![1] };
    let load = Load { pressure: 0.2, eigenstrain: 1.0, support: 0.0, ..Load::default() };
    let state = body.solve(load, 20, 1e-11);
    (body, state, load)
}

/// Displacement amplitudes (U, V, W) by position (r, z).
type Motion = fn([f64; 2]) -> [f64; 3];

/// Forces of a tangent under a displacement, over its largest entry times the largest displacement.
fn force_share(k: &sprs::CsMat<f64>, u: &[f64]) -> f64 {
    let largest = |v: &[f64]| v.iter().fold(0.0_f64, |m, v| m.max(v.abs()));
    largest(&times(k, u)) / (largest(k.data()) * largest(u))
}

fn times(k: &sprs::CsMat<f64>, u: &[f64]) -> Vec<f64> {
    let mut force = vec![0.0; u.len()];
    for (j, column) in k.outer_iterator().enumerate() {
        column.iter().for_each(|(i, v)| force[i] += v * u[j]);
    }
    force
}

#[test]
fn rigid_motions_of_an_inflated_ring_meet_no_force() {
    let (body, state, load) = inflated_ring();
    let n_nodes = body.mesh.nodes.len();
    let moved = state.u.iter().fold(0.0_f64, |m, u| m.max(u.abs()));
    assert!(moved > 0.5, "{moved} mm");
    let motions: [(usize, Motion); 4] =
        [(0, |_| [0.0, 0.0, 1.0]), (0, |x| [0.0, x[0], 0.0]), (1, |_| [1.0, -1.0, 0.0]), (1, |x| [-x[1], x[1], x[0]])];
    let mut system = body.harmonic(Vec::new(), Vec::new());
    for (n, motion) in motions {
        let u: Vec<f64> = (0..n_nodes).flat_map(|node| motion(body.at(node, &state))).collect();
        let share = force_share(system.assemble(&state, &load, &setting(n)).unwrap(), &u);
        assert!(share < 1e-12, "n = {n}: {share:.1e}");
    }
    // A load that keeps its direction does not turn with the ring.
    let tilt: Vec<f64> = (0..n_nodes).flat_map(|node| motions[3].1(body.at(node, &state))).collect();
    let dead = Setting { left_out: vec![3], ..setting(1) };
    assert!(force_share(system.assemble(&state, &load, &dead).unwrap(), &tilt) > 1e-6);
}

/// Nothing holds the ring, so that it has no flexibility with n = 1, but a stiffness, which a shift does not feel. With n = 2 both exist.
#[test]
fn a_body_that_nothing_holds_has_a_condensed_stiffness() {
    let (body, state, load) = inflated_ring();
    let bundle: Vec<usize> = (11..14).collect();
    let mut system = body.harmonic(Vec::new(), Vec::new());
    let shift = DMatrix::from_column_slice(2, 1, &[1.0, -1.0]);
    let mut response = system.factorise(&state, &load, &setting(1)).unwrap();
    assert!(matches!(response.flexibility(&means(&bundle)), Err(SolveError::Singular)));
    // A tilt is free too, of which U and V tell nothing more.
    let one = response.stiffness(&means(&bundle)).unwrap();
    let share = (&one * &shift).amax() / one.amax();
    assert!(share < 1e-10, "{share:.1e} {one}");
    let mut response = system.factorise(&state, &load, &setting(2)).unwrap();
    let (stiffness, flexibility) = (response.stiffness(&means(&bundle)).unwrap(), response.flexibility(&means(&bundle)).unwrap());
    assert_relative_eq!(&stiffness * &flexibility, DMatrix::identity(2, 2), epsilon = 1e-9);
    assert!((&stiffness * &shift).amax() > 1e-3 * stiffness.amax());
    assert!(stiffness.symmetric_eigenvalues().min() > 0.0);
}

/// The condensed stiffness is the Schur complement of the assembled tangent with everything but the functionals' unknowns eliminated.
#[test]
fn the_condensed_stiffness_is_the_schur_complement() {
    let (body, state, load) = inflated_ring();
    let mut system = body.harmonic(vec![0, 1], Vec::new());
    let k = system.assemble(&state, &load, &setting(3)).unwrap().to_dense();
    let (unknown, n) = ([30, 31, 32], k.ncols());
    let rest: Vec<usize> = (2..n).filter(|i| !unknown.contains(i)).collect();
    let block = |rows: &[usize], columns: &[usize]| DMatrix::from_fn(rows.len(), columns.len(), |i, j| k[[rows[i], columns[j]]]);
    let inverse = block(&rest, &rest).try_inverse().unwrap();
    let expected = block(&unknown, &unknown) - block(&unknown, &rest) * inverse * block(&rest, &unknown);
    let functionals: Vec<Functional> = unknown.iter().map(|u| vec![(*u, 1.0)]).collect();
    let found = system.factorise(&state, &load, &setting(3)).unwrap().stiffness(&functionals).unwrap();
    assert_relative_eq!(found, expected, epsilon = 1e-9 * expected.amax());
}

/// The parabola through three numbers of waves meets any other one.
#[test]
fn one_assembly_serves_all_numbers_of_waves() {
    let (body, state, load) = inflated_ring();
    let bundle: Vec<usize> = (11..14).collect();
    let mut system = body.harmonic(Vec::new(), Vec::new());
    for n in [2, 7, 24] {
        let apart = system.factorise(&state, &load, &setting(n)).unwrap().stiffness(&means(&bundle)).unwrap();
        let mut waves = system.waves(&state, &load, &setting(0)).unwrap();
        let found = waves.factorise(n, Middle::Mirror).unwrap().stiffness(&means(&bundle)).unwrap();
        assert_relative_eq!(found, apart, epsilon = 1e-10 * apart.amax());
    }
}

/// A string under tension on nothing but the even load that balances it: T / R^2 (n^2 - 1)^2 / n^2 against U, V being free and the string
/// hardly extensible. Derived from |x'|; numbers for T / R^2 = 0.01274 N/mm^2.
#[test]
fn a_floating_string_is_held_by_its_tension() {
    let (radius, side, stiffness) = (310.0, 1e-3, 1e12);
    let tension = 0.01274 * radius * radius;
    let grid = Grid::new(1, 1, |x, y| [radius + side * (x - 0.5), side * (y - 0.5)]);
    let hoop = Hoop::new(&grid.mesh, &[0], Arc::new(move |e| (tension + stiffness * e, stiffness)), 1.0).unwrap();
    let state = State { u: vec![0.0; 18], ..State::default() };
    for (n, expected) in [(1, 0.0), (2, 0.02867), (3, 0.0906), (5, 0.2935)] {
        let k = hoop.string_stiffness(&state, &Load::default(), n) / radius;
        let against_u = k[(0, 0)] - k[(0, 1)] * k[(1, 0)] / k[(1, 1)];
        let exact = 0.01274 * ((n * n - 1) as f64 / n as f64).powi(2);
        assert_relative_eq!(against_u, exact, epsilon = 1e-6);
        assert_relative_eq!(against_u, expected, epsilon = 5e-5);
        assert_relative_eq!(k[(2, 2)], 0.01274 * (n * n) as f64, max_relative = 1e-9);
    }
}

/// Pressure (outside) at which a thin ring of square section loses its round shape with two waves, times R^3 / EI, for a load that stays
/// normal to it, one that keeps its direction and one that points to the centre.
/// 3, 4 and 4.5: Timoshenko and Gere, Theory of Elastic Stability; Boresi, J. Appl. Mech. 22 (1955) 95 (from memory).
#[test]
fn a_ring_buckles_under_hydrostatic_dead_and_central_load() {
    let (radius, side, kappa, mu) = (100.0, 0.5, 3.0, 1.0);
    let grid = Grid::new(1, 1, |x, y| [radius + side * (x - 0.5), side * (y - 0.5)]);
    let rubber = Solid::new(&grid.mesh, &[0], Box::new(Compressible { isochoric: NeoHookean { mu }, kappa })).unwrap();
    // Gas outside: on the left of the way down the outer face.
    let gas = Pressure::new(&grid.mesh, edges(&reversed(grid.right())));
    let nodes: Vec<usize> = (0..9).collect();
    let body = Body { mesh: grid.mesh, parts: vec![Arc::new(rubber), Arc::new(gas)], held: vec![2 * 4 + 1] };
    let mut system = body.harmonic(vec![Numbering::of(4, Component::Axial)], Vec::new());
    let young = 9.0 * kappa * mu / (3.0 * kappa + mu);
    // Force for each length of the centre line at pressure p: p (R + t / 2) / R for each width.
    let unit = young * side.powi(3) / 12.0 / radius.powi(3) * radius / (radius + 0.5 * side);
    for (kind, expected) in [("hydrostatic", 3.0), ("dead", 4.0), ("central", 4.5)] {
        let mut determinant = |factor: f64| {
            let load = Load { pressure: factor * unit, ..Load::default() };
            let state = body.solve(load, 1, 1e-6);
            let left_out = if kind == "hydrostatic" { Vec::new() } else { vec![1] };
            let mut response = system.factorise(&state, &load, &Setting { left_out, ..setting(2) }).unwrap();
            let mut k = response.stiffness(&means(&nodes)).unwrap();
            if kind == "central" {
                // A force f for each radian to the centre turns by V / R against V.
                k[(1, 1)] += load.pressure * side * (radius + 0.5 * side) / radius;
            }
            k.determinant()
        };
        let (mut low, mut high) = (0.8 * expected, 1.2 * expected);
        assert!(determinant(low) > 0.0 && determinant(high) < 0.0, "{kind}");
        while high - low > 1e-4 {
            let middle = 0.5 * (low + high);
            if determinant(middle) > 0.0 { low = middle } else { high = middle }
        }
        println!("{kind}: {low:.4}");
        assert_relative_eq!(low, expected, max_relative = 1e-2);
    }
}

/// A thin cylinder of length L between ends that stay round, under a radial load cos n t cos(pi z / L), against the shell theory of
/// Kirchhoff and Love with Love's changes of curvature; Fluegge, Stresses in Shells, chapter 5 (from memory). Its error is of the order
/// of the thickness over the radius.
#[test]
fn a_thin_cylinder_under_a_wave_of_load_is_a_shell() {
    let (radius, thickness, length, young, poisson) = (100.0, 1.0, 120.0, 200.0, 0.3);
    let grid = Grid::new(1, 12, |x, y| [radius + thickness * (x - 0.5), 0.5 * length * y]);
    let wall = Solid::new(&grid.mesh, &grid.all_quads(), Box::new(LinearElastic::new(young, poisson))).unwrap();
    let components = [Component::Radial, Component::Circumferential];
    let held = grid.top().into_iter().flat_map(|n| components.map(|c| Numbering::of(n, c))).collect();
    let (mirror, middle) = (grid.bottom(), grid.node(1, 0));
    let wave = |z: f64| (PI * z / length).cos();
    // Pressure 1 on the middle surface, by Simpson's rule, which is that of the quadratic shape functions.
    let step = 0.5 * length / 12.0;
    let share = |j: usize| {
        step / 6.0
            * if j % 2 == 1 {
                4.0
            } else if j == 0 || j == 24 {
                1.0
            } else {
                2.0
            }
    };
    let load: Functional = (0..=24)
        .map(|j| (Numbering::of(grid.node(1, j), Component::Radial), radius * share(j) * wave(0.5 * step * j as f64)))
        .collect();
    let at_middle: Functional = vec![(Numbering::of(middle, Component::Radial), 1.0)];
    let body = Body { mesh: grid.mesh, parts: vec![Arc::new(wall)], held: Vec::new() };
    let state = State { u: vec![0.0; 2 * body.mesh.nodes.len()], ..State::default() };
    let mut system = body.harmonic(held, mirror);
    for n in [2, 3, 5, 8] {
        let mut response = system.factorise(&state, &Load::default(), &setting(n)).unwrap();
        let found = response.flexibility(&[at_middle.clone(), load.clone()]).unwrap()[(0, 1)];
        let expected = shell(radius, thickness, PI / length, young, poisson, n as f64);
        println!("n = {n}: {:.2e}", found / expected - 1.0);
        assert_relative_eq!(found, expected, max_relative = 1e-2);
    }
}

/// Radial displacement amplitude of a cylindrical shell under unit pressure cos n t cos(l z): axial u cos n t sin l z, circumferential
/// v sin n t cos l z, radial w cos n t cos l z.
fn shell(a: f64, h: f64, l: f64, young: f64, nu: f64, n: f64) -> f64 {
    let c = young * h / (1.0 - nu * nu);
    let d = c * h * h / 12.0;
    // Rows of strains by (u, v, w): e_x, e_t, gamma; changes of curvature k_x, k_t, twice the twist.
    let rows = [
        [l, 0.0, 0.0],
        [0.0, n / a, 1.0 / a],
        [-n / a, -l, 0.0],
        [0.0, 0.0, l * l],
        [0.0, n / (a * a), n * n / (a * a)],
        [0.0, -2.0 * l / a, -2.0 * n * l / a],
    ];
    let strain = DMatrix::from_fn(6, 3, |i, j| rows[i][j]);
    let shear = 0.5 * (1.0 - nu);
    let mut law = DMatrix::zeros(6, 6);
    for (first, size) in [(0, c), (3, d)] {
        let block = [[1.0, nu, 0.0], [nu, 1.0, 0.0], [0.0, 0.0, shear]];
        (0..9).for_each(|k| law[(first + k / 3, first + k % 3)] = size * block[k / 3][k % 3]);
    }
    let stiffness = strain.transpose() * law * strain;
    stiffness.try_inverse().unwrap()[(2, 2)]
}

/// A bundle that shrinks onto a seat: turned about the axis it meets no force, as what the seat's curvature gives for V is what the tension
/// asks for.
#[test]
fn a_ring_on_a_smooth_seat_turns_freely() {
    let corner = |r: f64, z: f64| Corner { position: [r, z], radius: 0.0, label: 0, fillet_label: 0 };
    let seat = Profile::new(&[corner(300.0, -20.0), corner(300.0, 20.0)]).unwrap();
    let grid = Grid::new(2, 2, |x, y| [300.0 + 5.0 * x, 3.0 * (y - 0.5)]);
    let n_nodes = grid.mesh.nodes.len();
    let rubber = Mixed::new(&grid.mesh, &grid.all_quads(), Box::new(NeoHookean { mu: 5.0 }), 500.0).unwrap();
    let bundle = Hoop::new(&grid.mesh, &grid.all_quads(), Arc::new(|e| (1e5 * e, 1e5)), 0.99).unwrap();
    // The body lies on the right of the way.
    let parameters = ContactParameters { penalty: 100.0, tangential_penalty: 10.0, friction: 0.3 };
    let contact = Contact::new(&grid.mesh, &edges(&grid.left()), seat, parameters, ReducedBasis::fixed());
    let contact = Arc::new(contact);
    let parts: Vec<Arc<dyn Harmonic>> = vec![Arc::new(rubber), Arc::new(bundle), contact.clone()];
    let axisymmetric = parts.iter().map(|p| p.clone() as Arc<dyn Contribution>).collect();
    let n_dofs = contact.unknowns().end;
    let mut system = System::new(n_dofs, &[2 * grid.node(2, 2) + 1], axisymmetric).unwrap();
    let (mut state, mut load) = (system.rest(), Load { eigenstrain: 1.0, ..Load::default() });
    contact.begin(&mut state);
    newton::solve(&mut system, &mut state, &mut load, Control::Load, &settings(1e-11), &mut Cost::default()).unwrap();
    let pressed: f64 = contact.forces(&state, 0.0).iter().map(|f| f[0]).sum();
    assert!(pressed > 1000.0, "{pressed} N");
    let layout = Layout { n_nodes, n_dofs, ..Layout::default() };
    let mut system = HarmonicSystem::new(layout, parts).unwrap();
    let turn = |node: usize| [0.0, grid.mesh.nodes[node][0] + state.u[2 * node], 0.0];
    let mut u: Vec<f64> = (0..n_nodes).flat_map(turn).collect();
    u.resize(system.n_unknowns(), 0.0);
    let share = force_share(system.assemble(&state, &load, &setting(0)).unwrap(), &u);
    assert!(share < 1e-12, "{share:.1e}");
    // Sticking points hold it.
    let stuck = Setting { friction: Friction::Stuck, ..setting(0) };
    let forces = times(system.assemble(&state, &load, &stuck).unwrap(), &u);
    let moment: f64 = (0..n_nodes).map(|n| forces[3 * n + 1] * u[3 * n + 1]).sum();
    // Penalty times r^2 over the area for each radian.
    let [z, top] = [0, 4].map(|j| grid.node(0, j)).map(|n| grid.mesh.nodes[n][1] + state.u[2 * n + 1]);
    assert_relative_eq!(moment, 10.0 * 300.0_f64.powi(3) * (top - z), max_relative = 1e-3);
}

/// Forces that hold two displacements at zero under a load elsewhere are those of the assembled tangent with everything else eliminated.
#[test]
fn what_holds_a_body_under_a_load_is_what_its_tangent_asks_for() {
    let (body, state, load) = inflated_ring();
    let mut system = body.harmonic(vec![0, 1], Vec::new());
    let k = system.assemble(&state, &load, &setting(3)).unwrap().to_dense();
    let (held, loaded, n) = ([30, 31], 44, k.ncols());
    let rest: Vec<usize> = (2..n).filter(|i| !held.contains(i)).collect();
    let block = |rows: &[usize], columns: &[usize]| DMatrix::from_fn(rows.len(), columns.len(), |i, j| k[[rows[i], columns[j]]]);
    let unit = DMatrix::from_fn(rest.len(), 1, |i, _| if rest[i] == loaded { 1.0 } else { 0.0 });
    let displacement = block(&rest, &rest).lu().solve(&unit).unwrap();
    let expected = block(&held, &rest) * &displacement;
    let functionals: Vec<Functional> = held.iter().map(|u| vec![(*u, 1.0)]).collect();
    let found = system.factorise(&state, &load, &setting(3)).unwrap().blocked(&functionals, &vec![(loaded, 1.0)]).unwrap();
    let scale = displacement.amax();
    rest.iter()
        .zip(displacement.iter())
        .for_each(|(i, u)| assert_relative_eq!(found.displacement[*i], u, epsilon = 1e-9 * scale));
    (0..2).for_each(|i| assert_relative_eq!(found.holding[i], expected[(i, 0)], epsilon = 1e-9 * expected.amax()));
    assert!(held.iter().all(|i| found.displacement[*i].abs() < 1e-12 * scale));
}

/// What holds an inflated ring balances a load on it: sideways, whatever the gas does, as it fills the ring; and with n = 0 along the axis.
#[test]
fn what_holds_an_inflated_ring_balances_the_load() {
    let (body, state, load) = inflated_ring();
    let bundle: Vec<usize> = (11..14).collect();
    let share = 1.0 / bundle.len() as f64;
    let axial: Functional = bundle.iter().map(|n| (Numbering::of(*n, Component::Axial), share)).collect();
    let mut system = body.harmonic(Vec::new(), Vec::new());
    let held: Vec<Functional> = means(&bundle).into_iter().chain([axial.clone()]).collect();
    let pushed = vec![(Numbering::of(40, Component::Radial), 1.0)];
    let found = system.factorise(&state, &load, &setting(1)).unwrap().blocked(&held, &pushed).unwrap();
    // Along the direction at angle 0 the force of (cos t, sin t) amplitudes is pi times their difference.
    assert_relative_eq!(1.0 + found.holding[0] - found.holding[1], 0.0, epsilon = 1e-9);
    let gas = system.forces(&state, &load, &Setting { left_out: vec![0, 1, 2], ..setting(1) }, &found.displacement).unwrap();
    let gas: f64 = gas.chunks_exact(3).map(|f| f[0] - f[1]).sum();
    assert!(gas.abs() < 1e-9, "{gas:.1e}");
    let pushed = vec![(Numbering::of(40, Component::Axial), 1.0)];
    let found = system.factorise(&state, &load, &setting(0)).unwrap().blocked(&[axial], &pushed).unwrap();
    assert_relative_eq!(found.holding[0], -1.0, epsilon = 1e-9);
    // Nothing holds it along the axis.
    let loose = system.factorise(&state, &load, &setting(0)).unwrap().blocked(&means(&bundle)[..1], &pushed);
    assert!(matches!(loose, Err(SolveError::Singular)), "{loose:?}");
}
