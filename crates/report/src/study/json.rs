//! A study as JSON: schema `hoopwright/vary/1`.
//!
//! | key | holds |
//! |---|---|
//! | `combine` | how the values go together: `grid` or `list` |
//! | `units` | unit of every input and number, by its name; `-` for pure numbers |
//! | `rows` | one object a variant: `variant` (from 1), `case_hash`, `inputs`, `numbers` (null where there is none), `only_exceeded` (names of numbers that are lower bounds), `verdict`, `end`, `end_frictionless` |

use hoopwright_solver::case::Vary;
use hoopwright_study::column::{COLUMNS, Number};
use serde_json::{Map, Value, json};

use super::sheet::{Line, Sheet};

/// The document as text.
pub fn document(vary: &Vary, sheet: &Sheet, lines: &[Line]) -> String {
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
        "schema": "hoopwright/vary/1",
        "program": "hoopwright",
        "version": env!("CARGO_PKG_VERSION"),
        "combine": vary.combine.name(),
        "units": units,
        "rows": lines.iter().map(|line| row(vary, sheet, line)).collect::<Vec<_>>(),
    });
    format!("{document:#}\n")
}

fn row(vary: &Vary, sheet: &Sheet, line: &Line) -> Value {
    let typed = |text: &str| text.parse::<f64>().map_or(Value::Null, |x| json!(x));
    let inputs: Map<String, Value> =
        vary.inputs.iter().enumerate().map(|(i, varied)| (varied.input.path(), typed(sheet.input(line, i)))).collect();
    let found: Vec<Option<Number>> = (0..COLUMNS.len()).map(|k| sheet.number(line, k)).collect();
    let numbers: Map<String, Value> =
        COLUMNS.iter().zip(&found).map(|(column, number)| (column.name.to_owned(), json!(number.map(Number::value)))).collect();
    let bounds = COLUMNS.iter().zip(&found).filter(|(_, number)| matches!(number, Some(Number::Above(_))));
    let [end, end_frictionless] = sheet.ends(line);
    json!({
        "variant": typed(line.variant()).as_f64().map(|n| n as u64),
        "case_hash": line.hash(),
        "inputs": inputs,
        "numbers": numbers,
        "only_exceeded": bounds.map(|(column, _)| column.name).collect::<Vec<_>>(),
        "verdict": sheet.verdict(line).split("; ").collect::<Vec<_>>(),
        "end": end,
        "end_frictionless": end_frictionless,
    })
}
