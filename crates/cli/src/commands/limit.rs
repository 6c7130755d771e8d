//! `limit`: the values of one input at which every limit is just kept.

use std::path::PathBuf;

use hoopwright_report::{html, limit, study};
use hoopwright_study::limit::{Search, search};

use crate::case_file::CaseFile;
use crate::exit::Exit;
use crate::failure::Failure;
use crate::files::{self, REPORT};
use crate::limit_file::Solved;
use crate::out_folder::{Asked, OutFolder};
use crate::output::{self, Talk};
use crate::study_file::AtATime;

const EXAMPLES: &str = "\
Examples:
  hoopwright limit tyre.toml bead.diameter --from \"619.5 mm\" --to \"622 mm\"
  hoopwright limit tyre.toml bead.stiffness --from \"200 kN\" --to \"500 kN\" --out out
  hoopwright limit tyre.toml mismatch --from \"0 mm\" --to \"3 mm\" --within \"0.01 mm\"
Any input that is a number: `hoopwright inputs` lists them. First the range is scanned, then
each edge between what keeps the limits and what does not is bracketed. Run the same command
again to resume a stopped run with --out. Exit code 1 if no value of the range keeps every
limit, 3 if none has an answer.";

/// Most values of the scan.
const MOST: usize = 200;

/// Find the values of one input at which every stated limit is just kept, and which limit decides there.
#[derive(Debug, clap::Args)]
#[command(after_help = EXAMPLES)]
pub(crate) struct LimitArgs {
    /// Case file.
    #[arg(value_name = "CASE")]
    case: PathBuf,
    /// Table and key of the input, as in "bead.diameter".
    #[arg(value_name = "INPUT")]
    input: String,
    /// Where the search begins, with its unit.
    #[arg(long, value_name = "VALUE", allow_hyphen_values = true)]
    from: String,
    /// Where the search ends, with its unit.
    #[arg(long, value_name = "VALUE", allow_hyphen_values = true)]
    to: String,
    /// Width to which an edge is closed in on, with its unit; a five-hundredth of the range by default.
    #[arg(long, value_name = "WIDTH")]
    within: Option<String>,
    /// Values of the scan, both ends among them: more find narrower stretches.
    #[arg(long, value_name = "N", default_value = "5", value_parser = scan)]
    scan: usize,
    /// Folder for report.html, limit.csv, limit.parquet and the pictures; made if it does not exist.
    #[arg(long, value_name = "DIR")]
    out: Option<PathBuf>,
    /// Replace results of another search in the folder.
    #[arg(long)]
    force: bool,
    #[command(flatten)]
    at_a_time: AtATime,
    /// Print JSON in place of the table.
    #[arg(long)]
    json: bool,
}

/// A number of values, as typed.
fn scan(text: &str) -> Result<usize, String> {
    text.parse().ok().filter(|n| (2..=MOST).contains(n)).ok_or_else(|| format!("give a whole number from 2 to {MOST}"))
}

/// Searches, prints and writes the answer.
pub(crate) fn run(args: &LimitArgs, talk: &Talk) -> Result<Exit, Failure> {
    let file = CaseFile::open(&args.case)?;
    let one = file.one_input(&args.input, [&args.from, &args.to])?;
    let given = file.given()?;
    let range = one.range;
    let within = args.within.as_deref().map(|text| {
        let width = one.difference(text).map_err(|problem| Failure::argument("--within", &problem))?;
        if width > 0.0 { Ok(width) } else { Err(Failure::EmptyRange) }
    });
    let within = within.transpose()?.unwrap_or((range[1] - range[0]) / 500.0).max(1e-9 * range[1].abs());
    let asked = Search { range, scan: args.scan, within, whole: one.is_whole() };
    let of = Asked { command: "limit", of: &args.case, question: None, main: &[REPORT], force: args.force };
    let folder = args.out.as_deref().map(|path| OutFolder::open(path, &of)).transpose()?;
    let mut solved = Solved::open(&one, &given.case, args.out.as_deref(), args.force)?;
    let threads = args.at_a_time.number();
    let found = search(&asked, &mut |values| solved.round(values, threads, talk))?;
    let (vary, rows) = solved.finished(&found)?;
    let answer =
        limit::Answer { vary: &vary, rows: &rows, fields: &solved.fields, limits: &solved.limits, search: &asked, found: &found };
    if let Some(mut folder) = folder {
        let data = files::data("limit", &study::data(solved.layout(), rows.iter().enumerate()), &given.sources())?;
        let pictures = answer.pictures().into_iter().map(|(name, svg)| (name, svg.into_bytes()));
        let page = (REPORT.to_owned(), html::limit(&given, &answer).into_bytes());
        folder.write(&pictures.chain(data).chain([page]).collect::<Vec<_>>(), talk)?;
        solved.remove_unfinished()?;
    }
    output::print(&if args.json { answer.document() } else { answer.text() })?;
    Ok(if answer.keeps() {
        Exit::Done
    } else if answer.is_unanswered() {
        Exit::NoEquilibrium
    } else {
        Exit::LimitNotKept
    })
}
