//! `calibrate`: friction and a knock-down factor from tested tyres.

use std::path::PathBuf;

use hoopwright_case::Case;
use hoopwright_case::size_named;
use hoopwright_report::calibrate::{self as report, Calibration};
use hoopwright_report::html::Given;
use hoopwright_report::{html, svg};
use hoopwright_study::calibrate::{FEWEST, FRICTIONS, Pair, both, factor, variants};
use hoopwright_study::map::tyres::Tyre;
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
Each tyre in the file has an id, the bead's diameter and stiffness, and the pressure at which it
came off the case's rim:
  id,diameter [mm],stiffness [kN],tested release pressure [bar]

Examples:
  hoopwright calibrate rim.toml tyres.csv --out out                       report, tables, pictures
  hoopwright calibrate rim.toml tyres.csv --out out --block factor.toml   and a line for a case
Run the same command again to resume a stopped run. --block asks for a case
whose friction is solved, 0.5 at most. Exit code 3 if fewer than four tyres have a prediction.";

/// Files of every calibration.
const MAIN: [&str; 3] = ["calibrate.csv", "calibrate.json", REPORT];
/// What was solved.
const POINTS: &str = "points.csv";
/// Highest friction that is solved.
const HIGHEST: f64 = FRICTIONS[FRICTIONS.len() - 1];
/// MPa in bar.
const BAR: f64 = 10.0;

/// Fit friction and a knock-down factor to tested tyres, with intervals, and say whether the tests tell them apart.
#[derive(Debug, clap::Args)]
#[command(after_help = EXAMPLES)]
pub(crate) struct CalibrateArgs {
    /// Case file; its rim and casing stand for all tyres.
    #[arg(value_name = "CASE")]
    case: PathBuf,
    /// CSV with the tested tyres.
    #[arg(value_name = "TYRES")]
    tyres: PathBuf,
    /// Folder for report.html, points.csv (what was solved), calibrate.csv, both also as Parquet, calibrate.json and the pictures; made
    /// if it does not exist.
    #[arg(long, value_name = "DIR")]
    out: PathBuf,
    /// Replace results of other cases or tyres in the folder.
    #[arg(long)]
    force: bool,
    /// File for a block of a case; not overwritten.
    #[arg(long, value_name = "FILE")]
    block: Option<PathBuf>,
    #[command(flatten)]
    at_a_time: AtATime,
    #[command(flatten)]
    share: Share,
    /// Print JSON in place of the table.
    #[arg(long)]
    json: bool,
}

/// Solves every tyre at every friction, fits, prints and writes.
pub(crate) fn run(args: &CalibrateArgs, talk: &Talk) -> Result<Exit, Failure> {
    args.block.as_deref().map_or(Ok(()), |path| files::refuse_taken(path, false))?;
    let mut given = CaseFile::open(&args.case)?.given()?;
    if args.block.is_some() && given.case.friction > HIGHEST {
        return Err(Failure::FrictionBeyond { path: args.case.clone(), friction: given.case.friction, most: HIGHEST });
    }
    let seat = given.case.rim.seat_diameter;
    let size = size_named(&given.text);
    let Tyres { list: read, source, notes: on_tyres } =
        files::read_tyres(&args.tyres, &files::name(&args.tyres), (seat, size.as_deref()), TyresNamed::ByArgument)?;
    given.others.push(source);
    on_tyres.iter().for_each(|note| talk.note(note));
    let notes = given.notes.clone();
    given.notes.extend(on_tyres);
    let case = &given.case;
    let tested: Vec<(&Tyre, f64)> = read.iter().filter_map(|tyre| Some((tyre, tyre.tested?))).collect();
    let nothing = |reason: String| Failure::NoCalibration { path: args.tyres.clone(), reason };
    if tested.is_empty() {
        return Err(nothing("no tyre has a tested release pressure".to_owned()));
    }
    // What is sure to be too little is told before it is solved.
    if tested.len() < FEWEST {
        return Err(nothing(format!(
            "it has {} with a tested release pressure, {FEWEST} or more are needed",
            tyres(tested.len())
        )));
    }
    let asked = Asked { command: "calibrate", of: &args.case, question: None, main: &MAIN, force: args.force };
    let mut folder = OutFolder::open(&args.out, &asked)?;
    let vary = variants(case, &notes, &tested.iter().map(|(tyre, _)| *tyre).collect::<Vec<_>>());
    let (whole, threads) = (args.out.join(POINTS), args.at_a_time.number());
    if let Some(part) = args.share.part {
        return Study::solve_part((&vary, Scope::Deciding), (&whole, part), args.force, (threads, "case"), talk);
    }
    let mut study = Study::open((&vary, Scope::Deciding), &whole, args.force, talk)?;
    let unsolved = study.open_numbers();
    talk.say(&format!(
        "{} tested tyres at {} frictions: {} cases, {} of them kept from an earlier run",
        tested.len(),
        FRICTIONS.len(),
        vary.variants.len(),
        vary.variants.len() - unsolved.len()
    ));
    study.solve(&unsolved, threads, "case", talk)?;
    let rows = study.all();
    let (mut pairs, mut left_out) = (Vec::new(), Vec::new());
    for ((tyre, tested), rows) in tested.iter().zip(rows.chunks(FRICTIONS.len())) {
        match report::predicted(case, rows) {
            Ok(predicted) => pairs.push(Pair { id: tyre.id.clone(), tested: BAR * tested, predicted }),
            Err(reason) => left_out.push((tyre.id.clone(), reason)),
        }
    }
    let (factor, both) = factor(&pairs, known_friction(case))
        .and_then(|alone| both(&pairs).map(|both| (alone, both)))
        .map_err(|reason| nothing(format!("{reason}{}", reasons(&left_out))))?;
    let found = Calibration { pairs, left_out, factor, both };
    let mut list = study.files(&given.sources())?.to_vec();
    list.extend(written(&given, &found)?);
    folder.write(&list, talk)?;
    study.finish()?;
    if let Some(path) = &args.block {
        files::write_whole(path, report::block(case, &found).as_bytes(), false)?;
    }
    output::print(&if args.json { report::document(case, &found) } else { report::text(case, &found) })?;
    Ok(Exit::Done)
}

/// The case's friction, within what is solved.
fn known_friction(case: &Case) -> f64 {
    case.friction.min(HIGHEST)
}

/// So many tyres in words.
fn tyres(number: usize) -> String {
    if number == 1 { "1 tyre".to_owned() } else { format!("{number} tyres") }
}

fn reasons(left_out: &[(String, String)]) -> String {
    left_out.first().map_or(String::new(), |(id, reason)| format!("; {id}: {reason}"))
}

/// Every file but those of the points.
fn written(given: &Given, found: &Calibration) -> Result<Vec<(String, Vec<u8>)>, Failure> {
    let mut list = files::data("calibrate", &report::data(found), &given.sources())?.to_vec();
    let pictures = svg::calibrate::pictures(&given.case.title, found);
    list.extend(pictures.into_iter().map(|(name, picture)| (name.to_owned(), picture.into_bytes())));
    list.push(("calibrate.json".to_owned(), report::document(&given.case, found).into_bytes()));
    list.push((REPORT.to_owned(), html::calibration(given, found).into_bytes()));
    Ok(list)
}
