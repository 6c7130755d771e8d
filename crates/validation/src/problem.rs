//! A problem's reference values as written in its `problem.toml`.
//!
//! ```toml
//! group = "Linear solids and shells"
//! source = "..."          # of all checks that state none
//! relative = 0.002        # or absolute, in the check's unit
//! [[check]]
//! name = "inner displacement"
//! unit = "mm"
//! reference = 0.0552
//! ```

use crate::error::ValidationError;
use toml::de::{DeTable, DeValue};

/// Largest difference accepted.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Tolerance {
    /// Share of the reference.
    Relative(f64),
    /// In the unit of the reference.
    Absolute(f64),
}

/// One reference value.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Reference {
    pub(crate) name: String,
    pub(crate) unit: String,
    pub(crate) value: f64,
    pub(crate) tolerance: Tolerance,
    pub(crate) source: String,
}

/// A problem.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Problem {
    pub(crate) name: String,
    pub(crate) group: String,
    pub(crate) references: Vec<Reference>,
}

impl Problem {
    /// Reads the text of the problem in folder `name`.
    pub(crate) fn read(name: &str, text: &str) -> Result<Self, ValidationError> {
        parse(name, text).map_err(|fault| ValidationError::Problem { problem: name.to_owned(), fault })
    }
}

fn parse(name: &str, text: &str) -> Result<Problem, String> {
    let root = DeTable::parse(text).map_err(|e| e.to_string())?;
    let root = root.get_ref();
    let checks = root.get("check").and_then(|c| c.get_ref().as_array()).ok_or("no [[check]]")?;
    let references = checks
        .iter()
        .map(|check| reference(root, check.get_ref().as_table().ok_or("check is no table")?))
        .collect::<Result<_, String>>()?;
    Ok(Problem { name: name.to_owned(), group: string(root, "group").ok_or("no group")?, references })
}

fn reference(root: &DeTable<'_>, check: &DeTable<'_>) -> Result<Reference, String> {
    let name = string(check, "name").ok_or("a check without a name")?;
    let missing = |key: &str| format!("{name}: no {key}");
    let tolerance = tolerance(check).or_else(|| tolerance(root)).ok_or_else(|| missing("relative or absolute"))?;
    Ok(Reference {
        unit: string(check, "unit").ok_or_else(|| missing("unit"))?,
        value: number(check, "reference").ok_or_else(|| missing("reference"))?,
        tolerance,
        source: string(check, "source").or_else(|| string(root, "source")).ok_or_else(|| missing("source"))?,
        name,
    })
}

fn tolerance(table: &DeTable<'_>) -> Option<Tolerance> {
    number(table, "relative").map(Tolerance::Relative).or_else(|| number(table, "absolute").map(Tolerance::Absolute))
}

fn string(table: &DeTable<'_>, key: &str) -> Option<String> {
    table.get(key)?.get_ref().as_str().map(str::to_owned)
}

fn number(table: &DeTable<'_>, key: &str) -> Option<f64> {
    match table.get(key)?.get_ref() {
        DeValue::Float(f) => f.as_str().parse().ok(),
        DeValue::Integer(i) => i.as_str().parse().ok(),
        _ => None,
    }
}
