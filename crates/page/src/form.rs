//! The table of inputs as a form needs it.

use hoopwright_case::inputs::{INPUTS, Input, Kind, Need, SECTIONS};
use hoopwright_case::units::{Dimension, UNITS};
use hoopwright_report::text::estimate_guards;
use serde_json::{Value, json};

/// The case that the page opens with.
pub const EXAMPLE: &str = include_str!("../../../examples/01_road_holds.toml");

/// All tables with their inputs, cautions, and what stands on the page at first.
pub(crate) fn form() -> Value {
    let tables: Vec<Value> = std::iter::once(&("", "")).chain(SECTIONS).map(|(name, meaning)| table(name, meaning)).collect();
    json!({
        "version": env!("CARGO_PKG_VERSION"),
        "tables": tables,
        "cautions": hoopwright_report::text::cautions(),
        "estimate_guards": estimate_guards(),
        "example": EXAMPLE,
        "starter": hoopwright_case::starter(),
    })
}

fn table(name: &str, meaning: &str) -> Value {
    let inputs: Vec<Value> = INPUTS.iter().filter(|input| input.section == name).map(|input| of(input)).collect();
    json!({ "name": name, "meaning": meaning, "inputs": inputs })
}

fn of(input: &Input) -> Value {
    let (need, stands) = need(&input.need);
    json!({
        "path": input.path(),
        "key": input.key,
        "meaning": input.meaning,
        "source": input.source,
        "range": input.range(),
        "units": units(input),
        "words": words(&input.kind),
        "need": need,
        "stands": stands,
        "example": input.example(),
    })
}

/// What may be chosen; none where anything may be typed.
fn words(kind: &Kind) -> Option<Vec<&'static str>> {
    match kind {
        Kind::Choice(words) => Some(words.to_vec()),
        Kind::Flag => Some(vec!["true", "false"]),
        _ => None,
    }
}

/// Units that may be typed.
fn units(input: &Input) -> Vec<&'static str> {
    let of = |dimension: Dimension| UNITS.iter().filter(move |unit| unit.dimension == dimension).map(|unit| unit.symbol);
    let all: Vec<_> = match input.kind {
        Kind::Modulus { .. } => of(Dimension::Pressure).chain(of(Dimension::Hardness)).collect(),
        Kind::Count { .. } => Vec::new(),
        _ => input.unit().map_or_else(Vec::new, |unit| of(unit.dimension).collect()),
    };
    all.into_iter().filter(|symbol| !symbol.is_empty()).collect()
}

/// Whether an input must be given, by a word, and what stands or is left out if it is not.
fn need(need: &Need) -> (&'static str, &'static str) {
    match *need {
        Need::Required { .. } => ("required", ""),
        Need::OneOf { or, .. } => ("one of", or),
        Need::Instead { of, .. } => ("instead", of),
        Need::Default { value } => ("default", value),
        Need::Derived { rule, .. } => ("derived", rule),
        Need::Optional { absent, .. } => ("optional", absent),
    }
}
