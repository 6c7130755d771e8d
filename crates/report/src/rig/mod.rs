//! What logs of a test bench tell, as text, JSON, CSV and as blocks of a case.

mod batch;
mod block;
pub(crate) mod growth;
pub(crate) mod hold;
pub(crate) mod stretch;

pub(crate) use batch::spread;
pub use batch::{Row, batch_document, batch_text, tyres};
pub use block::{batch_block, growth_block, hold_block, stretch_block};
pub use growth::{growth_document, growth_text};
pub(crate) use hold::event_word;
pub use hold::{hold_document, hold_text, hold_verdict};
pub use stretch::{cycles, stretch_document, stretch_text};

use hoopwright_solver::units::{BAR, HOUR, MINUTE, SECOND, Unit};
use hoopwright_study::rig::measured::Measured;
use serde_json::{Value, json};

/// A measured number to be shown: what it is, the number, its unit and how many decimals.
pub(crate) struct Shown<'a> {
    pub(crate) name: String,
    number: &'a Measured,
    pub(crate) unit: &'a Unit,
    decimals: usize,
}

impl<'a> Shown<'a> {
    fn new(name: impl Into<String>, number: &'a Measured, unit: &'a Unit, decimals: usize) -> Self {
        Self { name: name.into(), number, unit, decimals }
    }

    /// Value, standard error and the ends of the 95 % interval, without the unit.
    pub(crate) fn cells(&self) -> [String; 4] {
        let (m, half) = (self.number, self.number.half_width());
        [m.value, m.total(), m.value - half, m.value + half]
            .map(|inner| format!("{:.*}", self.decimals, self.unit.value_of(inner)))
    }

    /// As a line of text.
    fn line(&self) -> String {
        let [value, error, low, high] = self.cells();
        let symbol = if self.unit.symbol.is_empty() { String::new() } else { format!(" {}", self.unit.symbol) };
        let name = &self.name;
        format!("{name:<34}{value:>12}{symbol:<4} standard error {error}{symbol}, 95 % between {low} and {high}{symbol}\n")
    }
}

/// A measured number as JSON: value, errors and interval in a unit.
fn document(m: &Measured, unit: &Unit) -> Value {
    let half = m.half_width();
    json!({
        "unit": if unit.symbol.is_empty() { "-" } else { unit.symbol },
        "value": unit.value_of(m.value),
        "standard_error": unit.value_of(m.total()),
        "standard_error_of_scatter": unit.value_of(m.error),
        "standard_error_of_calibration": unit.value_of(m.systematic),
        "degrees_of_freedom": m.freedom,
        "interval_95": [unit.value_of(m.value - half), unit.value_of(m.value + half)],
    })
}

/// A time in seconds, minutes or hours, with four digits at most.
pub(crate) fn time(seconds: f64) -> String {
    let unit = [&HOUR, &MINUTE].into_iter().find(|unit| unit.value_of(seconds).abs() >= 2.0).unwrap_or(&SECOND);
    let value = unit.value_of(seconds);
    let whole = if value.abs() >= 100.0 { value.round() } else { (100.0 * value).round() / 100.0 };
    unit.show(whole)
}

/// A pressure, MPa, in bar with some decimals, none of them of a negative zero.
pub(crate) fn bar(pressure: f64, decimals: usize) -> String {
    let shown = format!("{:.decimals$}", BAR.value_of(pressure));
    if shown.trim_start_matches(['-', '0', '.']).is_empty() { shown.replace('-', "") } else { shown }
}

/// Notes, one a paragraph.
fn notes<T: ToString>(notes: &[T]) -> String {
    notes.iter().map(|note| paragraph("Note: ", &note.to_string())).collect()
}

/// A paragraph of the text, with a word before it if there is one.
fn paragraph(head: &str, words: &str) -> String {
    let mut out = String::new();
    crate::text::paragraph(head, words, &mut out);
    out
}

/// What goes with every number from a bench.
pub(crate) const CAUTION: &str = "a bead that lets go injures people. These numbers are as good as log, fixture and calibration; they \
     approve no tyre. Stay out of the fixture's plane and behind a guard: a bundle under tension flies off when it breaks. Local codes, \
     standards and licensed practice decide.";

fn caution() -> String {
    paragraph("Caution: ", CAUTION)
}
