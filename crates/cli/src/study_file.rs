//! A study under way: its lines are in its file as soon as they are solved, and those of an earlier run are taken over.

use std::collections::HashMap;
use std::io::ErrorKind;
use std::num::NonZeroUsize;
use std::path::{Path, PathBuf};

use hoopwright_report::html::Source;
use hoopwright_report::study::{Line, Sheet, SheetError};
use hoopwright_solver::case::Vary;
use hoopwright_study::vary::{Scope, solve};

use crate::failure::Failure;
use crate::files;
use crate::growing::{Growing, unfinished};
use crate::output::Talk;
use crate::progress::Bar;

/// Largest file that is looked at as one of an earlier run, bytes: far more than the most variants fill.
const LARGEST: usize = 1 << 26;

/// How many cases are solved at a time.
#[derive(Clone, Copy, Debug, clap::Args)]
pub(crate) struct AtATime {
    /// Cases that are solved at a time; as many as there are processors by default.
    #[arg(long, value_name = "N", value_parser = at_a_time)]
    threads: Option<NonZeroUsize>,
}

impl AtATime {
    /// As asked for, or as many as there are processors.
    pub(crate) fn number(self) -> usize {
        self.threads.or_else(|| std::thread::available_parallelism().ok()).map_or(1, NonZeroUsize::get)
    }
}

/// A number of solves at a time, as typed.
fn at_a_time(text: &str) -> Result<NonZeroUsize, String> {
    text.parse().map_err(|_| "give a whole number from 1".to_owned())
}

/// A study under way: the lines had so far, in the order of the variants, and its file.
pub(crate) struct Study<'a> {
    vary: &'a Vary,
    scope: Scope,
    /// Layout of the file.
    pub(crate) sheet: Sheet,
    hashes: Vec<String>,
    /// The line of each variant, where it is known.
    pub(crate) lines: Vec<Option<Line>>,
    path: PathBuf,
}

impl<'a> Study<'a> {
    /// Takes over what an earlier run of the same study left in the file, finished or not, and what there is in `others`. With `force` a
    /// file of another study is as good as none.
    ///
    /// # Errors
    /// A file that cannot be read or is of another study.
    pub(crate) fn open((vary, scope): (&'a Vary, Scope), path: &Path, others: &[PathBuf], force: bool) -> Result<Self, Failure> {
        let sheet = Sheet::new(vary, scope);
        let hashes: Vec<String> = vary.variants.iter().map(|variant| sheet.hash(&variant.case)).collect();
        let mut known = HashMap::new();
        for file in others.iter().cloned().chain([path.to_owned(), unfinished(path)]) {
            match earlier(&sheet, &hashes, &file) {
                Err(Failure::OtherStudy { .. }) if force => {}
                read => known.extend(read?),
            }
        }
        let take = |(i, hash): (usize, &String)| known.get(hash).map(|line| line.clone().renumbered(i, &vary.variants[i].values));
        let lines = hashes.iter().enumerate().map(take).collect();
        Ok(Self { vary, scope, sheet, hashes, lines, path: path.to_owned() })
    }

    /// The variants that have no line yet.
    pub(crate) fn open_numbers(&self) -> Vec<usize> {
        (0..self.lines.len()).filter(|i| self.lines[*i].is_none()).collect()
    }

    /// Solves some variants; each line is in the file as soon as it is finished. `noun` is what a variant is called.
    ///
    /// # Errors
    /// The file cannot be written.
    pub(crate) fn solve(&mut self, numbers: &[usize], threads: usize, noun: &str, talk: &Talk) -> Result<(), Failure> {
        let all = self.lines.len();
        let bar = Bar::new(talk, noun, numbers.len() + self.lines.iter().flatten().count(), self.lines.iter().flatten().count());
        let mut file = self.begin()?;
        let result = solve((&self.vary.variants, self.scope), numbers, threads, &mut |i, row| {
            let line = self.sheet.line(i, &self.hashes[i], &self.vary.variants[i].values, &row);
            file.add(&line.bytes())?;
            if talk.is_verbose() {
                talk.say(&format!("{noun} {} of {all} finished", i + 1));
            }
            self.lines[i] = Some(line);
            bar.advance();
            Ok(())
        });
        bar.clear();
        result
    }

    /// The file with the head and the lines taken over, open for more: a last line that was torn is gone.
    fn begin(&self) -> Result<Growing, Failure> {
        Growing::begin(&self.path, &self.bytes())
    }

    /// The whole file in the order of the variants.
    pub(crate) fn bytes(&self) -> Vec<u8> {
        self.sheet.data(&self.all()).csv()
    }

    /// The lines in the order of the variants.
    pub(crate) fn all(&self) -> Vec<Line> {
        self.lines.iter().flatten().cloned().collect()
    }

    /// Names and bytes of the whole files, CSV and Parquet; `sources` are the files that the study rests on.
    ///
    /// # Errors
    /// The table cannot be put into a format.
    pub(crate) fn files(&self, sources: &[Source]) -> Result<[(String, Vec<u8>); 2], Failure> {
        let stem = self.path.file_stem().map_or_else(String::new, |stem| stem.to_string_lossy().into_owned());
        files::data(&stem, &self.sheet.data(&self.all()), sources)
    }

    /// Removes the file of the study under way, once the whole one is written.
    ///
    /// # Errors
    /// It cannot be removed.
    pub(crate) fn finish(&self) -> Result<(), Failure> {
        files::remove(&unfinished(&self.path))
    }
}

/// Lines of an earlier run by the hashes of their cases.
fn earlier(sheet: &Sheet, hashes: &[String], path: &Path) -> Result<HashMap<String, Line>, Failure> {
    let bytes = match files::read_limited(path, LARGEST) {
        Ok(bytes) => bytes,
        Err(error) if error.kind() == ErrorKind::NotFound => return Ok(HashMap::new()),
        Err(source) => return Err(Failure::ReadOutput { path: path.to_owned(), source }),
    };
    let text = String::from_utf8_lossy(&bytes);
    let lines = if bytes.len() > LARGEST { Err(SheetError::Head) } else { sheet.lines(&text, hashes) };
    lines.map_err(|source| Failure::OtherStudy { path: path.to_owned(), source })
}
