//! Random plausible cases: each ends with an answer whose balances hold, or with a named reason.
//!
//! Values are drawn evenly (seeded, each case from its own number) from the ranges of `common/cases.rs`, which cover road, gravel and mountain
//! pairs: three rim codes, rims of 19 to 30 mm, tyres 5 to 30 mm wider, beads of 60 to 600 kN that are up to 3 mm smaller or 0.5 mm
//! larger than the seat, friction 0 to 0.6. `RANDOM_CASES` tells how many to run, `RANDOM_FIRST` where to begin; the summary is printed
//! with `--nocapture`.
#![allow(clippy::unwrap_used, clippy::panic, clippy::print_stdout)]

mod common;

use common::Draw;
use cpu_time::ThreadTime;
use hoopwright_case as case;
use hoopwright_fem::continuation::Target;
use hoopwright_solver::assess::{Decision, decide};
use hoopwright_solver::estimate::{USUAL, USUAL_LOCAL};
use hoopwright_solver::result::{End, Finding, Release};
use hoopwright_solver::rim::RimModel;
use hoopwright_solver::stages::{self, Keep, News};
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Arc, Mutex};

/// Cases of a test run; 10 000 take eight hours of one core at the lowest priority.
const FEW: usize = 24;
/// Share of answers among the cases that are not refused as input.
const ANSWERED: f64 = 0.999;
/// Largest relative error of a global balance.
const BALANCE: f64 = 1e-7;
/// Longest processor time of one case, s: the clock would tell what else the machine does.
const TIME_CAP: f64 = 120.0;
/// Share of the off-centre releases found that lie where they usually do beside the closed form; a note tells of the others.
const USUAL_SHARE: f64 = 0.95;

/// What became of a case.
enum Outcome {
    Refused(String),
    /// With the off-centre release over that of the closed form, where there are both.
    Answered(Option<f64>),
    /// The question is answered, but the path has no end: of a pressure beyond what decides only a lower bound is known.
    CutShort(String),
    Failed(String),
    Unbalanced(f64),
}

fn outcome(text: &str) -> Outcome {
    let mut case = match case::read(text) {
        Ok((case, _)) => case,
        Err(errors) => return Outcome::Refused(format!("{errors:?}").chars().take(300).collect()),
    };
    // The paths are what is tried here; the local release would take four times as long.
    case.limits.criterion = case::Criterion::OffCentre;
    let decision = match decide(&case, &mut |_| ()) {
        Ok(decision) => decision,
        Err(reason) => return Outcome::Refused(reason.to_string()),
    };
    let run = &decision.given;
    let worst = run.path.iter().flat_map(|p| [p.balance.axle_cut, p.balance.axial]).fold(0.0, |m: f64, b| m.max(b.abs()));
    match &run.end {
        End::Failed(reason) if decision.verdict.findings.contains(&Finding::NoAnswer) => Outcome::Failed(reason.clone()),
        _ if worst > BALANCE => Outcome::Unbalanced(worst),
        End::Failed(reason) => Outcome::CutShort(reason.clone()),
        _ => Outcome::Answered(over_closed_form(&decision)),
    }
}

fn over_closed_form(decision: &Decision) -> Option<f64> {
    match (decision.given.retention.off_centre_release, &decision.estimate) {
        (Release::At(found), Some(estimate)) if estimate.given.off_centre_release > 1e-6 => {
            Some(found / estimate.given.off_centre_release)
        }
        _ => None,
    }
}

/// Says how the releases found lie beside the closed form's.
fn compare_with_closed_form(found: &[(usize, f64, Outcome)]) {
    let ratio = |(number, _, outcome): &(usize, f64, Outcome)| match outcome {
        Outcome::Answered(Some(ratio)) => Some((*ratio, *number)),
        _ => None,
    };
    let mut ratios: Vec<(f64, usize)> = found.iter().filter_map(ratio).collect();
    ratios.sort_by(|a, b| a.0.total_cmp(&b.0));
    let (Some(least), Some(greatest)) = (ratios.first(), ratios.last()) else { return };
    let usual = ratios.iter().filter(|(ratio, _)| (USUAL[0]..=USUAL[1]).contains(ratio)).count();
    println!(
        "off-centre release over closed form: {:.2} (case {}) to {:.2} (case {}), {:.2} in the middle, {usual} of {} as usual",
        least.0,
        least.1,
        greatest.0,
        greatest.1,
        ratios[ratios.len() / 2].0,
        ratios.len()
    );
    assert!(usual as f64 >= USUAL_SHARE * ratios.len() as f64, "{usual} of {} lie beside the closed form as usual", ratios.len());
}

fn from_environment(name: &str, default: usize) -> usize {
    std::env::var(name).ok().and_then(|text| text.parse().ok()).unwrap_or(default)
}

#[test]
fn random_cases_end_with_an_answer_that_balances() {
    let (count, first) = (from_environment("RANDOM_CASES", FEW), from_environment("RANDOM_FIRST", 0));
    let (next, found) = (AtomicUsize::new(first), Mutex::new(Vec::new()));
    std::thread::scope(|scope| {
        for _ in 0..std::thread::available_parallelism().map_or(1, usize::from) {
            scope.spawn(|| {
                loop {
                    let number = next.fetch_add(1, Ordering::Relaxed);
                    if number >= first + count {
                        return;
                    }
                    let text = Draw(number as u64).case();
                    let start = ThreadTime::now();
                    let outcome = outcome(&text);
                    let seconds = start.elapsed().as_secs_f64();
                    match &outcome {
                        Outcome::Answered(_) => {}
                        Outcome::Refused(reason) => println!("case {number} refused: {reason}"),
                        Outcome::CutShort(reason) => println!("case {number} cut short after {seconds:.1} s: {reason}"),
                        Outcome::Failed(reason) => println!("case {number} failed after {seconds:.1} s: {reason}\n{text}"),
                        Outcome::Unbalanced(worst) => println!("case {number}: balance off by {worst:.1e}"),
                    }
                    found.lock().unwrap().push((number, seconds, outcome));
                }
            });
        }
    });
    let found = found.into_inner().unwrap();
    let of = |kind: fn(&Outcome) -> bool| found.iter().filter(|(_, _, outcome)| kind(outcome)).count();
    let cut_short = of(|o| matches!(o, Outcome::CutShort(_)));
    let (answered, refused) = (cut_short + of(|o| matches!(o, Outcome::Answered(_))), of(|o| matches!(o, Outcome::Refused(_))));
    let mut seconds: Vec<f64> = found.iter().map(|f| f.1).collect();
    seconds.sort_by(f64::total_cmp);
    let at = |share: f64| seconds[((seconds.len() - 1) as f64 * share) as usize];
    println!(
        "{count} cases from {first}: {answered} answered ({cut_short} of them without an end of the path), {refused} refused, {} failed, {} out of balance; processor time {:.2} s median, {:.2} s at 99 %, {:.2} s at most",
        of(|o| matches!(o, Outcome::Failed(_))),
        of(|o| matches!(o, Outcome::Unbalanced(_))),
        at(0.5),
        at(0.99),
        at(1.0)
    );
    assert!(answered as f64 >= ANSWERED * (count - refused) as f64, "{answered} answers, {refused} refused of {count}");
    assert!(at(1.0) < TIME_CAP, "a case took {:.0} s of processor time", at(1.0));
    compare_with_closed_form(&found);
}

/// Numbers of cases that once had no answer: a grip that slips at 9.85 bar, past which there is no equilibrium by pressure nearby; a loose
/// bead whose first step without guides was foretold from what it did while they were taken away; two loose beads without air whose
/// balances were put against next to no force. The last of the few above is one too: a path without an end, whose off-centre release had
/// been found under the required pressure.
const ONCE_FAILED: [u64; 4] = [1001, 11777, 30095, 30387];

#[test]
fn cases_that_once_failed_have_an_answer() {
    for number in ONCE_FAILED {
        match outcome(&Draw(number).case()) {
            Outcome::Answered(_) | Outcome::CutShort(_) => {}
            Outcome::Refused(reason) | Outcome::Failed(reason) => panic!("case {number}: {reason}"),
            Outcome::Unbalanced(worst) => panic!("case {number}: balance off by {worst:.1e}"),
        }
    }
}

/// Case 40037 slips at several pressures from 6 to 9.5 bar. To try each by pressure, at three solves a time of which the last is relaxed, took
/// 22 solves in vain and 4885 iterations; by the lift from the first slip on there are 8 and 2776.
#[test]
fn a_slip_is_not_tried_by_pressure_again_and_again() {
    let (case, _) = case::read(&Draw(40037).case()).unwrap();
    let rim = Arc::new(RimModel::new(&case).unwrap());
    let mut in_vain = 0;
    let mut listener = |news: News<'_>| in_vain += usize::from(matches!(news, News::Newton(Target::Pressure(_), _, Some(_))));
    let run = stages::run(&case, &rim, case.friction, Keep::Numbers, &mut listener).unwrap().run;
    assert!(matches!(run.retention.off_centre_release, Release::At(p) if p > 0.9), "{:?}", run.retention);
    assert!(in_vain <= 8, "{in_vain} solves");
}

#[test]
fn the_draws_are_the_same_on_every_machine() {
    assert_eq!(Draw(7).case(), Draw(7).case());
    let mut draw = Draw(1234567);
    // First output of splitmix64 for this seed, computed apart: 6457827717110365317.
    assert!((draw.between(0.0, 1.0) - 6_457_827_717_110_365_317_u64 as f64 / 2.0_f64.powi(64)).abs() < 1e-12);
}

/// Local releases over those of the closed form: without friction, with it. The friction of the closed form's bounds is no less than 0.1.
fn local_over_closed_form(number: usize) -> [Option<f64>; 2] {
    let Ok((mut case, _)) = case::read(&Draw(number as u64).case()) else { return [None; 2] };
    case.limits.criterion = case::Criterion::Local;
    let Ok(decision) = decide(&case, &mut |_| ()) else { return [None; 2] };
    let Some(estimate) = decision.estimate else { return [None; 2] };
    let ratio = |found: Release, expected: f64| match found {
        Release::At(found) if expected > 1e-6 => Some(found / expected),
        _ => None,
    };
    let without = decision.frictionless.as_ref().unwrap_or(&decision.given);
    let pair = [
        ratio(without.retention.local_release, estimate.frictionless.local_release),
        ratio(decision.given.retention.local_release, estimate.given.local_release).filter(|_| case.friction >= 0.1),
    ];
    println!(
        "case {number}, friction {:.2}: {pair:.2?}; closed form {:.2} bar over {:.0} deg, off-centre {:.2} ({:.2}) bar",
        case.friction,
        10.0 * estimate.frictionless.local_release,
        estimate.frictionless.local_arc.to_degrees(),
        10.0 * estimate.frictionless.off_centre_release,
        10.0 * without.retention.off_centre_release.known().map_or(0.0, |known| known.0),
    );
    pair
}

/// What the closed form of the local release is said to be good for.
#[test]
#[ignore = "some seconds a case"]
fn local_releases_lie_beside_the_closed_form_as_is_said() {
    let (count, first) = (from_environment("RANDOM_CASES", FEW), from_environment("RANDOM_FIRST", 0));
    let found: Vec<[Option<f64>; 2]> = (first..first + count).map(local_over_closed_form).collect();
    for (k, [low, high]) in USUAL_LOCAL.into_iter().enumerate() {
        let mut ratios: Vec<f64> = found.iter().filter_map(|pair| pair[k]).collect();
        ratios.sort_by(f64::total_cmp);
        let usual = ratios.iter().filter(|ratio| (low..=high).contains(*ratio)).count();
        println!("{usual} of {} between {low} and {high}: {ratios:.2?}", ratios.len());
        assert!(usual as f64 >= 0.9 * ratios.len() as f64, "{usual} of {}", ratios.len());
    }
}
