//! `service`: the margins after creep and when hot.

use std::path::PathBuf;

use hoopwright_report::{html, service};
use hoopwright_solver::result::Finding;
use hoopwright_study::rows::KeyMaker;
use hoopwright_study::service::{Condition, solve};

use crate::case_file::CaseFile;
use crate::exit::Exit;
use crate::failure::Failure;
use crate::files::{self, REPORT};
use crate::out_folder::{Asked, OutFolder};
use crate::output::{self, Talk};
use crate::progress::Bar;
use crate::study_file::AtATime;

const EXAMPLES: &str = "\
In the case file; every key has a default with a source (`hoopwright inputs service` lists them):
  [service]
  life = \"1000 d\"               # time inflated
  bead_creep = \"0.008 %\"        # in a decade of time, under creep_tension
  creep_tension = \"1500 N\"
  hot_rim = \"100 degC\"
  hot_air = \"35 degC\"
  rim_expansion = \"23.6e-6 /K\"  # near 0 for a laminate
  hot_friction = 0.2

Examples:
  hoopwright service tyre.toml             margins cold and new, after a hold, after a life, and hot
  hoopwright service tyre.toml --out out   also a report, out/service.csv, out/service.parquet
Exit code 3 if any condition has no answer, else 1 if any does not keep a limit.";

/// Its files.
const MAIN: [&str; 2] = ["service.csv", REPORT];

/// The margins of a case in service: new, after a hold, after a life, and hot.
#[derive(Debug, clap::Args)]
#[command(after_help = EXAMPLES)]
pub(crate) struct ServiceArgs {
    /// Case file.
    #[arg(value_name = "CASE")]
    case: PathBuf,
    /// Folder for report.html, service.csv and service.parquet; made if it does not exist.
    #[arg(long, value_name = "DIR")]
    out: Option<PathBuf>,
    /// Replace results of another case in the folder.
    #[arg(long)]
    force: bool,
    #[command(flatten)]
    at_a_time: AtATime,
    /// Print JSON in place of the table.
    #[arg(long)]
    json: bool,
}

/// Solves the conditions, prints and writes them.
pub(crate) fn run(args: &ServiceArgs, talk: &Talk) -> Result<Exit, Failure> {
    let file = CaseFile::open(&args.case)?;
    let (given, asked) = (file.given()?, file.service()?);
    let question = Some(KeyMaker::default().case(&given.case).service(&asked).key().to_string());
    let of = Asked { command: "service", of: &args.case, question, main: &MAIN, force: args.force };
    let folder = args.out.as_deref().map(|path| OutFolder::open(path, &of)).transpose()?;
    let bar = Bar::new(talk, "condition", Condition::ALL.len(), 0);
    let answers = solve(&given.case, &asked, args.at_a_time.number(), &mut || bar.advance());
    bar.clear();
    if let Some(mut folder) = folder {
        let mut list = files::data("service", &service::data(&asked, &answers), &given.sources())?.to_vec();
        list.push((REPORT.to_owned(), html::service(&given, &asked, &answers).into_bytes()));
        folder.write(&list, talk)?;
    }
    output::print(&if args.json { service::document(&asked, &answers) } else { service::table(&asked, &answers) })?;
    let any = |wanted: fn(&Finding) -> bool| answers.iter().any(|a| a.row.findings.iter().any(wanted));
    Ok(if answers.len() < Condition::ALL.len() || any(|finding| *finding == Finding::NoAnswer) {
        Exit::NoEquilibrium
    } else if any(|finding| *finding != Finding::Holds) {
        Exit::LimitNotKept
    } else {
        Exit::Done
    })
}
