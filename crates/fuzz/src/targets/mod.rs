//! What is fuzzed: each target takes the bytes of a file through the reader and on to whatever the program makes of it without a solve.
//!
//! A target may refuse a file; it must not panic, take long, fill the memory, or hand out a number that is none. The same targets run for
//! hours under libFuzzer (`crates/fuzz/run.sh`) and for seconds in `tests/damaged.rs`.

mod case;
mod drawing;
mod logs;
mod samples;
mod study;
mod tables;

use std::path::Path;

/// Something that takes a file.
pub(crate) struct Target {
    /// What it is called.
    pub(crate) name: &'static str,
    /// Good files to begin with.
    pub(crate) seeds: fn() -> Vec<Vec<u8>>,
    /// Takes a file; whether it is one that the program would take.
    pub(crate) run: fn(&[u8]) -> bool,
}

/// All targets.
pub(crate) const TARGETS: [Target; 11] = [
    Target { name: "case", seeds: case::seeds, run: case::run },
    Target { name: "fixture", seeds: case::fixture_seeds, run: case::run_fixture },
    Target { name: "dxf", seeds: drawing::dxf_seeds, run: drawing::run_dxf },
    Target { name: "msh", seeds: drawing::msh_seeds, run: drawing::run_msh },
    Target { name: "stretch", seeds: logs::stretch_seeds, run: logs::run_stretch },
    Target { name: "growth", seeds: logs::growth_seeds, run: logs::run_growth },
    Target { name: "hold", seeds: logs::hold_seeds, run: logs::run_hold },
    Target { name: "tyres", seeds: tables::tyre_seeds, run: tables::run_tyres },
    Target { name: "measured", seeds: tables::measured_seeds, run: tables::run_measured },
    Target { name: "study", seeds: study::seeds, run: study::run },
    Target { name: "samples", seeds: samples::seeds, run: samples::run },
];

/// A file of the project.
fn stored(name: &str) -> Vec<u8> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../..").join(name);
    std::fs::read(&path).unwrap_or_else(|error| panic!("{}: {error}", path.display()))
}

/// As text.
fn stored_text(name: &str) -> String {
    String::from_utf8(stored(name)).expect("examples are text")
}

/// Asserts that a text which repeats nothing typed has no number that is none.
fn sound(text: &str) {
    let none = |word: &str| word == "NaN" || word == "inf";
    assert!(!text.split(|c: char| !c.is_alphanumeric()).any(none), "{text}");
}

/// Asserts that a refusal says something; it may repeat what was typed.
fn told(refusal: &impl std::fmt::Display) {
    assert!(refusal.to_string().len() > 10, "{refusal}");
}
