//! Tables of data, described once: CSV and Parquet both come from the same heads and the same cells.
//!
//! A cell is the text that stands in the CSV; the kind of its column says what it is read as. An empty cell is no value. A table of rows
//! that are solved together is described by its `Columns`; one whose lines are in a file as they are finished, by its own layout.

mod columns;
mod csv;
#[cfg(not(target_family = "wasm"))]
mod parquet;
#[cfg(not(target_family = "wasm"))]
mod xlsx;

pub(crate) use columns::{Columns, decimals};

#[cfg(not(target_family = "wasm"))]
pub(crate) use hoopwright_study::rows::Kind;
pub(crate) use hoopwright_study::rows::{Head, NO, YES, flag, reached};

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

    /// Heads with their units, and the cells, for a page.
    pub(crate) fn shown(&self) -> (Vec<String>, &[Vec<String>]) {
        (self.heads.iter().map(Head::label).collect(), &self.rows)
    }
}

/// A table that cannot be put into its format.
#[derive(Debug, thiserror::Error)]
pub enum DataError {
    /// As Parquet.
    #[cfg(not(target_family = "wasm"))]
    #[error("the Parquet file cannot be made: {0}")]
    Parquet(#[from] ::parquet::errors::ParquetError),
    /// As a spreadsheet.
    #[cfg(not(target_family = "wasm"))]
    #[error("the spreadsheet cannot be made: {0}")]
    Xlsx(#[from] rust_xlsxwriter::XlsxError),
}
