//! What the model says of the bundle, the lift and the rubber against their definitions, computed from displacements and moduli alone.
#![allow(clippy::unwrap_used)]

use approx::assert_relative_eq;
use hoopwright_case::{self as case, Case};
use hoopwright_solver::meshing::Region;
use hoopwright_solver::model::Model;
use hoopwright_solver::result::PathPoint;
use hoopwright_solver::rim::RimModel;
use hoopwright_solver::stages::{Keep, Ran, run};
use std::sync::Arc;

fn example() -> Case {
    let path = format!("{}/../../examples/01_road_holds.toml", env!("CARGO_MANIFEST_DIR"));
    case::read(&std::fs::read_to_string(path).unwrap()).unwrap().0
}

fn ran(case: &Case) -> Ran {
    let rim = Arc::new(RimModel::new(case).unwrap());
    run(case, &rim, 0.0, Keep::Fields, &mut |_| {}).unwrap()
}

/// Mean radius over some nodes, mm, each with its weight.
fn mean_radius(model: &Model, point: &PathPoint, nodes: &[(usize, f64)]) -> f64 {
    let fields = point.fields.as_ref().unwrap();
    let radius = |n: usize| model.tyre.mesh.nodes[n][0] + fields.displacement[n][0];
    nodes.iter().map(|(n, weight)| weight * radius(*n)).sum::<f64>() / nodes.iter().map(|(_, weight)| weight).sum::<f64>()
}

/// The corners of the bundle, from which the lift is read.
fn corners(model: &Model) -> Vec<(usize, f64)> {
    model.tyre.bundle_corners.iter().map(|n| (*n, 1.0)).collect()
}

/// The middles of the bundle's elements with their areas.
fn middles(model: &Model) -> Vec<(usize, f64)> {
    let quads = (0..model.tyre.regions.len()).filter(|q| model.tyre.regions[*q] == Region::Bundle);
    quads.map(|q| (model.tyre.mesh.quads[q][8], model.tyre.mesh.section_area(q))).collect()
}

/// The bead's diameter is measured at its base and the bundle lies higher: its fibres are strained from the circle on which they lie
/// unstretched. A ring of stiffness E A on a circle: T = E A (D / D0 - 1).
#[test]
fn the_fitted_tension_is_that_of_a_ring_stretched_from_the_bundles_own_circle() {
    let case = example();
    let Ran { run, model, .. } = ran(&case);
    for index in [run.fit, run.rated.unwrap()] {
        let point = &run.path[index];
        let own = case.bead.diameter + 2.0 * case.bead.bundle_height;
        let strain = 2.0 * mean_radius(&model, point, &middles(&model)) / own - 1.0;
        assert_relative_eq!(point.bead_strain, strain, max_relative = 1e-3);
        assert_relative_eq!(point.bead_tension, 400e3 * strain, max_relative = 1e-3);
    }
}

/// On a rim ten times as soft as any: the lift is the bundle's rise over the seat, which itself moves by a good part of it.
#[test]
fn the_lift_is_measured_from_a_seat_that_moves() {
    let mut case = example();
    case.rim.hoop_stiffness = 0.5e6;
    let Ran { run, model, .. } = ran(&case);
    let (fit, rated) = (&run.path[run.fit], &run.path[run.rated.unwrap()]);
    let bundle = |point| mean_radius(&model, point, &corners(&model));
    let rise = bundle(rated) - bundle(fit);
    let seat = rated.rim_displacement - fit.rim_displacement;
    assert!(seat < -0.15 * rated.lift, "the seat moves by {seat} mm where the bead lifts by {} mm", rated.lift);
    assert_relative_eq!(rated.lift, rise - seat, max_relative = 1e-9);
}

/// Small strains e, e, -2 e of an incompressible solid: hoop stress 2 mu e, mu = E / 3 (any text on elasticity).
#[test]
fn each_region_has_its_own_rubber() {
    let mut case = example();
    let moduli = [(Region::Bundle, 50.0), (Region::Bead, 11.0), (Region::Casing, 7.0), (Region::Tread, 3.0)];
    let rubber = &mut case.rubber;
    for (region, young) in moduli {
        *match region {
            Region::Bundle => &mut rubber.bundle,
            Region::Bead => &mut rubber.bead,
            Region::Casing => &mut rubber.casing,
            Region::Tread => &mut rubber.tread,
        } = young;
    }
    let rim = Arc::new(RimModel::new(&case).unwrap());
    let model = Model::new(&case, &rim, 0.0).unwrap();
    let mut state = model.path.rest().state;
    let e = 1e-6;
    for (n, [r, z]) in model.tyre.mesh.nodes.iter().enumerate() {
        (state.u[2 * n], state.u[2 * n + 1]) = (e * r, -2.0 * e * z);
    }
    assert_eq!(model.solids.len(), moduli.len());
    for (region, young) in moduli {
        let quads: Vec<usize> = (0..model.tyre.regions.len()).filter(|q| model.tyre.regions[*q] == region).collect();
        let area: f64 = quads.iter().map(|q| model.tyre.mesh.section_area(*q)).sum();
        // The solid of this region is the one whose force it is; which one that is the model does not say.
        let force = 2.0 * young / 3.0 * e * area;
        let of = |(solid, _): &(Arc<_>, usize)| -> f64 { hoop_force(solid, &state) };
        assert!(model.solids.iter().any(|solid| (of(solid) / force - 1.0).abs() < 1e-3), "{region:?}: {force}");
    }
}

fn hoop_force(solid: &hoopwright_fem::contribution::mixed::Mixed, state: &hoopwright_fem::state::State) -> f64 {
    (0..solid.len()).map(|i| solid.hoop_force(i, state, &[0.0; 3])).sum()
}
