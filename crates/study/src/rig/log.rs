//! Logs of a bench: CSV with units in the head, read in inner units.
//!
//! Lines that begin with `#` above the head are comments. Cells are parted by commas, semicolons or tabs, whichever the head has most of;
//! where they are not parted by commas, numbers may have a decimal comma.

use hoopwright_solver::units::Dimension;

use crate::table::{factor_of, name_of};

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
    /// A line that is no record.
    #[error("its line {0} cannot be read as CSV in UTF-8")]
    Record(usize),
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
    let head = head_of(bytes)?.0;
    Ok(columns.iter().position(|wanted| head.iter().any(|h| wanted.names.contains(&name_of(h).as_str()))))
}

/// Reads the wanted columns. `example` is a head that would do, for messages. A column of time must not run backwards.
///
/// # Errors
/// The first fault found.
pub fn read(bytes: &[u8], wanted: &[Wanted], example: &'static str) -> Result<Log, LogError> {
    if bytes.len() > LARGEST_LOG {
        return Err(LogError::TooLarge);
    }
    let (head, delimiter) = head_of(bytes)?;
    let sources = wanted.iter().map(|w| source(&head, w, example)).collect::<Result<Vec<_>, _>>()?;
    let mut log = Log { columns: vec![Vec::new(); sources.len()], lines: Vec::new(), missing: 0 };
    let mut reader = reader(bytes, delimiter);
    let (mut record, mut row) = (csv::ByteRecord::new(), vec![0.0; sources.len()]);
    loop {
        let line = reader.position().line() as usize;
        match reader.read_byte_record(&mut record) {
            Ok(true) => {}
            Ok(false) => break,
            Err(_) => return Err(LogError::Record(line)),
        }
        let line = record.position().map_or(line, |position| line_of(bytes, position));
        if log.len() + log.missing >= MOST_ROWS {
            return Err(LogError::TooLarge);
        }
        if numbers(&record, &sources, delimiter, line, &mut row)? {
            log.columns.iter_mut().zip(&row).for_each(|(column, value)| column.push(*value));
            log.lines.push(u32::try_from(line).unwrap_or(u32::MAX));
        } else {
            log.missing += 1;
        }
    }
    check_time(&log, wanted)?;
    if log.is_empty() { Err(LogError::Empty) } else { Ok(log) }
}

fn reader(bytes: &[u8], delimiter: u8) -> csv::Reader<&[u8]> {
    csv::ReaderBuilder::new().flexible(true).delimiter(delimiter).comment(Some(b'#')).from_reader(bytes)
}

/// Line of the file that a record begins in: the reader tells where it began to look, before blank lines and comments.
fn line_of(bytes: &[u8], position: &csv::Position) -> usize {
    let (mut at, mut line) = (position.byte() as usize, position.line() as usize);
    while let Some(rest) = bytes.get(at..) {
        let Some(end) = rest.iter().position(|b| *b == b'\n') else { break };
        if !(rest.starts_with(b"#") || rest[..end].iter().all(|b| *b == b'\r')) {
            break;
        }
        (at, line) = (at + end + 1, line + 1);
    }
    line
}

/// The head's columns and what parts them.
fn head_of(bytes: &[u8]) -> Result<(Vec<String>, u8), LogError> {
    let first =
        bytes.split(|b| *b == b'\n').find(|line| !line.starts_with(b"#") && line.iter().any(|b| !b.is_ascii_whitespace()));
    let count = |delimiter: u8| first.map_or(0, |line| line.iter().filter(|b| **b == delimiter).count());
    let delimiter = [b',', b';', b'\t'].into_iter().rev().max_by_key(|d| count(*d)).unwrap_or(b',');
    let mut reader = reader(bytes, delimiter);
    let head = reader.headers().map_err(|_| LogError::Record(1))?;
    Ok((head.iter().map(str::to_owned).collect(), delimiter))
}

fn source(head: &[String], wanted: &Wanted, example: &'static str) -> Result<Source, LogError> {
    let name = wanted.names.first().copied().unwrap_or("");
    let fits = |h: &&String| wanted.names.contains(&name_of(h).as_str());
    let mut places = head.iter().enumerate().filter(|(_, h)| fits(h));
    let missing = || LogError::NoColumn { wanted: name.to_owned(), found: shown(head), example };
    let (at, column) = places.next().ok_or_else(missing)?;
    if places.next().is_some() {
        return Err(LogError::Twice(name.to_owned()));
    }
    let factor = factor_of(column, wanted.dimension);
    let factor = factor.map_err(|reason| LogError::Unit { column: shorten(column), reason, example })?;
    Ok(Source { name, at, factor })
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

/// The numbers of a record in inner units; false where one is not there.
fn numbers(record: &csv::ByteRecord, sources: &[Source], delimiter: u8, line: usize, row: &mut [f64]) -> Result<bool, LogError> {
    let mut whole = true;
    for (source, value) in sources.iter().zip(row) {
        let cell = record.get(source.at).unwrap_or(b"");
        let text = std::str::from_utf8(cell).map_err(|_| LogError::Record(line))?.trim();
        match number(text, delimiter).map(|v| v * source.factor).filter(|v| v.is_finite() && v.abs() < LARGEST_NUMBER) {
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

fn number(text: &str, delimiter: u8) -> Option<f64> {
    let plain = text.parse::<f64>().ok();
    if plain.is_none() && delimiter != b',' && text.contains(',') {
        return text.replacen(',', ".", 1).parse().ok();
    }
    plain
}

fn check_time(log: &Log, wanted: &[Wanted]) -> Result<(), LogError> {
    let Some(at) = wanted.iter().position(|w| w.dimension == Dimension::Time) else { return Ok(()) };
    let back = log.columns[at].windows(2).position(|pair| pair[1] < pair[0]);
    back.map_or(Ok(()), |row| Err(LogError::Backwards(log.lines[row + 1] as usize)))
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
        assert!(fault(&format!("{EXAMPLE}\n0,,2\n")).contains("no row with all its numbers"));
    }

    #[test]
    fn bytes_that_are_no_text_have_their_line() {
        let mut bytes = format!("{EXAMPLE}\n0,1,2\n").into_bytes();
        bytes.extend(b"1,\xff,2\n");
        assert_eq!(read(&bytes, &[TIME, FORCE, TRAVEL], EXAMPLE).unwrap_err(), LogError::Record(3));
    }
}
