//! `rig hold`: an inflation test.

use std::path::{Path, PathBuf};

use hoopwright_bench::hold::series::Series;
use hoopwright_bench::hold::{Hold, Question, Verdict, analyse, series};
use hoopwright_case::units::{BAR, PERCENT, SECOND};
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
  hoopwright rig hold test.csv --rated \"5 bar\"                 1.5 times rated for 5 minutes
  hoopwright rig hold test.csv --rated \"5 bar\" --factor 1.1    as ISO 4210-2 asks
  hoopwright rig hold test.csv --rated \"72.5 psi\" --hold \"10 min\" --allowance \"1 %\" --out out
  hoopwright rig hold \"logs/*.csv\" --rated \"5 bar\" --rim R1 --out out   a table of verdicts;
                                              hoopwright pairs takes out/verdicts.csv by --join
(1.5 times: common practice, no source; ISO 4210-2: from memory, read the edition in force.)
Exit code 0 if it was held, 1 if not; of many logs 2 if any cannot be used, else 3 if any gives no
answer. Fill with water, not air; stay behind a shield, pump from a distance.";

/// Tell from a log of pressure against time whether a tyre reached the required pressure, held it, burped, leaked or came off.
#[derive(Debug, clap::Args)]
#[command(after_help = EXAMPLES)]
pub(crate) struct HoldArgs {
    /// Logs, folders of logs, or patterns of their names, as "logs/*.csv".
    #[arg(value_name = "LOG", required = true)]
    logs: Vec<PathBuf>,
    /// Rated pressure.
    #[arg(long, value_name = "PRESSURE", value_parser = arguments::pressure, allow_hyphen_values = true)]
    rated: f64,
    /// Required pressure over rated pressure.
    #[arg(long, value_name = "FACTOR", value_parser = arguments::factor, allow_hyphen_values = true, default_value = "1.5")]
    factor: f64,
    /// Time that it is to be held.
    #[arg(long, value_name = "TIME", value_parser = arguments::time, allow_hyphen_values = true, default_value = "5 min")]
    hold: f64,
    /// Share of the required pressure that may leak in that time (common practice, no source).
    #[arg(long, value_name = "SHARE", value_parser = arguments::share, allow_hyphen_values = true, default_value = "2 %")]
    allowance: f64,
    /// Largest error of the gauge: readings count as that much lower.
    #[arg(long, value_name = "PRESSURE", value_parser = arguments::error_of_pressure, allow_hyphen_values = true, default_value = "0 bar")]
    gauge_error: f64,
    #[command(flatten)]
    names: Names,
    #[command(flatten)]
    output: Output,
}

/// Reads, prints and writes.
pub(super) fn run(args: &HoldArgs, talk: &Talk) -> Result<Exit, Failure> {
    args.output.prepare()?;
    let logs = logs::named(&args.logs, None)?;
    match logs.as_slice() {
        [log] if logs::is_one(&args.logs) => one(args, log, talk),
        _ => many(args, &logs, talk),
    }
}

/// What a log tells, and its bytes.
fn tell(args: &HoldArgs, path: &Path, bench: &mut Bench) -> Result<(Vec<u8>, Hold), Failure> {
    let bytes = arguments::log(path, &mut bench.sources)?;
    let series = series::read(&bytes).map_err(|source| Failure::Log { path: path.to_owned(), source })?;
    let question = Question {
        rated: args.rated,
        factor: args.factor,
        hold: args.hold,
        allowance: args.allowance,
        gauge_error: args.gauge_error,
    };
    let hold = analyse(series, &question).map_err(|fault| arguments::no_answer(path, &fault, fault.is_of_head()))?;
    Ok((bytes, hold))
}

fn one(args: &HoldArgs, path: &Path, talk: &Talk) -> Result<Exit, Failure> {
    let mut bench = Bench { asked: asked(args), ..Bench::default() };
    let (_, hold) = tell(args, path, &mut bench)?;
    let name = files::name(path);
    let document = report::hold_document(&name, &hold);
    let picture = svg::rig::hold(&name, &hold);
    args.output.write(
        ("rig hold", path, &arguments::question(&bench, None)),
        &[
            ("hold.json".to_owned(), document.clone().into_bytes()),
            ("hold.svg".to_owned(), picture.into_bytes()),
            (REPORT.to_owned(), html::rig::hold(&bench, &name, &hold).into_bytes()),
        ],
        talk,
    )?;
    args.output.write_block(&report::hold_block(&name, &hold), talk)?;
    output::print(&if args.output.json { document } else { report::hold_text(&name, &hold) })?;
    Ok(if hold.verdict == Verdict::Held { Exit::Done } else { Exit::LimitNotKept })
}

fn many(args: &HoldArgs, logs: &[PathBuf], talk: &Talk) -> Result<Exit, Failure> {
    args.output.refuse_block()?;
    let mut bench = Bench { asked: asked(args), ..Bench::default() };
    let mut pictures = Pictures::default();
    let many = logs::ask((logs, &args.names), talk, &mut |path, id| {
        let (bytes, hold) = tell(args, path, &mut bench)?;
        if args.output.out.is_some() {
            pictures.keep(format!("{id}_hold.svg"), svg::rig::hold(&files::name(path), &hold));
        }
        // What is shown of many logs needs no readings, which fill the memory.
        let series = Series { time: Vec::new(), pressure: Vec::new(), ..hold.series };
        Ok((bytes, Hold { series, ..hold }))
    });
    let forms = Forms {
        command: "rig hold",
        title: "Inflation tests",
        named: &args.logs[0],
        exit: many.exit(|hold| hold.verdict == Verdict::Held),
        table: report::hold_table(&many.rows),
        document: report::holds_document(&many.rows),
        text: report::holds_text(&many.rows),
    };
    many.write((&args.output, forms), (&bench, None), pictures, talk)
}

/// The options as they stand.
fn asked(args: &HoldArgs) -> Vec<(String, String)> {
    let asked = arguments::asked([
        ("rated", BAR.format(args.rated)),
        ("factor", args.factor.to_string()),
        ("hold", SECOND.format(args.hold)),
        ("allowance", PERCENT.format(args.allowance)),
        ("gauge-error", BAR.format(args.gauge_error)),
    ]);
    asked.into_iter().chain(args.names.asked()).collect()
}
