//! `rig hold`: an inflation test.

use std::path::PathBuf;

use hoopwright_bench::hold::{Question, Verdict, analyse, series};
use hoopwright_case::units::{BAR, PERCENT, SECOND};
use hoopwright_report::html::rig::Bench;
use hoopwright_report::{html, rig as report, svg};

use super::arguments::{self, Output};
use crate::exit::Exit;
use crate::failure::Failure;
use crate::files::{self, REPORT};
use crate::output::{self, Talk};

const EXAMPLES: &str = "\
Examples:
  hoopwright rig hold test.csv --rated \"5 bar\"                 1.5 times rated for 5 minutes
  hoopwright rig hold test.csv --rated \"5 bar\" --factor 1.1    as ISO 4210-2 asks
  hoopwright rig hold test.csv --rated \"72.5 psi\" --hold \"10 min\" --allowance \"1 %\" --out out
(1.5 times: common practice, no source; ISO 4210-2: from memory, read the edition in force.)
Exit code 0 if it was held, 1 if not. Fill with water, not air; stay behind a shield, pump from a
distance.";

/// Tell from a log of pressure against time whether a tyre reached the required pressure, held it, burped, leaked or came off.
#[derive(Debug, clap::Args)]
#[command(after_help = EXAMPLES)]
pub(crate) struct HoldArgs {
    /// Log.
    #[arg(value_name = "LOG")]
    log: PathBuf,
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
    output: Output,
}

/// Reads, prints and writes.
pub(super) fn run(args: &HoldArgs, talk: &Talk) -> Result<Exit, Failure> {
    args.output.prepare()?;
    let path = &args.log;
    let mut bench = Bench { asked: asked(args), ..Bench::default() };
    let series =
        series::read(&arguments::log(path, &mut bench.sources)?).map_err(|source| Failure::Log { path: path.clone(), source })?;
    let question = Question {
        rated: args.rated,
        factor: args.factor,
        hold: args.hold,
        allowance: args.allowance,
        gauge_error: args.gauge_error,
    };
    let hold = analyse(series, &question).map_err(|fault| arguments::no_answer(path, &fault, fault.is_of_head()))?;
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

/// The options as they stand.
fn asked(args: &HoldArgs) -> Vec<(String, String)> {
    arguments::asked([
        ("rated", BAR.format(args.rated)),
        ("factor", args.factor.to_string()),
        ("hold", SECOND.format(args.hold)),
        ("allowance", PERCENT.format(args.allowance)),
        ("gauge-error", BAR.format(args.gauge_error)),
    ])
}
