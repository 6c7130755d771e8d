//! The ring against what is known of rings: a bed of springs, a pull that stays, a seat. Expected numbers by the formulas that stand beside
//! them, derived for this project.

#![allow(clippy::unwrap_used)]
use super::basis::{Basis, Shape};
use super::standing::Unevenness;
use super::tests::{CREST, RADIUS, bare};
use super::*;
use crate::law::{Law, LawPoint};
use approx::assert_relative_eq;
use std::f64::consts::PI;

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
    let ring = Ring { hoop: &hoop, radius, basis: &basis, section: &section, lowered: &lowered };
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
