//! The whole finite-element model against the netting membrane on like-for-like geometry.
//!
//! A frictionless floating bead: the membrane tied to the two bundle centres where the finite elements put them pulls with p c_m, the gas
//! under the base with p on the half width between the centre and the wall, and the crest, on which the casing leans, pushes the bead
//! outward with what the rim is found to carry: T = p (c_m + rho b / 2) + rho f. Membrane: derived in `estimate::netting`, which is
//! checked against independently computed values.
#![allow(clippy::unwrap_used, clippy::print_stdout)]

use approx::assert_relative_eq;
use hoopwright_case::{self as case, Case};
use hoopwright_solver::estimate::netting::Netting;
use hoopwright_solver::model::Model;
use hoopwright_solver::result::PathPoint;
use hoopwright_solver::rim::RimModel;
use hoopwright_solver::stages::{Keep, Ran, run};
use std::sync::Arc;

/// Mean position (r, z) of the bundle's corners, mm.
fn bundle_centre(model: &Model, point: &PathPoint) -> [f64; 2] {
    let fields = point.fields.as_ref().unwrap();
    let corners = model.tyre.bundle_corners;
    let position = |n: usize, k: usize| model.tyre.mesh.nodes[n][k] + fields.displacement[n][k];
    [0, 1].map(|k| corners.iter().map(|n| position(*n, k)).sum::<f64>() / corners.len() as f64)
}

/// Bead tension of the membrane with the bundle where it is found, N.
fn membrane_tension(case: &Case, point: &PathPoint, [r, z]: [f64; 2]) -> f64 {
    let membrane = Netting::new(r, 2.0 * z, case.casing.bead_to_bead, case.casing.angle).unwrap();
    point.pressure * (membrane.tension + 0.5 * r * case.bead.width) + point.radial_reaction * r
}

#[test]
fn bead_tension_at_rated_pressure_is_the_membranes_within_five_per_cent() {
    for example in ["01_road_holds", "04_inch_units"] {
        let path = format!("{}/../../examples/{example}.toml", env!("CARGO_MANIFEST_DIR"));
        let (case, _) = case::read(&std::fs::read_to_string(path).unwrap()).unwrap();
        let rim = Arc::new(RimModel::new(&case).unwrap());
        let Ran { run, model, .. } = run(&case, &rim, 0.0, Keep::Fields, &mut |_| {}).unwrap();
        let point = &run.path[run.rated.unwrap()];
        assert!(point.seat_load < 1e-6, "the bead floats");
        let expected = membrane_tension(&case, point, bundle_centre(&model, point));
        println!("{example}: {:.1} N by finite elements, {expected:.1} N by the membrane", point.bead_tension);
        assert_relative_eq!(point.bead_tension, expected, max_relative = 0.05);
    }
}
