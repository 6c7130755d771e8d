//! The state at the rated pressure is at the rated pressure, also where the path's maximum is searched for just past it.
#![allow(clippy::unwrap_used, clippy::panic)]

use hoopwright_solver::case;
use hoopwright_solver::result::{Moment, Release};
use hoopwright_solver::rim::RimModel;
use hoopwright_solver::stages::{Keep, run};
use std::sync::Arc;

#[test]
fn points_inserted_before_the_rated_one_leave_it_at_its_pressure() {
    let path = format!("{}/../../examples/02_soft_bead.toml", env!("CARGO_MANIFEST_DIR"));
    let (mut case, _) = case::read(&std::fs::read_to_string(path).unwrap()).unwrap();
    let rim = Arc::new(RimModel::new(&case).unwrap());
    // MPa; just below the frictionless maximum.
    for rated in [0.2606, 0.2607] {
        case.pressure.rated = rated;
        let (run, _) = run(&case, &rim, 0.0, Keep::Numbers, &mut |_| {}).unwrap();
        let at = run.at(Moment::Rated).unwrap();
        assert!((at.pressure - rated).abs() < 1e-9 * rated, "{} in place of {rated}", at.pressure);
        let Release::At(highest) = run.retention.uniform_blow_off else { panic!("{run:?}") };
        assert!((1.0..1.01).contains(&(highest / rated)), "{highest}");
    }
}
