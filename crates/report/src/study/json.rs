//! A study as JSON: schema `hoopwright/vary/1.0`.
//!
//! | key | holds |
//! |---|---|
//! | `combine` | how the values go together: `grid` or `list` |
//! | `units` | unit of every input and number, by its name; `-` for pure numbers |
//! | `rows` | one object a variant: `variant` (from 1), `case_hash`, `inputs`, `numbers` (null where there is none), `only_exceeded` (names of numbers that are lower bounds), `verdict`, `end`, `end_frictionless` |

use hoopwright_case::Vary;
use hoopwright_study::column::{COLUMNS, Number};
use hoopwright_study::rows::Row;
use serde_json::{Map, Value, json};

use crate::words;

/// The document as text.
pub fn document(vary: &Vary, rows: &[Row]) -> String {
    let mut units: Map<String, Value> = vary
        .inputs
        .iter()
        .map(|varied| {
            let symbol = varied.input.unit().map_or("", |unit| unit.symbol);
            (varied.input.path(), json!(if symbol.is_empty() { "-" } else { symbol }))
        })
        .collect();
    units.extend(COLUMNS.iter().map(|column| (column.name.to_owned(), json!(column.unit))));
    let document = json!({
        "schema": "hoopwright/vary/1.0",
        "program": "hoopwright",
        "version": env!("CARGO_PKG_VERSION"),
        "combine": vary.combine.name(),
        "units": units,
        "rows": rows.iter().enumerate().map(|(i, found)| row(vary, i, found)).collect::<Vec<_>>(),
    });
    format!("{document:#}\n")
}

fn row(vary: &Vary, number: usize, row: &Row) -> Value {
    let inputs: Map<String, Value> =
        vary.inputs.iter().zip(&row.inputs).map(|(varied, value)| (varied.input.path(), json!(value))).collect();
    let found = COLUMNS.iter().zip(&row.numbers);
    let numbers: Map<String, Value> =
        found.clone().map(|(column, number)| (column.name.to_owned(), json!(number.map(Number::value)))).collect();
    let bounds = found.filter(|(_, number)| matches!(number, Some(Number::Above(_))));
    let [end, end_frictionless] = words::ends(&row.ends);
    json!({
        "variant": number + 1,
        "case_hash": row.key.to_string(),
        "inputs": inputs,
        "numbers": numbers,
        "only_exceeded": bounds.map(|(column, _)| column.name).collect::<Vec<_>>(),
        "verdict": row.findings.iter().map(|finding| words::finding(*finding)).collect::<Vec<_>>(),
        "end": end,
        "end_frictionless": end_frictionless,
    })
}
