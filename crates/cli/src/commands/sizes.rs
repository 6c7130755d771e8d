//! `sizes`: how wide and high the tyre is over rims and pressures.

use std::path::PathBuf;

use hoopwright_case::{Case, Sizes};
use hoopwright_report::{html, sizes, svg};
use hoopwright_study::rows::{Key, KeyMaker};
use hoopwright_study::sizes::solve;

use crate::case_file::CaseFile;
use crate::exit::Exit;
use crate::failure::Failure;
use crate::files::{self, REPORT};
use crate::out_folder::{Asked, OutFolder};
use crate::output::{self, Talk};
use crate::progress::Bar;
use crate::study_file::AtATime;

const EXAMPLES: &str = "\
In the case file; without this table three rims and four pressures about the case's own:
  [sizes]
  \"rim.inner_width\" = [\"19 mm\", \"21 mm\", \"23 mm\", \"25 mm\"]
  \"pressure.rated\" = { from = \"2 bar\", to = \"5 bar\", count = 4 }
  clear_width = \"38 mm\"         # between stays or fork blades
  clear_radius = \"352 mm\"       # from the axle to the nearest part over the tread
  clearance = \"4 mm\"            # least room wanted

Examples:
  hoopwright sizes tyre.toml             a table
  hoopwright sizes tyre.toml --out out   also a report, out/sizes.csv, out/sizes.parquet, pictures
Exit code 1 if a pair has too little room, 3 if no pair has a size.";

/// Files that it surely writes.
const MAIN: [&str; 2] = ["sizes.csv", REPORT];

/// Width, height and outer diameter of the inflated tyre over rim inner widths and pressures, and the room left in the frame.
#[derive(Debug, clap::Args)]
#[command(after_help = EXAMPLES)]
pub(crate) struct SizesArgs {
    /// Case file.
    #[arg(value_name = "CASE")]
    case: PathBuf,
    /// Folder for report.html, sizes.csv, sizes.parquet and the pictures; made if it does not exist.
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

/// Solves the rims, prints and writes the sizes.
pub(crate) fn run(args: &SizesArgs, talk: &Talk) -> Result<Exit, Failure> {
    let file = CaseFile::open(&args.case)?;
    let (asked, given) = (file.sizes()?, file.given()?);
    let question = Some(question(&given.case, &asked).to_string());
    let of = Asked { command: "sizes", of: &args.case, question, main: &MAIN, force: args.force };
    let folder = args.out.as_deref().map(|path| OutFolder::open(path, &of)).transpose()?;
    let rims = asked.grid.inputs.first().map_or(0, |input| input.values.len());
    let bar = Bar::new(talk, "rim", rims, 0);
    let found = solve(&asked, args.at_a_time.number(), &mut || bar.advance());
    bar.clear();
    if let Some(mut folder) = folder {
        let mut list = files::data("sizes", &sizes::data(&asked, &found), &given.sources())?.to_vec();
        let pictures = svg::sizes::pictures(&asked, &found).into_iter();
        list.extend(
            pictures.chain([(REPORT.to_owned(), html::sizes(&given, &asked, &found))]).map(|(n, text)| (n, text.into_bytes())),
        );
        folder.write(&list, talk)?;
    }
    output::print(&if args.json { sizes::document(&asked, &found) } else { sizes::table(&asked, &found) })?;
    Ok(if found.iter().all(Result::is_err) {
        Exit::NoEquilibrium
    } else if found.iter().flatten().any(|size| !size.clears(&asked)) {
        Exit::LimitNotKept
    } else {
        Exit::Done
    })
}

/// The folder's question: the case and the sizes asked of it.
fn question(case: &Case, asked: &Sizes) -> Key {
    let Sizes { grid, labelled, clear_width, clear_radius, clearance } = asked;
    let maker = KeyMaker::default().case(case).stated(*clear_width).stated(*clear_radius).number(*clearance);
    let maker = maker.numbers(labelled.iter().flatten().copied().collect::<Vec<_>>().into_iter());
    let axes = grid.inputs.iter();
    axes.fold(maker, |maker, axis| maker.input(axis.input).numbers(axis.values.iter().copied())).key()
}
