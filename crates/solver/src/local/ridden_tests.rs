//! A rider's load on the first example, which is traced once.

#![allow(clippy::unwrap_used, clippy::panic, clippy::float_cmp, clippy::print_stdout)]
use super::tests::{ROAD, Traced, arc, traced};
use super::*;
use crate::result::{Cause, Run};
use crate::ring::local::Question;
use crate::ring::standing::Unevenness;
use approx::assert_relative_eq;
use std::f64::consts::{PI, TAU};
use std::sync::LazyLock;

/// Height of the arc that stands higher, mm, over a quarter of the wheel.
const HEIGHT: f64 = 1.0;

static RIDDEN: LazyLock<Traced> = LazyLock::new(|| {
    let text = include_str!("../../../../examples/01_road_holds.toml");
    traced(&format!("{text}\n[local]\nradial_load = \"700 N\"\nlateral_load = \"300 N\"\n"))
});

/// Both paths, with what they are asked under another load.
fn under(radial: f64, lateral: f64, station: Option<f64>, run: &Run) -> (f64, Local) {
    let rider = RIDDEN.prepared.rider.as_ref().unwrap().with(radial, lateral, station);
    let prepared = Prepared {
        law: RIDDEN.prepared.law.clone(),
        joining: RIDDEN.prepared.joining.clone(),
        clearance: RIDDEN.prepared.clearance,
        rider: Some(rider),
    };
    let case = Case { local: arc(HEIGHT, None), ..RIDDEN.case.clone() };
    let (release, local) = prepared.answer(&case, run).unwrap();
    let Release::At(pressure) = release else { panic!("{release:?}") };
    (10.0 * pressure, local)
}

fn runs() -> [&'static Run; 2] {
    [&RIDDEN.given, &RIDDEN.frictionless]
}

/// The answer without a load is that of the case that states none; the more load the earlier it goes, and never later than without.
#[test]
fn the_more_load_the_earlier_the_bead_goes() {
    for (run, without) in runs().into_iter().zip([&ROAD.given, &ROAD.frictionless]) {
        let unloaded = ROAD.ask(arc(HEIGHT, None), without);
        assert_eq!(unloaded.1.loaded, None);
        let found =
            [(1.0, 0.0), (700.0, 0.0), (700.0, 150.0), (700.0, 300.0), (700.0, 600.0)].map(|(r, l)| under(r, l, None, run));
        println!("{:.3} {:?}", unloaded.0, found.each_ref().map(|(p, local)| (*p, local.loaded.unwrap().place.to_degrees())));
        assert_relative_eq!(found[0].0, unloaded.0, max_relative = 2e-3);
        assert!(found[0].0 <= unloaded.0);
        // Within what the search of a pressure tells.
        assert!(found.windows(2).all(|w| w[1].0 < 1.002 * w[0].0) && found[4].0 < 0.9 * unloaded.0);
        let (pressure, local) = &found[3];
        let loaded = local.loaded.unwrap();
        assert_eq!(local.cause, Some(Cause::Load));
        let [with, without] = [loaded.with, loaded.without].map(|release| 10.0 * self::pressure(release));
        assert_relative_eq!(with, *pressure, max_relative = 1e-12);
        assert_relative_eq!(without, unloaded.0, max_relative = 1e-12);
        assert!((0.05..0.25).contains(&loaded.sinking), "{}", loaded.sinking);
    }
}

/// A load that helps where it stands is not counted on.
#[test]
fn a_load_that_helps_changes_nothing() {
    for run in runs() {
        let opposite = under(700.0, 0.0, Some(PI), run);
        let on_the_arc = under(700.0, 0.0, Some(0.0), run);
        let unloaded = ROAD.ask(arc(HEIGHT, None), if run.friction > 0.0 { &ROAD.given } else { &ROAD.frictionless });
        let loaded = on_the_arc.1.loaded.unwrap();
        assert_eq!((10.0 * pressure(loaded.without), loaded.place), (unloaded.0, 0.0));
        if run.friction > 0.0 {
            assert_eq!(on_the_arc.0, unloaded.0);
            assert_eq!((on_the_arc.1.cause, on_the_arc.1.arc), (unloaded.1.cause, unloaded.1.arc));
            assert!(pressure(loaded.with) >= pressure(loaded.without));
        }
        // Without friction the ring may stand anywhere round the wheel: what is far from the arc has part in it.
        let near = if run.friction > 0.0 { 0.003 } else { 0.05 };
        assert!(on_the_arc.0 <= unloaded.0);
        assert_relative_eq!(on_the_arc.0, unloaded.0, max_relative = near);
        assert_relative_eq!(opposite.0, unloaded.0, max_relative = near);
        assert_relative_eq!(opposite.1.loaded.unwrap().place, PI);
    }
}

fn pressure(release: Release) -> f64 {
    match release {
        Release::At(p) | Release::Above(p) => p,
    }
}

/// At none of 24 places round the wheel the bead goes much before the pressure found.
#[test]
fn no_place_of_the_load_is_much_worse_than_the_one_found() {
    let unevenness = Unevenness::Arc { height: HEIGHT, arc: 0.25 * TAU };
    for run in runs() {
        let clock = std::time::Instant::now();
        let (found, local) = under(700.0, 300.0, None, run);
        println!("{found} {:?} {:?}", local.loaded, clock.elapsed());
        for alone in [false, true] {
            let question = RIDDEN.prepared.question(&RIDDEN.case, run, alone, &unevenness).unwrap();
            for load in [1.0, -1.0].map(|side| RIDDEN.prepared.rider.as_ref().unwrap().outside(side)) {
                for k in 0..=12 {
                    let question = Question { load: Some(load.moved(PI * f64::from(k) / 12.0)), ..question.clone() };
                    assert!(question.attempt_stays(0.1 * 0.985 * found), "{} {alone} {k}: {found}", run.friction);
                }
            }
        }
    }
}

/// The waves of an even patch add up to the load, and to as much as the patch is long.
#[test]
fn the_waves_of_a_patch_are_those_of_its_load() {
    let rider = RIDDEN.prepared.rider.as_ref().unwrap();
    let wave = |n: usize| rider.wave(700.0, n);
    assert_relative_eq!(TAU * wave(0), 700.0, max_relative = 1e-12);
    let half = 0.5 * rider.patch.length / rider.patch.crown;
    for n in [1, 5, 24] {
        // int over the patch of F / (2 half) cos n t, over pi, by the midpoint rule.
        let steps = 2000;
        let at = |k: i32| (n as f64 * half * (2.0 * (f64::from(k) + 0.5) / f64::from(steps) - 1.0)).cos();
        let sum = (0..steps).map(at).sum::<f64>() / f64::from(steps);
        assert_relative_eq!(wave(n), 700.0 / PI * sum, max_relative = 1e-6);
    }
}
