//! The residual assembled alone against that of the whole assembly.
#![allow(clippy::unwrap_used)]

mod common;

use common::Grid;
use hoopwright_fem::assembly::System;
use hoopwright_fem::contribution::Contribution;
use hoopwright_fem::contribution::mixed::Mixed;
use hoopwright_fem::contribution::pressure::Pressure;
use hoopwright_fem::material::mooney_rivlin::MooneyRivlin;
use hoopwright_fem::state::{Load, State, Unknown};
use std::sync::Arc;

/// Four nearly incompressible elements under gas.
fn system() -> System {
    let grid = Grid::new(2, 2, |a, b| [10.0 + 2.0 * a, 3.0 * b + 0.2 * a * a]);
    let rubber = Mixed::new(&grid.mesh, &grid.all_quads(), Box::new(MooneyRivlin { c1: 0.5, c2: 0.1 }), 50.0).unwrap();
    let gas = Pressure::new(&grid.mesh, common::edges(&grid.left()));
    let parts: Vec<Arc<dyn Contribution>> = vec![Arc::new(rubber), Arc::new(gas)];
    System::new(2 * grid.mesh.nodes.len(), &[1], parts).unwrap()
}

/// A state deformed by `h`, mm.
fn state(system: &System, h: f64) -> State {
    let mut state = system.rest();
    let wave = |i: usize| h * (1.7 * i as f64).sin();
    state.u.iter_mut().enumerate().for_each(|(i, u)| *u = wave(i));
    state.internal.iter_mut().enumerate().for_each(|(i, q)| *q = 4.0 * wave(i));
    state
}

fn difference(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).fold(0.0, |worst, (a, b)| worst.max((a - b).abs()))
}

const LOAD: Load = Load { pressure: 0.3, eigenstrain: 0.0, support: 0.0, hoop_force: 0.0, unknown: Unknown::Pressure };

#[test]
fn at_the_state_of_the_tangent_it_is_the_same() {
    let mut system = system();
    let at = state(&system, 0.05);
    system.assemble(&at, &LOAD).unwrap();
    let (residual, tangent, size) = (system.residual().to_vec(), system.tangent().clone(), system.relative_residual(0.0));
    system.assemble_residual(&at, &LOAD).unwrap();
    assert!(difference(&residual, system.residual()) < 1e-12 * residual.iter().fold(0.0, |m: f64, r| m.max(r.abs())));
    assert!((system.relative_residual(0.0) - size).abs() < 1e-12);
    system.assemble_residual(&state(&system, 0.06), &LOAD).unwrap();
    assert_eq!(system.tangent(), &tangent, "the tangent stays");
}

/// What the condensed unknowns leave in it is taken out by the derivatives of the tangent's state: at rest their residuals vanish, and
/// beside it these and the derivatives differ in proportion to the distance.
#[test]
fn beside_the_state_of_the_tangent_the_difference_is_of_second_order() {
    let mut system = system();
    let rest = system.rest();
    let error = |h: f64, system: &mut System| {
        let beside = state(system, h);
        system.assemble(&rest, &LOAD).unwrap();
        system.assemble_residual(&beside, &LOAD).unwrap();
        let alone = system.residual().to_vec();
        system.assemble(&beside, &LOAD).unwrap();
        (h, difference(&alone, system.residual()))
    };
    let errors = [8e-3, 4e-3, 2e-3].map(|h| error(h, &mut system));
    let order = common::slope(&errors);
    assert!((order - 2.0).abs() < 0.1, "{order}: {errors:?}");
}
