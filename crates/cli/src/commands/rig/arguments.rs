//! What the commands of a bench share: typed quantities, logs, files.

use std::path::{Path, PathBuf};

use hoopwright_bench::fixture::{self, Fixture};
use hoopwright_bench::log::LARGEST_LOG;
use hoopwright_case::units::{Dimension, parse};
use hoopwright_report::contents;
use hoopwright_report::html::Source;
use hoopwright_report::html::rig::Bench;

use crate::failure::Failure;
use crate::files::{self, REPORT, name};
use crate::out_folder::{Asked, OutFolder};
use crate::output::Talk;

/// Where results go.
#[derive(Debug, clap::Args)]
pub(super) struct Output {
    /// Folder for report.html, JSON, tables (CSV and Parquet) and pictures; made if it does not exist.
    #[arg(long, value_name = "DIR")]
    pub(super) out: Option<PathBuf>,
    /// Print the result as JSON in place of the table.
    #[arg(long)]
    pub(super) json: bool,
    /// File for a block to paste into a case.
    #[arg(long, value_name = "FILE")]
    pub(super) block: Option<PathBuf>,
    /// Overwrite the file of the block if it exists, and results of other logs in the folder.
    #[arg(long)]
    force: bool,
}

impl Output {
    /// Refuses before any work a block that would overwrite a file; makes the folder.
    pub(super) fn prepare(&self) -> Result<(), Failure> {
        self.block.as_deref().map_or(Ok(()), |path| files::refuse_taken(path, self.force))?;
        self.out.as_deref().map_or(Ok(()), files::make_folder)
    }

    /// Refuses a block of many logs: each is a case of its own.
    pub(super) fn refuse_block(&self) -> Result<(), Failure> {
        if self.block.is_some() { Err(Failure::BlockOfMany) } else { Ok(()) }
    }

    /// Writes the block if one is wanted.
    pub(super) fn write_block(&self, text: &str, talk: &Talk) -> Result<(), Failure> {
        let Some(path) = &self.block else { return Ok(()) };
        files::write_whole(path, text.as_bytes(), self.force)?;
        talk.say(&format!("block written to {}", path.display()));
        Ok(())
    }

    /// Writes files into the folder if there is one: the results of a command on a log, by what [`question`] tells of it.
    pub(super) fn write(
        &self,
        (command, of, asked): (&'static str, &Path, &[String]),
        list: &[(String, Vec<u8>)],
        talk: &Talk,
    ) -> Result<(), Failure> {
        let Some(folder) = &self.out else { return Ok(()) };
        let asked = Asked { command, of, question: Some(contents::question(&asked)), main: &[REPORT], force: self.force };
        OutFolder::open(folder, &asked)?.write(list, talk)
    }
}

/// The bytes of a log, which joins the `sources`.
pub(super) fn log(path: &Path, sources: &mut Vec<Source>) -> Result<Vec<u8>, Failure> {
    let bytes = files::read_limited(path, LARGEST_LOG).map_err(|source| Failure::ReadLog { path: path.to_owned(), source })?;
    sources.push(Source::new(format!("log {}", name(path)), &bytes));
    Ok(bytes)
}

/// A log without an answer: because of its head, or of what was logged.
pub(super) fn no_answer(path: &Path, fault: &dyn ToString, of_head: bool) -> Failure {
    let (path, reason) = (path.to_owned(), fault.to_string());
    if of_head { Failure::Head { path, reason } } else { Failure::NoReading { path, reason } }
}

/// Reads a fixture file, which goes into the report.
pub(super) fn read_fixture(path: &Path, bench: &mut Bench) -> Result<Fixture, Failure> {
    let text = files::read_text_of(path, |path, source| Failure::ReadFixture { path, source })?;
    bench.sources.push(Source::new(format!("fixture {}", name(path)), text.as_bytes()));
    bench.fixture = Some(text.clone());
    fixture::read(&text).map_err(|errors| Failure::Case { path: path.to_owned(), text, errors })
}

/// What tells one question from another: what was asked, the fixture as read, names and contents of the logs, whatever led to them.
pub(super) fn question(bench: &Bench, fixture: Option<&Fixture>) -> Vec<String> {
    // The fixture's file comes first where there is one, and its comments ask nothing.
    let logs = bench.sources.iter().skip(usize::from(bench.fixture.is_some()));
    let mut logs: Vec<String> = logs.map(|source| format!("{source:?}")).collect();
    logs.sort();
    [vec![format!("{:?}", bench.asked), format!("{fixture:?}")], logs].concat()
}

/// What was asked, for the report.
pub(super) fn asked<const N: usize>(rows: [(&str, String); N]) -> Vec<(String, String)> {
    rows.into_iter().map(|(name, value)| (name.to_owned(), value)).collect()
}

fn quantity(text: &str, dimension: Dimension) -> Result<f64, String> {
    parse(text, dimension).map_err(|error| format!("{error}; {}", error.remedy()))
}

fn positive(value: f64) -> Result<f64, String> {
    if value > 0.0 { Ok(value) } else { Err("it must be more than zero".to_owned()) }
}

/// A time over zero, s.
pub(super) fn time(text: &str) -> Result<f64, String> {
    quantity(text, Dimension::Time).and_then(positive)
}

/// Any time, s.
pub(super) fn moment(text: &str) -> Result<f64, String> {
    quantity(text, Dimension::Time)
}

/// A length over zero, mm.
pub(super) fn length(text: &str) -> Result<f64, String> {
    quantity(text, Dimension::Length).and_then(positive)
}

/// A pressure over zero, MPa.
pub(super) fn pressure(text: &str) -> Result<f64, String> {
    quantity(text, Dimension::Pressure).and_then(positive)
}

/// A pressure of zero or more, MPa.
pub(super) fn error_of_pressure(text: &str) -> Result<f64, String> {
    let value = quantity(text, Dimension::Pressure)?;
    if value >= 0.0 { Ok(value) } else { Err("it must not be negative".to_owned()) }
}

/// A share from 0 to under 1.
pub(super) fn share(text: &str) -> Result<f64, String> {
    let value = quantity(text, Dimension::Number)?;
    if (0.0..1.0).contains(&value) { Ok(value) } else { Err("give 0 % to under 100 %".to_owned()) }
}

/// A factor from 1 to 3, as a case's.
pub(super) fn factor(text: &str) -> Result<f64, String> {
    let value = quantity(text, Dimension::Number)?;
    if (1.0..=3.0).contains(&value) { Ok(value) } else { Err("give 1 to 3".to_owned()) }
}
