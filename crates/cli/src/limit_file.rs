//! The values of a search that are solved: each is in the file as soon as it is, and those of an earlier run are taken over.

use std::collections::HashMap;
use std::io::ErrorKind;
use std::path::{Path, PathBuf};

use hoopwright_report::limit::tried;
use hoopwright_report::study::{Line, Sheet, SheetError};
use hoopwright_solver::case::{Case, CaseError, Combine, OneInput, Variant, Varied, Vary};
use hoopwright_study::limit::{Found, Tried};
use hoopwright_study::map::field::{Field, Limit, fields, limits};
use hoopwright_study::vary::{Scope, solve};

use crate::failure::Failure;
use crate::files;
use crate::growing::{Growing, unfinished};
use crate::output::Talk;

/// Name of the file in the output folder.
const FILE: &str = "limit.csv";
/// Largest file that is looked at as one of an earlier run, bytes.
const LARGEST: usize = 1 << 24;
/// Column of a line that holds the value of the input.
const VALUE: usize = 2;

/// What is solved.
pub(crate) struct Solved<'a> {
    one: &'a OneInput,
    /// Layout of the file.
    pub(crate) sheet: Sheet,
    /// Fields that the limits are about.
    pub(crate) fields: Vec<Field>,
    /// The limits.
    pub(crate) limits: Vec<Limit>,
    /// Lines by the hashes of their cases.
    lines: HashMap<String, Line>,
    file: Option<(PathBuf, Growing)>,
}

impl<'a> Solved<'a> {
    /// Takes over what an earlier run of the same search left in the folder, finished or not; with `force` another's file is as good as none.
    ///
    /// # Errors
    /// A file that cannot be read or written, or is another search's.
    pub(crate) fn open(one: &'a OneInput, case: &Case, folder: Option<&Path>, force: bool) -> Result<Self, Failure> {
        let sheet = Sheet::new(&over(one, Vec::new()), Scope::Deciding);
        let fields = fields(case);
        let limits = limits(case, &fields);
        let mut solved = Self { one, sheet, fields, limits, lines: HashMap::new(), file: None };
        let Some(folder) = folder else { return Ok(solved) };
        let path = folder.join(FILE);
        for file in [path.clone(), unfinished(&path)] {
            match solved.earlier(&file) {
                Err(Failure::OtherStudy { .. }) if force => {}
                read => solved.lines.extend(read?),
            }
        }
        let mut lines: Vec<&Line> = solved.lines.values().collect();
        lines.sort_by_key(|line| line.bytes());
        let bytes = [solved.sheet.head(), lines.iter().flat_map(|line| line.bytes()).collect()].concat();
        let growing = Growing::begin(&path, &bytes)?;
        solved.file = Some((path, growing));
        Ok(solved)
    }

    /// Lines of an earlier run by the hashes of their cases: those of the values that they name.
    fn earlier(&self, path: &Path) -> Result<HashMap<String, Line>, Failure> {
        let bytes = match files::read_limited(path, LARGEST) {
            Ok(bytes) => bytes,
            Err(error) if error.kind() == ErrorKind::NotFound => return Ok(HashMap::new()),
            Err(source) => return Err(Failure::ReadOutput { path: path.to_owned(), source }),
        };
        let text = String::from_utf8_lossy(&bytes);
        let values = text.lines().skip(1).filter_map(|line| line.split(',').nth(VALUE)?.parse::<f64>().ok());
        let hashes: Vec<String> =
            values.filter_map(|value| self.one.at(value).ok()).map(|variant| self.sheet.hash(&variant.case)).collect();
        let lines = if bytes.len() > LARGEST { Err(SheetError::Head) } else { self.sheet.lines(&text, &hashes) };
        lines.map_err(|source| Failure::OtherStudy { path: path.to_owned(), source })
    }

    /// Solves the values of a round that are not solved yet; how each of them stands.
    ///
    /// # Errors
    /// A value that makes no case, or a file that cannot be written.
    pub(crate) fn round(&mut self, values: &[f64], threads: usize, talk: &Talk) -> Result<Vec<Tried>, Failure> {
        let variants = values.iter().map(|value| self.variant(*value)).collect::<Result<Vec<_>, _>>()?;
        let hashes: Vec<String> = variants.iter().map(|variant| self.sheet.hash(&variant.case)).collect();
        let open: Vec<usize> = (0..values.len()).filter(|i| !self.lines.contains_key(&hashes[*i])).collect();
        solve((&variants, Scope::Deciding), &open, threads, &mut |i, row| {
            let line = self.sheet.line(self.lines.len(), &hashes[i], &variants[i].values, &row);
            if let Some((_, growing)) = &mut self.file {
                growing.add(&line.bytes())?;
            }
            let verdict = self.sheet.verdict(&line).to_owned();
            self.lines.insert(hashes[i].clone(), line);
            let unit = self.one.input.unit().map_or("", |unit| unit.symbol);
            talk.say(&format!("{} = {} {unit}: {verdict} ({} solved)", self.one.input.path(), values[i], self.lines.len()));
            Ok::<(), Failure>(())
        })?;
        let limits = (self.fields.as_slice(), self.limits.as_slice());
        let stand = |i: usize| Some(tried(values[i], &variants[i].case, &self.sheet, self.lines.get(&hashes[i])?, limits));
        Ok((0..values.len()).filter_map(stand).collect())
    }

    fn variant(&self, value: f64) -> Result<Variant, Failure> {
        let unit = self.one.input.unit().map_or("", |unit| unit.symbol);
        self.one.at(value).map_err(|errors| Failure::NoSuchCase {
            value: format!("{} = {value} {unit}", self.one.input.path()).trim_end().to_owned(),
            reason: errors.0.iter().map(CaseError::message).collect::<Vec<_>>().join("; "),
        })
    }

    /// Every value found as a variant with its line, in the order of the values.
    ///
    /// # Errors
    /// As for [`Self::round`].
    pub(crate) fn finished(&self, found: &Found) -> Result<(Vary, Vec<Line>), Failure> {
        let variants = found.tried.iter().map(|tried| self.variant(tried.value)).collect::<Result<Vec<_>, _>>()?;
        let line = |(i, variant): (usize, &Variant)| {
            Some(self.lines.get(&self.sheet.hash(&variant.case))?.clone().renumbered(i, &variant.values))
        };
        let lines = variants.iter().enumerate().filter_map(line).collect();
        Ok((over(self.one, variants), lines))
    }

    /// Removes the file of the search under way, once the whole one is written.
    ///
    /// # Errors
    /// It cannot be removed.
    pub(crate) fn remove_unfinished(&self) -> Result<(), Failure> {
        self.file.as_ref().map_or(Ok(()), |(path, _)| files::remove(&unfinished(path)))
    }
}

/// The variants of one input.
fn over(one: &OneInput, variants: Vec<Variant>) -> Vary {
    let values = variants.iter().flat_map(|variant| variant.values.clone()).collect();
    Vary { combine: Combine::List, inputs: vec![Varied { input: one.input, values }], variants }
}
