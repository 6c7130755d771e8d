//! `vary`: the main job over a list or grid of values.

use std::path::PathBuf;

use hoopwright_report::{html, study as report, svg};
use hoopwright_study::rows::Scope;
use hoopwright_study::rows::{Outcome, Row};

use crate::case_file::CaseFile;
use crate::exit::Exit;
use crate::failure::Failure;
use crate::files::REPORT;
use crate::out_folder::{Asked, OutFolder};
use crate::output::{self, Talk};
use crate::parts::Share;
use crate::study_file::{AtATime, Study};

const EXAMPLES: &str = "\
In the case file:
  [vary]
  combine = \"grid\"            # every value with every other; \"list\": the n-th values together
  \"rim.seat_diameter\" = [\"621.5 mm\", \"621.95 mm\", \"622.4 mm\"]
  \"rim.flange_height\" = { from = \"5 mm\", to = \"6.5 mm\", count = 4 }

Examples:
  hoopwright review tyre.toml             how many variants
  hoopwright vary tyre.toml --out out    out/report.html, out/vary.csv, out/vary.parquet, pictures
  hoopwright vary tyre.toml --out out --part 1/2   every other variant; out/vary_1_of_2.csv beside
                                         out/vary_2_of_2.csv are joined by the same command
                                         without --part
Run the same command again to resume a stopped run. Exit code 3 if any variant
has no answer, else 1 if any does not keep a limit.";

/// Name of the file in the output folder.
const FILE: &str = "vary.csv";

/// Assess a case over the list or grid of values of its table vary; a table on standard output, report, data and pictures in the folder.
#[derive(Debug, clap::Args)]
#[command(after_help = EXAMPLES)]
pub(crate) struct VaryArgs {
    /// Case file.
    #[arg(value_name = "CASE")]
    case: PathBuf,
    /// Folder for report.html, vary.csv, vary.parquet and the pictures; made if it does not exist.
    #[arg(long, value_name = "DIR")]
    out: PathBuf,
    /// Replace results of another case in the folder.
    #[arg(long)]
    force: bool,
    #[command(flatten)]
    at_a_time: AtATime,
    #[command(flatten)]
    share: Share,
    /// Print the rows as JSON in place of the table.
    #[arg(long)]
    json: bool,
}

/// Solves the variants, prints and writes their rows.
pub(crate) fn run(args: &VaryArgs, talk: &Talk) -> Result<Exit, Failure> {
    let file = CaseFile::open(&args.case)?;
    let vary = file.variants()?.ok_or_else(|| Failure::NoVariants { path: args.case.clone() })?;
    let given = file.given()?;
    let asked = Asked { command: "vary", of: &args.case, question: None, main: &[REPORT], force: args.force };
    let mut folder = OutFolder::open(&args.out, &asked)?;
    let (whole, threads) = (args.out.join(FILE), args.at_a_time.number());
    if let Some(part) = args.share.part {
        return Study::solve_part((&vary, Scope::Whole), (&whole, part), args.force, (threads, "variant"), talk);
    }
    let mut study = Study::open((&vary, Scope::Whole), &whole, args.force, talk)?;
    let (open, all) = (study.open_numbers(), vary.variants.len());
    talk.say(&match all - open.len() {
        0 => format!("{all} variants, up to {threads} at a time"),
        known => format!("{all} variants, {known} of them kept from an earlier run; up to {threads} at a time"),
    });
    study.solve(&open, threads, "variant", talk)?;
    let rows = study.all();
    let pictures = svg::family::pictures(&vary, &rows).into_iter().map(|(name, svg)| (name, svg.into_bytes()));
    let page = (REPORT.to_owned(), html::vary(&given, &vary, &rows).into_bytes());
    let list: Vec<_> = pictures.chain(study.files(&given.sources())?).chain([page]).collect();
    folder.write(&list, talk)?;
    study.finish()?;
    output::print(&if args.json { report::document(&vary, &rows) } else { report::table(&vary, &rows) })?;
    Ok(exit(&rows))
}

fn exit(rows: &[Row]) -> Exit {
    let any = |outcome| rows.iter().any(|row| row.outcome() == outcome);
    if any(Outcome::NoAnswer) {
        Exit::NoEquilibrium
    } else if any(Outcome::LimitNotKept) {
        Exit::LimitNotKept
    } else {
        Exit::Done
    }
}
