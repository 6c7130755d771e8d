//! `map`: the main job over two inputs.

use std::path::{Path, PathBuf};

use hoopwright_case::{Map, Vary, size_named};
use hoopwright_report::html::Given;
use hoopwright_report::map::{self as report, Summary};
use hoopwright_report::{html, svg};
use hoopwright_study::map::field::{fields, limits};
use hoopwright_study::map::interpolate::estimates;
use hoopwright_study::map::refine::Scheme;
use hoopwright_study::map::tyres::{self, Placed};
use hoopwright_study::map::{Finished, Grid, Solved};
use hoopwright_study::rows::Scope;

use crate::case_file::CaseFile;
use crate::exit::Exit;
use crate::failure::{Failure, TyresNamed};
use crate::files::{self, REPORT, Tyres};
use crate::out_folder::{Asked, OutFolder};
use crate::output::{self, Talk};
use crate::parts::Share;
use crate::study_file::{AtATime, Study};

const EXAMPLES: &str = "\
In the case file:
  [map]                         # without keys: bead stiffness and mismatch about the case's own
  \"bead.stiffness\" = { from = \"150 kN\", to = \"550 kN\", count = 20 }
  mismatch = { from = \"0.4 mm\", to = \"2.8 mm\", count = 20 }   # seat diameter - bead diameter
  tyres = \"tyres.csv\"           # id,diameter [mm],stiffness [kN],tested release pressure [bar]

Examples:
  hoopwright map tyre.toml --out out               solves near the limits, interpolates elsewhere
  hoopwright map tyre.toml --out out --full        solves every point
  hoopwright map tyre.toml --out a --part 1/2      every other point; a/points_1_of_2.csv beside
                                                   points_2_of_2.csv in one folder are joined by
                                                   the same command without --part
Run the same command again to resume a stopped run. Exit code 0 if some
point keeps every limit, 1 if none does, 3 if no point has an answer.";

/// Name of the file of solved points in the output folder.
const POINTS: &str = "points.csv";
/// Files that every map has.
const MAIN: [&str; 4] = ["map.csv", "map.json", "map.svg", REPORT];

/// Map a case over the two inputs of its table map: the window in which every limit is kept, fields, measured tyres.
#[derive(Debug, clap::Args)]
#[command(after_help = EXAMPLES)]
pub(crate) struct MapArgs {
    /// Case file.
    #[arg(value_name = "CASE")]
    case: PathBuf,
    /// Folder for report.html, the other files and the pictures; made if it does not exist.
    #[arg(long, value_name = "DIR")]
    out: PathBuf,
    /// Replace results of another case in the folder.
    #[arg(long)]
    force: bool,
    #[command(flatten)]
    at_a_time: AtATime,
    /// Solve every point.
    #[arg(long)]
    full: bool,
    #[command(flatten)]
    share: Share,
    /// Print the summary as JSON.
    #[arg(long)]
    json: bool,
}

/// Solves, prints and writes the map.
pub(crate) fn run(args: &MapArgs, talk: &Talk) -> Result<Exit, Failure> {
    let file = CaseFile::open(&args.case)?;
    let map = file.map()?.ok_or_else(|| Failure::NoMap { path: args.case.clone() })?;
    let mut given = file.given()?;
    let measured = match read_tyres(&args.case, &given.text, &map)? {
        None => Vec::new(),
        Some(Tyres { list, source, notes }) => {
            given.others.push(source);
            notes.iter().for_each(|note| talk.note(note));
            given.notes.extend(notes);
            list
        }
    };
    let asked = Asked { command: "map", of: &args.case, question: None, main: &MAIN, force: args.force };
    let mut folder = OutFolder::open(&args.out, &asked)?;
    if let Some(part) = args.share.part {
        let (whole, threads) = (args.out.join(POINTS), args.at_a_time.number());
        return Study::solve_part((&map.grid, Scope::Deciding), (&whole, part), args.force, (threads, "point"), talk);
    }
    let (finished, study) = solve(args, &map.grid, talk)?;
    let placed = tyres::place(&measured, &map.grid, &finished);
    let mut list = study.files(&given.sources())?.to_vec();
    list.extend(written(&given, &map.grid, (&finished, &placed))?);
    folder.write(&list, talk)?;
    study.finish()?;
    let summary = Summary::of(&finished, &placed);
    output::print(&if args.json {
        report::document(&map.grid, &finished, &placed)
    } else {
        report::text(&map.grid, &finished, &summary)
    })?;
    Ok(match summary {
        Summary { unanswered, points: [all, _], .. } if unanswered == all => Exit::NoEquilibrium,
        Summary { holding: 0, .. } => Exit::LimitNotKept,
        _ => Exit::Done,
    })
}

/// The measured tyres that a map names; none where it names none.
pub(crate) fn read_tyres(case: &Path, text: &str, map: &Map) -> Result<Option<Tyres>, Failure> {
    let Some(file) = &map.tyres else { return Ok(None) };
    let path = files::beside(case, &file.name);
    let seat = map.grid.variants.first().map_or(f64::NAN, |variant| variant.case.rim.seat_diameter);
    let tyres = files::read_tyres(&path, &file.name, (seat, size_named(text).as_deref()), TyresNamed::InCase)?;
    tyres::check_axes(&map.grid).map_err(|source| Failure::Tyres { path, source, named: TyresNamed::InCase })?;
    Ok(Some(tyres))
}

/// Solves what the map needs, round by round.
fn solve<'g>(args: &MapArgs, grid: &'g Vary, talk: &Talk) -> Result<(Finished, Study<'g>), Failure> {
    let mut study = Study::open((grid, Scope::Deciding), &args.out.join(POINTS), args.force, talk)?;
    let Some(base) = grid.variants.first() else { return Err(Failure::NoMap { path: args.case.clone() }) };
    let fields = fields(&base.case);
    let limits = limits(&base.case, &fields);
    let of_case = |case| limits.iter().map(|limit| limit.value(case)).collect();
    let limit_values = grid.variants.iter().map(|variant| of_case(&variant.case)).collect();
    let mut scheme = Scheme::new(Grid::of(grid), (fields.clone(), limits.clone()), limit_values, estimates(grid, &fields));
    let read = |study: &Study<'_>| -> Vec<Option<Solved>> {
        study.rows.iter().map(|row| row.as_ref().map(|row| Solved::of(row, &fields))).collect()
    };
    let most = if args.full { grid.variants.len() } else { scheme.budget() };
    let known = grid.variants.len() - study.open_numbers().len();
    let taken = if known > 0 { format!(", {known} kept from an earlier run") } else { String::new() };
    talk.say(&format!(
        "{} points, {most} at most to be solved{taken}; up to {} at a time",
        grid.variants.len(),
        args.at_a_time.number()
    ));
    if args.full {
        let open = study.open_numbers();
        study.solve_timed(&open, args.at_a_time.number(), "point", talk)?;
    }
    loop {
        let mut wanted = scheme.next(&read(&study));
        if wanted.is_empty() {
            break;
        }
        wanted.retain(|number| study.rows[*number].is_none());
        study.solve_timed(&wanted, args.at_a_time.number(), "point", talk)?;
    }
    let finished = scheme.finish(&read(&study));
    Ok((finished, study))
}

/// Every file but that of the points.
fn written(given: &Given, grid: &Vary, (map, placed): (&Finished, &[Placed])) -> Result<Vec<(String, Vec<u8>)>, Failure> {
    let mut list = files::data("map", &report::data(grid, map), &given.sources())?.to_vec();
    list.push(("map.json".to_owned(), report::document(grid, map, placed).into_bytes()));
    list.push(("map.vti".to_owned(), report::image(map, &given.case.title)?));
    list.extend(svg::map::pictures(grid, map, placed).into_iter().map(|(name, picture)| (name, picture.into_bytes())));
    list.push((REPORT.to_owned(), html::map(given, grid, map, placed).into_bytes()));
    Ok(list)
}
