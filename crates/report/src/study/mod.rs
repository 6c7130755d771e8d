//! A study of many variants: one line a variant, the same in the files, in the table, in JSON and in the pictures.
//!
//! What is shown is read from the cells of the lines, so that a line taken from an earlier run's file shows as one just solved.

mod json;
mod sheet;
mod table;

pub use json::document;
pub use sheet::{Line, Outcome, Sheet, SheetError};
pub(crate) use sheet::{hash_of, head_of, head_of_input};
pub use table::table;
pub(crate) use table::{head, legend, shown};
