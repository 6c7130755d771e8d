//! The local release against the same tyres in three dimensions by a general-purpose finite-element library (felupe 11.3.0), which shares no
//! formula with the program: `validation/local_release`, its README and stored results, without friction and hardly uneven.

#![allow(clippy::unwrap_used)]
use hoopwright_case as case;
use hoopwright_case::geometry::bundle_radius;
use hoopwright_solver::assess::{Paths, assess};
use hoopwright_solver::local::prepare;
use hoopwright_solver::result::{Release, Run};
use hoopwright_solver::rim::RimModel;
use hoopwright_solver::ring::local::Question;
use hoopwright_solver::ring::outside::Outside;
use hoopwright_solver::ring::standing::Unevenness;
use hoopwright_solver::stages::{self, Keep};
use std::f64::consts::{FRAC_PI_2, FRAC_PI_4, PI};
use std::sync::Arc;

const ROAD: &str = include_str!("../../../validation/local_release/road.toml");
const THICK: &str = include_str!("../../../validation/local_release/thick.toml");

fn run(text: &str, local: &str) -> Run {
    let text = format!("{text}\n[local]\n{local}\n");
    let (case, notes) = case::read(&text).unwrap();
    assess(&case, notes, Paths::InTurn, &mut |_| {}).unwrap().frictionless
}

fn local(run: &Run) -> f64 {
    let Release::At(pressure) = run.retention.local_release else { return f64::NAN };
    pressure
}

const HARDLY: &str = "unevenness = \"0.02 mm\"\narc = \"90 deg\"";

/// Hardly uneven and not pulled, a ring goes where it is even no more. That saws with the contact points: on meshes once, twice and three
/// times as fine it is found at 0.294, 0.262 and 0.295 MPa. In three dimensions the even ring is stable at 0.2797 MPa and not at 0.2909.
#[test]
fn an_arc_of_the_thick_bead_is_as_long_as_in_three_dimensions() {
    let found = run(THICK, HARDLY);
    assert!((0.2797 * 0.95..0.2909 * 1.05).contains(&local(&found)), "{}", local(&found));
    let arc = found.local.unwrap().arc.unwrap().to_degrees();
    // Stored on the plateau, where the arc rises to the crest: 52 to 35 degrees.
    assert!((30.0..55.0).contains(&arc), "{arc}");
}

/// In three dimensions the even ring is stable at 0.468 MPa, barely not at 0.499, and not for one to three waves at 0.529.
#[test]
fn an_arc_of_the_road_tyre_goes_where_evenness_is_lost_in_three_dimensions() {
    let found = run(ROAD, HARDLY);
    let evenness = found.local.as_ref().unwrap().evenness.unwrap();
    assert!((0.468 * 0.98..0.529).contains(&evenness.pressure) && evenness.waves == 1, "{evenness:?}");
    assert!((0.448..0.499 * 1.05).contains(&local(&found)), "{}", local(&found));
}

/// Pull of the stored paths, N/mm of the bead's circumference.
const PULL: f64 = 0.05;

/// The local release under the pull that the stored paths have: cosine squared over 45 degrees on either side of one place, without any
/// unevenness; both beads alike, as the mirror plane there has them.
fn under_pull(text: &str) -> f64 {
    let (case, _) = case::read(text).unwrap();
    let rim = Arc::new(RimModel::new(&case).unwrap());
    let mut frictionless = stages::run(&case, &rim, 0.0, Keep::Numbers, &mut |_| ()).unwrap();
    let prepared = prepare(&case, None, &mut frictionless).unwrap();
    let even = Unevenness::Arc { height: 0.0, arc: FRAC_PI_2 };
    let question = prepared.question(&case, &frictionless.run, false, &even).unwrap();
    let wave = |n: usize| -> [f64; 3] { [PULL * bundle_radius(&case) * cosine_squared(n), 0.0, 0.0] };
    let load = Outside { waves: vec![(0.1, (0..=24).map(wave).collect())], at: 0.0 };
    Question { load: Some(load), ..question }.answer().unwrap().release.unwrap()
}

/// Part with n waves of cos^2 2t within 45 degrees, nothing beyond: over pi (2 pi for none) the integral of (1 + cos 4 t) / 2 cos n t.
fn cosine_squared(n: usize) -> f64 {
    let waves = |k: f64| if k == 0.0 { FRAC_PI_2 } else { 2.0 * (k * FRAC_PI_4).sin() / k };
    let n_ = n as f64;
    let integral = 0.5 * waves(n_) + 0.25 * (waves(n_ + 4.0) + waves(n_ - 4.0));
    integral / if n == 0 { 2.0 * PI } else { PI }
}

#[test]
fn the_pull_is_a_half_at_half_its_width_and_nothing_beyond() {
    let at = |angle: f64| (0..=24).map(|n| cosine_squared(n) * (n as f64 * angle.to_radians()).cos()).sum::<f64>();
    for (angle, expected) in [(0.0, 1.0), (22.5, 0.5), (45.0, 0.0), (90.0, 0.0), (180.0, 0.0)] {
        assert!((at(angle) - expected).abs() < 2e-3, "{angle}: {}", at(angle));
    }
}

/// Largest pressure of the arc's path in three dimensions under that pull: 0.2686 and 0.456 MPa, where the off-centre release is 0.53 and
/// 0.76 MPa. Meshes twice as fine give 0.2588 and 0.4324 MPa here, this one 0.2582 and 0.4342.
#[test]
fn a_pulled_arc_goes_where_it_does_in_three_dimensions() {
    for (text, outside) in [(THICK, 0.2686), (ROAD, 0.456)] {
        let found = under_pull(text);
        assert!((found / outside - 1.0).abs() < 0.05, "{found} {outside}");
    }
}

/// More unevenness never raises it, and it lies above the first lift and below the uniform blow-off.
#[test]
fn more_unevenness_goes_earlier() {
    let found = [HARDLY, "unevenness = \"1 mm\"", "unevenness = \"2 mm\""].map(|text| run(THICK, text));
    let pressures: Vec<f64> = found.iter().map(local).collect();
    assert!(pressures.windows(2).all(|w| w[1] <= w[0] * 1.001), "{pressures:?}");
    let Release::At(uniform) = found[0].retention.uniform_blow_off else { return };
    assert!(pressures[0] < uniform, "{pressures:?} {uniform}");
}

/// The stiffness saws as contact points come and go, in both models: what counts is the first loss. With a fine section and equal elements all
/// round, one wave is stable at 0.280 MPa in three dimensions and not at 0.291. The program's states lie 0.02 MPa apart: the last stable one.
#[test]
fn the_thick_ring_loses_its_evenness_where_it_does_in_three_dimensions() {
    let evenness = run(THICK, HARDLY).local.unwrap().evenness.unwrap();
    assert!((0.2797 * 0.95..0.2909).contains(&evenness.pressure) && evenness.waves == 1, "{evenness:?}");
}
