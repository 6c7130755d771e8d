//! Contact against closed forms: a shrunk ring, a uniform patch, Hertz, stick and slip.
#![allow(clippy::unwrap_used, clippy::print_stdout)]

mod common;

use approx::assert_relative_eq;
use common::{Grid, edges, reversed};
use hoopwright_fem::assembly::System;
use hoopwright_fem::contact::reduced_basis::ReducedBasis;
use hoopwright_fem::contact::sealing::{reach, seal, wet, wetted};
use hoopwright_fem::contact::unilateral::{Contact, Parameters};
use hoopwright_fem::continuation::{Equilibrium, Path, PathSettings, Target};
use hoopwright_fem::contribution::Contribution;
use hoopwright_fem::contribution::hoop::Hoop;
use hoopwright_fem::contribution::mixed::Mixed;
use hoopwright_fem::contribution::pressure::Pressure;
use hoopwright_fem::contribution::spring::Spring;
use hoopwright_fem::material::neo_hookean::NeoHookean;
use hoopwright_fem::newton::Settings;
use hoopwright_profile::{Corner, Profile};
use std::f64::consts::PI;
use std::sync::Arc;

/// A seat of radius `r` from z = -50 to 50 mm.
fn seat(r: f64) -> Profile {
    let corner = |z: f64| Corner { position: [r, z], radius: 0.0, label: 0, fillet_label: 0 };
    Profile::new(&[corner(-50.0), corner(50.0)]).unwrap()
}

/// A neo-Hookean body of modulus `young`, with a bulk modulus `bulk` times as large.
fn rubber(grid: &Grid, young: f64, bulk: f64) -> Arc<Mixed> {
    Arc::new(Mixed::new(&grid.mesh, &grid.all_quads(), Box::new(NeoHookean { mu: young / 3.0 }), bulk * young).unwrap())
}

fn gas(grid: &Grid, line: &[usize]) -> Arc<Pressure> {
    Arc::new(Pressure::new(&grid.mesh, edges(line)))
}

/// A body on its left face in contact, driven by what else contributes.
struct Problem {
    path: Path,
    contact: Arc<Contact>,
}

impl Problem {
    fn new(grid: &Grid, profile: Profile, parameters: Parameters, fixed: &[usize], others: Vec<Arc<dyn Contribution>>) -> Self {
        let contact = Arc::new(Contact::new(&grid.mesh, &edges(&grid.left()), profile, parameters, ReducedBasis::fixed()));
        let mut contributions = others;
        contributions.push(contact.clone());
        let system = System::new(contact.unknowns().end, fixed, contributions).unwrap();
        let settings = PathSettings {
            newton: Settings {
                tolerance: 1e-8,
                force_floor: 1e-6,
                max_iterations: 60,
                max_change: 0.02,
                loose: 1e-4,
                ..Settings::default()
            },
            ..PathSettings::default()
        };
        let path = Path { system, contact: Some(contact.clone()), functional: Vec::new(), settings, effort: Default::default() };
        Self { path, contact }
    }

    fn go(&mut self, from: &Equilibrium, target: Target) -> Equilibrium {
        self.path.step(None, from, target, &mut |_, _, _| {}).unwrap()
    }

    /// Sum of the profile's forces on the body (r, z), N.
    fn force(&self, at: &Equilibrium) -> [f64; 2] {
        let forces = self.contact.forces(&at.state, 0.0);
        [0, 1].map(|i| forces.iter().map(|f| f[i]).sum())
    }

    /// Axial position, mm, and normal pressure, MPa, of every point.
    fn pressures(&self, at: &Equilibrium) -> Vec<(f64, f64)> {
        let of = |i: usize| (self.contact.position(i, &at.state)[1], self.contact.status(i, &at.state, 0.0).normal);
        (0..self.contact.n_points()).map(of).collect()
    }
}

#[test]
fn a_ring_shrunk_on_a_rigid_seat_carries_ea_delta_over_r() {
    // Two thin rings, the seat rigid (Timoshenko, Strength of Materials, shrink fits, from memory). The profile is stiff across and takes
    // no hoop force, as it is drawn on the seat: what it is compressed by (2e-6 mm) is below the tolerance.
    let (r, delta, ea) = (310.0, 0.5, 150e3);
    let grid = Grid::new(2, 4, |x, y| [r + 2.0 * x, 4.0 * y]);
    let growth = 1.0 - delta / (r + 1.0);
    let hoop = Hoop::new(&grid.mesh, &grid.all_quads(), Arc::new(move |e| (ea * e, ea)), growth).unwrap();
    let hoop = Arc::new(hoop);
    let young = 1e5;
    let parameters = Parameters { penalty: young, tangential_penalty: 0.1 * young, friction: 0.0 };
    let fixed: Vec<usize> = grid.bottom().iter().map(|n| 2 * n + 1).collect();
    let body = rubber(&grid, young, 2.0);
    let mut problem = Problem::new(&grid, seat(r), parameters, &fixed, vec![body.clone(), hoop.clone()]);
    let rest = problem.path.rest();
    let fitted = problem.go(&rest, Target::Eigenstrain(1.0));
    let (tension, _) = hoop.tension(&fitted.state, &fitted.load);
    // Strain of a hoop at the middle of the section held at its drawn radius.
    assert_relative_eq!(tension, ea * (1.0 / growth - 1.0), max_relative = 2e-3);
    let carried: f64 = (0..body.len()).map(|i| body.hoop_force(i, &fitted.state, &fitted.state.internal[3 * i..3 * i + 3])).sum();
    // Radial balance of the ring: line load (T + T_body) / r all round.
    assert_relative_eq!(problem.force(&fitted)[0], 2.0 * PI * (tension + carried), max_relative = 1e-6);
    assert!(problem.contact.penetration(&fitted.state) < 1e-9);
}

#[test]
fn a_pressed_patch_is_loaded_evenly() {
    // A confined, nearly incompressible slab passes the pressure on its back to the seat as a fluid would.
    let (r, p) = (R, 0.4);
    let grid = Grid::new(3, 5, |x, y| [r + 2.0 * x, 4.0 * y + 0.3 * x * y * (1.0 - y)]);
    let others: Vec<Arc<dyn Contribution>> = vec![rubber(&grid, 5.0, 200.0), gas(&grid, &reversed(grid.right()))];
    let fixed: Vec<usize> = [grid.bottom(), grid.top()].concat().iter().map(|n| 2 * n + 1).collect();
    let parameters = Parameters { penalty: 300.0, tangential_penalty: 30.0, friction: 0.0 };
    let mut problem = Problem::new(&grid, seat(r + 1e-3), parameters, &fixed, others);
    let rest = problem.path.rest();
    let pressed = problem.go(&rest, Target::Pressure(p));
    for (z, pressure) in problem.pressures(&pressed) {
        assert!((pressure / p - 1.0).abs() < 3e-4, "{pressure} MPa at {z}");
    }
    assert!(problem.contact.penetration(&pressed.state) < 1e-9);
    // Gas at half the pressure is kept out by the first point; at twice the pressure it finds no point that holds.
    let contact = &problem.contact;
    let (low, high) = (seal(contact, &pressed.state, 0.5 * p), seal(contact, &pressed.state, 2.0 * p));
    assert!(!low.leaks && low.wetted == 0 && (low.peak / p - 1.0).abs() < 3e-4, "{low:?}");
    assert!(high.leaks, "{high:?}");
}

#[test]
fn gas_creeps_up_to_the_first_point_that_presses_harder() {
    // Hertz's pressure falls from the symmetry plane outward: taken from its low end it is a joint that seals part of the way in.
    let (problem, pressed) = indented(24, 0.004);
    let pressures: Vec<f64> = problem.pressures(&pressed).iter().map(|p| p.1).collect();
    let gas = 0.5 * pressures[0];
    let harder = pressures.iter().filter(|p| **p > gas).count();
    // The points run outward from the highest pressure, so the very first one holds the gas.
    assert_eq!(seal(&problem.contact, &pressed.state, gas).wetted, 0);
    // With the first ones relieved of their multipliers the gas reaches the next that still presses harder.
    let mut relieved = pressed.state.clone();
    let edges = 3;
    relieved.u[problem.contact.unknowns()][..2 * edges].fill(0.0);
    let now: Vec<f64> = (0..problem.contact.n_points()).map(|i| problem.contact.status(i, &relieved, 0.0).normal).collect();
    let first = now.iter().position(|p| *p > gas).unwrap();
    assert!(first > 0 && first < harder, "{first} of {harder}");
    assert_eq!(seal(&problem.contact, &relieved, gas).wetted, first);
    wet(&mut relieved, first);
    assert!(relieved.contact.iter().enumerate().all(|(i, c)| c.wetted == (i < first)));
    assert_eq!(wetted(&relieved), first);
    assert_eq!(reach(&problem.contact, &relieved, gas), first, "the gas stays where it moved");
    assert_eq!(reach(&problem.contact, &relieved, 0.0), 0);
}

/// Radius of the ring that stands for a plane body, mm.
const R: f64 = 2e3;

/// A block half as tall as wide whose contact face is graded towards z = 0, pressed `depth` into a rigid cylinder of radius 5 mm round
/// the axis-parallel direction: in a ring so large the problem is plane.
fn indented(n: usize, depth: f64) -> (Problem, Equilibrium) {
    let (r, radius) = (R, 5.0);
    // Six tenths of the elements within 1.5 a, the rest growing.
    let grade = |x: f64| 0.0625 * x + if x > 0.6 { 0.9375 * ((x - 0.6) / 0.4).powi(2) } else { 0.0 };
    let grid = Grid::new(n, n, |x, y| [r + 4.0 * grade(x), 4.0 * grade(y)]);
    let others: Vec<Arc<dyn Contribution>> = vec![rubber(&grid, 10.0, 1000.0)];
    let mut fixed: Vec<usize> = grid.bottom().iter().map(|n| 2 * n + 1).collect();
    fixed.extend(grid.right().iter().flat_map(|n| [2 * n, 2 * n + 1]));
    // The apex of the fillet of a right-angled ridge stands `depth` above the face.
    let tip = r + depth + radius * (2.0_f64.sqrt() - 1.0);
    let corner = |r: f64, z: f64| Corner { position: [r, z], radius, label: 0, fillet_label: 0 };
    let profile = Profile::new(&[corner(tip - 10.0, -10.0), corner(tip, 0.0), corner(tip - 10.0, 10.0)]).unwrap();
    let parameters = Parameters { penalty: 2000.0, tangential_penalty: 100.0, friction: 0.0 };
    let mut problem = Problem::new(&grid, profile, parameters, &fixed, others);
    let rest = problem.path.rest();
    let pressed = problem.go(&rest, Target::Eigenstrain(0.0));
    (problem, pressed)
}

#[test]
fn a_cylinder_on_a_block_presses_as_hertz_says() {
    // p(x) = p0 sqrt(1 - x^2 / a^2), a^2 = 4 F R / (pi E*), p0 = 2 F / (pi a), F per length; incompressible: E* = E / (1 - 1/4)
    // (Johnson, Contact Mechanics, section 4.2, from memory). a / R = 0.02 and a / block = 0.03 keep finite strain and the block's end
    // out of it; 2 % of p0 is what elements of a / 6 resolve near the edge of the contact.
    let (problem, pressed) = indented(24, 0.004);
    let points = problem.pressures(&pressed);
    // Half the body by symmetry; 2 pi r of circumference.
    let force = 2.0 * problem.force(&pressed)[0] / (2.0 * PI * R);
    let modulus = 10.0 / 0.75;
    let a = (4.0 * force * 5.0 / (PI * modulus)).sqrt();
    let p0 = 2.0 * force / (PI * a);
    println!("F {force:.5} N/mm, a {a:.5} mm, p0 {p0:.5} MPa");
    assert!(a > 0.07 && a < 0.2, "{a}");
    for (z, pressure) in &points {
        let hertz = p0 * (1.0 - (z / a).powi(2)).max(0.0).sqrt();
        let near_the_edge = (z / a - 1.0).abs() < 0.1;
        assert!((pressure - hertz).abs() < if near_the_edge { 0.25 } else { 0.02 } * p0, "{pressure} MPa, not {hertz}, at {z}");
    }
}

/// A ring shrunk on a seat that falls by `TAPER` towards negative z, where a spring holds it.
fn on_taper(friction: f64) -> (Problem, Equilibrium, Spring) {
    let (r, ea, slope) = (310.0, 150e3, TAPER.tan());
    let grid = Grid::new(2, 4, |x, y| [r + 2.0 * x + 4.0 * y * slope, 4.0 * y]);
    let hoop = Hoop::new(&grid.mesh, &grid.all_quads(), Arc::new(move |e| (ea * e, ea)), 1.0 - 0.5 / r).unwrap();
    let spring = Spring { dof: 2 * grid.node(4, 4) + 1, stiffness: 2000.0, temporary: false };
    let others: Vec<Arc<dyn Contribution>> = vec![rubber(&grid, 2000.0, 2.0), Arc::new(hoop), Arc::new(spring)];
    let corner = |z: f64| Corner { position: [r + z * slope, z], radius: 0.0, label: 0, fillet_label: 0 };
    let profile = Profile::new(&[corner(-50.0), corner(50.0)]).unwrap();
    let parameters = Parameters { penalty: 500.0, tangential_penalty: 500.0, friction };
    let mut problem = Problem::new(&grid, profile, parameters, &[], others);
    let mut at = problem.path.rest();
    for step in 1..=10 {
        at = problem.go(&at, Target::Eigenstrain(f64::from(step) / 10.0));
    }
    (problem, at, spring)
}

/// Angle of the tapered seat, rad.
const TAPER: f64 = 0.17;

#[test]
fn a_ring_slides_down_a_taper_at_the_friction_angle() {
    // Axial over radial force of a body sliding down a slope: tan(slope - friction angle) (Coulomb; any text on statics).
    let mu = 0.05_f64;
    let (problem, at, spring) = on_taper(mu);
    let [radial, axial] = problem.force(&at);
    let slips = (0..problem.contact.n_points()).filter(|i| problem.contact.status(*i, &at.state, 0.0).slips).count();
    assert_eq!(slips, problem.contact.n_points(), "every point slides");
    assert_relative_eq!(axial / radial, -(TAPER - mu.atan()).tan(), max_relative = 1e-4);
    assert_relative_eq!(axial, -spring.force(&at.state, &at.load), max_relative = 1e-6);
}

#[test]
fn a_ring_sticks_on_a_taper_below_the_friction_angle() {
    let mu = 0.4;
    let (problem, at, spring) = on_taper(mu);
    let [radial, axial] = problem.force(&at);
    let slips = (0..problem.contact.n_points()).any(|i| problem.contact.status(i, &at.state, 0.0).slips);
    assert!(!slips, "no point slides");
    assert_relative_eq!(axial, -spring.force(&at.state, &at.load), max_relative = 1e-5);
    // The spring has next to nothing to hold.
    assert!(axial.abs() < 0.03 * radial, "{axial} of {radial}");
}

/// Below the friction angle nothing creeps, however often the state is solved again at the same load: a stuck point keeps its traction.
#[test]
fn a_ring_that_sticks_stays_where_it_is_over_many_steps() {
    let (mut problem, fitted, _) = on_taper(0.4);
    let mut at = fitted.clone();
    for _ in 0..60 {
        at = problem.go(&at, Target::Eigenstrain(1.0));
    }
    let moved = at.state.u.iter().zip(&fitted.state.u).map(|(now, then)| (now - then).abs()).fold(0.0, f64::max);
    let tractions = [&at, &fitted].map(|at| problem.force(at)[1]);
    assert!(moved < 1e-7, "{moved} mm");
    assert_relative_eq!(tractions[0], tractions[1], max_relative = 1e-4);
}

#[test]
fn newtons_residuals_fall_quadratically_once_the_contact_has_settled() {
    let (mut problem, _) = indented(8, 0.02);
    problem.path.settings.newton.near = 0.0;
    let mut log = Vec::new();
    let rest = problem.path.rest();
    problem.path.step(None, &rest, Target::Eigenstrain(0.0), &mut |_, r, _| log = r.to_vec()).unwrap();
    let n = log.len();
    println!("{log:?}");
    // Down to the round-off of a nearly incompressible body.
    let quadratic = |a: f64, b: f64| b <= (a * a).max(1e-9);
    assert!(log[n - 3] > 1e-4 && quadratic(log[n - 3], log[n - 2]) && quadratic(log[n - 2], log[n - 1]), "{log:?}");
}
