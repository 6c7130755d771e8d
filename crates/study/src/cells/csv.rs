//! Cells of a CSV file.

use super::{Cell, Cells, CellsError, MOST_COLUMNS, MOST_ROWS};
use hoopwright_case::table::Table;

/// Reads a CSV file.
pub(super) fn read(bytes: &[u8]) -> Result<Cells, CellsError> {
    let mut table = Table::open(bytes)?;
    let head: Vec<String> = table.head.iter().map(|head| head.trim().to_owned()).collect();
    if head.len() > MOST_COLUMNS {
        return Err(CellsError::TooLarge);
    }
    let mut rows = Vec::new();
    while let Some(line) = table.advance()? {
        let cells = (0..head.len()).map(|at| table.text(at, line).map(Cell::text)).collect::<Result<Vec<_>, _>>()?;
        if cells.iter().any(|cell| !cell.is_empty()) {
            rows.push((line, cells));
        }
        if rows.len() > MOST_ROWS {
            return Err(CellsError::TooLarge);
        }
    }
    let decimal_comma = table.number("0,5").is_some();
    Ok(Cells { head, rows, decimal_comma, sheet: None })
}
