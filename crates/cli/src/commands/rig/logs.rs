//! Many logs: which they are, what their tyres are called, and how far a batch has come.
//!
//! Folders are opened and patterns expanded here too: some shells hand them over as they are.

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

use hoopwright_bench::fixture::Fixture;
use hoopwright_case::table::{Table, name_of};
use hoopwright_report::data::Table as Data;
use hoopwright_report::html;
use hoopwright_report::html::rig::Bench;
use hoopwright_report::rig::Told;

use super::arguments::{self, Output};
use crate::exit::Exit;
use crate::failure::Failure;
use crate::files::{self, REPORT};
use crate::output::{self, Talk};

/// Most pictures in the report on many logs.
const MOST_SHOWN: usize = 12;
/// Pause between words on how far a batch has come.
const PAUSE: Duration = Duration::from_secs(2);
/// What stands in a pattern and in few names.
const WILD: [char; 3] = ['*', '?', '['];

/// Where names of tyres and rims are from.
#[derive(Debug, clap::Args)]
pub(super) struct Names {
    /// Column of the logs with the tyre's name; the file's name without its ending by default.
    #[arg(long, value_name = "COLUMN")]
    id_column: Option<String>,
    /// Column of the logs with the name of the rim.
    #[arg(long, value_name = "COLUMN", conflicts_with = "rim")]
    rim_column: Option<String>,
    /// Name of the rim that all tyres were on, as `hoopwright pairs` has it.
    #[arg(long, value_name = "NAME")]
    rim: Option<String>,
}

impl Names {
    /// The options as they stand.
    pub(super) fn asked(&self) -> Vec<(String, String)> {
        let all = [("id-column", &self.id_column), ("rim-column", &self.rim_column), ("rim", &self.rim)];
        all.into_iter().filter_map(|(name, value)| Some((name.to_owned(), value.clone()?))).collect()
    }
}

/// Whether one log is named, and no folder or pattern of them.
pub(super) fn is_one(named: &[PathBuf]) -> bool {
    matches!(named, [one] if !one.is_dir() && (one.exists() || !is_pattern(one)))
}

fn is_pattern(path: &Path) -> bool {
    path.to_string_lossy().contains(WILD)
}

/// The logs named, folders opened, patterns expanded; without `but`.
///
/// # Errors
/// A folder cannot be read; it, or a pattern, holds no log.
pub(super) fn named(named: &[PathBuf], but: Option<&Path>) -> Result<Vec<PathBuf>, Failure> {
    let other = |path: &PathBuf| but.is_none_or(|but| path.canonicalize().ok() != but.canonicalize().ok());
    let mut logs = Vec::new();
    for path in named {
        let inside = if path.is_dir() {
            in_folder(path)?
        } else if !path.exists() && is_pattern(path) {
            matching(path)?
        } else {
            logs.push(path.clone());
            continue;
        };
        let before = logs.len();
        logs.extend(inside.into_iter().filter(other));
        if logs.len() == before {
            return Err(Failure::NoLogs { path: path.clone() });
        }
    }
    Ok(logs)
}

fn in_folder(path: &Path) -> Result<Vec<PathBuf>, Failure> {
    let failed = |source| Failure::ReadLog { path: path.to_owned(), source };
    let mut inside = Vec::new();
    for entry in std::fs::read_dir(path).map_err(failed)? {
        let file = entry.map_err(failed)?.path();
        let is_log = file.extension().is_some_and(|ending| ending.eq_ignore_ascii_case("csv"));
        if is_log && file.is_file() {
            inside.push(file);
        }
    }
    inside.sort();
    Ok(inside)
}

/// The files that a pattern names, in the order of their names.
fn matching(pattern: &Path) -> Result<Vec<PathBuf>, Failure> {
    let failed = |reason: &dyn ToString| Failure::Pattern { path: pattern.to_owned(), reason: reason.to_string() };
    let found = glob::glob(&pattern.to_string_lossy()).map_err(|error| failed(&error))?;
    let mut files = found.collect::<Result<Vec<_>, _>>().map_err(|error| failed(&error))?;
    files.retain(|file| file.is_file());
    Ok(files)
}

/// What the tyre of a log is called by its file: its name without the ending.
pub(super) fn id(path: &Path) -> String {
    path.file_stem().map_or_else(|| path.display().to_string(), |stem| stem.to_string_lossy().into_owned())
}

/// Names of the tyres by their files, each once: a name that stands twice has a number behind it, that of its log or the next that no other
/// name has.
pub(super) fn ids(logs: &[PathBuf]) -> Vec<String> {
    let mut times: BTreeMap<String, usize> = BTreeMap::new();
    logs.iter().for_each(|path| *times.entry(id(path)).or_default() += 1);
    let mut taken: BTreeSet<String> = times.keys().cloned().collect();
    let once = |(k, path): (usize, &PathBuf)| {
        let id = id(path);
        if times.get(&id) == Some(&1) {
            return id;
        }
        let mut number = k + 1;
        while !taken.insert(format!("{id}_{number}")) {
            number += 1;
        }
        format!("{id}_{number}")
    };
    logs.iter().enumerate().map(once).collect()
}

/// Pictures of a batch: the files of all, and the first of them for the report.
#[derive(Default)]
pub(super) struct Pictures {
    pub(super) files: Vec<(String, Vec<u8>)>,
    pub(super) shown: Vec<(String, String)>,
}

impl Pictures {
    /// Keeps one under a file's name.
    pub(super) fn keep(&mut self, name: String, svg: String) {
        if self.shown.len() < MOST_SHOWN {
            self.shown.push((name.clone(), svg.clone()));
        }
        self.files.push((name, svg.into_bytes()));
    }
}

/// Whether a batch is to stop being silent, and what it says then.
pub(super) struct Progress {
    start: Instant,
    said: Instant,
    all: usize,
}

impl Progress {
    /// At the first of so many logs.
    pub(super) fn of(all: usize) -> Self {
        Self { start: Instant::now(), said: Instant::now(), all }
    }

    /// After so many.
    pub(super) fn tell(&mut self, done: usize, talk: &Talk) {
        if self.said.elapsed() > PAUSE {
            self.said = Instant::now();
            let left = self.start.elapsed().as_secs_f64() / done as f64 * (self.all - done) as f64;
            talk.say(&format!("{done} of {} logs read, {left:.0} s left", self.all));
        }
    }
}

/// What many logs told, and with which exit code.
pub(super) struct Many<T> {
    pub(super) rows: Vec<Told<T>>,
    /// Those that were not read, for what tells one question from another.
    unread: Vec<String>,
    exit: Exit,
}

/// The answer of many logs in the forms that are written and printed.
pub(super) struct Forms<'a> {
    pub(super) command: &'static str,
    pub(super) title: &'a str,
    /// The first of what was named.
    pub(super) named: &'a Path,
    pub(super) exit: Exit,
    pub(super) table: Data,
    pub(super) document: String,
    pub(super) text: String,
}

impl<T> Many<T> {
    /// The exit code: that of what is wrong with a log, or else whether all are as they should be.
    pub(super) fn exit(&self, well: impl Fn(&T) -> bool) -> Exit {
        let all = self.rows.iter().filter_map(|row| row.found.as_ref().ok()).all(well);
        if self.exit != Exit::Done || all { self.exit } else { Exit::LimitNotKept }
    }

    /// Writes the files and prints what is asked for.
    pub(super) fn write(
        &self,
        (output, forms): (&Output, Forms<'_>),
        (bench, fixture): (&Bench, Option<&Fixture>),
        pictures: Pictures,
        talk: &Talk,
    ) -> Result<Exit, Failure> {
        let mut list = pictures.files;
        list.extend(files::data("verdicts", &forms.table, &bench.sources)?);
        list.push(("verdicts.json".to_owned(), forms.document.clone().into_bytes()));
        let page = html::rig::many(bench, forms.title, (&self.told(), forms.exit == Exit::Done), &forms.table, &pictures.shown);
        list.push((REPORT.to_owned(), page.into_bytes()));
        let question = [arguments::question(bench, fixture), self.unread.clone()].concat();
        output.write((forms.command, forms.named, &question), &list, talk)?;
        output::print(if output.json { &forms.document } else { &forms.text })?;
        Ok(forms.exit)
    }

    /// How many have an answer, in words.
    fn told(&self) -> String {
        let answered = self.rows.iter().filter(|row| row.found.is_ok()).count();
        format!("Found: {answered} of {} logs have an answer", self.rows.len())
    }
}

/// The bytes of a log, and what it tells; its tyre's name by its file is passed on.
type Tell<'a, T> = dyn FnMut(&Path, &str) -> Result<(Vec<u8>, T), Failure> + 'a;

/// Asks each log; one that has no answer hides no other.
pub(super) fn ask<T>((logs, names): (&[PathBuf], &Names), talk: &Talk, tell: &mut Tell<'_, T>) -> Many<T> {
    let (mut progress, mut many) = (Progress::of(logs.len()), Many { rows: Vec::new(), unread: Vec::new(), exit: Exit::Done });
    for (k, (path, id)) in logs.iter().zip(ids(logs)).enumerate() {
        let (mut id, mut rim) = (id, names.rim.clone());
        let found = tell(path, &id).and_then(|(bytes, answer)| {
            if let Some(column) = &names.id_column {
                id = word(path, &bytes, column)?;
            }
            if let Some(column) = &names.rim_column {
                rim = Some(word(path, &bytes, column)?);
            }
            Ok(answer)
        });
        if let Err(failure) = &found {
            many.unread.extend(matches!(failure, Failure::ReadLog { .. }).then(|| format!("unread {}", files::name(path))));
            many.exit = worse(many.exit, failure.exit());
        }
        let found = found.map_err(|failure| reason(&failure));
        many.rows.push(Told { id, rim, log: files::name(path), found });
        progress.tell(k + 1, talk);
    }
    many
}

/// Input that is wrong goes before no answer.
pub(super) fn worse(one: Exit, other: Exit) -> Exit {
    if one == Exit::WrongInput || other == Exit::Done { one } else { other }
}

/// The word that a column of a log has in all its rows.
fn word(path: &Path, bytes: &[u8], column: &str) -> Result<String, Failure> {
    let fault = |reason: String| Failure::Head { path: path.to_owned(), reason };
    let row = |error: hoopwright_case::table::RowError| fault(error.to_string());
    let mut table = Table::open(bytes).map_err(row)?;
    let at = table.head.iter().position(|head| name_of(head) == name_of(column));
    let at = at.ok_or_else(|| fault(format!("its head has no column `{column}`")))?;
    let mut found = String::new();
    while let Some(line) = table.advance().map_err(row)? {
        let cell = table.text(at, line).map_err(row)?;
        if found.is_empty() {
            cell.clone_into(&mut found);
        } else if !cell.is_empty() && cell != found {
            return Err(fault(format!("its line {line} has \"{cell}\" in column `{column}`, and \"{found}\" stands before")));
        }
    }
    if found.is_empty() { Err(fault(format!("its column `{column}` is empty"))) } else { Ok(found) }
}

/// A failure's reason without the name of its file.
pub(super) fn reason(failure: &Failure) -> String {
    match failure {
        Failure::NoReading { reason, .. } | Failure::Head { reason, .. } | Failure::Until { reason, .. } => reason.clone(),
        Failure::Log { source, .. } => source.to_string(),
        Failure::ReadLog { source, .. } => format!("it cannot be read: {source}"),
        other => other.to_string(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_two_logs_share_a_name() {
        let named = |paths: &[&str]| ids(&paths.iter().map(PathBuf::from).collect::<Vec<_>>());
        assert_eq!(named(&["d1/a.csv", "d2/a.csv", "d3/b.csv"]), ["a_1", "a_2", "b"]);
        assert_eq!(named(&["d1/a.csv", "d2/a.csv", "d3/a_2.csv"]), ["a_1", "a_3", "a_2"]);
        assert_eq!(named(&["a_2.csv", "d1/a.csv", "d2/a.csv", "d3/a_2.csv"]), ["a_2_1", "a_3", "a_4", "a_2_4"]);
    }

    #[test]
    fn wrong_input_goes_before_no_answer() {
        let all = [Exit::Done, Exit::NoEquilibrium, Exit::WrongInput, Exit::NoEquilibrium];
        assert_eq!(all.into_iter().fold(Exit::Done, worse), Exit::WrongInput);
        assert_eq!(all[..2].iter().copied().fold(Exit::Done, worse), Exit::NoEquilibrium);
    }
}
