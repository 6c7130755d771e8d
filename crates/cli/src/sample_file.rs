//! The samples of a study of tolerances under way: each is in the file as soon as it is solved, and those of an earlier run are taken over.

use std::path::PathBuf;

use hoopwright_case::{CaseError, CaseErrors, Tolerance, Variant};
use hoopwright_report::data::Table;
use hoopwright_report::html::Source;
use hoopwright_report::study;
use hoopwright_study::rows::Scope;
use hoopwright_study::rows::{Key, KeyMaker, NoPath, Row};
use hoopwright_study::tolerance::limits::Limits;
use hoopwright_study::tolerance::sample::{Purpose, Sample};
use hoopwright_study::tolerance::samples::{belongs, key, labelled, layout};
use hoopwright_study::vary::solve;

use crate::failure::Failure;
use crate::files;
use crate::output::Talk;
use crate::progress::Bar;
use crate::row_file::RowFile;

/// Samples under way.
pub(crate) struct SampleFile<'a> {
    tolerance: &'a Tolerance,
    limits: &'a Limits,
    /// Key of the study.
    study: Key,
    file: RowFile,
    /// Keys of the samples asked for, in their order.
    asked: Vec<Key>,
    /// Solved in this run.
    pub(crate) solved: usize,
}

impl<'a> SampleFile<'a> {
    /// Takes over what an earlier run of the same study left in the file, finished or not, if there is one. With `force` a file of another
    /// study is as good as none. `measured` are the measured values of each input, empty where there are none.
    ///
    /// # Errors
    /// A file that cannot be read or is of another study.
    pub(crate) fn open(
        (tolerance, limits): (&'a Tolerance, &'a Limits),
        measured: &[Vec<f64>],
        path: Option<PathBuf>,
        force: bool,
    ) -> Result<Self, Failure> {
        let study = key(tolerance, measured);
        let file = RowFile::open(layout(tolerance), (path, &[]), &|row| belongs(row, study), force)?;
        Ok(Self { tolerance, limits, study, file, asked: Vec::new(), solved: 0 })
    }

    /// Rows taken over.
    pub(crate) fn known(&self) -> usize {
        self.file.store.len()
    }

    /// Solves the samples at some places, in their order; each row is in the file as soon as it is finished.
    ///
    /// # Errors
    /// The file cannot be written.
    pub(crate) fn solve(
        &mut self,
        purpose: Purpose,
        places: &[Vec<f64>],
        threads: usize,
        talk: &Talk,
    ) -> Result<Vec<Sample>, Failure> {
        let asked: Vec<Asked> = places.iter().map(|place| Asked::at(self.tolerance, place)).collect();
        let mut open: Vec<usize> = Vec::new();
        for (i, Asked { key, .. }) in asked.iter().enumerate() {
            if self.file.store.get(*key).is_none() && !open.iter().any(|j| asked[*j].key == *key) {
                open.push(i);
            }
        }
        self.solve_open((purpose, &open), (&asked, places), threads, talk)?;
        for Asked { key, .. } in &asked {
            if !self.asked.contains(key) {
                self.asked.push(*key);
                // A row that was taken over tells what this run asks for, whatever the file called it.
                if let Some(row) = self.file.store.get(*key).cloned() {
                    self.file.store.insert(labelled(row, Some(purpose), self.study));
                }
            }
        }
        let sample = |Asked { key, variant }: &Asked| {
            let row = self.file.store.get(*key)?;
            let case = variant.as_ref().map_or_else(|_| self.tolerance.judged(), Variant::judged);
            Some(self.limits.sample(&case, &row.numbers, row.is_answered()))
        };
        Ok(asked.iter().filter_map(sample).collect())
    }

    /// Solves what is open of some places; those that make no case have their rows at once.
    fn solve_open(
        &mut self,
        (purpose, open): (Purpose, &[usize]),
        (asked, places): (&[Asked], &[Vec<f64>]),
        threads: usize,
        talk: &Talk,
    ) -> Result<(), Failure> {
        let (study, before) = (self.study, self.asked.len());
        let of_case: Vec<usize> = open.iter().copied().filter(|i| asked[*i].variant.is_ok()).collect();
        if !open.is_empty() && !self.file.has_begun() {
            let known: Vec<Row> = self.rows().collect();
            self.file.begin(known.iter().enumerate())?;
        }
        for i in open {
            if let Err(reason) = &asked[*i].variant {
                let row = Row::without_path(asked[*i].key, places[*i].clone(), NoPath::NoCase, reason);
                self.file.add(before + i, labelled(row, Some(purpose), study))?;
            }
        }
        let cases: Vec<Variant> = of_case.iter().filter_map(|i| asked[*i].variant.clone().ok()).collect();
        if cases.is_empty() {
            return Ok(());
        }
        let known = self.file.store.len();
        let bar = Bar::new(talk, &format!("sample ({})", purpose.name()), known + cases.len(), known);
        let numbers: Vec<usize> = (0..cases.len()).collect();
        let result = solve((&cases, Scope::Deciding), &numbers, threads, &mut |k, row| {
            self.file.add(before + of_case[k], labelled(row, Some(purpose), study))?;
            if talk.is_verbose() {
                talk.say(&format!("sample {} finished ({})", self.file.store.len(), purpose.name()));
            }
            self.solved += 1;
            bar.advance();
            Ok(())
        });
        bar.clear();
        result
    }

    /// Names and bytes of the whole files, CSV and Parquet; `sources` are the files that the study rests on.
    ///
    /// # Errors
    /// The table cannot be put into a format.
    pub(crate) fn files(&self, sources: &[Source]) -> Result<[(String, Vec<u8>); 2], Failure> {
        files::data("samples", &self.data(), sources)
    }

    fn data(&self) -> Table {
        let rows: Vec<Row> = self.rows().collect();
        study::data(self.file.store.layout(), rows.iter().enumerate())
    }

    /// The rows in the order of asking, then those of an earlier run that were not asked for.
    fn rows(&self) -> impl Iterator<Item = Row> {
        let others = self.file.store.all().into_iter().filter(|row| !self.asked.contains(&row.key));
        let others = others.map(|row| labelled(row.clone(), None, self.study));
        self.ordered().cloned().chain(others)
    }

    fn ordered(&self) -> impl Iterator<Item = &Row> {
        self.asked.iter().filter_map(|key| self.file.store.get(*key))
    }

    /// Number and reason of every sample without an answer.
    pub(crate) fn unanswered(&self) -> Vec<(usize, String)> {
        let rows = self.ordered().enumerate().filter(|(_, row)| !row.is_answered());
        rows.map(|(i, row)| (i + 1, study::reason(row))).collect()
    }

    /// Removes the file of the study under way, once the whole one is written.
    ///
    /// # Errors
    /// It cannot be removed.
    pub(crate) fn finish(&self) -> Result<(), Failure> {
        self.file.finish()
    }
}

/// A place that is asked for.
struct Asked {
    /// Of its case, or of its values where they make none.
    key: Key,
    /// Its case, or why its values make none.
    variant: Result<Variant, String>,
}

impl Asked {
    fn at(tolerance: &Tolerance, place: &[f64]) -> Self {
        let first = |errors: CaseErrors| errors.0.first().map_or(String::new(), CaseError::message);
        let variant = tolerance.variant(place).map_err(first);
        let values = || KeyMaker::default().numbers(place.iter().copied()).key();
        Self { key: variant.as_ref().map_or_else(|_| values(), Key::of_variant), variant }
    }
}
