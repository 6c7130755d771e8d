//! Logs of a bench: CSV with units in the head, read in inner units.

use hoopwright_case::units::{Dimension, Unit};

use crate::likely::Likely;
use hoopwright_case::table::{RowError, Table, Twice, factor_of, known_unit};

/// Largest log, bytes.
pub const LARGEST_LOG: usize = 1 << 28;
/// Most rows of a log.
pub const MOST_ROWS: usize = 4_000_000;
/// Largest number in inner units that a cell may hold: far beyond any bench.
const LARGEST_NUMBER: f64 = 1e12;
/// What loggers write where they read nothing.
const NOTHING: [&str; 9] = ["", "nan", "na", "n/a", "-", "--", "---", "ol", "null"];

/// A column that is looked for.
#[derive(Clone, Copy, Debug)]
pub struct Wanted {
    /// Names that it may have; the first is what it is called in messages.
    pub names: &'static [&'static str],
    /// What it measures.
    pub dimension: Dimension,
}

/// Time.
pub const TIME: Wanted = Wanted { names: &["time", "elapsed time"], dimension: Dimension::Time };
/// Force of a stretching log.
pub const FORCE: Wanted = Wanted { names: &["force", "radial force", "load"], dimension: Dimension::Force };
/// Travel of a stretching log.
pub const TRAVEL: Wanted =
    Wanted { names: &["travel", "radial travel", "displacement", "position"], dimension: Dimension::Length };
/// Diameter.
pub const DIAMETER: Wanted = Wanted { names: &["diameter"], dimension: Dimension::Length };
/// Gauge pressure.
pub const PRESSURE: Wanted = Wanted { names: &["pressure", "gauge pressure"], dimension: Dimension::Pressure };

/// Why a log cannot be read.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum LogError {
    /// A column is missing.
    #[error("its head has no column `{wanted}`; it has {found}. A head names columns with their units, as in `{example}`")]
    NoColumn {
        /// The column.
        wanted: String,
        /// The head's columns.
        found: String,
        /// A head that would do.
        example: &'static str,
    },
    /// Two columns of the same name.
    #[error("its head has column `{0}` twice")]
    Twice(String),
    /// A column has no unit, or a wrong one.
    #[error("the unit of column `{column}` in its head cannot be used: {reason}; write it in square brackets, as in `{example}`")]
    Unit {
        /// The column.
        column: String,
        /// What is wrong.
        reason: String,
        /// A head that would do.
        example: &'static str,
    },
    /// A row that cannot be read.
    #[error(transparent)]
    Row(#[from] RowError),
    /// A cell that is no number.
    #[error("its line {line}, column {column} ({name}) has \"{cell}\" where a number is needed")]
    Cell {
        /// Line of the file from 1.
        line: usize,
        /// Column of the file from 1.
        column: usize,
        /// Name of the column.
        name: &'static str,
        /// As typed.
        cell: String,
    },
    /// A column of diameters that are none of a bead.
    #[error(
        "its line {line}, column {column} ({name}) has {logged}, which no bead has (diameters of 100 mm to 1000 mm); {likely}"
    )]
    Diameter {
        /// Line of the file from 1.
        line: usize,
        /// Column of the file from 1.
        column: usize,
        /// Name of the column.
        name: &'static str,
        /// The value in the head's unit.
        logged: String,
        /// What the column probably holds.
        likely: Likely,
    },
    /// Time that runs backwards.
    #[error("time goes back in its line {0}: give logs one by one, in the order they were taken")]
    Backwards(usize),
    /// Too many bytes or rows.
    #[error("it has more than {} MB or {MOST_ROWS} rows: thin it", LARGEST_LOG >> 20)]
    TooLarge,
    /// No rows.
    #[error("it has no row with all its numbers")]
    Empty,
}

/// The rows of a log in which every wanted column has a number.
#[derive(Clone, Debug, PartialEq)]
pub struct Log {
    /// Inner units; one list for each wanted column.
    pub columns: Vec<Vec<f64>>,
    /// Column of the file, from 1, of each list.
    pub places: Vec<usize>,
    /// Unit in the head of each column.
    pub units: Vec<Unit>,
    /// Line of the file, from 1, of each row.
    pub lines: Vec<u32>,
    /// Rows left out because a cell was empty or held no reading.
    pub missing: usize,
}

/// A wanted column's place in the file.
struct Source {
    name: &'static str,
    at: usize,
    factor: f64,
    unit: Unit,
}

impl Log {
    /// Number of rows.
    pub fn len(&self) -> usize {
        self.lines.len()
    }

    /// Whether it has no rows.
    pub fn is_empty(&self) -> bool {
        self.lines.is_empty()
    }
}

/// The first of some columns that the log's head has; none if it has none of them.
///
/// # Errors
/// The head cannot be read.
pub fn has(bytes: &[u8], columns: &[Wanted]) -> Result<Option<usize>, LogError> {
    let table = Table::open(bytes)?;
    Ok(columns.iter().position(|wanted| !matches!(table.place(wanted.names), Ok(None))))
}

/// Reads the wanted columns. `example` is a head that would do, for messages. A column of time must not run backwards.
///
/// # Errors
/// The first fault found.
pub fn read(bytes: &[u8], wanted: &[Wanted], example: &'static str) -> Result<Log, LogError> {
    if bytes.len() > LARGEST_LOG {
        return Err(LogError::TooLarge);
    }
    let mut table = Table::open(bytes)?;
    let sources = wanted.iter().map(|w| source(&table, w, example)).collect::<Result<Vec<_>, _>>()?;
    let units = sources.iter().map(|source| source.unit).collect();
    let places = sources.iter().map(|source| source.at + 1).collect();
    let mut log = Log { columns: vec![Vec::new(); sources.len()], places, units, lines: Vec::new(), missing: 0 };
    let mut row = vec![0.0; sources.len()];
    while let Some(line) = table.advance()? {
        if log.len() + log.missing >= MOST_ROWS {
            return Err(LogError::TooLarge);
        }
        if numbers(&table, &sources, line, &mut row)? {
            log.columns.iter_mut().zip(&row).for_each(|(column, value)| column.push(*value));
            log.lines.push(u32::try_from(line).unwrap_or(u32::MAX));
        } else {
            log.missing += 1;
        }
    }
    check_time(&log, wanted)?;
    if log.is_empty() { Err(LogError::Empty) } else { Ok(log) }
}

fn source(table: &Table<'_>, wanted: &Wanted, example: &'static str) -> Result<Source, LogError> {
    let name = wanted.names.first().copied().unwrap_or("");
    let missing = || LogError::NoColumn { wanted: name.to_owned(), found: shown(&table.head), example };
    let at = table.place(wanted.names).map_err(|Twice| LogError::Twice(name.to_owned()))?.ok_or_else(missing)?;
    let column = &table.head[at];
    let refused = |reason| LogError::Unit { column: shorten(column), reason, example };
    let factor = factor_of(column, wanted.dimension).map_err(refused)?;
    let unit = known_unit(column).ok_or_else(|| refused("it is not known".to_owned()))?;
    Ok(Source { name, at, factor, unit })
}

/// The columns of a head for a message.
fn shown(head: &[String]) -> String {
    let list: Vec<String> = head.iter().take(8).map(|h| format!("`{}`", shorten(h))).collect();
    if list.is_empty() { "none".to_owned() } else { list.join(", ") }
}

/// A cell for a message.
fn shorten(cell: &str) -> String {
    let cell = cell.trim();
    if cell.chars().count() <= 40 { cell.to_owned() } else { format!("{}...", cell.chars().take(40).collect::<String>()) }
}

/// The numbers of the row at hand in inner units; false where one is not there.
fn numbers(table: &Table<'_>, sources: &[Source], line: usize, row: &mut [f64]) -> Result<bool, LogError> {
    let mut whole = true;
    for (source, value) in sources.iter().zip(row) {
        let text = table.text(source.at, line)?;
        match table.number(text).map(|v| v * source.factor).filter(|v| v.is_finite() && v.abs() < LARGEST_NUMBER) {
            Some(number) => *value = number,
            None if NOTHING.contains(&text.to_lowercase().as_str()) => whole = false,
            None => {
                let (column, name) = (source.at + 1, source.name);
                return Err(LogError::Cell { line, column, name, cell: shorten(text) });
            }
        }
    }
    Ok(whole)
}

fn check_time(log: &Log, wanted: &[Wanted]) -> Result<(), LogError> {
    let Some(at) = wanted.iter().position(|w| w.dimension == Dimension::Time) else { return Ok(()) };
    let back = log.columns[at].windows(2).position(|pair| pair[1] < pair[0]);
    back.map_or(Ok(()), |row| Err(LogError::Backwards(log.lines[row + 1] as usize)))
}

/// So many rows in words.
pub(crate) fn rows_of(rows: usize) -> String {
    if rows == 1 { "1 row".to_owned() } else { format!("{rows} rows") }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::float_cmp)]
    use super::*;

    const EXAMPLE: &str = "time [s],force [N],travel [mm]";

    fn all(text: &str) -> Result<Log, LogError> {
        read(text.as_bytes(), &[TIME, FORCE, TRAVEL], EXAMPLE)
    }

    #[test]
    fn any_order_unit_and_delimiter() {
        let log = all("# invented\nTravel [in],note,Load [kN],time [min]\n1,a,0.5,1\n\n2,\"b\",1.5,2\n").unwrap();
        assert_eq!(log.columns, [vec![60.0, 120.0], vec![500.0, 1500.0], vec![25.4, 50.8]]);
        assert_eq!(log.lines, [3, 5]);
        let comma = all("time [s];force [N];travel [mm]\r\n0,5;1;2,25\r\n1;2,5;3\r\n").unwrap();
        assert_eq!(comma.columns, [vec![0.5, 1.0], vec![1.0, 2.5], vec![2.25, 3.0]]);
    }

    #[test]
    fn rows_without_a_reading_are_left_out_and_counted() {
        let log = all(&format!("{EXAMPLE}\n0,1,2\n1,,2\n2,NaN,3\n3,4\n4,OL,5\n5,6,7\n")).unwrap();
        assert_eq!((log.columns[0].clone(), log.missing), (vec![0.0, 5.0], 4));
        assert_eq!(log.lines, [2, 7]);
    }

    #[test]
    fn faults_say_where_and_what() {
        let fault = |text: &str| all(text).unwrap_err().to_string();
        assert!(fault("").contains("no column `time`; it has none"));
        assert!(fault("time [s],force [N]\n").contains("no column `travel`; it has `time [s]`, `force [N]`"));
        assert!(fault("time [s],force,travel [mm]\n").contains("column `force` in its head cannot be used: there is none"));
        assert!(fault("time [s],force [mm],travel [mm]\n").contains("\"mm\" is the unit of a length"));
        assert!(fault("time [s],force [N],load [N],travel [mm]\n").contains("column `force` twice"));
        assert!(fault(&format!("{EXAMPLE}\n0,1,2\n1,x,2\n")).contains("line 3, column 2 (force) has \"x\""));
        assert!(fault(&format!("{EXAMPLE}\n0,1e300,2\n")).contains("line 2, column 2 (force) has \"1e300\""));
        assert!(fault(&format!("{EXAMPLE}\n0,1,2\n5,1,2\n4,1,2\n")).contains("goes back in its line 4"));
        assert!(
            fault(&format!("{EXAMPLE}\n0,0,5,1,2\n")).contains("its line 2 has 5 cells, its head 3: part cells by semicolons")
        );
        assert!(fault(&format!("{EXAMPLE}\n0,,2\n")).contains("no row with all its numbers"));
    }

    #[test]
    fn bytes_that_are_no_text_have_their_line() {
        let mut bytes = format!("{EXAMPLE}\n0,1,2\n").into_bytes();
        bytes.extend(b"1,\xff,2\n");
        assert_eq!(read(&bytes, &[TIME, FORCE, TRAVEL], EXAMPLE).unwrap_err(), LogError::Row(RowError::Record(3)));
    }
}
