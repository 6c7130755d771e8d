//! The file that a study of tolerances goes on from, and the answer that is worked out from its samples.

use std::convert::Infallible;
use std::sync::LazyLock;

use hoopwright_report::svg;
use hoopwright_report::tolerance::{self as report, Reported, Samples};
use hoopwright_solver::case::{self, Attached, Tolerance};
use hoopwright_study::tolerance::joint::Joint;
use hoopwright_study::tolerance::limits::Limits;
use hoopwright_study::tolerance::marginal::Marginal;
use hoopwright_study::tolerance::sample::Sample;
use hoopwright_study::tolerance::{Plan, study};

use super::study::row;
use super::{sound, stored_text, told};

/// Samples in the seed.
const SAMPLES: usize = 30;

/// A study that asks for few samples.
struct Studied {
    tolerance: Tolerance,
    limits: Limits,
    samples: Samples,
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
    Studied { samples: Samples::new(&tolerance, &[vec![], vec![]]), limits, plan, tolerance }
});

pub(super) fn seeds() -> Vec<Vec<u8>> {
    let s = &*STUDIED;
    let line = |i: usize| s.samples.bytes("check", &s.samples.line(i, &format!("{i:016x}"), &[366e3, 620.4], &row(i)));
    let file = |n: usize| [vec![s.samples.head()], (0..n).map(line).collect()].concat().concat();
    vec![file(SAMPLES), file(4)]
}

pub(super) fn run(bytes: &[u8]) -> bool {
    let s = &*STUDIED;
    let lines = match s.samples.lines(&String::from_utf8_lossy(bytes)) {
        Ok(lines) => lines,
        Err(refusal) => {
            told(&refusal);
            return false;
        }
    };
    let mut lines: Vec<_> = lines.into_iter().collect();
    lines.sort_by(|a, b| a.0.cmp(&b.0));
    let of_line = |(_, (_, line)): &(String, (String, _))| {
        s.limits.sample(&s.tolerance.case, &s.samples.numbers(line), s.samples.answered(line))
    };
    let known: Vec<Sample> = lines.iter().map(of_line).collect();
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
