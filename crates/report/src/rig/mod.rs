//! What logs of a test bench tell, as text, JSON, CSV and as blocks of a case.

mod batch;
mod block;
mod growth;
mod hold;
mod stretch;

pub use batch::{Row, batch_document, batch_text, tyres};
pub use block::{batch_block, growth_block, hold_block, stretch_block};
pub use growth::{growth_document, growth_text};
pub(crate) use hold::event_word;
pub use hold::{hold_document, hold_text, hold_verdict};
pub use stretch::{cycles, stretch_document, stretch_text};

use hoopwright_solver::units::{BAR, HOUR, MINUTE, SECOND, Unit};
use hoopwright_study::rig::measured::Measured;
use serde_json::{Value, json};

/// Width of the text, characters.
const WIDTH: usize = 100;

/// A measured number in a unit with so many decimals, its standard error and its 95 % interval.
fn line(name: &str, m: &Measured, unit: &Unit, decimals: usize) -> String {
    let shown = |inner: f64| format!("{:.decimals$}", unit.value_of(inner));
    let half = m.half_width();
    let symbol = if unit.symbol.is_empty() { String::new() } else { format!(" {}", unit.symbol) };
    format!(
        "{name:<34}{:>12}{symbol:<4} standard error {}{symbol}, 95 % between {} and {}{symbol}\n",
        shown(m.value),
        shown(m.total()),
        shown(m.value - half),
        shown(m.value + half),
    )
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

/// A paragraph with a word at its head, broken between words.
fn paragraph(head: &str, text: &str) -> String {
    let (mut lines, mut line) = (String::new(), head.trim_end().to_owned());
    for word in text.split_whitespace() {
        if line.chars().count() + 1 + word.chars().count() > WIDTH {
            lines.push_str(&line);
            lines.push('\n');
            line = " ".to_owned();
        }
        line.push(' ');
        line.push_str(word);
    }
    lines + &line + "\n"
}

/// What goes with every number from a bench.
fn caution() -> String {
    paragraph(
        "Caution: ",
        "a bead that lets go injures people. These numbers are as good as log, fixture and calibration; they approve no tyre. Stay out of \
         the fixture's plane and behind a guard: a bundle under tension flies off when it breaks. Local codes, standards and licensed \
         practice decide.",
    )
}
