//! `rig stretch`: logs of stretched beads.

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

use hoopwright_bench::fixture::{Compliance as Give, Fixture, FixtureKind};
use hoopwright_bench::stretch::dummy::{Compliance, compliance};
use hoopwright_bench::stretch::{Stretch, analyse, readings};
use hoopwright_report::html::Source;
use hoopwright_report::html::rig::Bench;
use hoopwright_report::rig::{self as report, Row};
use hoopwright_report::{html, svg};

use super::arguments::{self, Output};
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
Exit code 2 if any log cannot be read, else 3 if any gives no answer.";

/// Most pictures in the report on many logs.
const MOST_SHOWN: usize = 12;
/// Pause between words on how far a batch has come.
const PAUSE: Duration = Duration::from_secs(2);

/// Tell diameter, stiffness and friction of a bead from force and travel of a fixture that stretches it over several cycles.
#[derive(Debug, clap::Args)]
#[command(after_help = EXAMPLES)]
pub(crate) struct StretchArgs {
    /// Logs, or folders of logs.
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
    let logs = logs(&args.logs, dummy.as_deref())?;
    match logs.as_slice() {
        [log] if !args.logs[0].is_dir() => one(args, log, (&fixture, give), bench, talk),
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

/// The logs named, folders opened; without the dummy's.
fn logs(named: &[PathBuf], dummy: Option<&Path>) -> Result<Vec<PathBuf>, Failure> {
    let mut logs = Vec::new();
    let same = |path: &Path| dummy.is_some_and(|dummy| path.canonicalize().ok() == dummy.canonicalize().ok());
    for path in named {
        if !path.is_dir() {
            logs.push(path.clone());
            continue;
        }
        let failed = |source| Failure::ReadLog { path: path.clone(), source };
        let mut inside = Vec::new();
        for entry in std::fs::read_dir(path).map_err(failed)? {
            let file = entry.map_err(failed)?.path();
            let is_log = file.extension().is_some_and(|ending| ending.eq_ignore_ascii_case("csv"));
            if is_log && file.is_file() && !same(&file) {
                inside.push(file);
            }
        }
        if inside.is_empty() {
            return Err(Failure::NoLogs { path: path.clone() });
        }
        inside.sort();
        logs.extend(inside);
    }
    Ok(logs)
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
    let row = Row { id: id(path), log: name.clone(), found: Ok(Box::new(stretch.clone())) };
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

/// What a tyre is called: its file without the ending.
fn id(path: &Path) -> String {
    path.file_stem().map_or_else(|| path.display().to_string(), |stem| stem.to_string_lossy().into_owned())
}

fn many(
    args: &StretchArgs,
    logs: &[PathBuf],
    on: (&Fixture, Compliance),
    mut bench: Bench,
    talk: &Talk,
) -> Result<Exit, Failure> {
    let (ids, mut unread) = (ids(logs), Vec::<String>::new());
    let shared = bench.sources.len();
    let (start, mut said) = (Instant::now(), Instant::now());
    let (mut rows, mut list, mut shown) = (Vec::with_capacity(logs.len()), Vec::new(), Vec::new());
    for (k, (path, id)) in logs.iter().zip(ids).enumerate() {
        let found = tell(path, on, &mut bench);
        if let (Ok(stretch), Some(_)) = (&found, &args.output.out) {
            let log = files::name(path);
            let picture = (format!("{id}_stretch.svg"), svg::rig::stretch(&log, stretch));
            shown.extend((shown.len() < MOST_SHOWN).then(|| picture.clone()));
            list.push((picture.0, picture.1.into_bytes()));
            let own: Vec<Source> = bench.sources[..shared].iter().chain(bench.sources.last()).cloned().collect();
            list.extend(files::data(&format!("{id}_cycles"), &report::cycles(stretch), &own)?);
        }
        unread.extend(matches!(found, Err(Failure::ReadLog { .. })).then(|| format!("unread {}", files::name(path))));
        // What is shown of many logs needs no rows, which fill the memory.
        let found = found.map(|s| Box::new(Stretch { tension: Vec::new(), length: Vec::new(), ..s }));
        rows.push(Row { id, log: files::name(path), found: found.map_err(|failure| reason(&failure)) });
        if said.elapsed() > PAUSE {
            said = Instant::now();
            let left = start.elapsed().as_secs_f64() / (k + 1) as f64 * (logs.len() - k - 1) as f64;
            talk.say(&format!("{} of {} logs read, {left:.0} s left", k + 1, logs.len()));
        }
    }
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
    Ok(if !unread.is_empty() {
        Exit::WrongInput
    } else if rows.iter().any(|row| row.found.is_err()) {
        Exit::NoEquilibrium
    } else {
        Exit::Done
    })
}

/// Names of the tyres, each once: a name that stands twice has a number behind it, that of its log or the next that no other name has.
fn ids(logs: &[PathBuf]) -> Vec<String> {
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

/// A failure's reason without the name of its file.
fn reason(failure: &Failure) -> String {
    match failure {
        Failure::NoReading { reason, .. } | Failure::Head { reason, .. } => reason.clone(),
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
}
