//! A study of many variants: one row a variant, the same in the files, in the table, in JSON and in the pictures.

mod json;
mod table;

pub use json::document;
pub use table::table;
pub(crate) use table::{head, legend, shown};

use hoopwright_study::rows::{Layout, Row};

use crate::data::Table;
use crate::words;

/// The findings of a row in words.
pub fn verdict(row: &Row) -> String {
    words::findings(&row.findings)
}

/// Why a row has no answer, in words: how the path ended that decides.
pub fn reason(row: &Row) -> String {
    let [given, without] = words::ends(&row.ends);
    if without.is_empty() { given } else { without }
}

/// The rows as a table of data, each with its number (from 0) in the study: the very cells of the study's own file.
pub fn data<'r>(layout: &Layout, rows: impl IntoIterator<Item = (usize, &'r Row)>) -> Table {
    Table::new(layout.heads(), rows.into_iter().map(|(number, row)| layout.cells(number, row)))
}
