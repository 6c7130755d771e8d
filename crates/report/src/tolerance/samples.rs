//! The table of the solved samples: the columns of a study behind what each was solved for and of which study it is.
//!
//! | column | holds |
//! |---|---|
//! | `purpose` | what the sample was solved for first |
//! | `study_hash` | of the case, its spreads, their correlation, the seed and this program's version |
//! | `sample`, `case_hash`, inputs, numbers, `verdict`, `end`, ... | as in the file of a study of variants |

use std::collections::HashMap;

use hoopwright_solver::case::{Tolerance, Variant};
use hoopwright_study::column::{COLUMNS, Number};
use hoopwright_study::tolerance::sample::Purpose;
use hoopwright_study::vary::{Row, Scope};

use crate::data::{Head, Table, record};
use crate::study::{Line, Outcome, Sheet, SheetError, hash_of, head_of_input};

/// Columns before those of the sheet.
const BEFORE: [&str; 2] = ["purpose", "study_hash"];

/// Layout of the file of samples.
#[derive(Clone, Debug)]
pub struct Samples {
    sheet: Sheet,
    study: String,
}

impl Samples {
    /// The layout for the inputs that scatter; `measured` are the measured values of each, empty where there are none.
    pub fn new(tolerance: &Tolerance, measured: &[Vec<f64>]) -> Self {
        let heads = tolerance.inputs.iter().map(|u| head_of_input(u.input)).collect();
        let sheet = Sheet::over("sample", heads, Scope::Deciding);
        let spreads: Vec<_> = tolerance.inputs.iter().map(|u| (u.input.path(), &u.spread)).collect();
        let case = sheet.hash(&tolerance.case);
        let service = tolerance.in_service.as_ref().map_or_else(String::new, |service| format!("{service:?} "));
        let study = hash_of(&format!("{case} {service}{spreads:?} {measured:?} {:?} {}", tolerance.correlation, tolerance.seed));
        Self { sheet, study }
    }

    /// The hash that tells a sample's case, and the service under which it is judged, from every other.
    pub fn hash(&self, variant: &Variant) -> String {
        let case = self.sheet.hash(&variant.case);
        variant.in_service.as_ref().map_or_else(|| case.clone(), |service| hash_of(&format!("{case} {service:?}")))
    }

    /// The line of a sample (number from 0) with the values of its inputs.
    pub fn line(&self, number: usize, hash: &str, values: &[f64], row: &Row) -> Line {
        self.sheet.line(number, hash, values, row)
    }

    fn heads(&self) -> Vec<Head> {
        BEFORE.map(Head::text).into_iter().chain(self.sheet.heads().iter().cloned()).collect()
    }

    /// The first line of the file.
    pub fn head(&self) -> Vec<u8> {
        record(&self.heads().iter().map(Head::label).collect::<Vec<_>>())
    }

    fn cells(&self, purpose: &str, line: &Line) -> Vec<String> {
        let before = [purpose.to_owned(), self.study.clone()];
        before.into_iter().chain(line.cells().iter().cloned()).collect()
    }

    /// A line as it stands in the file.
    pub fn bytes(&self, purpose: &str, line: &Line) -> Vec<u8> {
        record(&self.cells(purpose, line))
    }

    /// The table of some lines with their purposes.
    pub fn data<'p>(&self, lines: impl IntoIterator<Item = (&'p str, Line)>) -> Table {
        Table::new(self.heads(), lines.into_iter().map(|(purpose, line)| self.cells(purpose, &line)))
    }

    /// The lines of an earlier run of this study by the hashes of their cases, with their purposes. A last line that was not written to
    /// its end is left out.
    ///
    /// # Errors
    /// [`SheetError`] when the file is of another study.
    pub fn lines(&self, text: &str) -> Result<HashMap<String, (String, Line)>, SheetError> {
        let head = String::from_utf8_lossy(&self.head()).into_owned();
        let whole = text.rfind('\n').map_or("", |end| &text[..=end]);
        if whole.is_empty() {
            return if head.starts_with(text) { Ok(HashMap::new()) } else { Err(SheetError::Head) };
        }
        let body = whole.strip_prefix(&head).ok_or(SheetError::Head)?;
        let mut reader = csv::ReaderBuilder::new().has_headers(false).flexible(true).from_reader(body.as_bytes());
        let mut lines = HashMap::new();
        for (i, read) in reader.records().enumerate() {
            let mut cells: Vec<String> = read.map_err(|_| SheetError::Line(i + 2))?.iter().map(str::to_owned).collect();
            if cells.len() != BEFORE.len() + self.sheet.heads().len() || cells[1] != self.study {
                return Err(SheetError::Line(i + 2));
            }
            let own = cells.split_off(BEFORE.len());
            lines.insert(own[1].clone(), (cells.swap_remove(0), Line::from_cells(own)));
        }
        Ok(lines)
    }

    /// One number for each of [`COLUMNS`], as the line has it.
    pub fn numbers(&self, line: &Line) -> Vec<Option<Number>> {
        (0..COLUMNS.len()).map(|k| self.sheet.number(line, k)).collect()
    }

    /// Whether what decides was found.
    pub fn answered(&self, line: &Line) -> bool {
        self.sheet.outcome(line) != Outcome::NoAnswer
    }

    /// Why a line has no answer.
    pub fn reason<'l>(&self, line: &'l Line) -> &'l str {
        let [given, without] = self.sheet.ends(line);
        if without.is_empty() { given } else { without }
    }
}

/// Word for lines of an earlier run that this one did not ask for.
pub const EARLIER: &str = "earlier";

/// The word for a purpose.
pub fn purpose(purpose: Purpose) -> &'static str {
    purpose.name()
}
