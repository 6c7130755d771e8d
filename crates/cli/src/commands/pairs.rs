//! `pairs`: which measured tyre may go on which rim.

use std::path::PathBuf;

use hoopwright_case::units::{Dimension, parse};
use hoopwright_report::contents::question;
use hoopwright_report::html;
use hoopwright_report::pairs as report;
use hoopwright_study::pairs::fault::Fault;
use hoopwright_study::pairs::judge::{LEAST, MODEL_ERROR, Terms};
use hoopwright_study::pairs::list::List;
use hoopwright_study::pairs::pairing::{self, Widths};
use hoopwright_study::pairs::rims::{self, Rim};
use hoopwright_study::pairs::tyres::{self, Tyre};

use crate::exit::Exit;
use crate::failure::Failure;
use crate::files::{self, REPORT};
use crate::out_folder::{Asked, OutFolder};
use crate::output::{self, Talk};
use crate::pairs_files::{self, RimFiles};
use crate::parts::{Parts, Share};
use crate::progress::Bar;
use crate::register_file::{REGISTER, Register};
use crate::study_file::AtATime;

const EXAMPLES: &str = "\
The tyres, a row each (CSV, XLSX or Parquet; units in the head):
  id,size,diameter [mm],stiffness [kN],casing plies,casing ply stiffness [N/mm]
The rims: case files of which the tyre is left out, a folder of them, or a table with a row each.

Examples:
  hoopwright pairs tyres.csv rims.csv --out list      the list, list/pairs.csv, list/pairs.json
  hoopwright pairs tyres.xlsx rims --note maker --out list
  hoopwright pairs tyres.csv rims --join beads/tyres.csv --join tests/verdicts.csv --out list
Run the same command again to resume a stopped run, or with more tyres, rims and tests: only what
is new is solved. list/register.csv keeps every solved case, list/history.csv what changed and why.
Exit code 3 if any pair has no answer, else 1 if any whose sizes go together does not fit at its
listed pressure.";

/// Files that every list has.
const MAIN: [&str; 3] = ["pairs.csv", "pairs.json", REPORT];
/// What changed from list to list.
const HISTORY: &str = "history.csv";
/// Largest list of before that is looked at, bytes.
const LARGEST_LIST: usize = 1 << 28;

/// List which of many measured tyres may go on which rim, up to which pressure, and why not.
#[derive(Debug, clap::Args)]
#[command(after_help = EXAMPLES)]
pub(crate) struct PairsArgs {
    /// Table of measured tyres.
    #[arg(value_name = "TYRES")]
    tyres: PathBuf,
    /// Table of rims, folder of cases or one case.
    #[arg(value_name = "RIMS")]
    rims: PathBuf,
    /// Folder for the list; made if it does not exist.
    #[arg(long, value_name = "DIR")]
    out: PathBuf,
    /// Carry a column along that nothing is read of; may be given several times.
    #[arg(long, value_name = "COLUMN")]
    note: Vec<String>,
    /// Table that joins by the tyres' ids what a bench told of them, as `rig` writes it; may be given several times.
    #[arg(long, value_name = "TABLE")]
    join: Vec<PathBuf>,
    /// Error of the model as a share of a retention pressure: within it a test comes first.
    #[arg(long, value_name = "SHARE", value_parser = share, default_value_t = MODEL_ERROR)]
    model_error: f64,
    /// Least pressure at which a pair is of use; 1.5 bar by default.
    #[arg(long, value_name = "PRESSURE", value_parser = pressure)]
    least: Option<f64>,
    /// Pair tyres also with rims that are wider than the width rule allows.
    #[arg(long)]
    any_width: bool,
    /// Date of the list, as it is to be printed; none otherwise.
    #[arg(long, value_name = "DATE")]
    date: Option<String>,
    /// Replace results of another command in the folder.
    #[arg(long)]
    force: bool,
    #[command(flatten)]
    at_a_time: AtATime,
    #[command(flatten)]
    share: Share,
    /// Print the list as JSON in place of the text.
    #[arg(long)]
    json: bool,
}

/// A share from 0 to 50 %, as typed.
fn share(text: &str) -> Result<f64, String> {
    let found = parse(text, Dimension::Number).map_err(|error| format!("{error}; {}", error.remedy()))?;
    if (0.0..=0.5).contains(&found) { Ok(found) } else { Err("give a share from 0 % to 50 %".to_owned()) }
}

fn pressure(text: &str) -> Result<f64, String> {
    let found = parse(text, Dimension::Pressure).map_err(|error| format!("{error}; {}", error.remedy()))?;
    if found > 0.0 { Ok(found) } else { Err("give a pressure above zero".to_owned()) }
}

/// Reads the tables, solves the pairs, prints and writes the list.
pub(crate) fn run(args: &PairsArgs, talk: &Talk) -> Result<Exit, Failure> {
    let table = pairs_files::table(&args.tyres, "table of tyres")?;
    let (curves, of_curves) = pairs_files::curves(&args.tyres, &table.cells);
    let rim_files = pairs_files::rims(&args.rims)?;
    let others = args.join.iter().map(|path| pairs_files::table(path, "joined table")).collect::<Result<Vec<_>, _>>()?;
    let (joined, of_joined): (Vec<_>, Vec<_>) = others.into_iter().map(pairs_files::TableFile::joined).unzip();
    let tyres = tyres::read(&table.name, &table.cells, &args.note, &curves, &joined);
    let rims = read_rims(&rim_files, &args.note);
    let (tyres, rims) = both(tyres, rims)?;
    let widths = if args.any_width { Widths::Any } else { Widths::ByRule };
    let mut pairs = pairing::pairs(&table.name, &tyres, &rims, widths).map_err(|faults| Failure::Tables { faults })?;
    if let Some(part) = args.share.part {
        let mut number = 0..;
        pairs.retain(|_| number.next().is_some_and(|number| part.takes(number)));
    }
    for sheet in table.cells.sheet.iter() {
        talk.note(&format!("of {} the sheet \"{sheet}\" is read", args.tyres.display()));
    }
    for rim in pairing::other_rims(&tyres, &rims) {
        talk.note(&format!("tests on \"{rim}\" count for no pair: no rim of the list is called so"));
    }
    let terms = Terms { model_error: args.model_error, least: args.least.unwrap_or(LEAST) };
    let sources: Vec<_> = std::iter::once(table.source).chain(of_curves).chain(of_joined).chain(rim_files.sources()).collect();
    let asked = Asked { command: "pairs", of: &args.tyres, question: Some(question(&"pairs")), main: &MAIN, force: args.force };
    let mut folder = OutFolder::open(&args.out, &asked)?;
    let threads = args.at_a_time.number();
    let open = pairs.iter().filter(|pair| pair.made.is_ok()).count();
    talk.say(&format!("{} pairs, {open} whose sizes go together; up to {threads} at a time", pairs.len()));
    let register = Register::open(&args.out, args.share.part, args.force)?;
    if args.share.part.is_none() {
        Parts::beside(&args.out.join(REGISTER))?.tell(open, talk);
    }
    let bar = Bar::new(talk, "pair", open, 0);
    let list = List::solve((&tyres, &rims), pairs, terms, (&|case| register.answer(case), threads), &mut || {
        bar.advance();
        register.check()
    });
    bar.clear();
    let list = list?;
    if args.share.part.is_some() {
        return register.write_part(talk).map(|()| Exit::Done);
    }
    talk.say(&format!("{} cases solved, all others known from earlier lists", register.solved()));
    let hashes = report::hashes(&list);
    let document = report::document(&list, &hashes);
    let data = report::data(&list, &hashes);
    let mut written = files::data("pairs", &data, &sources)?.to_vec();
    written.push(("pairs.xlsx".to_owned(), data.xlsx("pairs")?));
    let [last, history] = ["pairs.csv", HISTORY].map(|name| files::read_limited(&args.out.join(name), LARGEST_LIST).ok());
    let history = report::history(&list, last.as_deref(), history.as_deref(), args.date.as_deref());
    written.push((HISTORY.to_owned(), history));
    written.push((REGISTER.to_owned(), register.bytes()));
    written.push(("pairs.json".to_owned(), document.clone().into_bytes()));
    written.push((REPORT.to_owned(), html::pairs(&list, &sources, &hashes, args.date.as_deref()).into_bytes()));
    folder.write(&written, talk)?;
    register.finish()?;
    output::print(&if args.json { document } else { report::text(&list) })?;
    Ok(exit(&list))
}

fn exit(list: &List<'_>) -> Exit {
    let all = list.of_all();
    if all.no_answer > 0 {
        Exit::NoEquilibrium
    } else if all.fits_up_to + all.test_first + all.does_not_fit > 0 {
        Exit::LimitNotKept
    } else {
        Exit::Done
    }
}

fn read_rims<'f>(files: &'f RimFiles, notes: &[String]) -> Result<Vec<Rim<'f>>, Vec<Fault>> {
    match files {
        RimFiles::Table(table) => rims::read(&table.name, &table.cells, notes),
        RimFiles::Cases(cases, _) => {
            let (mut found, mut faults) = (Vec::new(), Vec::new());
            for case in cases {
                rims::of_case(case).map_or_else(|list| faults.extend(list), |rim| found.push(rim));
            }
            if faults.is_empty() { Ok(found) } else { Err(faults) }
        }
    }
}

/// Both tables, or the faults of both.
fn both<'f>(
    tyres: Result<Vec<Tyre>, Vec<Fault>>,
    rims: Result<Vec<Rim<'f>>, Vec<Fault>>,
) -> Result<(Vec<Tyre>, Vec<Rim<'f>>), Failure> {
    match (tyres, rims) {
        (Ok(tyres), Ok(rims)) => Ok((tyres, rims)),
        (tyres, rims) => {
            let faults = tyres.err().into_iter().chain(rims.err()).flatten().collect();
            Err(Failure::Tables { faults })
        }
    }
}
