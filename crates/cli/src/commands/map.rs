//! `map`: the main job over two inputs.

use std::path::{Path, PathBuf};
use std::str::FromStr;
use std::time::Instant;

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
use crate::growing::UNFINISHED;
use crate::out_folder::{Asked, OutFolder};
use crate::output::{self, Talk};
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
    /// Solve every N-th point only, from the K-th on, and write no map.
    #[arg(long, value_name = "K/N")]
    part: Option<Part>,
    /// Print the summary as JSON.
    #[arg(long)]
    json: bool,
}

/// Which of so many parts.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct Part {
    k: usize,
    n: usize,
}

impl FromStr for Part {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        let numbers = text.split_once('/').and_then(|(k, n)| Some((k.parse().ok()?, n.parse().ok()?)));
        match numbers {
            Some((k, n)) if (1..=n).contains(&k) => Ok(Self { k, n }),
            _ => Err("give K/N with K from 1 to N, as in 1/4".to_owned()),
        }
    }
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
    if let Some(part) = args.part {
        return solve_part(args, part, &map.grid, talk);
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

/// The points of one part, in a file of its own.
fn solve_part(args: &MapArgs, part: Part, grid: &Vary, talk: &Talk) -> Result<Exit, Failure> {
    let path = args.out.join(format!("points_{}_of_{}.csv", part.k, part.n));
    let mut study = Study::open((grid, Scope::Deciding), &path, &[], args.force)?;
    let mut open = study.open_numbers();
    open.retain(|number| number % part.n == part.k - 1);
    solve_points(&mut study, &open, args, talk)?;
    files::write_whole(&path, &study.bytes(), true)?;
    study.finish()?;
    talk.say(&format!("part {} of {} written to {}", part.k, part.n, path.display()));
    Ok(Exit::Done)
}

/// Solves what the map needs, round by round.
fn solve<'g>(args: &MapArgs, grid: &'g Vary, talk: &Talk) -> Result<(Finished, Study<'g>), Failure> {
    let mut study = Study::open((grid, Scope::Deciding), &args.out.join(POINTS), &parts_in(&args.out)?, args.force)?;
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
        solve_points(&mut study, &open, args, talk)?;
    }
    loop {
        let mut wanted = scheme.next(&read(&study));
        if wanted.is_empty() {
            break;
        }
        wanted.retain(|number| study.rows[*number].is_none());
        solve_points(&mut study, &wanted, args, talk)?;
    }
    let finished = scheme.finish(&read(&study));
    Ok((finished, study))
}

/// Solves some points and tells how fast that went.
fn solve_points(study: &mut Study<'_>, numbers: &[usize], args: &MapArgs, talk: &Talk) -> Result<(), Failure> {
    if numbers.is_empty() {
        return Ok(());
    }
    let start = Instant::now();
    study.solve(numbers, args.at_a_time.number(), "point", talk)?;
    let seconds = start.elapsed().as_secs_f64();
    talk.say(&format!("{} points solved in {seconds:.1} s, {:.2} a second", numbers.len(), numbers.len() as f64 / seconds));
    Ok(())
}

/// Files of parts in a folder, in the order of their names.
fn parts_in(folder: &Path) -> Result<Vec<PathBuf>, Failure> {
    let failed = |source| Failure::ReadOutput { path: folder.to_owned(), source };
    let mut parts = Vec::new();
    for entry in std::fs::read_dir(folder).map_err(failed)? {
        let path = entry.map_err(failed)?.path();
        let name = path.file_name().map(|name| name.to_string_lossy().into_owned()).unwrap_or_default();
        if name.starts_with("points_") && name.contains("_of_") && name.trim_end_matches(UNFINISHED).ends_with(".csv") {
            parts.push(path);
        }
    }
    parts.sort();
    Ok(parts)
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
