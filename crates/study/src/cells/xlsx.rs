//! Cells of a spreadsheet (Office Open XML, ECMA-376): the first sheet that holds something.
//!
//! The cells are read one by one: a sheet with one cell in its last row and column would not fit into memory as a rectangle.

use std::collections::BTreeMap;
use std::io::Cursor;

use calamine::{DataRef, DataType, Reader, Xlsx, XlsxError};

use super::{Cell, Cells, CellsError, MOST_COLUMNS, MOST_ROWS};

/// What a file is called that is none.
const NAME: &str = "a spreadsheet (XLSX)";
/// Most cells that are read.
const MOST_CELLS: usize = 4_000_000;

/// Cells by row and column, from 0.
type Sheet = BTreeMap<u32, BTreeMap<u32, Cell>>;

/// Reads a spreadsheet.
pub(super) fn read(bytes: &[u8]) -> Result<Cells, CellsError> {
    let mut book: Xlsx<_> = Xlsx::new(Cursor::new(bytes)).map_err(damaged)?;
    let names = book.sheet_names();
    for name in &names {
        let found = sheet(&mut book, name)?;
        if !found.is_empty() {
            return cells(found, (names.len() > 1).then(|| name.clone()));
        }
    }
    Err(CellsError::Empty("no sheet has a cell"))
}

#[allow(clippy::needless_pass_by_value, reason = "as map_err hands it over")]
fn damaged(error: XlsxError) -> CellsError {
    CellsError::Damaged(NAME, error.to_string())
}

fn sheet(book: &mut Xlsx<Cursor<&[u8]>>, name: &str) -> Result<Sheet, CellsError> {
    let mut reader = book.worksheet_cells_reader(name).map_err(damaged)?;
    let (mut found, mut count) = (Sheet::new(), 0);
    while let Some(read) = reader.next_cell().map_err(damaged)? {
        let (row, column) = read.get_position();
        let cell = match read.get_value() {
            DataRef::Error(error) => {
                let head = found.values().next().and_then(|head| head.get(&column));
                let column = head.map_or_else(String::new, |head| head.typed().into_owned());
                return Err(CellsError::CellError { row: row as usize + 1, column, error: error.to_string() });
            }
            data => cell(data),
        };
        if cell.is_empty() {
            continue;
        }
        count += 1;
        found.entry(row).or_default().insert(column, cell);
        if count > MOST_CELLS || found.len() > MOST_ROWS + 1 {
            return Err(CellsError::TooLarge);
        }
    }
    Ok(found)
}

fn cells(sheet: Sheet, name: Option<String>) -> Result<Cells, CellsError> {
    let mut rows = sheet.into_iter();
    let first = rows.next().map_or_else(BTreeMap::new, |(_, head)| head);
    let width = first.keys().last().map_or(0, |last| *last as usize + 1);
    if width > MOST_COLUMNS {
        return Err(CellsError::TooLarge);
    }
    let mut head = vec![String::new(); width];
    first.iter().for_each(|(at, cell)| head[*at as usize] = cell.typed().into_owned());
    let mut found = Vec::new();
    for (row, cells) in rows {
        let mut list = vec![Cell::Text(String::new()); width];
        for (at, cell) in cells {
            match list.get_mut(at as usize) {
                Some(place) => *place = cell,
                None => return Err(CellsError::Beyond { row: row as usize + 1, cell: cell.typed().into_owned() }),
            }
        }
        found.push((row as usize + 1, list));
    }
    Ok(Cells { head, rows: found, decimal_comma: true, sheet: name })
}

fn cell(data: &DataRef<'_>) -> Cell {
    match data {
        DataRef::Int(whole) => Cell::Number(*whole as f64),
        DataRef::Float(number) if number.is_finite() => Cell::Number(*number),
        DataRef::Bool(flag) => Cell::Text(flag.to_string()),
        // A date is no measured number, and its count of days would be taken for one.
        DataRef::DateTime(date) => Cell::Text(format!("date {date}")),
        DataRef::DateTimeIso(date) | DataRef::DurationIso(date) => Cell::Text(format!("date {date}")),
        other => Cell::text(&other.as_string().unwrap_or_default()),
    }
}
