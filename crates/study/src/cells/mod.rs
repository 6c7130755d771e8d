//! Tables of cells as they stand in a file: CSV, XLSX or Parquet, a head and rows under it. What a cell means is told elsewhere.
//!
//! Numbers typed as text may have a decimal comma where no comma parts the cells: in CSV with semicolons, in spreadsheets, in Parquet.

#[cfg(target_family = "wasm")]
mod absent;
mod csv;
#[cfg(not(target_family = "wasm"))]
mod parquet;
#[cfg(not(target_family = "wasm"))]
mod xlsx;

#[cfg(target_family = "wasm")]
use absent::{parquet, xlsx};
use std::borrow::Cow;

/// Most rows of a table.
pub const MOST_ROWS: usize = 100_000;
/// Most columns of a table.
pub const MOST_COLUMNS: usize = 1000;

/// A cell.
#[derive(Clone, Debug, PartialEq)]
pub enum Cell {
    /// A number; finite.
    Number(f64),
    /// Text without blanks round it; empty where there is nothing.
    Text(String),
}

/// A table of cells.
#[derive(Clone, Debug, PartialEq)]
pub struct Cells {
    /// The columns' heads, as typed.
    pub head: Vec<String>,
    /// The rows that hold something, each with its number as the file counts: lines of a text, rows of a sheet, the head being the first.
    pub rows: Vec<(usize, Vec<Cell>)>,
    /// Whether a comma in a number is its decimal point.
    pub decimal_comma: bool,
    /// The sheet that was read, where the file has several.
    pub sheet: Option<String>,
}

/// The kind of a file of cells.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// Text with cells parted by commas, semicolons or tabs.
    Csv,
    /// A spreadsheet (Office Open XML).
    Xlsx,
    /// Apache Parquet.
    Parquet,
}

/// Why a file is no table of cells.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum CellsError {
    /// A row of a text that cannot be read.
    #[error(transparent)]
    Row(#[from] hoopwright_case::table::RowError),
    /// A file that is damaged, or of another kind than its name says.
    #[error("it cannot be read as {0}: {1}")]
    Damaged(&'static str, String),
    /// A file without a table.
    #[error("it holds no table: {0}")]
    Empty(&'static str),
    /// A table that is too large.
    #[error("it has more than {MOST_ROWS} rows or {MOST_COLUMNS} columns")]
    TooLarge,
    /// A cell beside the columns that the head names.
    #[error("its row {row} has \"{cell}\" in a column that has no head")]
    Beyond {
        /// Row of the sheet from 1.
        row: usize,
        /// The cell.
        cell: String,
    },
    /// A cell with an error of the spreadsheet.
    #[error("its row {row} has the error {error} under `{column}`")]
    CellError {
        /// Row of the sheet from 1.
        row: usize,
        /// Head of the column.
        column: String,
        /// As the spreadsheet shows it.
        error: String,
    },
}

impl Kind {
    /// The kind of a file by its first bytes.
    pub fn of(bytes: &[u8]) -> Self {
        if bytes.starts_with(b"PK\x03\x04") {
            Self::Xlsx
        } else if bytes.starts_with(b"PAR1") {
            Self::Parquet
        } else {
            Self::Csv
        }
    }
}

/// Reads a file of cells.
///
/// # Errors
/// It is no table.
pub fn read(bytes: &[u8]) -> Result<Cells, CellsError> {
    let cells = match Kind::of(bytes) {
        Kind::Csv => csv::read(bytes),
        Kind::Xlsx => xlsx::read(bytes),
        Kind::Parquet => parquet::read(bytes),
    }?;
    if cells.head.iter().all(String::is_empty) {
        return Err(CellsError::Empty("its first row names no column"));
    }
    Ok(cells)
}

impl Cell {
    /// From a text.
    pub(crate) fn text(text: &str) -> Self {
        Self::Text(text.trim().to_owned())
    }

    /// Whether there is nothing in it.
    pub fn is_empty(&self) -> bool {
        matches!(self, Self::Text(text) if text.is_empty())
    }

    /// As it would be typed.
    pub fn typed(&self) -> Cow<'_, str> {
        match self {
            Self::Number(number) => Cow::Owned(number.to_string()),
            Self::Text(text) => Cow::Borrowed(text),
        }
    }
}

impl Cells {
    /// The cell of a row under a column; an empty one where the row is shorter.
    pub fn at(&self, row: usize, column: usize) -> &Cell {
        static NOTHING: Cell = Cell::Text(String::new());
        self.rows.get(row).and_then(|(_, cells)| cells.get(column)).unwrap_or(&NOTHING)
    }

    /// The number in a cell; none where it is no finite one.
    pub fn number(&self, cell: &Cell) -> Option<f64> {
        let number = match cell {
            Cell::Number(number) => Some(*number),
            Cell::Text(text) => text.parse().ok().or_else(|| self.with_point(text).and_then(|text| text.parse().ok())),
        };
        number.filter(|number| number.is_finite())
    }

    /// A text with a point for its only comma, where that is what a comma is.
    pub fn with_point(&self, text: &str) -> Option<String> {
        let one = self.decimal_comma && text.matches(',').count() == 1 && !text.contains('.');
        one.then(|| text.replacen(',', ".", 1))
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    #[test]
    fn a_decimal_comma_is_one_where_no_comma_parts_cells() {
        let semicolons = read(b"id;diameter [mm]\na;620,4\nb;1.620,4\n").unwrap();
        let numbers: Vec<Option<f64>> = (0..2).map(|row| semicolons.number(semicolons.at(row, 1))).collect();
        assert_eq!(numbers, [Some(620.4), None]);
        let commas = read(b"id,diameter [mm]\na,\"620,4\"\n").unwrap();
        assert_eq!(commas.number(commas.at(0, 1)), None);
    }

    /// Numbers, a number typed with a decimal comma, a flag, blank rows, a sheet without cells before.
    #[test]
    fn a_spreadsheet_has_its_cells() {
        let mut book = rust_xlsxwriter::Workbook::new();
        book.add_worksheet();
        let sheet = book.add_worksheet();
        sheet.set_name("beads").unwrap();
        for (at, head) in ["id", "diameter [mm]", "so"].into_iter().enumerate() {
            sheet.write(0, at as u16, head).unwrap();
        }
        sheet.write(1, 0, "a").unwrap();
        sheet.write(1, 1, 620.4).unwrap();
        sheet.write(1, 2, true).unwrap();
        sheet.write(4, 0, 7).unwrap();
        sheet.write(4, 1, " 620,4 ").unwrap();
        let cells = read(&book.save_to_buffer().unwrap()).unwrap();
        assert_eq!(
            (cells.head.as_slice(), cells.sheet.as_deref()),
            (&["id", "diameter [mm]", "so"].map(str::to_owned)[..], Some("beads"))
        );
        assert_eq!(cells.rows.iter().map(|(row, _)| *row).collect::<Vec<_>>(), [2, 5]);
        assert_eq!([0, 1].map(|row| cells.number(cells.at(row, 1))), [Some(620.4); 2]);
        assert_eq!(
            (cells.at(0, 2).typed(), cells.at(1, 0).typed(), cells.at(1, 2).is_empty()),
            ("true".into(), "7".into(), true)
        );
    }

    /// One cell in the last row and column of a sheet is refused and takes no memory.
    #[test]
    fn a_sheet_with_a_stray_cell_is_refused() {
        let mut book = rust_xlsxwriter::Workbook::new();
        let sheet = book.add_worksheet();
        sheet.write(0, 0, "id").unwrap();
        sheet.write(1_048_575, 16_383, "so").unwrap();
        let told = read(&book.save_to_buffer().unwrap()).unwrap_err().to_string();
        assert!(told.contains("its row 1048576 has \"so\" in a column that has no head"), "{told}");
    }

    #[test]
    fn what_is_no_table_is_told() {
        let told = |bytes: &[u8]| read(bytes).unwrap_err().to_string();
        assert!(told(b"").contains("no column"));
        assert!(told(b"PK\x03\x04nothing").contains("spreadsheet (XLSX)"));
        assert!(told(b"PAR1nothing").contains("Parquet"));
    }
}
