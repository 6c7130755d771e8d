//! Many stretched beads: text, JSON, and the table of measured tyres, which a map takes as CSV.

use hoopwright_bench::measured::Measured;
use hoopwright_bench::stretch::Stretch;
use hoopwright_case::units::KN;
use serde_json::{Value, json};

use super::stretch::value;
use super::{caution, decimals_of, error_text, paragraph};
use crate::data::{Columns, Head, Table, decimals};

/// Widest name of a tyre in the text, and the widths of what stands behind it.
const NAME: usize = 16;
const WIDTHS: [usize; 6] = [12, 9, 13, 9, 8, 6];

/// A log and what it tells, or why it tells nothing.
#[derive(Clone, Debug)]
pub struct Row {
    /// What the tyre is called: the file's name without its ending.
    pub id: String,
    /// The file.
    pub log: String,
    /// The answer.
    pub found: Result<Box<Stretch>, String>,
}

/// Measured tyres: those with an answer, unstretched diameters and stiffnesses with standard errors.
pub fn tyres(rows: &[Row]) -> Table {
    let columns = Columns::new()
        .text("id", |(row, _): &(&Row, &Stretch)| row.id.clone())
        .number("diameter", "mm", decimals::<4>, |(_, s)| Some(s.unstretched.value))
        .number("stiffness", "kN", decimals::<4>, |(_, s)| Some(KN.value_of(s.stiffness.value)))
        .number("diameter standard error", "mm", error_cell, |(_, s)| known(&s.unstretched).map(Measured::total))
        .number("stiffness standard error", "kN", error_cell, |(_, s)| known(&s.stiffness).map(|m| KN.value_of(m.total())))
        .filled(Head::bare("friction"), decimals::<4>, |(_, s)| s.friction.map(|f| f.value))
        .whole("cycles", |(_, s)| Some(s.fitted()));
    columns.of(rows.iter().filter_map(|row| row.found.as_deref().ok().map(|s| (row, s))))
}

/// A number whose error is more than round-off.
fn known(measured: &Measured) -> Option<&Measured> {
    decimals_of(measured.total(), measured.value, 5).map(|_| measured)
}

/// An error with five decimals, or more where it would vanish in them.
fn error_cell(error: f64) -> String {
    error_text(error, 0.0, 5)
}

/// Mean and standard deviation of the tyres' unstretched diameters, mm, and stiffnesses, N; none of fewer than two.
pub(crate) fn spread(rows: &[Row]) -> Option<[(f64, f64); 2]> {
    let found: Vec<&Stretch> = rows.iter().filter_map(|row| row.found.as_deref().ok()).collect();
    let of = |value: fn(&Stretch) -> f64| {
        let values: Vec<f64> = found.iter().map(|s| value(s)).collect();
        Measured::of_repeats(&values).map(|m| (m.value, m.error * (values.len() as f64).sqrt()))
    };
    Some([of(|s| s.unstretched.value)?, of(|s| s.stiffness.value)?])
}

fn cells(s: &Stretch) -> [String; 6] {
    [
        format!("{:.3}", s.unstretched.value),
        error_text(s.unstretched.total(), s.unstretched.value, 3),
        format!("{:.2}", KN.value_of(s.stiffness.value)),
        error_text(KN.value_of(s.stiffness.total()), KN.value_of(s.stiffness.value), 2),
        s.friction.map_or("given".to_owned(), |f| format!("{:.4}", f.value)),
        s.fitted().to_string(),
    ]
}

/// The table, in a terminal's width.
pub fn batch_text(rows: &[Row]) -> String {
    let width = rows.iter().map(|row| row.id.chars().count()).max().unwrap_or(0).clamp(4, NAME);
    let line = |id: &str, cells: [String; 6]| {
        let id: String = id.chars().take(width).collect();
        let cells: String = cells.iter().zip(WIDTHS).map(|(cell, width)| format!(" {cell:>width$}")).collect();
        format!("{id:<width$}{cells}\n")
    };
    let heads = ["diameter, mm", "error", "stiffness, kN", "error", "friction", "cycles"];
    let mut text = line("tyre", heads.map(str::to_owned));
    for row in rows {
        text += &match &row.found {
            Ok(s) => line(&row.id, cells(s)),
            Err(reason) => {
                let id: String = row.id.chars().take(width).collect();
                paragraph(&format!("{id:<width$} no answer: "), reason)
            }
        };
    }
    let failed = rows.iter().filter(|row| row.found.is_err()).count();
    text += &format!("\n{} logs, {} with an answer, {failed} without\n", rows.len(), rows.len() - failed);
    if let Some([(diameter, d), (stiffness, s)]) = spread(rows) {
        let between = format!(
            "unstretched diameter {diameter:.3} mm, standard deviation {} mm; stiffness {:.2} kN, standard deviation {} kN",
            error_text(d, diameter, 3),
            KN.value_of(stiffness),
            error_text(KN.value_of(s), KN.value_of(stiffness), 2)
        );
        text += &paragraph("between tyres: ", &between);
    }
    let noted: Vec<&Row> = rows.iter().filter(|row| row.found.as_ref().is_ok_and(|s| !s.notes.is_empty())).collect();
    if !noted.is_empty() {
        let list: Vec<&str> = noted.iter().map(|row| row.id.as_str()).collect();
        text += &paragraph("Note: ", &format!("there are notes on {}; see their JSON, or run each alone", list.join(", ")));
    }
    text + &caution()
}

/// The JSON document: schema `hoopwright/rig-stretch-batch/1.0`; `logs` holds for each log its document as for one alone, or its `reason`.
pub fn batch_document(rows: &[Row]) -> String {
    let one = |row: &Row| -> Value {
        match &row.found {
            Ok(s) => json!({ "id": row.id, "answer": value(&row.log, s) }),
            Err(reason) => json!({ "id": row.id, "log": row.log, "reason": reason }),
        }
    };
    let between = spread(rows).map(|[(d, sd), (k, sk)]| {
        json!({
            "diameter_unstretched_mm": { "mean": d, "standard_deviation": sd },
            "stiffness_kn": { "mean": KN.value_of(k), "standard_deviation": KN.value_of(sk) },
        })
    });
    let document = json!({
        "schema": "hoopwright/rig-stretch-batch/1.0",
        "program": "hoopwright",
        "version": env!("CARGO_PKG_VERSION"),
        "logs": rows.iter().map(one).collect::<Vec<_>>(),
        "failed": rows.iter().filter(|row| row.found.is_err()).count(),
        "between_tyres": between,
    });
    format!("{document:#}\n")
}
