//! Measured values of an input, read from a column of a CSV file with the unit in its head.

use hoopwright_case::inputs::Input;
use hoopwright_case::units::{Dimension, ONE, parse};

use hoopwright_case::table::{RowError, Table, Twice, name_of, unit_of};

/// Largest number of values.
pub const MOST_VALUES: usize = 100_000;
/// Fewest values that tell how an input scatters.
pub const FEWEST_VALUES: usize = 5;

/// Why a file of measured values cannot be used.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum MeasuredError {
    /// The column is missing.
    #[error("its head has no column `{column}`; it has {found}")]
    NoColumn {
        /// Column asked for.
        column: String,
        /// Columns found.
        found: String,
    },
    /// The column has no unit, or a wrong one.
    #[error("the unit of column `{column}` in its head cannot be used: {reason}")]
    Unit {
        /// The column.
        column: String,
        /// What is wrong.
        reason: String,
    },
    /// Two columns of the same name.
    #[error("its head has column `{0}` twice")]
    Twice(String),
    /// A row that cannot be read.
    #[error(transparent)]
    Row(#[from] RowError),
    /// A cell that is no number.
    #[error("its line {line} has \"{cell}\" where a number is needed")]
    Cell {
        /// Line of the file from 1.
        line: usize,
        /// As typed.
        cell: String,
    },
    /// Too few values, or all alike.
    #[error("it has {0} values in that column: at least {FEWEST_VALUES} that differ are needed to tell how they scatter")]
    TooFew(usize),
    /// Too many values.
    #[error("it has more than {MOST_VALUES} values")]
    TooMany,
}

/// The values of a column in the unit of an input, in the order of the file. Empty cells are left out.
///
/// # Errors
/// The first fault found.
pub fn read(bytes: &[u8], column: &str, input: &Input) -> Result<Vec<f64>, MeasuredError> {
    let mut table = Table::open(bytes)?;
    let at = place(&table, column)?;
    let symbol = symbol_of(&table.head[at], input)?.to_owned();
    let unit = input.unit().unwrap_or(ONE);
    let mut values = Vec::new();
    while let Some(line) = table.advance()? {
        let cell = table.text(at, line)?;
        if cell.is_empty() {
            continue;
        }
        let refused = || MeasuredError::Cell { line, cell: cell.to_owned() };
        let typed = table.number(cell).filter(|value| value.is_finite()).ok_or_else(refused)?;
        let inner = parse(&format!("{typed} {symbol}"), unit.dimension).map_err(|_| refused())?;
        values.push(unit.value_of(inner));
        if values.len() > MOST_VALUES {
            return Err(MeasuredError::TooMany);
        }
    }
    let differ = values.iter().any(|v| (v - values[0]).abs() > 0.0);
    if values.len() < FEWEST_VALUES || !differ { Err(MeasuredError::TooFew(values.len())) } else { Ok(values) }
}

fn place(table: &Table<'_>, column: &str) -> Result<usize, MeasuredError> {
    let missing = || MeasuredError::NoColumn { column: column.to_owned(), found: table.head.join(", ") };
    table.place(&[&name_of(column)]).map_err(|Twice| MeasuredError::Twice(column.to_owned()))?.ok_or_else(missing)
}

/// The unit in a head; a pure number needs none.
fn symbol_of<'h>(head: &'h str, input: &Input) -> Result<&'h str, MeasuredError> {
    let dimension = input.unit().unwrap_or(ONE).dimension;
    let refused = |reason: String| MeasuredError::Unit { column: head.to_owned(), reason };
    match unit_of(head) {
        None | Some("-" | "") if dimension == Dimension::Number => Ok(""),
        None => Err(refused(format!("there is none in square brackets, as in `{} [mm]`", head.trim()))),
        Some(symbol) => {
            parse(&format!("1 {symbol}"), dimension).map_err(|error| refused(error.to_string()))?;
            Ok(symbol)
        }
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use hoopwright_case::inputs::{BEAD_DIAMETER, CONTACT_FRICTION};

    #[test]
    fn values_come_in_the_input_s_unit() {
        let text = "id,Bead_diameter [in],friction\nA,24.4,0.2\nB,24.41,0.25\nC,,0.3\nD,24.42,0.22\nE,24.43,0.21\nF,24.44,0.24\n";
        let found = read(text.as_bytes(), "bead diameter", &BEAD_DIAMETER).unwrap();
        assert!(found.len() == 5 && (found[0] - 24.4 * 25.4).abs() < 1e-9);
        assert_eq!(read(text.as_bytes(), "friction", &CONTACT_FRICTION).unwrap().len(), 6);
    }

    #[test]
    fn faults_name_line_and_column() {
        let fault = |text: &str, column: &str| read(text.as_bytes(), column, &BEAD_DIAMETER).unwrap_err().to_string();
        assert!(fault("a [mm],b [mm]\n1,2\n", "diameter").contains("no column `diameter`; it has a [mm], b [mm]"));
        assert!(fault("diameter\n1\n", "diameter").contains("there is none in square brackets"));
        assert!(fault("diameter [bar]\n1\n", "diameter").contains("is the unit of a pressure"));
        assert!(fault("diameter [mm],diameter [in]\n620,24\n", "diameter").contains("column `diameter` twice"));
        assert!(fault("diameter [mm],friction\n620,4,0.2\n", "diameter").contains("its line 2 has 3 cells, its head 2"));
        assert!(fault("diameter [mm]\n620\n62O\n", "diameter").contains("its line 3 has \"62O\""));
        assert!(fault("diameter [mm]\n620\n620\n620\n620\n620\n", "diameter").contains("at least 5 that differ"));
    }
}
