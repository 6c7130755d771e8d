//! Two results of `assess` side by side: what differs in their inputs, their numbers and verdicts.
//!
//! JSON: schema `hoopwright/comparison/1.0`.
//!
//! | key | holds |
//! |---|---|
//! | `a`, `b` | `file`, `title`, `verdict`, `allowed_pressure_mpa` (or null), `decides` (in words) |
//! | `inputs` | inputs that differ: `input`, `a`, `b` with their units, null where it is not there |
//! | `numbers` | `name`, `unit`, `a`, `b` (null where not known), `a_lower_bound`, `b_lower_bound`, `change_percent` from a to b (null where one is a bound or none) |

mod numbers;
mod side;

pub(crate) use numbers::{NumberRow, number_rows};
pub use side::{Side, SideError};

use serde_json::{Value, json};

use crate::lines::paragraph;
use crate::words;

/// Widths of the columns of numbers: label, cells, change.
const LABEL: usize = 44;
const CELL: usize = 11;
/// Width of the columns of inputs.
const INPUT: usize = 30;
const VALUE: usize = 23;

/// What stands for an input that is not there.
const ABSENT: &str = "-";

/// Inputs that differ, with their values in both; the title, which changes no number, is left out.
pub(crate) fn differing(a: &Side, b: &Side) -> Vec<[String; 3]> {
    let of = |side: &Side, input: &str| side.inputs().into_iter().find(|(path, _)| path == input).map(|(_, value)| value);
    let mut paths: Vec<String> = a.inputs().into_iter().map(|(path, _)| path).collect();
    paths.extend(b.inputs().into_iter().map(|(path, _)| path).filter(|path| of(a, path).is_none()));
    let rows = paths.into_iter().filter(|path| path != "title" && of(a, path) != of(b, path));
    rows.map(|path| {
        let [one, other] = [of(a, &path), of(b, &path)].map(|value| value.unwrap_or_else(|| ABSENT.to_owned()));
        [path, one, other]
    })
    .collect()
}

/// What is said of one side: verdict, allowed pressure with what decides, limits that are not kept.
pub(crate) fn sentences(side: &Side) -> Vec<String> {
    let mut all = vec![format!("Verdict: {}", side.verdict()), format!("Allowed pressure: {}", side.allowed())];
    all.extend(side.not_kept().into_iter().map(|check| format!("Not kept: {check}")));
    all
}

/// The comparison for a terminal.
pub fn text(a: &Side, b: &Side) -> String {
    let mut out = String::new();
    for (letter, side) in [("A", a), ("B", b)] {
        paragraph(&format!("{letter}: "), &format!("{}, {}", side.name(), side.title()), &mut out);
        for sentence in sentences(side) {
            paragraph("  ", &sentence, &mut out);
        }
    }
    out.push('\n');
    inputs(a, b, &mut out);
    out.push('\n');
    out.push_str(&format!("{:<LABEL$} {:>CELL$} {:>CELL$} {:>9}\n", "Number", "A", "B", "change"));
    for row in number_rows(a, b) {
        let [one, other, change] = row.cells();
        out.push_str(&format!("{:<LABEL$} {one:>CELL$} {other:>CELL$} {change:>9}\n", row.label()));
    }
    out.push_str("(change: from A to B; >: not reached up to there; -: not known)\n\n");
    for caution in words::cautions() {
        paragraph("Caution: ", caution, &mut out);
    }
    out
}

/// Inputs that differ, a line each; those with long values over several lines.
fn inputs(a: &Side, b: &Side, out: &mut String) {
    let rows = differing(a, b);
    if rows.is_empty() {
        out.push_str("No input differs.\n");
        return;
    }
    out.push_str(&format!("{:<INPUT$} {:>VALUE$} {:>VALUE$}\n", "Input that differs", "A", "B"));
    for [path, one, other] in rows {
        if path.chars().count() <= INPUT && [&one, &other].iter().all(|value| value.chars().count() <= VALUE) {
            out.push_str(&format!("{path:<INPUT$} {one:>VALUE$} {other:>VALUE$}\n"));
        } else {
            out.push_str(&format!("{path}\n"));
            paragraph("  A: ", &one, out);
            paragraph("  B: ", &other, out);
        }
    }
}

/// The comparison as JSON.
pub fn document(a: &Side, b: &Side) -> String {
    let side = |side: &Side| {
        json!({
            "file": side.name(),
            "title": side.title(),
            "verdict": side.verdict(),
            "allowed_pressure_mpa": side.number("/allowed_pressure_mpa"),
            "decides": side.allowed(),
        })
    };
    let value = |value: &String| if value == ABSENT { Value::Null } else { json!(value) };
    let inputs: Vec<Value> =
        differing(a, b).iter().map(|[path, one, other]| json!({ "input": path, "a": value(one), "b": value(other) })).collect();
    let document = json!({
        "schema": "hoopwright/comparison/1.0",
        "program": "hoopwright",
        "version": env!("CARGO_PKG_VERSION"),
        "a": side(a),
        "b": side(b),
        "inputs": inputs,
        "numbers": number_rows(a, b).iter().map(NumberRow::json).collect::<Vec<_>>(),
        "cautions": words::cautions(),
    });
    format!("{document:#}\n")
}
