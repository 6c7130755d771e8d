//! `rig stretch`: logs of stretched beads.

use std::path::{Path, PathBuf};

use hoopwright_bench::fixture::{Compliance as Give, Fixture, FixtureKind};
use hoopwright_bench::stretch::dummy::{Compliance, compliance};
use hoopwright_bench::stretch::{Stretch, analyse, readings};
use hoopwright_report::html::Source;
use hoopwright_report::html::rig::Bench;
use hoopwright_report::rig::{self as report, Row};
use hoopwright_report::{html, svg};

use super::arguments::{self, Output};
use super::logs::{self, Pictures, Progress};
use crate::exit::Exit;
use crate::failure::Failure;
use crate::files::{self, REPORT};
use crate::output::{self, Talk};

const EXAMPLES: &str = "\
Examples:
  hoopwright rig stretch pull.csv --fixture fixture.toml --out out
  hoopwright rig stretch pull.csv --half-discs \"600 mm\"          without a fixture file: defaults
  hoopwright rig stretch pull.csv --fixture fixture.toml --block bead.toml
  hoopwright rig stretch logs --fixture fixture.toml --out out    every .csv there; `hoopwright map`
                                                                  takes out/tyres.csv
Exit code 2 if any log cannot be used, else 3 if any gives no answer.";

/// Tell diameter, stiffness and friction of a bead from force and travel of a fixture that stretches it over several cycles.
#[derive(Debug, clap::Args)]
#[command(after_help = EXAMPLES)]
pub(crate) struct StretchArgs {
    /// Logs, folders of logs, or patterns of their names, as "logs/*.csv".
    #[arg(value_name = "LOG", required = true)]
    logs: Vec<PathBuf>,
    #[command(flatten)]
    on: On,
    #[command(flatten)]
    output: Output,
}

/// What the bead is stretched on.
#[derive(Debug, clap::Args)]
#[group(required = true, multiple = false)]
struct On {
    /// Fixture file; `hoopwright rig fixture FILE` writes one.
    #[arg(long, value_name = "FILE")]
    fixture: Option<PathBuf>,
    /// In place of a fixture file: diameter of two half discs, as in "600 mm".
    #[arg(long, value_name = "DIAMETER", value_parser = arguments::length, allow_hyphen_values = true)]
    half_discs: Option<f64>,
}

/// Reads, prints and writes.
pub(super) fn run(args: &StretchArgs, talk: &Talk) -> Result<Exit, Failure> {
    args.output.prepare()?;
    let mut bench = Bench::default();
    let (fixture, dummy) = fixture(args, &mut bench)?;
    let give = give(&fixture, dummy.as_deref(), &mut bench)?;
    let logs = logs::named(&args.logs, dummy.as_deref())?;
    match logs.as_slice() {
        [log] if logs::is_one(&args.logs) => one(args, log, (&fixture, give), bench, talk),
        _ => many(args, &logs, (&fixture, give), bench, talk),
    }
}

/// The fixture, and where the log of its dummy lies.
fn fixture(args: &StretchArgs, bench: &mut Bench) -> Result<(Fixture, Option<PathBuf>), Failure> {
    let Some(path) = &args.on.fixture else {
        let diameter = args.on.half_discs.unwrap_or(600.0);
        return Ok((Fixture::plain(FixtureKind::HalfDiscs, diameter), None));
    };
    let fixture = arguments::read_fixture(path, bench)?;
    let dummy = match &fixture.compliance {
        Give::Dummy(name) => Some(files::beside(path, name)),
        _ => None,
    };
    Ok((fixture, dummy))
}

/// What the fixture gives, from its stiffness or its dummy.
fn give(fixture: &Fixture, dummy: Option<&Path>, bench: &mut Bench) -> Result<Compliance, Failure> {
    match (&fixture.compliance, dummy) {
        (Give::Stiffness { value, error }, _) => Ok(Compliance::of_stiffness(*value, *error)),
        (Give::Dummy(_), Some(path)) => {
            let read = readings::read(&arguments::log(path, &mut bench.sources)?, fixture);
            let read = read.map_err(|source| Failure::Log { path: path.to_owned(), source })?;
            compliance(read, fixture).map_err(|fault| arguments::no_answer(path, &fault, fault.is_of_head()))
        }
        _ => Ok(Compliance::default()),
    }
}

/// What a log tells.
fn tell(path: &Path, (fixture, give): (&Fixture, Compliance), bench: &mut Bench) -> Result<Stretch, Failure> {
    let read = readings::read(&arguments::log(path, &mut bench.sources)?, fixture);
    let read = read.map_err(|source| Failure::Log { path: path.to_owned(), source })?;
    analyse(read, fixture, give).map_err(|fault| arguments::no_answer(path, &fault, fault.is_of_head()))
}

fn one(args: &StretchArgs, path: &Path, on: (&Fixture, Compliance), mut bench: Bench, talk: &Talk) -> Result<Exit, Failure> {
    let stretch = tell(path, on, &mut bench)?;
    let name = files::name(path);
    let row = Row { id: logs::id(path), log: name.clone(), found: Ok(Box::new(stretch.clone())) };
    let mut list = vec![
        ("stretch.json".to_owned(), report::stretch_document(&name, &stretch).into_bytes()),
        ("stretch.svg".to_owned(), svg::rig::stretch(&name, &stretch).into_bytes()),
    ];
    list.extend(files::data("cycles", &report::cycles(&stretch), &bench.sources)?);
    list.extend(files::data("tyres", &report::tyres(&[row]), &bench.sources)?);
    list.push((REPORT.to_owned(), html::rig::stretch(&bench, on.0, &name, &stretch).into_bytes()));
    args.output.write(("rig stretch", path, &arguments::question(&bench, Some(on.0))), &list, talk)?;
    args.output.write_block(&report::stretch_block(&name, &stretch), talk)?;
    output::print(&if args.output.json {
        report::stretch_document(&name, &stretch)
    } else {
        report::stretch_text(&name, &stretch)
    })?;
    Ok(Exit::Done)
}

fn many(
    args: &StretchArgs,
    logs: &[PathBuf],
    on: (&Fixture, Compliance),
    mut bench: Bench,
    talk: &Talk,
) -> Result<Exit, Failure> {
    let (ids, mut unread) = (logs::ids(logs), Vec::<String>::new());
    let shared = bench.sources.len();
    let (mut progress, mut exit) = (Progress::of(logs.len()), Exit::Done);
    let (mut rows, mut pictures) = (Vec::with_capacity(logs.len()), Pictures::default());
    for (k, (path, id)) in logs.iter().zip(ids).enumerate() {
        let found = tell(path, on, &mut bench);
        if let (Ok(stretch), Some(_)) = (&found, &args.output.out) {
            let log = files::name(path);
            pictures.keep(format!("{id}_stretch.svg"), svg::rig::stretch(&log, stretch));
            let own: Vec<Source> = bench.sources[..shared].iter().chain(bench.sources.last()).cloned().collect();
            pictures.files.extend(files::data(&format!("{id}_cycles"), &report::cycles(stretch), &own)?);
        }
        unread.extend(matches!(found, Err(Failure::ReadLog { .. })).then(|| format!("unread {}", files::name(path))));
        exit = found.as_ref().err().map_or(exit, |failure| logs::worse(exit, failure.exit()));
        // What is shown of many logs needs no rows, which fill the memory.
        let found = found.map(|s| Box::new(Stretch { tension: Vec::new(), length: Vec::new(), ..s }));
        rows.push(Row { id, log: files::name(path), found: found.map_err(|failure| logs::reason(&failure)) });
        progress.tell(k + 1, talk);
    }
    let Pictures { files: mut list, shown } = pictures;
    list.extend(files::data("tyres", &report::tyres(&rows), &bench.sources)?);
    list.push(("stretch.json".to_owned(), report::batch_document(&rows).into_bytes()));
    list.push((REPORT.to_owned(), html::rig::batch(&bench, on.0, &rows, &shown).into_bytes()));
    let mut question = arguments::question(&bench, Some(on.0));
    question.extend_from_slice(&unread);
    args.output.write(("rig stretch", &args.logs[0], &question), &list, talk)?;
    match report::batch_block(&rows) {
        Some(block) => args.output.write_block(&block, talk)?,
        None if args.output.block.is_some() => talk.say("no block written: fewer than two logs have an answer"),
        None => {}
    }
    output::print(&if args.output.json { report::batch_document(&rows) } else { report::batch_text(&rows) })?;
    Ok(exit)
}
