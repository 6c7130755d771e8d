//! The rows of a study that are known, and the lines of the file that they are kept in.
//!
//! Rows are only ever added to the file: it may end in a torn line after a run was stopped, which is then left out.

use std::collections::HashMap;

use super::layout::{CASE_HASH, SOLVED_BY};
use super::{FORMAT, Key, Layout, Row};

/// Rows by the keys of their cases.
#[derive(Clone, Debug)]
pub struct RowStore {
    layout: Layout,
    rows: HashMap<Key, Row>,
}

/// Why a file is not the file of this study.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum RowsError {
    /// The head is another one.
    #[error("its first line is not the head of this study")]
    Head,
    /// The file is of a version of the program with another format.
    #[error(
        "its rows are {found}, which this version of the program does not go on from: it keeps them as {FORMAT}, with every digit"
    )]
    Format {
        /// Their format.
        found: String,
    },
    /// A line has too few or too many cells.
    #[error("its line {0} is no row of this study")]
    NoRow(usize),
    /// A row is of another version or scope.
    #[error("its line {line} was solved by {by}, and this is {this}")]
    SolvedBy {
        /// Line of the file from 1.
        line: usize,
        /// By what it was.
        by: String,
        /// What this is.
        this: String,
    },
    /// A row belongs to no case of the study.
    #[error("its line {0} is of another case or of other values")]
    Other(usize),
    /// A cell cannot be read.
    #[error("its line {line} has \"{cell}\" for {column}")]
    Cell {
        /// Line of the file from 1.
        line: usize,
        /// Label of the column.
        column: String,
        /// As it stands there.
        cell: String,
    },
}

impl RowStore {
    /// Without rows.
    pub fn new(layout: Layout) -> Self {
        Self { layout, rows: HashMap::new() }
    }

    /// What stands in which cell.
    pub fn layout(&self) -> &Layout {
        &self.layout
    }

    /// How many rows are known.
    pub fn len(&self) -> usize {
        self.rows.len()
    }

    /// Whether none is known.
    pub fn is_empty(&self) -> bool {
        self.rows.is_empty()
    }

    /// The row of a case.
    pub fn get(&self, key: Key) -> Option<&Row> {
        self.rows.get(&key)
    }

    /// Keeps a row, in place of one of the same case.
    pub fn insert(&mut self, row: Row) {
        self.rows.insert(row.key, row);
    }

    /// Every row, in the order of the keys.
    pub fn all(&self) -> Vec<&Row> {
        let mut all: Vec<&Row> = self.rows.values().collect();
        all.sort_by_key(|row| row.key);
        all
    }

    /// Takes over the rows of a file of this study; `belongs` tells whether a row is one of the study's. A last line that was not
    /// written to its end is left out. Of a file with a fault no row is taken.
    ///
    /// # Errors
    /// The file is of another study, or cannot be read.
    pub fn take_over(&mut self, bytes: &[u8], belongs: &dyn Fn(&Row) -> bool) -> Result<(), RowsError> {
        let rows = self.read(bytes, belongs)?;
        rows.into_iter().for_each(|row| self.insert(row));
        Ok(())
    }

    fn read(&self, bytes: &[u8], belongs: &dyn Fn(&Row) -> bool) -> Result<Vec<Row>, RowsError> {
        let head = self.layout.first_line();
        let whole = bytes.iter().rposition(|byte| *byte == b'\n').map_or(&[][..], |end| &bytes[..=end]);
        if whole.is_empty() {
            return if head.starts_with(bytes) { Ok(Vec::new()) } else { Err(RowsError::Head) };
        }
        let Some(body) = whole.strip_prefix(head.as_slice()) else { return Err(other_head(whole)) };
        let mut reader = csv::ReaderBuilder::new().has_headers(false).flexible(true).from_reader(body);
        let row = |(i, record): (usize, Result<csv::StringRecord, csv::Error>)| {
            let line = i + 2;
            let cells: Vec<String> = record.map_err(|_| RowsError::NoRow(line))?.iter().map(str::to_owned).collect();
            let row = self.layout.row(line, &cells)?;
            if belongs(&row) { Ok(row) } else { Err(RowsError::Other(line)) }
        };
        reader.records().enumerate().map(row).collect()
    }
}

/// What is wrong with a file that begins with another head: one that was written by another version is told so.
fn other_head(file: &[u8]) -> RowsError {
    let first = file.split(|byte| *byte == b'\n').next().unwrap_or_default();
    let first = String::from_utf8_lossy(first);
    let mut labels = first.split(',');
    let format = first.split(',').find_map(|label| label.strip_prefix(SOLVED_BY)?.strip_prefix(" [")?.strip_suffix(']'));
    match format {
        Some(FORMAT) => RowsError::Head,
        Some(other) => RowsError::Format { found: other.to_owned() },
        None if labels.any(|label| label == CASE_HASH) => {
            RowsError::Format { found: "an earlier version's, of six digits".to_owned() }
        }
        None => RowsError::Head,
    }
}
