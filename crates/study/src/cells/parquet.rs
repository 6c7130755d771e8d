//! Cells of a Parquet file (Apache Parquet Format 2): flat columns of numbers, words and flags.

use bytes::Bytes;
use parquet::file::reader::{FileReader, SerializedFileReader};
use parquet::record::Field;

use super::{Cell, Cells, CellsError, MOST_COLUMNS, MOST_ROWS};

/// What a file is called that is none.
const NAME: &str = "a Parquet file";

/// Reads a Parquet file.
pub(super) fn read(bytes: &[u8]) -> Result<Cells, CellsError> {
    let damaged = |error: parquet::errors::ParquetError| CellsError::Damaged(NAME, error.to_string());
    let reader = SerializedFileReader::new(Bytes::copy_from_slice(bytes)).map_err(damaged)?;
    let columns = reader.metadata().file_metadata().schema_descr().columns();
    if columns.len() > MOST_COLUMNS {
        return Err(CellsError::TooLarge);
    }
    let head: Vec<String> = columns.iter().map(|column| column.name().trim().to_owned()).collect();
    let mut rows = Vec::new();
    for (i, row) in reader.get_row_iter(None).map_err(damaged)?.enumerate() {
        if i >= MOST_ROWS {
            return Err(CellsError::TooLarge);
        }
        let fields = row.map_err(damaged)?.into_columns();
        let cells: Vec<Cell> = fields.iter().map(|(_, field)| cell(field)).collect();
        if cells.len() != head.len() {
            return Err(CellsError::Damaged(NAME, "its columns are nested".to_owned()));
        }
        if cells.iter().any(|cell| !cell.is_empty()) {
            rows.push((i + 2, cells));
        }
    }
    Ok(Cells { head, rows, decimal_comma: true, sheet: None })
}

fn cell(field: &Field) -> Cell {
    let number = match field {
        Field::Byte(x) => f64::from(*x),
        Field::Short(x) => f64::from(*x),
        Field::Int(x) => f64::from(*x),
        Field::Long(x) => *x as f64,
        Field::UByte(x) => f64::from(*x),
        Field::UShort(x) => f64::from(*x),
        Field::UInt(x) => f64::from(*x),
        Field::ULong(x) => *x as f64,
        Field::Float(x) => f64::from(*x),
        Field::Double(x) => *x,
        Field::Null => return Cell::Text(String::new()),
        Field::Str(text) => return Cell::text(text),
        Field::Bool(flag) => return Cell::Text(flag.to_string()),
        other => return Cell::Text(other.to_string()),
    };
    // A table of a data frame has NaN where a number is missing.
    if number.is_nan() { Cell::Text(String::new()) } else { finite(number) }
}

fn finite(number: f64) -> Cell {
    if number.is_finite() { Cell::Number(number) } else { Cell::Text(number.to_string()) }
}
