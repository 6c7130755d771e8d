//! The table of a study: a head with units, one line a variant. As CSV its lines are in the file as they are finished.
//!
//! | column | holds |
//! |---|---|
//! | `variant` | number from 1, in the order of the case file |
//! | `case_hash` | of the resolved case, this program's version and the head: a line is taken over only by the very same question |
//! | `rim.seat_diameter [mm]`, ... | each varied input, twelve digits |
//! | `off_centre_release [bar]`, ... | each of [`COLUMNS`], six digits; empty where there is no such number |
//! | `off_centre_release_reached`, ... | behind a number that may be a lower bound only: `yes`, or `no` for a bound |
//! | `verdict`, `end`, `end_frictionless` | words; a failed solve has its reason there |

use std::collections::HashMap;

use hoopwright_solver::case::inputs::{Input, Kind};
use hoopwright_solver::case::{Case, Varied, Vary};
use hoopwright_solver::units::number;
use hoopwright_study::column::{COLUMNS, Number};
use hoopwright_study::vary::{Ends, Row, Scope};
use sha2::{Digest, Sha256};

use crate::data::{Head, Table, YES, flag, reached, record};
use crate::words;

/// Hexadecimal digits of a hash: enough that no two of ten thousand cases share them.
const HASH_DIGITS: usize = 16;
/// Columns before the varied inputs.
const BEFORE: usize = 2;
/// Between two findings.
const JOIN: &str = "; ";

/// Layout of a study's file.
#[derive(Clone, Debug)]
pub struct Sheet {
    head: Vec<Head>,
    inputs: usize,
    scope: Scope,
}

/// One line of a study's file.
#[derive(Clone, Debug, PartialEq)]
pub struct Line {
    cells: Vec<String>,
}

/// How a variant came out.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Outcome {
    /// Every stated limit is kept.
    Holds,
    /// A stated limit is not kept.
    LimitNotKept,
    /// No equilibrium was found.
    NoAnswer,
}

/// Why a file is not the file of this study.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum SheetError {
    /// The head is another one.
    #[error("its first line is not the head of this study")]
    Head,
    /// A line belongs to no variant.
    #[error("its line {0} is of another case, of other values or of another version of the program")]
    Line(usize),
}

impl Sheet {
    /// The layout for a study whose variants are solved to a scope.
    pub fn new(vary: &Vary, scope: Scope) -> Self {
        Self::over("variant", vary.inputs.iter().map(head_of).collect(), scope)
    }

    /// The layout for cases that are called so and differ in inputs with these heads.
    pub(crate) fn over(noun: &str, inputs: Vec<Head>, scope: Scope) -> Self {
        let number = inputs.len();
        let mut head = vec![Head::whole(noun, None), Head::text("case_hash")];
        head.extend(inputs);
        for column in COLUMNS {
            head.push(Head::number(column.name, column.unit));
            head.extend(column.bounded.then(|| Head::reached(column.name)));
        }
        head.extend(["verdict", "end", "end_frictionless"].map(Head::text));
        Self { head, inputs: number, scope }
    }

    /// The first line of the file.
    pub fn head(&self) -> Vec<u8> {
        record(&self.labels())
    }

    fn labels(&self) -> Vec<String> {
        self.head.iter().map(Head::label).collect()
    }

    /// The hash that tells a case from every other. The title, which changes no number, is left out.
    pub fn hash(&self, case: &Case) -> String {
        let untitled = Case { title: String::new(), ..case.clone() };
        // The text for debugging holds every field, and every number to its last digit.
        // A line with less in it is no answer to a larger question.
        let scope = if self.scope == Scope::Whole { "" } else { "deciding " };
        hash_of(&format!("{} {scope}{} {untitled:?}", env!("CARGO_PKG_VERSION"), self.labels().join(",")))
    }

    /// The line of variant `number` (from 0) with its varied values.
    pub fn line(&self, number: usize, hash: &str, values: &[f64], row: &Row) -> Line {
        let mut cells = vec![(number + 1).to_string(), hash.to_owned()];
        cells.extend(values.iter().map(f64::to_string));
        for (column, found) in COLUMNS.iter().zip(&row.numbers) {
            cells.push(found.map_or(String::new(), |found| self::number(found.value())));
            cells.extend(column.bounded.then(|| flag(reached(*found))));
        }
        let findings: Vec<&str> = row.findings.iter().map(|finding| words::finding(*finding)).collect();
        cells.push(findings.join(JOIN));
        cells.extend(match &row.ends {
            Ends::Paths(given, frictionless) => [words::end(given), frictionless.as_ref().map_or(String::new(), words::end)],
            Ends::NoModel(reason) => [format!("no path: {reason}"), String::new()],
        });
        // One line of text a line of the file, so that a torn last line shows.
        Line { cells: cells.into_iter().map(|cell| cell.replace(['\n', '\r'], " ")).collect() }
    }

    /// The lines of an earlier run of this study by the hashes of their cases. `hashes` are those of the variants. A last line that was
    /// not written to its end is left out.
    ///
    /// # Errors
    /// [`SheetError`] when the file is of another study.
    pub fn lines(&self, text: &str, hashes: &[String]) -> Result<HashMap<String, Line>, SheetError> {
        let head = String::from_utf8_lossy(&self.head()).into_owned();
        let whole = text.rfind('\n').map_or("", |end| &text[..=end]);
        if whole.is_empty() {
            return if head.starts_with(text) { Ok(HashMap::new()) } else { Err(SheetError::Head) };
        }
        let body = whole.strip_prefix(&head).ok_or(SheetError::Head)?;
        let known: HashMap<&str, ()> = hashes.iter().map(|hash| (hash.as_str(), ())).collect();
        let mut reader = csv::ReaderBuilder::new().has_headers(false).flexible(true).from_reader(body.as_bytes());
        let mut lines = HashMap::new();
        for (i, read) in reader.records().enumerate() {
            let cells: Vec<String> = read.map_err(|_| SheetError::Line(i + 2))?.iter().map(str::to_owned).collect();
            if cells.len() != self.head.len() || !known.contains_key(cells[1].as_str()) {
                return Err(SheetError::Line(i + 2));
            }
            lines.insert(cells[1].clone(), Line { cells });
        }
        Ok(lines)
    }

    /// The heads of the columns.
    pub(crate) fn heads(&self) -> &[Head] {
        &self.head
    }

    /// The whole table.
    pub fn data(&self, lines: &[Line]) -> Table {
        Table::new(self.head.clone(), lines.iter().map(|line| line.cells.clone()))
    }

    /// The value of a varied input as written.
    pub(crate) fn input<'l>(&self, line: &'l Line, i: usize) -> &'l str {
        line.cell(BEFORE + i)
    }

    /// The number of one of [`COLUMNS`].
    pub(crate) fn number(&self, line: &Line, column: usize) -> Option<Number> {
        let markers = COLUMNS[..column].iter().filter(|c| c.bounded).count();
        let at = BEFORE + self.inputs + column + markers;
        let value = line.cell(at).parse().ok().filter(|value: &f64| value.is_finite())?;
        let bound = COLUMNS[column].bounded && line.cell(at + 1) != YES;
        Some(if bound { Number::Above(value) } else { Number::Found(value) })
    }

    /// The verdict in words.
    pub fn verdict<'l>(&self, line: &'l Line) -> &'l str {
        line.cell(self.head.len() - 3)
    }

    /// How the paths ended, at the given friction and without.
    pub(crate) fn ends<'l>(&self, line: &'l Line) -> [&'l str; 2] {
        [2, 1].map(|back| line.cell(self.head.len() - back))
    }

    /// How the variant came out.
    pub fn outcome(&self, line: &Line) -> Outcome {
        use hoopwright_solver::result::Finding;
        let verdict = self.verdict(line);
        if verdict == words::finding(Finding::Holds) {
            Outcome::Holds
        } else if verdict.is_empty() || verdict.split(JOIN).any(|word| word == words::finding(Finding::NoAnswer)) {
            Outcome::NoAnswer
        } else {
            Outcome::LimitNotKept
        }
    }
}

impl Line {
    /// A line of a file from its cells.
    pub(crate) fn from_cells(cells: Vec<String>) -> Self {
        Self { cells }
    }

    /// Its cells.
    pub(crate) fn cells(&self) -> &[String] {
        &self.cells
    }

    /// The line as it stands in the file, with its line break.
    pub fn bytes(&self) -> Vec<u8> {
        record(&self.cells)
    }

    /// The same line as that of another variant of the same case: number (from 0) and varied values set anew.
    #[must_use]
    pub fn renumbered(mut self, number: usize, values: &[f64]) -> Self {
        self.cells[0] = (number + 1).to_string();
        for (cell, value) in self.cells[BEFORE..].iter_mut().zip(values) {
            *cell = value.to_string();
        }
        self
    }

    /// Number of the variant, from 1.
    pub(crate) fn variant(&self) -> &str {
        &self.cells[0]
    }

    /// The hash of the case.
    pub(crate) fn hash(&self) -> &str {
        &self.cells[1]
    }

    fn cell(&self, i: usize) -> &str {
        self.cells.get(i).map_or("", String::as_str)
    }
}

/// Path and unit of a varied input, as the head of its column.
pub(crate) fn head_of(varied: &Varied) -> Head {
    head_of_input(varied.input)
}

/// Path and unit of an input, as the head of its column.
pub(crate) fn head_of_input(input: &Input) -> Head {
    let unit = input.unit().map_or("", |unit| unit.symbol);
    let unit = if unit.is_empty() { "-" } else { unit };
    match input.kind {
        Kind::Count { .. } => Head::whole(input.path(), Some(unit)),
        _ => Head::number(input.path(), unit),
    }
}

/// The first digits of a text's SHA-256.
pub(crate) fn hash_of(text: &str) -> String {
    let digest = Sha256::digest(text.as_bytes());
    let digits = digest.iter().flat_map(|byte| [byte >> 4, byte & 15]);
    digits.take(HASH_DIGITS).map(|d| char::from(b"0123456789abcdef"[d as usize])).collect()
}
