//! The ring against what is known of rings: a bed of springs, a pull that stays, a seat. Expected numbers by the formulas that stand beside
//! them, derived for this project.

#![allow(clippy::unwrap_used, clippy::panic, clippy::print_stdout)]
use super::basis::{Basis, Shape};
use super::standing::Unevenness;
use super::tests::{CREST, RADIUS, bare};
use super::*;
use crate::law::{Law, LawPoint};
use approx::assert_relative_eq;
use std::f64::consts::{PI, TAU};

/// An extensible ring with bending stiffness on springs, pulled outward at one point: sum over n of P / (pi R) over
/// E I (n^2 - 1)^2 / R^4 + k, as the shift lets the bead keep its length, and half of that over E A / R^2 + E I / R^4 + k for n = 0.
/// Its limit, an infinite beam on a bed: M. Hetenyi, Beams on Elastic Foundation (1946), from memory.
#[test]
fn a_point_load_sinks_into_a_bed_of_springs() {
    let (radius, bending, bed, pull) = (313.9, 2e4, 2.0, 0.05);
    let hoop = HoopLaw::Linear(150e3);
    let bends = |n: usize| bending * ((n * n) as f64 - 1.0).powi(2) / f64::powi(radius, 4);
    let basis = Basis::symmetric_of(240, 480);
    let curve = |slope: f64| Curve::new(vec![-1.0, 1.0], vec![-slope, slope]).unwrap();
    let section = Section {
        law: curve(-bed * radius),
        strain: curve(1.0 / radius),
        friction: None,
        joining: (0..=240).map(|n| [radius * bends(n), 0.0, 0.0]).collect(),
    };
    let lowered = vec![0.0; basis.angles.len()];
    let ring = Ring { hoop: &hoop, radius, basis: &basis, section: &section, lowered: &lowered, pushes: &[] };
    let stations = basis.angles.len();
    let rest =
        State { x: DVector::zeros(basis.shapes.len()), friction: vec![[0.0; 2]; stations], held: vec![[0.0; 2]; stations] };
    let tangent = ring.balance(&rest).tangent;
    let load = DVector::from_iterator(
        basis.shapes.len(),
        basis.shapes.iter().map(|shape| if matches!(shape, Shape::LiftCos(_)) { pull } else { 0.0 }),
    );
    let x = tangent.lu().solve(&load).unwrap();
    let found = (&basis.lift * &x)[0];
    let wave = |n: usize| pull / (PI * radius) / (bends(n) + bed);
    let even = 0.5 * pull / (PI * radius) / (150e3 / (radius * radius) + bends(0) + bed);
    assert_relative_eq!(found, even + (1..=240).map(wave).sum::<f64>(), max_relative = 1e-6);
    assert_relative_eq!(found, 8.77433e-4, max_relative = 1e-3);
}

/// A hundred times the forces of a bead, beside which what the ring overlooks of a lack of stability is nothing.
const LARGE: f64 = 100.0;
const STIFFNESS: f64 = LARGE * 150e3;
const HOOP: HoopLaw = HoopLaw::Linear(STIFFNESS);
const UNSTRETCHED: f64 = RADIUS - 0.775;
/// Pull over pressure, mm.
const PULL: f64 = 8.1;

fn pull(gain: f64, pressure: f64, lift: f64) -> f64 {
    let seat = if lift < 0.0 { LARGE * 2e4 * lift } else { 0.0 };
    LARGE * RADIUS * pressure * (PULL + gain * lift.max(0.0)) - seat
}

fn line(gain: f64, pressure: f64) -> Vec<LawPoint> {
    let point = |lift: f64| {
        let (hoop_force, strain) = (pull(gain, pressure, lift), (RADIUS + lift) / UNSTRETCHED - 1.0);
        let added = hoop_force - HOOP.force(strain).0;
        LawPoint { pressure, lift, hoop_force, added, strain, seat_load: 0.0, wall_load: 0.0, pressing: 0.0 }
    };
    (-20..=600).map(|k| point(0.02 * f64::from(k))).collect()
}

/// Lift of the even ring: E A (R + w) / Ru - E A = R p (c0 + c1 w) once it is off its seat.
fn even_lift(gain: f64, pressure: f64) -> f64 {
    let over = LARGE * RADIUS * pressure * PULL - HOOP.force(RADIUS / UNSTRETCHED - 1.0).0;
    if over < 0.0 { over / (LARGE * 2e4) } else { over / (STIFFNESS / UNSTRETCHED - LARGE * RADIUS * pressure * gain) }
}

/// Local release over off-centre release for a pull that gains so much, mm over pressure, for each millimetre of lift.
fn local_over_off_centre(gain: f64) -> f64 {
    let lines = [0.02, 0.4, 0.8].map(|p| line(gain, p)).to_vec();
    let law = Law { frictionless: lines, path: Vec::new(), rising: Vec::new(), stick: 0.0 };
    let pressures: Vec<f64> = (0..=78).map(|k| 0.02 + 0.01 * f64::from(k)).collect();
    let lifts: Vec<f64> = pressures.iter().map(|p| even_lift(gain, *p)).collect();
    let off_centre = Curve::new(lifts.clone(), pressures.clone()).unwrap().at(0.5 * CREST).0;
    let unevenness = Unevenness::Arc { height: 0.05, arc: PI };
    let question = bare(&HOOP, &law, Curve::new(pressures, lifts).unwrap(), &unevenness);
    question.answer().unwrap().release.unwrap() / off_centre
}

/// Without a crest the pull hardly rises with the lift. The ring then leaves its middle as a whole until it lies on its seat on one side, and
/// stands twice its mean lift high on the other: the local release is the off-centre release.
#[test]
fn without_a_crest_the_local_release_is_the_off_centre_release() {
    let ratios = [0.0003, 0.01, 0.05].map(local_over_off_centre);
    assert_relative_eq!(ratios[0], 1.0, max_relative = 0.02);
    // The more the pull gains the shorter the arc that leaves, and the earlier.
    assert!(ratios[1] < 0.9 && ratios[2] < 0.7, "{ratios:?}");
}

/// Through the values of a function at lifts.
fn through(lifts: &[f64], of: impl Fn(f64) -> f64) -> Curve {
    Curve::new(lifts.to_vec(), lifts.iter().map(|lift| of(*lift)).collect()).unwrap()
}

/// Stiffness of a one-sided seat, N/mm for each radian.
const SEAT: f64 = 1e6;

/// Peak over the seated place, mm, and tension, N, of a ring on a one-sided seat under an outward pull at one point.
fn pulled_at_a_point(waves: usize) -> [f64; 2] {
    let (radius, pull) = (313.9, 60.0);
    let hoop = HoopLaw::Linear(400e3);
    let basis = Basis::symmetric_of(waves, 2 * waves);
    let stations = basis.angles.len();
    let section = Section {
        law: through(&[-1.0, -1e-6, 0.0, 4.0], |lift| 2.0 * radius - SEAT * lift.min(0.0)),
        strain: through(&[-1.0, 4.0], |lift| (radius + lift) / (radius - 0.775) - 1.0),
        friction: None,
        joining: Vec::new(),
    };
    let mut pushes = vec![Push::default(); stations];
    pushes[0].outward = pull / basis.weights[0];
    let ring = Ring { hoop: &hoop, radius, basis: &basis, section: &section, lowered: &vec![0.0; stations], pushes: &pushes };
    let mut state =
        State { x: DVector::zeros(basis.shapes.len()), friction: vec![[0.0; 2]; stations], held: vec![[0.0; 2]; stations] };
    state.x[0] = -1e-3;
    let Outcome::Settled(state) = settle(&ring, state, &vec![CREST; stations]) else { panic!("it stays") };
    let tension = ring.tension(&state.x)[stations - 1];
    // The kink under the pull asks for all waves; shorter ones than the lifted length meet the string alone.
    let kink: f64 = (waves + 1..100 * waves).map(|n| pull * radius / (PI * tension * (n * n) as f64)).sum();
    [ring.lift(&state)[0] + kink - ring.lift(&state)[stations - 1], tension]
}

/// A tensioned ring on a one-sided seat, net press s = T / R - q on it, pulled outward at one point: T w'' = s over the half length l = P / 2s, to
/// the peak h = s l^2 / 2T, and the ring is longer by 2hl / 3R + 4h^2 / 3l: 0.3854 mm and 995.84 N.
#[test]
fn a_point_pull_lifts_a_ring_off_a_one_sided_seat() {
    let [coarse, fine] = [pulled_at_a_point(80), pulled_at_a_point(160)];
    let (mut tension, mut closed) = (0.0, 0.0);
    for _ in 0..100 {
        let press = f64::max(tension, 990.0) / 313.9 - 2.0;
        let half = 60.0 / (2.0 * press);
        closed = press * half * half / (2.0 * f64::max(tension, 990.0));
        let longer = 2.0 * closed * half / (3.0 * 313.9) + 4.0 * closed * closed / (3.0 * half);
        tension = 400e3 * (0.775 / (313.9 - 0.775) + longer / (TAU * 313.9));
    }
    println!("{coarse:?} {fine:?} {closed} {tension}");
    assert_relative_eq!(closed, 0.3854, max_relative = 1e-4);
    assert_relative_eq!(tension, 995.84, max_relative = 1e-5);
    assert_relative_eq!(fine[0], closed, max_relative = 0.005);
    assert!((fine[0] - closed).abs() < 0.4 * (coarse[0] - closed).abs());
    assert_relative_eq!(fine[1], tension, max_relative = 3e-4);
}

/// Two half seats under a tensioned ring move apart, so that each drags its half of the ring along: friction slips from one joint to the other,
/// and the tension falls by e^(mu pi) (Euler and Eytelwein, common knowledge).
#[test]
fn a_seat_that_slides_under_the_ring_is_a_capstan() {
    let (radius, friction) = (313.9, 0.2);
    let hoop = HoopLaw::Linear(40e6);
    let basis = Basis::symmetric_of(96, 192);
    let stations = basis.angles.len();
    // The bead never leaves its seat. Friction across the seat is so large that it all goes along it.
    let press = |lift: f64| -1e6 * lift;
    let grip = Friction {
        radial: through(&[-1.0, 4.0], |_| 1e9),
        circumferential: through(&[-1.0, 4.0], |lift| friction * press(lift)),
        stiffness: 1.0,
    };
    let section = Section {
        law: through(&[-1.0, 4.0], press),
        strain: through(&[-1.0, 4.0], |lift| (radius + lift) / radius * (1.0 + 1000.0 / 40e6) - 1.0),
        friction: Some(grip),
        joining: Vec::new(),
    };
    let ring = Ring { hoop: &hoop, radius, basis: &basis, section: &section, lowered: &vec![0.0; stations], pushes: &[] };
    let held = vec![[0.0, 1e4]; stations];
    let start = State { x: DVector::zeros(basis.shapes.len()), friction: vec![[0.0; 2]; stations], held };
    let state = match settle(&ring, start, &vec![CREST; stations]) {
        Outcome::Settled(state) => state,
        other => panic!("it stays: {other:?}"),
    };
    let tension = ring.tension(&state.x);
    println!("{} {} {}", tension[0], tension[stations / 2], tension[stations - 1]);
    let (middle, last) = (stations / 2, stations - 1);
    assert_relative_eq!(tension[0] / tension[last], 1.8745, max_relative = 0.005);
    assert_relative_eq!(tension[0] / tension[middle], 1.8745_f64.sqrt(), max_relative = 0.005);
    assert_relative_eq!(tension[0] / tension[last], (friction * PI).exp(), max_relative = 0.005);
}
