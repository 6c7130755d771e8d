//! `rig growth`: a bead's growth under tension.

use std::path::{Path, PathBuf};

use hoopwright_bench::fixture::Fixture;
use hoopwright_bench::growth::{Fault, Growth, Question, analyse, read};
use hoopwright_case::units::{HOUR, MM, SECOND};
use hoopwright_report::html::rig::Bench;
use hoopwright_report::{html, rig as report, svg};

use super::arguments::{self, Output};
use super::logs::{self, Forms, Names, Pictures};
use crate::exit::Exit;
use crate::failure::Failure;
use crate::files::{self, REPORT};
use crate::output::{self, Talk};

const EXAMPLES: &str = "\
Examples:
  hoopwright rig growth night.csv
  hoopwright rig growth night.csv --until \"1000 h\" --limit \"0.1 mm\" --out out
  hoopwright rig growth night.csv --fixture fixture.toml          travel in place of the diameter
  hoopwright rig growth night.csv --unstretched \"620.4 mm\" --block bead.toml
  hoopwright rig growth \"nights/*.csv\" --out out                  a table of verdicts
Exit code 0 if the bead has settled, 1 if it has not: the growth from the end of the log to
--until, upper end of its 95 % interval, against --limit; of many logs 2 if any cannot be used, else
3 if any gives no answer.";

/// Least diameter without tension over the smallest in the log: beads stretch by less (common practice, no source).
const LEAST: f64 = 0.97;

/// Tell creep per decade of time from a log of diameter against time under a constant tension, and what growth is still to come.
#[derive(Debug, clap::Args)]
#[command(after_help = EXAMPLES)]
pub(crate) struct GrowthArgs {
    /// Logs, folders of logs, or patterns of their names, as "logs/*.csv".
    #[arg(value_name = "LOG", required = true)]
    logs: Vec<PathBuf>,
    /// Fixture file, for logs of travel.
    #[arg(long, value_name = "FILE")]
    fixture: Option<PathBuf>,
    /// Time in the log when the tension was on; the first row's by default.
    #[arg(long, value_name = "TIME", value_parser = arguments::moment, allow_hyphen_values = true)]
    start: Option<f64>,
    /// Time since then from which on growth goes by decades (common practice, no source).
    #[arg(long, value_name = "TIME", value_parser = arguments::time, allow_hyphen_values = true, default_value = "5 min")]
    reference: f64,
    /// Time since the start to extrapolate to; ten times the log's by default.
    #[arg(long, value_name = "TIME", value_parser = arguments::time, allow_hyphen_values = true)]
    until: Option<f64>,
    /// Growth still to come that counts as settled (assumption: no published value read).
    #[arg(long, value_name = "LENGTH", value_parser = arguments::length, allow_hyphen_values = true, default_value = "0.1 mm")]
    limit: f64,
    /// Unstretched diameter as measured before, as by `rig stretch`: the block has it and what it grows by until then.
    #[arg(long, value_name = "DIAMETER", value_parser = arguments::length, allow_hyphen_values = true)]
    unstretched: Option<f64>,
    #[command(flatten)]
    names: Names,
    #[command(flatten)]
    output: Output,
}

/// Reads, prints and writes.
pub(super) fn run(args: &GrowthArgs, talk: &Talk) -> Result<Exit, Failure> {
    if args.output.block.is_some() && args.unstretched.is_none() {
        return Err(Failure::NoUnstretched);
    }
    args.output.prepare()?;
    let mut bench = Bench { asked: asked(args), ..Bench::default() };
    let fixture = args.fixture.as_deref().map(|path| arguments::read_fixture(path, &mut bench)).transpose()?;
    let logs = logs::named(&args.logs, None)?;
    match logs.as_slice() {
        [log] if logs::is_one(&args.logs) => one(args, log, (fixture.as_ref(), bench), talk),
        _ => many(args, &logs, (fixture.as_ref(), bench), talk),
    }
}

/// What a log tells, and its bytes.
fn tell(args: &GrowthArgs, path: &Path, (fixture, bench): (Option<&Fixture>, &mut Bench)) -> Result<(Vec<u8>, Growth), Failure> {
    let bytes = arguments::log(path, &mut bench.sources)?;
    let readings = read(&bytes, fixture).map_err(|source| Failure::Log { path: path.to_owned(), source })?;
    let question = Question { reference: args.reference, start: args.start, until: args.until, limit: args.limit };
    let growth = analyse(&readings, &question).map_err(|fault| failed(path, &fault))?;
    goes_with((args, path), &growth)?;
    Ok((bytes, growth))
}

fn one(args: &GrowthArgs, path: &Path, (fixture, mut bench): (Option<&Fixture>, Bench), talk: &Talk) -> Result<Exit, Failure> {
    let (_, growth) = tell(args, path, (fixture, &mut bench))?;
    let name = files::name(path);
    let document = report::growth_document(&name, &growth);
    let picture = svg::rig::growth(&name, &growth);
    args.output.write(
        ("rig growth", path, &arguments::question(&bench, fixture)),
        &[
            ("growth.json".to_owned(), document.clone().into_bytes()),
            ("growth.svg".to_owned(), picture.into_bytes()),
            (REPORT.to_owned(), html::rig::growth(&bench, &name, &growth).into_bytes()),
        ],
        talk,
    )?;
    if let Some(unstretched) = args.unstretched {
        args.output.write_block(&report::growth_block(&name, &growth, unstretched), talk)?;
    }
    output::print(&if args.output.json { document } else { report::growth_text(&name, &growth) })?;
    Ok(if growth.settled { Exit::Done } else { Exit::LimitNotKept })
}

fn many(
    args: &GrowthArgs,
    logs: &[PathBuf],
    (fixture, mut bench): (Option<&Fixture>, Bench),
    talk: &Talk,
) -> Result<Exit, Failure> {
    args.output.refuse_block()?;
    let mut pictures = Pictures::default();
    let many = logs::ask((logs, &args.names), talk, &mut |path, id| {
        let (bytes, growth) = tell(args, path, (fixture, &mut bench))?;
        if args.output.out.is_some() {
            pictures.keep(format!("{id}_growth.svg"), svg::rig::growth(&files::name(path), &growth));
        }
        Ok((bytes, growth))
    });
    let forms = Forms {
        command: "rig growth",
        title: "Growth under tension",
        named: &args.logs[0],
        exit: many.exit(|growth| growth.settled),
        table: report::growth_table(&many.rows),
        document: report::growths_document(&many.rows),
        text: report::growths_text(&many.rows),
    };
    many.write((&args.output, forms), (&bench, fixture), pictures, talk)
}

/// A fault of what was asked, or of the log.
fn failed(path: &Path, fault: &Fault) -> Failure {
    let (path, reason) = (path.to_owned(), fault.to_string());
    if fault.is_of_question() { Failure::Until { path, reason } } else { Failure::NoReading { path, reason } }
}

/// Refuses a diameter without tension that is none of the bead in the log.
fn goes_with((args, path): (&GrowthArgs, &Path), growth: &Growth) -> Result<(), Failure> {
    let smallest = growth.diameter.iter().copied().fold(f64::INFINITY, f64::min);
    let goes = |unstretched: &f64| (LEAST * smallest..=smallest).contains(unstretched);
    match args.unstretched.filter(|unstretched| !goes(unstretched)) {
        Some(unstretched) => Err(Failure::Unstretched { path: path.to_owned(), unstretched, smallest }),
        None => Ok(()),
    }
}

/// The options as they stand.
fn asked(args: &GrowthArgs) -> Vec<(String, String)> {
    let asked = arguments::asked([
        ("start", args.start.map_or("the first row".to_owned(), |t| SECOND.format(t))),
        ("reference", SECOND.format(args.reference)),
        ("until", args.until.map_or("ten times the log's time".to_owned(), |t| HOUR.format(t))),
        ("limit", MM.format(args.limit)),
    ]);
    asked.into_iter().chain(args.names.asked()).collect()
}
