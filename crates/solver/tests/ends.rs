//! What a path's end does to its answers: a maximum that is bracketed, a break that is located.
#![allow(clippy::unwrap_used, clippy::panic)]

use hoopwright_case::{self as case, Case};
use hoopwright_solver::result::{End, Moment, Release, Run};
use hoopwright_solver::rim::RimModel;
use hoopwright_solver::stages::{Keep, run};
use std::sync::Arc;

fn example(name: &str) -> Case {
    let path = format!("{}/../../examples/{name}", env!("CARGO_MANIFEST_DIR"));
    case::read(&std::fs::read_to_string(path).unwrap()).unwrap().0
}

fn frictionless(case: &Case) -> Run {
    let rim = Arc::new(RimModel::new(case).unwrap());
    run(case, &rim, 0.0, Keep::Numbers, &mut |_| {}).unwrap().run
}

fn highest(run: &Run) -> f64 {
    let Release::At(highest) = run.retention.uniform_blow_off else { panic!("{run:?}") };
    highest
}

#[test]
fn points_inserted_before_the_rated_one_leave_it_at_its_pressure() {
    let mut case = example("02_soft_bead.toml");
    // Just below the frictionless maximum, which lies at 0.26 MPa.
    let most = highest(&frictionless(&case));
    for rated in [0.998 * most, 0.999 * most] {
        case.pressure.rated = rated;
        let run = frictionless(&case);
        let at = run.at(Moment::Rated).unwrap();
        assert!((at.pressure - rated).abs() < 1e-9 * rated, "{} in place of {rated}", at.pressure);
        assert!((1.0..1.01).contains(&(highest(&run) / rated)), "{}", highest(&run));
    }
}

/// Against the path of a bundle that does not break, straight between its points: these lie 0.2 bar apart.
#[test]
fn a_bundle_breaks_at_the_pressure_at_which_its_tension_is_its_strength() {
    let mut case = example("01_road_holds.toml");
    let whole = frictionless(&case).path;
    for strength in [1500.0, 2100.0] {
        let i = whole.iter().position(|p| p.bead_tension >= strength).unwrap();
        let (a, b) = (&whole[i - 1], &whole[i]);
        let share = (strength - a.bead_tension) / (b.bead_tension - a.bead_tension);
        let expected = a.pressure + share * (b.pressure - a.pressure);
        case.bead.breaking_force = Some(strength);
        let run = frictionless(&case);
        assert_eq!(run.end, End::BundleBreaks);
        assert!((-2e-3..1e-3).contains(&(highest(&run) / expected - 1.0)), "{} in place of {expected}", highest(&run));
        assert!(run.path.iter().all(|p| p.bead_tension < strength), "a broken bundle holds nothing");
    }
}

/// A step by lift goes past a rated pressure that the secant puts farther on, and the bundle breaks before the step ends.
#[test]
fn a_break_just_past_the_rated_pressure_leaves_the_rated_state() {
    let mut case = example("01_road_holds.toml");
    let whole = frictionless(&case).path;
    let tension = |pressure: f64| {
        let pair = whole.windows(2).find(|pair| pair[0].pressure < pressure && pressure <= pair[1].pressure).unwrap();
        let share = (pressure - pair[0].pressure) / (pair[1].pressure - pair[0].pressure);
        pair[0].bead_tension + share * (pair[1].bead_tension - pair[0].bead_tension)
    };
    for rated in [0.32, 0.335] {
        case.pressure.rated = rated;
        case.bead.breaking_force = Some(tension(1.004 * rated));
        let run = frictionless(&case);
        assert_eq!(run.end, End::BundleBreaks);
        assert!((1.0..1.006).contains(&(highest(&run) / rated)), "{} in place of {rated}", highest(&run));
        assert!(run.at(Moment::Rated).is_some_and(|at| (at.pressure - rated).abs() < 1e-9 * rated), "{:?}", run.rated);
    }
}
