//! Logs of the bench: reading, analysis, and everything that is written of them.

use std::sync::LazyLock;

use hoopwright_bench::fixture::{self, Fixture};
use hoopwright_bench::stretch::dummy::{Compliance, compliance};
use hoopwright_bench::stretch::{analyse, readings};
use hoopwright_bench::{growth, hold};
use hoopwright_report::html::rig::Bench;
use hoopwright_report::{html, rig, svg};

use super::{sound, stored_text, told};

static FIXTURES: LazyLock<[Fixture; 2]> = LazyLock::new(|| {
    ["half_discs", "expander"].map(|kind| {
        let text = stored_text(&format!("examples/09_fixture_{kind}.toml"));
        fixture::read(&text).unwrap_or_else(|errors| panic!("{errors:?}"))
    })
});

/// Every so-manieth row of a log, comments left out: short seeds run often.
fn thinned(name: &str, step: usize) -> Vec<u8> {
    let text = stored_text(&format!("examples/{name}.csv"));
    let mut lines = text.lines().filter(|line| !line.starts_with('#'));
    let head = lines.next().unwrap_or_default();
    format!("{head}\n{}\n", lines.step_by(step).collect::<Vec<_>>().join("\n")).into_bytes()
}

pub(super) fn stretch_seeds() -> Vec<Vec<u8>> {
    let mut seeds = vec![thinned("09_stretch_half_discs", 3), thinned("09_stretch_expander", 3)];
    // Semicolons and decimal commas.
    let other = seeds
        .iter()
        .map(|log| log.iter().map(|b| [*b, b';', b','][usize::from(*b == b',') + 2 * usize::from(*b == b'.')]).collect());
    seeds.extend(other.collect::<Vec<Vec<u8>>>());
    seeds
}

pub(super) fn growth_seeds() -> Vec<Vec<u8>> {
    vec![thinned("10_growth", 1), thinned("10_growth", 6), b"time [h],travel [mm]\n0,50\n1,50.1\n10,50.2\n100,50.3\n".to_vec()]
}

pub(super) fn hold_seeds() -> Vec<Vec<u8>> {
    vec![thinned("11_hold", 3), thinned("11_release", 2)]
}

pub(super) fn run_stretch(bytes: &[u8]) -> bool {
    let (mut taken, bench) = (false, Bench::default());
    for fixture in FIXTURES.iter() {
        let read = match readings::read(bytes, fixture) {
            Ok(read) => read,
            Err(error) => {
                told(&error);
                continue;
            }
        };
        if let Ok(give) = compliance(read.clone(), fixture) {
            assert!(give.value.is_finite() && give.error.is_finite());
        }
        match analyse(read, fixture, Compliance::of_stiffness(25e3, 0.02)) {
            Ok(found) => {
                taken = true;
                sound(&rig::stretch_text("log", &found));
                sound(&rig::stretch_document("log", &found));
                sound(&rig::stretch_block("log", &found));
                sound(&svg::rig::stretch("log", &found));
                sound(&html::rig::stretch(&bench, fixture, "log", &found));
                rig::cycles(&found);
                let row = rig::Row { id: "log".into(), log: "log.csv".into(), found: Ok(Box::new(found)) };
                sound(&rig::batch_text(std::slice::from_ref(&row)));
                rig::tyres(&[row]);
            }
            Err(fault) => told(&fault),
        }
    }
    taken
}

pub(super) fn run_growth(bytes: &[u8]) -> bool {
    let question = growth::Question { reference: 300.0, start: None, until: None, limit: 0.1 };
    let mut taken = false;
    for fixture in [None, FIXTURES.first()] {
        let read = match growth::read(bytes, fixture) {
            Ok(read) => read,
            Err(error) => {
                told(&error);
                continue;
            }
        };
        match growth::analyse(&read, &question) {
            Ok(found) => {
                taken = true;
                sound(&rig::growth_text("log", &found));
                sound(&rig::growth_document("log", &found));
                sound(&rig::growth_block("log", &found, 620.0));
                sound(&svg::rig::growth("log", &found));
                sound(&html::rig::growth(&Bench::default(), "log", &found));
            }
            Err(fault) => told(&fault),
        }
    }
    taken
}

pub(super) fn run_hold(bytes: &[u8]) -> bool {
    let question = hold::Question { rated: 0.5, factor: 1.5, hold: 300.0, allowance: 0.02, gauge_error: 0.0 };
    let series = match hold::series::read(bytes) {
        Ok(series) => series,
        Err(error) => {
            told(&error);
            return false;
        }
    };
    match hold::analyse(series, &question) {
        Ok(found) => {
            sound(&rig::hold_text("log", &found));
            sound(&rig::hold_document("log", &found));
            sound(&rig::hold_block("log", &found));
            sound(&svg::rig::hold("log", &found));
            sound(&html::rig::hold(&Bench::default(), "log", &found));
            true
        }
        Err(fault) => {
            told(&fault);
            false
        }
    }
}
