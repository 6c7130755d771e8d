//! The samples of a study of tolerances under way: each is in the file as soon as it is solved, and those of an earlier run are taken over.

use std::collections::HashMap;
use std::io::ErrorKind;
use std::path::{Path, PathBuf};

use hoopwright_report::data::Table;
use hoopwright_report::html::Source;
use hoopwright_report::study::{Line, SheetError};
use hoopwright_report::tolerance::{EARLIER, Samples, purpose as word};
use hoopwright_solver::case::{Tolerance, Variant};
use hoopwright_study::tolerance::limits::Limits;
use hoopwright_study::tolerance::sample::{Purpose, Sample};
use hoopwright_study::vary::{Row, Scope, solve};

use crate::failure::Failure;
use crate::files;
use crate::growing::{Growing, unfinished};
use crate::output::Talk;
use crate::progress::Bar;

/// Largest file that is looked at as one of an earlier run, bytes.
const LARGEST: usize = 1 << 26;

/// Samples under way.
pub(crate) struct SampleFile<'a> {
    tolerance: &'a Tolerance,
    limits: &'a Limits,
    samples: Samples,
    /// Lines that are known, with their purposes, by the hashes of their cases.
    known: HashMap<String, (String, Line)>,
    /// Hashes of the samples asked for, in their order.
    asked: Vec<String>,
    path: Option<PathBuf>,
    /// Solved in this run.
    pub(crate) solved: usize,
}

impl<'a> SampleFile<'a> {
    /// Takes over what an earlier run of the same study left in the file, finished or not, if there is one. With `force` a file of another
    /// study is as good as none.
    ///
    /// # Errors
    /// A file that cannot be read or is of another study.
    pub(crate) fn open(
        (tolerance, limits): (&'a Tolerance, &'a Limits),
        samples: Samples,
        path: Option<PathBuf>,
        force: bool,
    ) -> Result<Self, Failure> {
        let mut known = HashMap::new();
        for file in path.iter().flat_map(|path| [path.clone(), unfinished(path)]) {
            match earlier(&samples, &file) {
                Err(Failure::OtherStudy { .. }) if force => {}
                read => known.extend(read?),
            }
        }
        Ok(Self { tolerance, limits, samples, known, asked: Vec::new(), path, solved: 0 })
    }

    /// Lines taken over.
    pub(crate) fn known(&self) -> usize {
        self.known.len()
    }

    /// Solves the samples at some places, in their order; each line is in the file as soon as it is finished.
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
        let variants: Vec<Result<Variant, String>> = places.iter().map(|place| self.variant(place)).collect();
        let hash = |i: usize| variants[i].as_ref().map_or_else(|_| format!("{:?}", places[i]), |v| self.samples.hash(v));
        let hashes: Vec<String> = (0..places.len()).map(hash).collect();
        let mut open: Vec<usize> = Vec::new();
        for i in 0..places.len() {
            if !self.known.contains_key(&hashes[i]) && !open.iter().any(|j| hashes[*j] == hashes[i]) {
                open.push(i);
            }
        }
        let cases: Vec<Variant> = open.iter().filter_map(|i| variants[*i].clone().ok()).collect();
        let of_case: Vec<usize> = open.iter().copied().filter(|i| variants[*i].is_ok()).collect();
        for i in open.iter().filter(|i| variants[**i].is_err()) {
            let reason = variants[*i].as_ref().err().cloned().unwrap_or_default();
            let line = self.samples.line(*i, &hashes[*i], &places[*i], &Row::unanswered(reason));
            self.known.insert(hashes[*i].clone(), (word(purpose).to_owned(), line));
        }
        self.solve_cases((purpose, &cases), (&of_case, &hashes), threads, talk)?;
        for hash in &hashes {
            if !self.asked.contains(hash) {
                self.asked.push(hash.clone());
                // A line that was taken over tells what this run asks for, whatever the file called it.
                if let Some((known, _)) = self.known.get_mut(hash) {
                    word(purpose).clone_into(known);
                }
            }
        }
        let sample = |(hash, variant): (&String, &Result<Variant, String>)| {
            let line = self.known.get(hash).map(|(_, line)| line)?;
            let case = variant.as_ref().map_or_else(|_| self.tolerance.judged(), Variant::judged);
            Some(self.limits.sample(&case, &self.samples.numbers(line), self.samples.answered(line)))
        };
        Ok(hashes.iter().zip(&variants).filter_map(sample).collect())
    }

    fn variant(&self, place: &[f64]) -> Result<Variant, String> {
        let first = |errors: hoopwright_solver::case::CaseErrors| errors.0.first().map_or(String::new(), |e| e.message());
        self.tolerance.variant(place).map_err(first)
    }

    fn solve_cases(
        &mut self,
        (purpose, cases): (Purpose, &[Variant]),
        (of_case, hashes): (&[usize], &[String]),
        threads: usize,
        talk: &Talk,
    ) -> Result<(), Failure> {
        if cases.is_empty() {
            return Ok(());
        }
        let before = self.known.len();
        let bar = Bar::new(talk, &format!("sample ({})", word(purpose)), before + cases.len(), before);
        let mut file = self.begin()?;
        let numbers: Vec<usize> = (0..cases.len()).collect();
        let result = solve((cases, Scope::Deciding), &numbers, threads, &mut |k, row| {
            let hash = &hashes[of_case[k]];
            let line = self.samples.line(self.asked.len() + of_case[k], hash, &cases[k].values, &row);
            if let Some(file) = &mut file {
                file.add(&self.samples.bytes(word(purpose), &line))?;
            }
            if talk.is_verbose() {
                talk.say(&format!("sample {} finished ({})", self.known.len() + 1, word(purpose)));
            }
            self.known.insert(hash.clone(), (word(purpose).to_owned(), line));
            self.solved += 1;
            bar.advance();
            Ok(())
        });
        bar.clear();
        result
    }

    /// The file with the head and the lines known, open for more: a last line that was torn is gone.
    fn begin(&self) -> Result<Option<Growing>, Failure> {
        self.path.as_deref().map(|path| Growing::begin(path, &self.data().csv())).transpose()
    }

    /// Names and bytes of the whole files, CSV and Parquet; `sources` are the files that the study rests on.
    ///
    /// # Errors
    /// The table cannot be put into a format.
    pub(crate) fn files(&self, sources: &[Source]) -> Result<[(String, Vec<u8>); 2], Failure> {
        files::data("samples", &self.data(), sources)
    }

    /// The lines in the order of asking, numbered so, then those of an earlier run that were not asked for.
    fn data(&self) -> Table {
        let mut others: Vec<&String> = self.known.keys().filter(|hash| !self.asked.contains(hash)).collect();
        others.sort();
        let others = others.into_iter().filter_map(|hash| self.known.get(hash)).enumerate();
        let others = others.map(|(i, (_, line))| (EARLIER, line.clone().renumbered(self.asked.len() + i, &[])));
        self.samples.data(self.ordered().chain(others))
    }

    fn ordered(&self) -> impl Iterator<Item = (&str, Line)> {
        let known = self.asked.iter().filter_map(|hash| self.known.get(hash));
        known.enumerate().map(|(i, (purpose, line))| (purpose.as_str(), line.clone().renumbered(i, &[])))
    }

    /// Number and reason of every sample without an answer.
    pub(crate) fn unanswered(&self) -> Vec<(usize, String)> {
        let lines = self.ordered().enumerate().filter(|(_, (_, line))| !self.samples.answered(line));
        lines.map(|(i, (_, line))| (i + 1, self.samples.reason(&line).to_owned())).collect()
    }

    /// Removes the file of the study under way, once the whole one is written.
    ///
    /// # Errors
    /// It cannot be removed.
    pub(crate) fn finish(&self) -> Result<(), Failure> {
        self.path.as_deref().map_or(Ok(()), |path| files::remove(&unfinished(path)))
    }
}

/// Lines of an earlier run.
fn earlier(samples: &Samples, path: &Path) -> Result<HashMap<String, (String, Line)>, Failure> {
    let bytes = match files::read_limited(path, LARGEST) {
        Ok(bytes) => bytes,
        Err(error) if error.kind() == ErrorKind::NotFound => return Ok(HashMap::new()),
        Err(source) => return Err(Failure::ReadOutput { path: path.to_owned(), source }),
    };
    let text = String::from_utf8_lossy(&bytes);
    let lines = if bytes.len() > LARGEST { Err(SheetError::Head) } else { samples.lines(&text) };
    lines.map_err(|source| Failure::OtherStudy { path: path.to_owned(), source })
}
