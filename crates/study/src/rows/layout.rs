//! A study's rows as CSV (RFC 4180), one row a line, every digit of every number.
//!
//! | column | holds |
//! |---|---|
//! | labels, if the study has any | words beside the row |
//! | `variant`, or what the study calls its cases | number from 1, in the order of the study |
//! | `case_hash` | the [`super::Key`] of the case: a row is taken over only by the very same case |
//! | `solved_by [rows/2]` | the program's version and how much it solved; in the brackets the format of the file |
//! | `rim.seat_diameter [mm]`, ... | each input that varies |
//! | `off_centre_release [bar]`, ... | each of [`COLUMNS`], the shortest digits that tell the number from every other; empty where there is none |
//! | `off_centre_release_reached`, ... | behind a number that may be a lower bound only: `yes`, or `no` for a bound |
//! | `verdict` | findings in order of danger: `holds`, `releases`, `may release`, `too close to tell`, `overloads the rim`, `hard to mount`, `no answer` |
//! | `end`, `end_frictionless` | how the path ended: `maximum`, `over_crest`, `bundle_breaks`, `cord_breaks`, `cap`, or `failed`, `no_model`, `no_case`, `no_creep` with the reason behind a colon |

use hoopwright_case::Vary;
use hoopwright_case::inputs::Input;

use super::{Head, NO, Row, RowsError, YES, flag, reached, words};
use crate::column::{COLUMNS, Column, Number};

/// How much of a variant is solved.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Scope {
    /// Both paths, with and without friction.
    Whole,
    /// What decides.
    Deciding,
}

/// The format of the file. It changes with every change of what a cell holds.
pub const FORMAT: &str = "rows/2";
/// Name of the column whose head tells the format.
pub(super) const SOLVED_BY: &str = "solved_by";
/// Name of the column of keys.
pub(super) const CASE_HASH: &str = "case_hash";
/// Cells of a row between its labels and its inputs, and behind its numbers.
const BEFORE: usize = 3;
const BEHIND: usize = 3;

/// What stands in which cell of a line.
#[derive(Clone, Debug)]
pub struct Layout {
    labels: Vec<&'static str>,
    noun: &'static str,
    inputs: Vec<&'static Input>,
    solved_by: String,
}

impl Layout {
    /// For cases that are called so and differ in these inputs, solved to a scope.
    pub fn new(noun: &'static str, inputs: impl IntoIterator<Item = &'static Input>, scope: Scope) -> Self {
        let solved = match scope {
            Scope::Whole => "whole",
            Scope::Deciding => "deciding",
        };
        let solved_by = format!("hoopwright {} {solved}", env!("CARGO_PKG_VERSION"));
        Self { labels: Vec::new(), noun, inputs: inputs.into_iter().collect(), solved_by }
    }

    /// For the variants of a case.
    pub fn of(vary: &Vary, scope: Scope) -> Self {
        Self::new("variant", vary.inputs.iter().map(|varied| varied.input), scope)
    }

    /// The same with words of these names before each row.
    #[must_use]
    pub fn labelled(self, labels: &[&'static str]) -> Self {
        Self { labels: labels.to_vec(), ..self }
    }

    /// The heads of the columns.
    pub fn heads(&self) -> Vec<Head> {
        let mut heads: Vec<Head> = self.labels.iter().map(|label| Head::text(*label)).collect();
        heads.extend([Head::whole(self.noun, None), Head::text(CASE_HASH)]);
        heads.push(Head { unit: Some(FORMAT), ..Head::text(SOLVED_BY) });
        heads.extend(self.inputs.iter().map(|input| Head::of_input(input)));
        for column in COLUMNS {
            heads.push(Head::number(column.name, column.unit));
            heads.extend(column.bounded.then(|| Head::reached(column.name)));
        }
        heads.extend(["verdict", "end", "end_frictionless"].map(Head::text));
        heads
    }

    /// The cells of a row that is number `number` (from 0) of its study.
    pub fn cells(&self, number: usize, row: &Row) -> Vec<String> {
        let mut cells = row.labels.clone();
        cells.extend([(number + 1).to_string(), row.key.to_string(), self.solved_by.clone()]);
        cells.extend(row.inputs.iter().map(|value| digits(*value)));
        for (column, number) in COLUMNS.iter().zip(&row.numbers) {
            cells.push(number.map_or(String::new(), |number| digits(number.value())));
            cells.extend(column.bounded.then(|| flag(reached(*number))));
        }
        cells.push(words::of_findings(&row.findings));
        cells.extend(words::of_ends(&row.ends));
        cells
    }

    /// The row of the cells of line `line` (from 1).
    ///
    /// # Errors
    /// A cell that does not hold what its head says; a row of another version or scope.
    pub(super) fn row(&self, line: usize, cells: &[String]) -> Result<Row, RowsError> {
        let labels = self.labels.len();
        let inputs = labels + BEFORE..labels + BEFORE + self.inputs.len();
        let numbers = COLUMNS.iter().map(cells_of).sum::<usize>();
        if cells.len() != inputs.end + numbers + BEHIND {
            return Err(RowsError::NoRow(line));
        }
        let fault = |at: usize| RowsError::Cell { line, column: self.heads()[at].label(), cell: cells[at].clone() };
        let [_, key, by] = [0, 1, 2].map(|k| labels + k);
        if cells[by] != self.solved_by {
            return Err(RowsError::SolvedBy { line, by: cells[by].clone(), this: self.solved_by.clone() });
        }
        let value = |at: usize| read(&cells[at]).ok_or_else(|| fault(at));
        let verdict = cells.len() - BEHIND;
        Ok(Row {
            key: cells[key].parse().map_err(|()| fault(key))?,
            labels: cells[..labels].to_vec(),
            inputs: inputs.clone().map(value).collect::<Result<_, _>>()?,
            numbers: numbers_of(&cells[inputs.end..verdict]).map_err(|at| fault(inputs.end + at))?,
            findings: words::findings(&cells[verdict]).ok_or_else(|| fault(verdict))?,
            ends: words::ends([&cells[verdict + 1], &cells[verdict + 2]]).ok_or_else(|| fault(verdict + 1))?,
        })
    }

    /// The first line of the file.
    pub fn first_line(&self) -> Vec<u8> {
        record(&self.heads().iter().map(Head::label).collect::<Vec<_>>())
    }

    /// The whole file of some rows, each with its number (from 0) in its study.
    pub fn file<'r>(&self, rows: impl IntoIterator<Item = (usize, &'r Row)>) -> Vec<u8> {
        let lines = rows.into_iter().map(|(number, row)| self.line(number, row));
        std::iter::once(self.first_line()).chain(lines).flatten().collect()
    }

    /// The line of a row that is number `number` (from 0) of its study.
    pub fn line(&self, number: usize, row: &Row) -> Vec<u8> {
        record(&self.cells(number, row))
    }
}

/// Cells of a number: itself, and whether it was reached.
fn cells_of(column: &Column) -> usize {
    1 + usize::from(column.bounded)
}

/// The numbers of some cells; where there is a fault, its place among them.
fn numbers_of(cells: &[String]) -> Result<Vec<Option<Number>>, usize> {
    let mut at = 0;
    let number = |column: &Column| {
        let (here, next) = (at, at + cells_of(column));
        at = next;
        if cells[here].is_empty() {
            return if cells[here..next].iter().all(String::is_empty) { Ok(None) } else { Err(here) };
        }
        let value = read(&cells[here]).ok_or(here)?;
        match cells[here + 1..next].first().map_or(YES, String::as_str) {
            YES => Ok(Some(Number::Found(value))),
            NO => Ok(Some(Number::Above(value))),
            _ => Err(here + 1),
        }
    };
    COLUMNS.iter().map(number).collect()
}

/// A number by the fewest digits that tell it from every other; exponents only far from one.
pub fn digits(value: f64) -> String {
    if value == 0.0 || (1e-5..1e15).contains(&value.abs()) { value.to_string() } else { format!("{value:e}") }
}

fn read(cell: &str) -> Option<f64> {
    cell.parse().ok().filter(|value: &f64| value.is_finite())
}

/// One line of a CSV file.
pub fn record(cells: &[String]) -> Vec<u8> {
    let mut writer = csv::WriterBuilder::new().from_writer(Vec::new());
    // Writing to memory cannot fail.
    let _ = writer.write_record(cells);
    writer.into_inner().unwrap_or_default()
}
