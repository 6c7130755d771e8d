//! Random cases whose off-centre release jumped when an input was moved by 0.001 to 0.2 %, each by the mechanism that is named. Reference:
//! this project.
#![allow(clippy::unwrap_used, clippy::print_stdout)]

mod common;

use common::cases::changed;
use hoopwright_case as case;
use hoopwright_solver::local::prepare;
use hoopwright_solver::rim::RimModel;
use hoopwright_solver::stages::{Keep, run};
use std::sync::Arc;

/// Largest move of the off-centre release, a few times that of the input.
const SMOOTH: f64 = 5e-3;

/// Off-centre release, MPa, at the case's friction or without.
fn off_centre(text: &str, friction: bool) -> f64 {
    let (case, _) = case::read(text).unwrap();
    let rim = Arc::new(RimModel::new(&case).unwrap());
    let friction = if friction { case.friction } else { 0.0 };
    let ran = run(&case, &rim, friction, Keep::Numbers, &mut |_| {}).unwrap();
    let (pressure, lower_bound) = ran.run.retention.off_centre_release.known().unwrap();
    assert!(!lower_bound, "{:?}", ran.run.end);
    pressure
}

fn moves(text: &str, [table, entry]: [&str; 2], factor: f64, friction: bool) -> f64 {
    let [a, b] = [text, &changed(text, table, entry, factor).unwrap()].map(|text| off_centre(text, friction));
    println!("{table}.{entry} x {factor}: {a:.5} to {b:.5} MPa, {:+.3} %", 100.0 * (b / a - 1.0));
    b / a - 1.0
}

/// The lift at which the pressure has fallen was that of the next point: 1.794 to 1.835 bar.
#[test]
fn the_lift_up_to_which_a_path_holds_goes_by_no_step() {
    let moved = moves(include_str!("data/continuity/case_1092.toml"), ["bead", "diameter"], 1.00001, true);
    assert!(moved.abs() < SMOOTH, "{moved}");
}

/// A path that falls to 96.99 % of its maximum ended there, one that falls to 97.01 % went on to a second maximum: 3.828 to 4.140 bar.
#[test]
fn a_path_that_stays_near_its_maximum_is_no_question_of_one_threshold() {
    let moved = moves(include_str!("data/continuity/case_1872.toml"), ["rim", "flange_height"], 1.0005, false);
    assert!(moved.abs() < SMOOTH, "{moved}");
}

/// A step that was cut after a grip had slipped landed on another branch: 8.269 to 8.011 bar.
#[test]
#[ignore = "half a minute"]
fn a_step_past_a_grip_that_slips_begins_at_the_last_equilibrium() {
    let moved = moves(include_str!("data/continuity/case_1780.toml"), ["contact", "friction"], 1.002, true);
    assert!(moved.abs() < SMOOTH, "{moved}");
}

/// With friction the held bead slips at 1.42 mm of lift or, by a mesh of other rows, at 1.01 mm. The line ended there, which left the friction
/// farther up to where the slip lay: 4.90 or 4.43 bar local release, 5.18 and 5.16 with whole lines.
#[test]
fn the_law_with_friction_reaches_the_crest_past_the_slips_of_its_grip() {
    let (case, _) = case::read(include_str!("data/continuity/slipping_grip.toml")).unwrap();
    let rim = Arc::new(RimModel::new(&case).unwrap());
    let mut given = run(&case, &rim, case.friction, Keep::Numbers, &mut |_| {}).unwrap();
    let mut frictionless = run(&case, &rim, 0.0, Keep::Numbers, &mut |_| {}).unwrap();
    let prepared = prepare(&case, Some(&mut given), &mut frictionless).unwrap();
    let line = &prepared.law.rising[0];
    let (first, last) = (line[0], line[line.len() - 1]);
    println!("{} points from {:.3} to {:.3} mm at {:.4} MPa", line.len(), first.lift, last.lift, last.pressure);
    assert!((first.pressure - last.pressure).abs() < 1e-9 && last.lift > prepared.clearance, "{last:?}");
    assert!(line.windows(2).all(|w| w[1].lift > w[0].lift), "{line:?}");
}
