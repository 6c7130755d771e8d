//! Tables of data, described once: CSV and Parquet both come from the same heads and the same cells.
//!
//! A cell is the text that stands in the CSV; the kind of its column says what it is read as. An empty cell is no value. A table of rows
//! that are solved together is described by its `Columns`; one whose lines are in a file as they are finished, by its own layout.

mod columns;
mod csv;
mod parquet;

pub(crate) use columns::{Columns, decimals};
pub(crate) use csv::record;

use hoopwright_study::column::Number;

/// What the cells of a column are.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Kind {
    /// Words.
    Text,
    /// Whole numbers.
    Whole,
    /// Numbers.
    Number,
    /// [`YES`] or [`NO`].
    Flag,
}

/// The word for true.
pub(crate) const YES: &str = "yes";
/// The word for false.
pub(crate) const NO: &str = "no";

/// The head of a column.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Head {
    name: String,
    unit: Option<&'static str>,
    kind: Kind,
}

impl Head {
    /// Of words.
    pub(crate) fn text(name: impl Into<String>) -> Self {
        Self { name: name.into(), unit: None, kind: Kind::Text }
    }

    /// Of whole numbers, counted in a unit if one is named.
    pub(crate) fn whole(name: impl Into<String>, unit: Option<&'static str>) -> Self {
        Self { name: name.into(), unit, kind: Kind::Whole }
    }

    /// Of numbers in a unit.
    pub(crate) fn number(name: impl Into<String>, unit: &'static str) -> Self {
        Self { name: name.into(), unit: Some(unit), kind: Kind::Number }
    }

    /// Of numbers under a name alone, which tables in use already have so.
    pub(crate) fn bare(name: impl Into<String>) -> Self {
        Self { name: name.into(), unit: None, kind: Kind::Number }
    }

    /// Of yes and no.
    pub(crate) fn flag(name: impl Into<String>) -> Self {
        Self { name: name.into(), unit: None, kind: Kind::Flag }
    }

    /// Whether the number beside it was reached or is a lower bound.
    pub(crate) fn reached(name: &str) -> Self {
        Self::flag(format!("{name}_reached"))
    }

    /// Name and unit, as in `diameter [mm]`.
    pub(crate) fn label(&self) -> String {
        self.unit.map_or_else(|| self.name.clone(), |unit| format!("{} [{unit}]", self.name))
    }
}

/// The cell of a yes or no; empty where there is none.
pub(crate) fn flag(value: Option<bool>) -> String {
    value.map_or("", |yes| if yes { YES } else { NO }).to_owned()
}

/// Whether a number was reached; none where there is none.
pub(crate) fn reached(number: Option<Number>) -> Option<bool> {
    number.map(|number| matches!(number, Number::Found(_)))
}

/// A table: heads, and rows with a cell for each.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Table {
    heads: Vec<Head>,
    rows: Vec<Vec<String>>,
}

impl Table {
    /// Rows under their heads; a short row is filled with empty cells.
    pub(crate) fn new(heads: Vec<Head>, rows: impl IntoIterator<Item = Vec<String>>) -> Self {
        let filled = |mut row: Vec<String>| {
            row.resize(heads.len(), String::new());
            row
        };
        let rows = rows.into_iter().map(filled).collect();
        Self { heads, rows }
    }
}

/// A table that cannot be put into its format.
#[derive(Debug, thiserror::Error)]
#[error("the Parquet file cannot be made: {0}")]
pub struct DataError(#[from] ::parquet::errors::ParquetError);
