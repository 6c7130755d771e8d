//! The pages of bench logs.

mod growth;
mod hold;
mod many;
mod stretch;

pub use growth::page as growth;
pub use hold::page as hold;
pub use many::page as many;
pub use stretch::{batch, page as stretch};

use super::frame;
use crate::rig::{CAUTION, Shown};
use crate::source::Source;
use crate::words;
use maud::{Markup, html};

/// A log as given.
#[derive(Clone, Debug, Default)]
pub struct Bench {
    /// What was asked, with units: as named on the command line, and its value.
    pub asked: Vec<(String, String)>,
    /// Text of the fixture's file, if there is one.
    pub fixture: Option<String>,
    /// The log or logs, and what else was read.
    pub sources: Vec<Source>,
}

/// Measured numbers with their errors.
fn measured<'a>(shown: impl IntoIterator<Item = Shown<'a>>) -> Markup {
    let name = |shown: &Shown<'_>| match shown.unit.symbol {
        "" => shown.name.clone(),
        symbol => format!("{}, {symbol}", shown.name),
    };
    let rows: Vec<_> = shown.into_iter().map(|shown| frame::row(name(&shown), shown.cells())).collect();
    frame::table("Measured numbers", "tn", &["number", "value", "standard error", "95 % from", "95 % to"], &rows)
}

/// Limits of what a log tells, the cautions of all pages, `more` of the log's own.
fn validity(more: &[&str]) -> Markup {
    let [injury, water, ..] = words::cautions();
    let bench = format!("On the bench: {CAUTION}");
    let all: Vec<&str> = more.iter().copied().chain([injury, water, &bench]).collect();
    frame::limits("Limits of these numbers, cautions", &all)
}

/// What was asked, and the fixture's file.
fn inputs(bench: &Bench) -> Markup {
    let rows: Vec<_> = bench.asked.iter().map(|(name, value)| [name.clone(), value.clone()]).collect();
    html! {
        h2 { "Inputs" }
        @if !rows.is_empty() { (frame::table("Inputs", "t", &["input", "value"], &rows)) }
        @if let Some(text) = &bench.fixture { h3 { "Fixture, as given" } (frame::text(text)) }
    }
}

/// Notes of any kind as sentences.
fn notes<T: ToString>(notes: &[T]) -> Markup {
    frame::notes(&notes.iter().map(ToString::to_string).collect::<Vec<_>>())
}
