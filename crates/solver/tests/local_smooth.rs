//! The local release is smooth: an input moved by a thousandth moves it by less than a hundredth.
//!
//! Cases are random (seeded, each from its own number), the input that is moved and the unevenness too. `SMOOTH_CASES` tells how many to
//! run, `SMOOTH_FIRST` where to begin, `SMOOTH_THREADS` on how many threads; the lines are printed with `--nocapture`. What was found is
//! stored in `data/local_smooth.csv`. Reference: this project.
#![allow(clippy::unwrap_used, clippy::print_stdout)]

mod common;

use common::Draw;
use common::cases::changed;
use hoopwright_case as case;
use hoopwright_solver::assess::{Decision, decide};
use hoopwright_solver::result::{Release, Run};
use std::sync::Mutex;
use std::sync::atomic::{AtomicUsize, Ordering};

/// Inputs that are moved: table and entry.
const MOVED: [(&str, &str); 9] = [
    ("rim", "flange_height"),
    ("rim", "crest_radius"),
    ("bead", "stiffness"),
    ("bead", "filler_height"),
    ("casing", "ply_stiffness"),
    ("casing", "sidewall_thickness"),
    ("contact", "friction"),
    ("local", "unevenness"),
    ("local", "arc"),
];
const FACTOR: f64 = 1.001;

fn decided(text: &str) -> Option<Decision> {
    let (mut case, _) = case::read(text).ok()?;
    case.limits.criterion = case::Criterion::Lower;
    case.limits.without_friction = true;
    decide(&case, &mut |_| ()).ok()
}

fn told(release: Release) -> String {
    match release {
        Release::At(p) => format!("{p:.5}"),
        Release::Above(p) => format!(">{p:.5}"),
    }
}

fn moved(a: Release, b: Release) -> f64 {
    match (a, b) {
        (Release::At(a), Release::At(b)) | (Release::Above(a), Release::Above(b)) if a > 0.0 => b / a - 1.0,
        _ => f64::NAN,
    }
}

/// A line of the table (`>` before a pressure up to which nothing leaves): case, what is moved, and for both columns local release before and after, its change, that of off-centre release.
fn line(number: usize) -> Option<(String, Vec<f64>)> {
    let mut draw = Draw(0xAB00_0000 + number as u64);
    let mut text = draw.case();
    text +=
        &format!("[local]\nunevenness = \"{:.3} mm\"\narc = \"{:.2} deg\"\n", draw.between(0.1, 2.0), draw.between(40.0, 140.0));
    let (table, entry) = MOVED[number % MOVED.len()];
    let base = decided(&text)?;
    let other = decided(&changed(&text, table, entry, FACTOR)?)?;
    let (mut told_line, mut moves) = (format!("{number},{table}.{entry}"), Vec::new());
    for of in [|d: &Decision| d.given.clone(), |d: &Decision| d.frictionless.clone().unwrap()] {
        let (a, b): (Run, Run) = (of(&base), of(&other));
        let (x, y) = (a.retention, b.retention);
        let change = moved(x.local_release, y.local_release);
        let reason = |r: &Run| r.local.as_ref().and_then(|l| l.failure.clone()).unwrap_or_default();
        told_line += &format!(
            ",{:.3},{},{},{:.5},{},{:.5},{},{},{}",
            a.friction,
            told(x.local_release),
            told(y.local_release),
            change,
            told(x.off_centre_release),
            moved(x.off_centre_release, y.off_centre_release),
            told(x.first_lift),
            reason(&a),
            reason(&b),
        );
        moves.push(change);
    }
    Some((told_line, moves))
}

fn from_environment(name: &str, default: usize) -> usize {
    std::env::var(name).ok().and_then(|text| text.parse().ok()).unwrap_or(default)
}

/// Largest move.
const SMOOTH: f64 = 0.01;

/// One case with and without friction, whose bead is made a thousandth stiffer. It went from 1.431 MPa to none up to the cap while the grip of
/// friction was told by whatever step of a reversal was found.
#[test]
fn a_case_moves_little() {
    let (line, moves) = line(2).unwrap();
    assert!(moves.iter().all(|m| m.abs() < SMOOTH), "{line}");
}

#[test]
#[ignore = "a minute a case"]
fn a_thousandth_of_an_input_moves_the_local_release_by_less_than_a_hundredth() {
    let (count, first) = (from_environment("SMOOTH_CASES", 20), from_environment("SMOOTH_FIRST", 0));
    let (next, rough) = (AtomicUsize::new(first), Mutex::new(Vec::new()));
    let work = || {
        loop {
            let number = next.fetch_add(1, Ordering::Relaxed);
            if number >= first + count {
                return;
            }
            let Some((line, moves)) = line(number) else { continue };
            println!("{line}");
            if !moves.iter().all(|m| m.abs() < SMOOTH) {
                rough.lock().unwrap().push(line);
            }
        }
    };
    std::thread::scope(|scope| {
        for _ in 0..from_environment("SMOOTH_THREADS", 1) {
            scope.spawn(work);
        }
    });
    let rough = rough.into_inner().unwrap();
    assert!(rough.is_empty(), "{}", rough.join("\n"));
}
