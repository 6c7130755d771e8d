//! What a user reads moves little when every element is halved.
#![allow(clippy::unwrap_used, clippy::print_stdout)]

use hoopwright_case as case;
use hoopwright_solver::result::{Release, Run};
use hoopwright_solver::rim::RimModel;
use hoopwright_solver::stages::{Keep, run};
use std::sync::Arc;

/// A frictionless run of the first example with elements `1 / refinement` of the size: the worst of its two runs.
fn refined(refinement: usize) -> Run {
    let path = format!("{}/../../examples/01_road_holds.toml", env!("CARGO_MANIFEST_DIR"));
    let (mut case, _) = case::read(&std::fs::read_to_string(path).unwrap()).unwrap();
    case.refinement = refinement;
    let rim = Arc::new(RimModel::new(&case).unwrap());
    run(&case, &rim, 0.0, Keep::Numbers, &mut |_| {}).unwrap().run
}

fn moved(coarse: f64, fine: f64, bound: f64, what: &str) {
    println!("{what}: {coarse:.4} to {fine:.4}, {:+.2} %", 100.0 * (fine / coarse - 1.0));
    assert!((fine / coarse - 1.0).abs() < bound, "{what}: {coarse} to {fine}");
}

#[test]
fn halving_the_elements_moves_the_maximum_by_less_than_a_hundredth_and_loads_by_half_of_that() {
    let (a, b) = (refined(1), refined(2));
    let at = |r: Release| if let Release::At(p) = r { p } else { f64::NAN };
    moved(at(a.retention.uniform_blow_off), at(b.retention.uniform_blow_off), 0.01, "maximum, MPa");
    moved(at(a.retention.off_centre_release), at(b.retention.off_centre_release), 0.005, "off-centre release, MPa");
    let (fit_a, fit_b) = (&a.path[a.fit], &b.path[b.fit]);
    moved(fit_a.seat_load, fit_b.seat_load, 0.005, "fitted seat load, N/mm");
    moved(fit_a.bead_tension, fit_b.bead_tension, 0.005, "fitted bead tension, N");
    let (rated_a, rated_b) = (&a.path[a.rated.unwrap()], &b.path[b.rated.unwrap()]);
    moved(rated_a.bead_tension, rated_b.bead_tension, 0.005, "bead tension at rated pressure, N");
}
