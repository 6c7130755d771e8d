//! The file that a study of tolerances goes on from, and the answer that is worked out from its samples.

use std::convert::Infallible;
use std::sync::LazyLock;

use hoopwright_case::{self as case, Attached, Tolerance};
use hoopwright_report::svg;
use hoopwright_report::tolerance::{self as report, Reported};
use hoopwright_study::rows::{Key, KeyMaker, Row, RowStore};
use hoopwright_study::tolerance::joint::Joint;
use hoopwright_study::tolerance::limits::Limits;
use hoopwright_study::tolerance::marginal::Marginal;
use hoopwright_study::tolerance::sample::{Purpose, Sample};
use hoopwright_study::tolerance::samples::{belongs, key, labelled, layout};
use hoopwright_study::tolerance::{Plan, study};

use super::study::row;
use super::{sound, stored_text, told};

/// Samples in the seed.
const SAMPLES: usize = 30;

/// A study that asks for few samples.
struct Studied {
    tolerance: Tolerance,
    limits: Limits,
    study: Key,
    plan: Plan,
}

static STUDIED: LazyLock<Studied> = LazyLock::new(|| {
    let example = stored_text("examples/12_tolerance.toml");
    let (from, to) = (example.find("[tolerance]"), example.find("[rim]"));
    let (Some(from), Some(to)) = (from, to) else { panic!("the example has both tables") };
    let table = "[tolerance]\nmost_solves = 50\ninterval = \"90 %\"\n\"bead.stiffness\" = { deviation = \"12 kN\" }\n\"bead.diameter\" = { deviation = \"0.1 mm\" }\n\n";
    let text = format!("{}{table}{}", &example[..from], &example[to..]);
    let read = case::tolerance(&text, Attached::new()).unwrap_or_else(|errors| panic!("{errors:?}"));
    let tolerance = read.unwrap_or_else(|| panic!("the example scatters"));
    let limits = Limits::of(&tolerance.case);
    let marginals: Vec<Marginal> = tolerance.inputs.iter().filter_map(|u| Marginal::of(&u.spread, &[])).collect();
    let joint = Joint::new(marginals, &[]).unwrap_or_else(|error| panic!("{error}"));
    let plan = Plan::new(&tolerance, joint, limits.len());
    Studied { study: key(&tolerance, &[vec![], vec![]]), limits, plan, tolerance }
});

pub(super) fn seeds() -> Vec<Vec<u8>> {
    let s = &*STUDIED;
    let sample = |i: usize| {
        let row = Row { inputs: vec![366.0, 620.4], ..row(i, KeyMaker::default().whole(i).key()) };
        labelled(row, Some(Purpose::Check), s.study)
    };
    let file = |n: usize| layout(&s.tolerance).file((0..n).map(sample).collect::<Vec<_>>().iter().enumerate());
    vec![file(SAMPLES), file(4)]
}

pub(super) fn run(bytes: &[u8]) -> bool {
    let s = &*STUDIED;
    let mut store = RowStore::new(layout(&s.tolerance));
    if let Err(refusal) = store.take_over(bytes, &|row| belongs(row, s.study)) {
        told(&refusal);
        return false;
    }
    let of_row = |row: &Row| s.limits.sample(&s.tolerance.case, &row.numbers, row.is_answered());
    let known: Vec<Sample> = store.all().into_iter().map(of_row).collect();
    if known.is_empty() {
        return false;
    }
    // Whatever place is asked for has one of the file's answers: worse than any file of this program.
    let mut next = 0;
    let mut ask = |_, places: &[Vec<f64>]| {
        let answers = places.iter().map(|_| {
            next += 1;
            known[(next - 1) % known.len()].clone()
        });
        Ok::<_, Infallible>(answers.collect())
    };
    let Ok(findings) = study(&s.plan, &mut ask);
    let reported = Reported { tolerance: &s.tolerance, plan: &s.plan, limits: &s.limits, findings: &findings, unanswered: &[] };
    report::text(&reported);
    report::document(&reported);
    for (_, picture) in svg::tolerance::pictures(&reported) {
        sound(&picture);
    }
    true
}
