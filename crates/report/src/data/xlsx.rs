//! Tables as a spreadsheet (Office Open XML, ECMA-376): numbers as numbers, so that no decimal point is taken for another sign; empty cells
//! stay empty; the head stays in sight. No time, no chance: the same table gives the same bytes.

use rust_xlsxwriter::{DocProperties, ExcelDateTime, Format, Workbook, Worksheet, XlsxError};

use super::{DataError, Head, Kind, Table};

/// Widest column, letters.
const WIDEST: usize = 40;

impl Table {
    /// The file, its sheet under a name.
    ///
    /// # Errors
    /// The writer refuses the table.
    pub fn xlsx(&self, name: &str) -> Result<Vec<u8>, DataError> {
        let mut book = Workbook::new();
        // A fixed date stands for none: the writer would put in today's.
        let none = ExcelDateTime::from_ymd(2000, 1, 1)?;
        book.set_properties(&DocProperties::new().set_creation_datetime(&none));
        let sheet = book.add_worksheet();
        sheet.set_name(name)?;
        sheet.set_freeze_panes(1, 0)?;
        for (at, head) in self.heads.iter().enumerate() {
            let column = u16::try_from(at).map_err(|_| XlsxError::RowColumnLimitError)?;
            sheet.write_with_format(0, column, head.label(), &Format::new().set_bold())?;
            sheet.set_column_width(column, head.label().chars().count().clamp(8, WIDEST) as f64)?;
            for (i, row) in self.rows.iter().enumerate() {
                let line = u32::try_from(i + 1).map_err(|_| XlsxError::RowColumnLimitError)?;
                put(sheet, (line, column), head, &row[at])?;
            }
        }
        Ok(book.save_to_buffer()?)
    }
}

/// Writes a cell. What is no value of its kind is none, as everywhere.
fn put(sheet: &mut Worksheet, (row, column): (u32, u16), head: &Head, cell: &str) -> Result<(), XlsxError> {
    match head.kind {
        _ if cell.is_empty() => {}
        Kind::Number | Kind::Whole => {
            if let Some(number) = cell.parse::<f64>().ok().filter(|x| x.is_finite()) {
                sheet.write_number(row, column, number)?;
            }
        }
        Kind::Text | Kind::Flag => {
            sheet.write_string(row, column, cell)?;
        }
    }
    Ok(())
}
