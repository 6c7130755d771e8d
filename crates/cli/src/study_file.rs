//! A study under way: its rows are in its file as soon as they are solved, and those of an earlier run are taken over.

use std::collections::HashSet;
use std::num::NonZeroUsize;
use std::path::{Path, PathBuf};
use std::time::Instant;

use hoopwright_case::Vary;
use hoopwright_report::html::Source;
use hoopwright_report::study;
use hoopwright_study::rows::Scope;
use hoopwright_study::rows::{Key, Layout, Part, Row};
use hoopwright_study::vary::solve;

use crate::exit::Exit;
use crate::failure::Failure;
use crate::files;
use crate::output::Talk;
use crate::parts::{Parts, file_of};
use crate::progress::Bar;
use crate::row_file::RowFile;

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

/// A study under way: the rows had so far, in the order of the variants, and their file.
pub(crate) struct Study<'a> {
    vary: &'a Vary,
    scope: Scope,
    /// The row of each variant, where it is known.
    pub(crate) rows: Vec<Option<Row>>,
    file: RowFile,
    path: PathBuf,
}

impl<'a> Study<'a> {
    /// Takes over what an earlier run of the same study left in the file, finished or not, and what its parts have left beside it. With
    /// `force` a file of another study is as good as none. Parts that are missing are told.
    ///
    /// # Errors
    /// A file that cannot be read or is of another study.
    pub(crate) fn open(asked: (&'a Vary, Scope), path: &Path, force: bool, talk: &Talk) -> Result<Self, Failure> {
        let parts = Parts::beside(path)?;
        let study = Self::of_files(asked, path, &parts.files(), force)?;
        parts.tell(study.open_numbers().len(), talk);
        Ok(study)
    }

    /// Solves one part of a study into a file of its own, beside where that of the whole study, `path`, is to be.
    ///
    /// # Errors
    /// A file that cannot be read or written, or is of another study.
    pub(crate) fn solve_part(
        asked: (&'a Vary, Scope),
        (path, part): (&Path, Part),
        force: bool,
        (threads, noun): (usize, &str),
        talk: &Talk,
    ) -> Result<Exit, Failure> {
        let path = file_of(path, part);
        let mut study = Self::of_files(asked, &path, &[], force)?;
        let mut open = study.open_numbers();
        open.retain(|number| part.takes(*number));
        study.solve_timed(&open, threads, noun, talk)?;
        files::write_whole(&path, &study.bytes(), true)?;
        study.finish()?;
        talk.say(&format!("part {part} written to {}", path.display()));
        Ok(Exit::Done)
    }

    fn of_files((vary, scope): (&'a Vary, Scope), path: &Path, others: &[PathBuf], force: bool) -> Result<Self, Failure> {
        let keys: Vec<Key> = vary.variants.iter().map(Key::of_variant).collect();
        let known: HashSet<Key> = keys.iter().copied().collect();
        let belongs = |row: &Row| known.contains(&row.key);
        let file = RowFile::open(Layout::of(vary, scope), (Some(path.to_owned()), others), &belongs, force)?;
        // The same case may be another variant of this study.
        let take = |(i, key): (usize, &Key)| {
            file.store.get(*key).map(|row| Row { inputs: vary.variants[i].values.clone(), ..row.clone() })
        };
        let rows = keys.iter().enumerate().map(take).collect();
        Ok(Self { vary, scope, rows, file, path: path.to_owned() })
    }

    /// The variants that have no row yet.
    pub(crate) fn open_numbers(&self) -> Vec<usize> {
        (0..self.rows.len()).filter(|i| self.rows[*i].is_none()).collect()
    }

    /// Solves some variants; each row is in the file as soon as it is finished. `noun` is what a variant is called.
    ///
    /// # Errors
    /// The file cannot be written.
    pub(crate) fn solve(&mut self, numbers: &[usize], threads: usize, noun: &str, talk: &Talk) -> Result<(), Failure> {
        let (all, known) = (self.rows.len(), self.rows.iter().flatten().count());
        let bar = Bar::new(talk, noun, numbers.len() + known, known);
        self.file.begin(numbered(&self.rows))?;
        let result = solve((&self.vary.variants, self.scope), numbers, threads, &mut |i, row| {
            self.file.add(i, row.clone())?;
            if talk.is_verbose() {
                talk.say(&format!("{noun} {} of {all} finished", i + 1));
            }
            self.rows[i] = Some(row);
            bar.advance();
            Ok(())
        });
        bar.clear();
        result
    }

    /// Solves some variants and tells how fast that went.
    ///
    /// # Errors
    /// The file cannot be written.
    pub(crate) fn solve_timed(&mut self, numbers: &[usize], threads: usize, noun: &str, talk: &Talk) -> Result<(), Failure> {
        if numbers.is_empty() {
            return Ok(());
        }
        let start = Instant::now();
        self.solve(numbers, threads, noun, talk)?;
        let (solved, seconds) = (numbers.len(), start.elapsed().as_secs_f64());
        talk.say(&format!("{solved} {noun}s solved in {seconds:.1} s, {:.2} a second", solved as f64 / seconds));
        Ok(())
    }

    /// The whole file in the order of the variants.
    fn bytes(&self) -> Vec<u8> {
        self.file.store.layout().file(numbered(&self.rows))
    }

    /// The rows in the order of the variants.
    pub(crate) fn all(&self) -> Vec<Row> {
        self.rows.iter().flatten().cloned().collect()
    }

    /// Names and bytes of the whole files, CSV and Parquet; `sources` are the files that the study rests on.
    ///
    /// # Errors
    /// The table cannot be put into a format.
    pub(crate) fn files(&self, sources: &[Source]) -> Result<[(String, Vec<u8>); 2], Failure> {
        let stem = self.path.file_stem().map_or_else(String::new, |stem| stem.to_string_lossy().into_owned());
        files::data(&stem, &study::data(self.file.store.layout(), numbered(&self.rows)), sources)
    }

    /// Removes the file of the study under way, once the whole one is written.
    ///
    /// # Errors
    /// It cannot be removed.
    pub(crate) fn finish(&self) -> Result<(), Failure> {
        self.file.finish()
    }
}

/// The rows that are known, each with the number of its variant.
fn numbered(rows: &[Option<Row>]) -> impl Iterator<Item = (usize, &Row)> {
    rows.iter().enumerate().filter_map(|(i, row)| Some((i, row.as_ref()?)))
}
