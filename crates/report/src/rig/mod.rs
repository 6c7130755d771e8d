//! What logs of a test bench tell, as text, JSON, CSV and as blocks of a case.

mod batch;
mod block;
pub(crate) mod growth;
pub(crate) mod hold;
mod many;
pub(crate) mod pressure;
pub(crate) mod stretch;

pub(crate) use batch::spread;
pub use batch::{Row, batch_document, batch_text, tyres};
pub use block::{batch_block, growth_block, hold_block, stretch_block};
pub use growth::{growth_document, growth_text};
pub(crate) use hold::event_word;
pub use hold::{hold_document, hold_text, hold_verdict};
pub use many::{Told, growth_table, growths_document, growths_text, hold_table, holds_document, holds_text};
pub use stretch::{cycles, stretch_document, stretch_text};

use hoopwright_bench::measured::Measured;
use hoopwright_case::units::{BAR, HOUR, MINUTE, SECOND, Unit};
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

    /// Value, standard error and the ends of the 95 % interval, without the unit; the last three with more decimals where the error would
    /// vanish in those of the value, and in words where there is none.
    pub(crate) fn cells(&self) -> [String; 4] {
        let (m, half) = (self.number, self.number.half_width());
        let shown = |inner: f64, decimals: usize| format!("{:.decimals$}", self.unit.value_of(inner));
        let value = shown(m.value, self.decimals);
        let Some(decimals) = decimals_of(self.unit.value_of(m.total()), self.unit.value_of(m.value), self.decimals) else {
            return [value, UNKNOWN.to_owned(), "-".to_owned(), "-".to_owned()];
        };
        [value, shown(m.total(), decimals), shown(m.value - half, decimals), shown(m.value + half, decimals)]
    }

    /// As a line of text.
    fn line(&self) -> String {
        let [value, error, low, high] = self.cells();
        let symbol = if self.unit.symbol.is_empty() { String::new() } else { format!(" {}", self.unit.symbol) };
        let name = &self.name;
        let error = if error == UNKNOWN {
            format!("standard error {UNKNOWN}: nothing scatters")
        } else {
            format!("standard error {error}{symbol}, 95 % between {low} and {high}{symbol}")
        };
        format!("{name:<34}{value:>12}{symbol:<4} {error}\n")
    }
}

/// A standard error that nothing tells.
pub(crate) const UNKNOWN: &str = "not known";
/// An error smaller than so many of its value is the round-off of numbers that do not scatter.
const ROUND_OFF: f64 = 1e-12;

/// Decimals that an error needs beside a value that has some: as many, or those of its own two digits where it would vanish in them; none
/// where there is no error.
fn decimals_of(error: f64, value: f64, decimals: usize) -> Option<usize> {
    if error <= ROUND_OFF * value.abs() {
        return None;
    }
    let own = (1.0 - error.log10().floor()).max(0.0) as usize;
    Some(if error < 0.1_f64.powi(decimals as i32) { own.max(decimals) } else { decimals })
}

/// An error, beside a value in the same unit that has so many decimals.
pub(crate) fn error_text(error: f64, value: f64, decimals: usize) -> String {
    decimals_of(error, value, decimals).map_or(UNKNOWN.to_owned(), |decimals| format!("{error:.decimals$}"))
}

/// A measured number as JSON: value, errors and interval in a unit; errors that nothing tells are null.
fn document(m: &Measured, unit: &Unit) -> Value {
    let half = m.half_width();
    let known = |error: f64| decimals_of(error, m.value, 0).map(|_| unit.value_of(error));
    json!({
        "unit": if unit.symbol.is_empty() { "-" } else { unit.symbol },
        "value": unit.value_of(m.value),
        "standard_error": known(m.total()),
        "standard_error_of_scatter": known(m.error),
        "standard_error_of_calibration": known(m.systematic),
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
    crate::lines::paragraph(head, words, &mut out);
    out
}

/// What goes with every number from a bench.
pub(crate) const CAUTION: &str = "a bead that lets go injures people. These numbers are as good as log, fixture and calibration; they \
     approve no tyre. Stay out of the fixture's plane and behind a guard: a bundle under tension flies off when it breaks. Local codes, \
     standards and licensed practice decide.";

fn caution() -> String {
    paragraph("Caution: ", CAUTION)
}

#[cfg(test)]
mod tests {
    use super::*;
    use hoopwright_case::units::MM;

    #[test]
    fn no_error_vanishes_in_its_decimals() {
        let cells = |error: f64| {
            let measured = Measured { value: 620.4, error, freedom: 1e6, systematic: 0.0 };
            Shown::new("diameter", &measured, &MM, 3).cells().join(" ")
        };
        assert_eq!(cells(0.0046), "620.400 0.005 620.391 620.409");
        assert_eq!(cells(0.00046), "620.400 0.00046 620.39910 620.40090");
        assert_eq!(cells(0.0), "620.400 not known - -");
        assert_eq!(
            [0.04, 0.004, 2e-8, 0.0].map(|error| error_text(error, 3.0, 2)),
            ["0.04", "0.0040", "0.000000020", "not known"]
        );
        let none = Measured { value: 620.4, error: 0.0, freedom: 1e6, systematic: 0.0 };
        assert!(
            Shown::new("diameter", &none, &MM, 3).line().ends_with("620.400 mm  standard error not known: nothing scatters\n")
        );
    }
}
