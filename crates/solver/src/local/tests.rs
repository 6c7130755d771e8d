//! Heights, dips and their local release, on the law of the first example, which is traced once.

#![allow(clippy::unwrap_used, clippy::panic, clippy::float_cmp, clippy::print_stdout)]
use super::*;
use crate::result::{Cause, Run, Side};
use crate::rim::RimModel;
use crate::ring::local::Question;
use crate::ring::standing::Unevenness;
use crate::stages::{self, Keep};
use approx::assert_relative_eq;
use hoopwright_case::{self as case, Changes, Dip, Heights, Seating, Stands};
use std::f64::consts::{PI, TAU};
use std::sync::{Arc, LazyLock};

/// Of no account here.
const CHANGES: Changes = Changes { crest_radius: 0.2, bead_width: 0.3, filler_height: 1.0, bead_rubber: 0.3 };

/// A case with its law and its paths.
pub(super) struct Traced {
    pub(super) case: Case,
    pub(super) prepared: Prepared,
    pub(super) given: Run,
    pub(super) frictionless: Run,
}

pub(super) static ROAD: LazyLock<Traced> = LazyLock::new(|| traced(include_str!("../../../../examples/01_road_holds.toml")));

pub(super) fn traced(text: &str) -> Traced {
    let (case, _) = case::read(text).unwrap();
    let rim = Arc::new(RimModel::new(&case).unwrap());
    let run = |friction: f64| stages::run(&case, &rim, friction, Keep::Numbers, &mut |_| ()).unwrap();
    let mut frictionless = run(0.0);
    let mut given = (case.friction > 0.0).then(|| run(case.friction));
    let prepared = prepare(&case, given.as_mut(), &mut frictionless).unwrap();
    let frictionless = frictionless.run;
    let given = given.map_or_else(|| frictionless.clone(), |ran| ran.run);
    Traced { case, prepared, given, frictionless }
}

impl Traced {
    pub(super) fn ask(&self, local: Seating, run: &Run) -> (f64, Local) {
        let case = Case { local, ..self.case.clone() };
        let (release, local) = self.prepared.answer(&case, run).unwrap();
        let Release::At(pressure) = release else { panic!("{release:?}") };
        (10.0 * pressure, local)
    }
}

fn measured(left: Vec<f64>, right: Vec<f64>, seen_at: f64) -> Seating {
    Seating {
        stands: Stands::Measured(Heights { left, right, first: 0.0, seen_at, file: None }),
        dip: None,
        rider: None,
        changes: CHANGES,
    }
}

pub(super) fn arc(height: f64, dip: Option<Dip>) -> Seating {
    Seating { stands: Stands::Arc { height, length: 0.5 * PI }, dip, rider: None, changes: CHANGES }
}

/// Heights of a bell over a quarter of the wheel at n stations, its middle at station k.
fn bell(n: usize, k: usize, height: f64) -> Vec<f64> {
    let at = |i: usize| (TAU * (i as f64 - k as f64) / n as f64 + PI).rem_euclid(TAU) - PI;
    (0..n).map(|i| 3.1 + if at(i).abs() < 0.25 * PI { height * 0.5 * (1.0 + (4.0 * at(i)).cos()) } else { 0.0 }).collect()
}

/// Twelve stations without symmetry: a high place at the fourth.
fn skew() -> Vec<f64> {
    vec![3.1, 3.2, 3.6, 4.1, 3.4, 3.1, 3.0, 3.0, 3.1, 3.2, 3.1, 3.0]
}

fn rotated(heights: &[f64], k: usize) -> Vec<f64> {
    let mut heights = heights.to_vec();
    heights.rotate_right(k);
    heights
}

#[test]
fn heights_that_state_a_typed_arc_give_its_release() {
    for run in [&ROAD.given, &ROAD.frictionless] {
        let (typed, _) = ROAD.ask(arc(1.0, None), run);
        let (heights, local) = ROAD.ask(measured(bell(24, 3, 1.0), vec![3.0; 24], 0.0), run);
        assert_relative_eq!(heights, typed, max_relative = 0.01);
        assert_eq!(local.side, Some(Side::Left));
        assert_relative_eq!(local.station.unwrap().to_degrees(), 45.0, epsilon = 1e-9);
    }
}

/// Stations begin anywhere; which bead is called left is of no matter.
#[test]
fn a_rotation_moves_the_station_and_a_mirror_the_bead() {
    let (low, run) = (bell(12, 7, 0.6), &ROAD.frictionless);
    let (release, local) = ROAD.ask(measured(skew(), low.clone(), 0.0), run);
    let (mirrored, other) = ROAD.ask(measured(rotated(&low, 5), rotated(&skew(), 5), 0.0), run);
    assert_eq!((release, local.side, other.side), (mirrored, Some(Side::Left), Some(Side::Right)));
    let turned = |local: &Local| (local.station.unwrap().to_degrees() + 150.0).rem_euclid(360.0);
    assert_relative_eq!(turned(&local), other.station.unwrap().to_degrees(), epsilon = 1e-6);
    let [left, right] = local.beads.unwrap();
    assert_eq!([right, left], other.beads.unwrap());
    // The profile has its angles turned by the same forty of its 96 stations.
    let (a, b) = (local.last.unwrap(), other.last.unwrap());
    (0..96).for_each(|k| assert_relative_eq!(a.before[k], b.before[(k + 40) % 96], epsilon = 1e-9));
    assert_relative_eq!(a.before[24] - a.before[56], 1.1, max_relative = 0.02);
}

/// Nothing uneven was seen: what a reading to 0.1 mm cannot tell is taken to be there.
#[test]
fn equal_heights_are_an_even_ring() {
    for (run, seen_at) in [(&ROAD.given, 0.0), (&ROAD.given, 0.3), (&ROAD.frictionless, 0.0)] {
        let even = ROAD.ask(measured(vec![3.0; 12], vec![3.4; 12], seen_at), run);
        assert_relative_eq!(even.0, ROAD.ask(arc(0.1, None), run).0, max_relative = 1e-12);
    }
    let evenness = ROAD.ask(arc(0.1, None), &ROAD.frictionless).0;
    assert!(
        (4.5..4.75).contains(&evenness),
        "by itself an even ring shifts from 4.61 bar on, on a mesh three times as fine: {evenness}"
    );
}

/// What was seen under pressure is in equilibrium with the friction that balances it and goes later than an attempt, in which friction is at
/// rest; what friction cannot hold goes no later than the attempt.
#[test]
fn heights_seen_under_pressure_are_followed_up_from_there() {
    let ask = |height: f64, seen_at: f64| ROAD.ask(measured(bell(24, 3, height), bell(24, 3, height), seen_at), &ROAD.given);
    let (attempt, seen) = (ask(0.4, 0.0), ask(0.4, 0.6));
    assert!(seen.1.held.unwrap() > 0.99 && attempt.1.held.is_none(), "{:?}", seen.1.held);
    assert!(seen.0 > 6.0 && seen.0 > attempt.0, "{} {}", seen.0, attempt.0);
    // On its seat at 1 bar no friction of 0.3 holds an arc of 1 mm up: the case contradicts what was seen.
    let (attempt, seen) = (ask(1.0, 0.0), ask(1.0, 0.1));
    assert!(seen.1.held.unwrap() < 0.5, "{:?}", seen.1.held);
    assert_relative_eq!(seen.0, attempt.0, max_relative = 2e-3);
    // Without friction nothing holds it, and it is an attempt.
    let without = |seen_at: f64| ROAD.ask(measured(bell(24, 3, 1.0), vec![3.0; 24], seen_at), &ROAD.frictionless).0;
    assert_eq!(without(0.3), without(0.0));
    let beyond = measured(bell(24, 3, 1.0), vec![3.0; 24], 1.9);
    let why = ROAD.prepared.answer(&Case { local: beyond, ..ROAD.case.clone() }, &ROAD.given).unwrap_err();
    assert!(why.contains("not even an even bead stays"), "{why}");
}

/// A deeper and a longer dip let go earlier; one that is too short of the arc's place is told with its own station.
#[test]
fn a_dip_of_the_crest_lets_go_earlier() {
    let dip = |depth: f64, degrees: f64, station: Option<f64>| Some(Dip { depth, length: degrees.to_radians(), station });
    for run in [&ROAD.given, &ROAD.frictionless] {
        let of = |dip: Option<Dip>| ROAD.ask(arc(1.0, dip), run);
        let releases =
            [of(None), of(dip(0.2, 20.0, None)), of(dip(0.5, 20.0, None)), of(dip(0.5, 60.0, None)), of(dip(1.0, 60.0, None))];
        assert!(releases.windows(2).all(|w| w[1].0 < w[0].0), "{:?}", releases.map(|r| r.0));
        let last = of(dip(0.5, 20.0, None)).1.last.unwrap();
        assert_relative_eq!(last.crest[48] - last.crest[0], 0.5, max_relative = 1e-9);
        assert_relative_eq!(last.crest[4], last.crest[48], max_relative = 1e-9);
    }
    let aside = ROAD.ask(arc(1.0, dip(1.2, 60.0, Some(PI))), &ROAD.frictionless).1;
    assert_relative_eq!(aside.station.unwrap(), PI, epsilon = 0.1);
}

/// Without friction a shifted ring may be turned round the wheel as it likes: it stays all the same.
#[test]
fn a_ring_that_may_stand_anywhere_is_no_ring_without_an_answer() {
    let softer = traced(&include_str!("../../../../examples/01_road_holds.toml").replace("400 kN", "370 kN"));
    let left = vec![2.1, 2.1, 2.2, 2.5, 2.9, 2.6, 2.2, 2.0, 2.1, 2.0, 2.1, 2.0];
    let (release, local) = softer.ask(measured(left, vec![2.0; 12], 0.0), &softer.frictionless);
    let (typed, _) = softer.ask(arc(0.9, None), &softer.frictionless);
    assert!((0.95..1.1).contains(&(release / typed)), "{release} {typed}");
    assert_eq!(local.side, Some(Side::Left));
}

#[test]
fn the_cause_is_told() {
    let cause = |height: f64, run: &Run| ROAD.ask(arc(height, None), run).1.cause;
    assert_eq!(cause(1.0, &ROAD.frictionless), Some(Cause::EvennessLost));
    assert_eq!(cause(2.0, &ROAD.given), Some(Cause::ReachesCrest));
    assert_eq!(cause(3.4, &ROAD.given), Some(Cause::ReachesCrest));
}

/// Several arcs stretch the bundle more than one, which holds them: one arc is the lowest branch, so no others are tried.
#[test]
fn one_arc_goes_before_two_or_three() {
    let thick = traced(include_str!("../../../../validation/local_release/thick.toml"));
    for (traced, run) in [(&*ROAD, &ROAD.given), (&*ROAD, &ROAD.frictionless), (&thick, &thick.frictionless)] {
        let arcs = |n: usize| {
            let all = (0..n).map(|k| bell(24, 24 * k / n, 1.0));
            let heights = all.reduce(|a, b| a.iter().zip(b).map(|(a, b)| a.max(b)).collect()).unwrap();
            traced.ask(measured(heights, vec![3.0; 24], 0.0), run).0
        };
        let found = [1, 2, 3].map(arcs);
        assert!(found[0] <= 1.001 * found[1] && found[1] <= 1.001 * found[2], "{found:?}");
    }
}

/// Both beads at once are two rings that mirror and anti-mirror couple: small motions of both are those alike and those opposite, and one alone lies
/// between. Opposite ones are stiffer, so that both alike go first, and a bead that moves alone while the other gives way to it goes no
/// earlier.
#[test]
fn beads_that_move_oppositely_go_no_earlier_than_beads_that_move_alike() {
    let thick = traced(include_str!("../../../../validation/local_release/thick.toml"));
    for (traced, run) in [(&*ROAD, &ROAD.given), (&*ROAD, &ROAD.frictionless), (&thick, &thick.frictionless)] {
        let unevenness = Unevenness::Arc { height: 1.0, arc: 0.5 * PI };
        let question = |alone: bool| traced.prepared.question(&traced.case, run, alone, &unevenness).unwrap();
        let [both, one] = [question(false), question(true)];
        let opposite = |(both, one): (&Joining, &Joining)| std::array::from_fn(|c| 2.0 * one[c] - both[c]);
        let joining = both.joining.iter().zip(&one.joining);
        let joining = joining.map(|((p, both), (_, one))| (*p, both.iter().zip(one).map(opposite).collect())).collect();
        let opposite = Question { joining, ..both.clone() };
        let [both, one, opposite] = [both, one, opposite].map(|q| q.answer().unwrap().release.unwrap_or(f64::INFINITY));
        println!("{both} {one} {opposite}");
        assert!(both < one && one < opposite);
    }
}
