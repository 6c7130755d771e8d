//! CSV tables whose head names columns with the unit in brackets, as in `diameter [mm]` or `diameter (mm)`.
//!
//! Lines that begin with `#` are comments. Cells are parted by commas, semicolons or tabs, whichever the head has most of; where they are
//! not parted by commas, numbers may have a decimal comma.

use crate::units::{Dimension, UNITS, Unit, parse};

/// Why a row of a table cannot be read.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum RowError {
    /// A line that is no record.
    #[error("its line {0} cannot be read as CSV in UTF-8")]
    Record(usize),
    /// A line with more cells than the head, which would be taken for other columns' than they are.
    #[error("its line {line} has {cells} cells, its head {head}: part cells by semicolons where numbers have decimal commas")]
    Longer {
        /// Line of the file from 1.
        line: usize,
        /// Cells in it.
        cells: usize,
        /// Cells in the head.
        head: usize,
    },
}

/// Two columns have the name that is looked for.
#[derive(Clone, Copy, Debug)]
pub struct Twice;

/// An opened table.
pub struct Table<'a> {
    /// The columns' heads, as typed.
    pub head: Vec<String>,
    delimiter: u8,
    bytes: &'a [u8],
    reader: csv::Reader<&'a [u8]>,
    record: csv::ByteRecord,
}

impl<'a> Table<'a> {
    /// Reads the head.
    ///
    /// # Errors
    /// It is no record.
    pub fn open(bytes: &'a [u8]) -> Result<Self, RowError> {
        let bytes = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes);
        let delimiter = delimiter(bytes);
        let mut reader = csv::ReaderBuilder::new().flexible(true).delimiter(delimiter).comment(Some(b'#')).from_reader(bytes);
        let head = reader.headers().map_err(|_| RowError::Record(1))?.iter().map(str::to_owned).collect();
        Ok(Self { head, delimiter, bytes, reader, record: csv::ByteRecord::new() })
    }

    /// Place of the column that has one of some names, in lower case, words parted by blanks; none where there is none.
    ///
    /// # Errors
    /// Two columns have.
    pub fn place(&self, names: &[&str]) -> Result<Option<usize>, Twice> {
        let mut places = (0..self.head.len()).filter(|at| names.contains(&name_of(&self.head[*at]).as_str()));
        let first = places.next();
        if places.next().is_some() { Err(Twice) } else { Ok(first) }
    }

    /// Goes on to the next row; its line of the file, from 1. None after the last one.
    ///
    /// # Errors
    /// It is no record, or longer than the head.
    pub fn advance(&mut self) -> Result<Option<usize>, RowError> {
        let line = self.reader.position().line() as usize;
        if !self.reader.read_byte_record(&mut self.record).map_err(|_| RowError::Record(line))? {
            return Ok(None);
        }
        let line = self.record.position().map_or(line, |position| line_of(self.bytes, position));
        // Empty cells at the end of a row are what loggers write that close each cell.
        if self.record.iter().skip(self.head.len()).any(|cell| !cell.trim_ascii().is_empty()) {
            return Err(RowError::Longer { line, cells: self.record.len(), head: self.head.len() });
        }
        Ok(Some(line))
    }

    /// The text of a cell of the row at hand, `line`; empty where the row is shorter.
    ///
    /// # Errors
    /// It is no text.
    pub fn text(&self, at: usize, line: usize) -> Result<&str, RowError> {
        let cell = self.record.get(at).unwrap_or(b"");
        std::str::from_utf8(cell).map(str::trim).map_err(|_| RowError::Record(line))
    }

    /// The number in a cell's text; none where it is no number.
    pub fn number(&self, text: &str) -> Option<f64> {
        let plain = text.parse::<f64>().ok();
        if plain.is_none() && self.delimiter != b',' && text.contains(',') {
            return text.replacen(',', ".", 1).parse().ok();
        }
        plain
    }
}

/// What parts the cells of a head: what it has most of.
fn delimiter(bytes: &[u8]) -> u8 {
    let first =
        bytes.split(|b| *b == b'\n').find(|line| !line.starts_with(b"#") && line.iter().any(|b| !b.is_ascii_whitespace()));
    let count = |delimiter: u8| first.map_or(0, |line| line.iter().filter(|b| **b == delimiter).count());
    [b',', b';', b'\t'].into_iter().rev().max_by_key(|d| count(*d)).unwrap_or(b',')
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

/// A head's name and what stands behind it in brackets: square ones, or round ones at its end where there are no square ones.
fn parts(head: &str) -> (&str, Option<&str>) {
    let [open, close] = if head.contains('[') { ['[', ']'] } else { ['(', ')'] };
    match head.trim_end().split_once(open) {
        Some((name, rest)) if open == '[' || rest.ends_with(close) => (name, rest.strip_suffix(close).map(str::trim)),
        _ => (head, None),
    }
}

/// The name of a column without its unit, in lower case, words parted by blanks.
pub fn name_of(head: &str) -> String {
    parts(head).0.trim().to_lowercase().replace('_', " ")
}

/// The unit in a head's brackets.
pub fn unit_of(head: &str) -> Option<&str> {
    parts(head).1
}

/// Inner units in one of the unit of a head.
///
/// # Errors
/// What is wrong with the unit, as a phrase.
pub fn factor_of(head: &str, dimension: Dimension) -> Result<f64, String> {
    let unit = unit_of(head).ok_or_else(|| "there is none in square brackets".to_owned())?;
    parse(&format!("1 {unit}"), dimension).map_err(|error| error.to_string())
}

/// The unit of a head among those that are known; none where [`factor_of`] refuses it.
pub fn known_unit(head: &str) -> Option<Unit> {
    let symbol: String = unit_of(head)?.split_whitespace().collect();
    UNITS.iter().find(|unit| unit.symbol == symbol || unit.aliases.contains(&symbol.as_str())).copied()
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    fn rows(bytes: &[u8]) -> Result<Vec<(usize, String)>, RowError> {
        let mut table = Table::open(bytes)?;
        let mut rows = Vec::new();
        while let Some(line) = table.advance()? {
            rows.push((line, table.text(1, line)?.to_owned()));
        }
        Ok(rows)
    }

    #[test]
    fn a_comment_behind_a_byte_order_mark_is_none_of_the_head() {
        let mut bytes = b"\xef\xbb\xbf# bench 3, hall 2, row 1\n".to_vec();
        bytes.extend(b"time [s];pressure [bar]\n0;1,5\n");
        let table = Table::open(&bytes).unwrap();
        assert_eq!((table.head.len(), table.number("1,5")), (2, Some(1.5)));
        assert_eq!(rows(&bytes), Ok(vec![(3, "1,5".to_owned())]));
    }

    #[test]
    fn a_row_longer_than_the_head_is_refused_unless_by_empty_cells() {
        assert_eq!(rows(b"a [mm],b [mm]\n1,2,\n3,4, ,\n"), Ok(vec![(2, "2".to_owned()), (3, "4".to_owned())]));
        assert_eq!(rows(b"a [mm],b [mm]\n# 1,5\n1,5,2\n"), Err(RowError::Longer { line: 3, cells: 3, head: 2 }));
    }

    #[test]
    fn units_stand_in_square_or_round_brackets() {
        for (head, name, unit) in [
            ("Diameter [mm]", "diameter", Some("mm")),
            ("bead_diameter (mm) ", "bead diameter", Some("mm")),
            ("pressure ( bar )", "pressure", Some("bar")),
            ("pressure (gauge) [bar]", "pressure (gauge)", Some("bar")),
            ("friction", "friction", None),
            ("pressure (gauge) of the rim", "pressure (gauge) of the rim", None),
            ("diameter [mm", "diameter", None),
        ] {
            assert_eq!((name_of(head).as_str(), unit_of(head)), (name, unit), "{head}");
        }
        assert_eq!(factor_of("time (min)", Dimension::Time), Ok(60.0));
        assert_eq!(known_unit("pressure (psi)").map(|unit| unit.symbol), Some("psi"));
    }
}
