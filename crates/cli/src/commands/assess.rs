//! `assess`: the main job.

use std::path::PathBuf;

use hoopwright_case::units::BAR;
use hoopwright_case::{Case, Neighbour};
use hoopwright_report::html::Given;
use hoopwright_report::vtk::{self, Entry, Station};
use hoopwright_report::{html, json, law, ring, svg, text};
use hoopwright_solver::assess::{Paths, assess};
use hoopwright_solver::band::Band;
use hoopwright_solver::result::{Assessment, Finding, Moment, Run};
use hoopwright_solver::stages::News;
use hoopwright_study::band;
use hoopwright_study::rows::Key;
use hoopwright_study::workers::all;
use indicatif::{ProgressBar, ProgressStyle};

use crate::case_file::CaseFile;
use crate::exit::Exit;
use crate::failure::Failure;
use crate::files::REPORT;
use crate::out_folder::{Asked, OutFolder};
use crate::output::{self, Talk};

const EXAMPLES: &str = "\
Examples:
  hoopwright assess tyre.toml               table and verdict
  hoopwright assess tyre.toml --out out     and report.html, result.json, pictures, VTK files
  hoopwright assess -v tyre.toml            with Newton's residuals
  hoopwright assess --json tyre.toml        result.json on standard output
  hoopwright assess --band tyre.toml        and what plausible changes do to the local release";

/// Fit, inflate and blow off a tyre on its rim; table and verdict on standard output, files with --out.
#[derive(Debug, clap::Args)]
#[command(after_help = EXAMPLES)]
pub(crate) struct AssessArgs {
    /// Case file.
    #[arg(value_name = "CASE")]
    case: PathBuf,
    /// Folder for report.html, result.json, the pictures and the VTK files; made if it does not exist.
    #[arg(long, value_name = "DIR")]
    out: Option<PathBuf>,
    /// Replace results of another case in the folder.
    #[arg(long)]
    force: bool,
    /// Print result.json in place of the table.
    #[arg(long)]
    json: bool,
    /// Also solve what plausible changes of crest, bead and rubber do to the local release (table [local]); eight times as long.
    #[arg(long)]
    band: bool,
}

/// Assesses the case, prints and writes the results.
pub(crate) fn run(args: &AssessArgs, talk: &Talk) -> Result<Exit, Failure> {
    let file = CaseFile::open(&args.case)?;
    let given = file.given()?;
    let neighbours = if args.band { file.neighbours()? } else { Vec::new() };
    // Before the solve, so that a folder that cannot be made or may not be written to is told at once.
    let folder = args.out.as_deref().map(|path| OutFolder::open(path, &asked(args, &given.case))).transpose()?;
    let bar = progress(talk);
    // A log is read from top to bottom: it needs one path after the other.
    let paths = if talk.is_verbose() { Paths::InTurn } else { Paths::SideBySide };
    let result = assess(&given.case, given.notes.clone(), paths, &mut |news| report(&news, talk, &bar));
    bar.finish_and_clear();
    let mut assessment = result.map_err(|source| Failure::Model { path: args.case.clone(), source })?;
    assessment.band = args.band.then(|| beside(&neighbours, talk));
    // A clock's reading differs from run to run: it is talk, not data.
    talk.say(&text::timing(&assessment));
    let result_json = json::assessment(&assessment)?;
    if let Some(mut folder) = folder {
        folder.write(&written(&assessment, &result_json, &given)?, talk)?;
    }
    if args.json {
        output::print(&String::from_utf8_lossy(&result_json))?;
    } else {
        output::print(&text::assessment(&assessment))?;
    }
    Ok(exit(&assessment))
}

/// Solves the cases beside the case.
fn beside(neighbours: &[Neighbour], talk: &Talk) -> Band {
    let bar = progress(talk);
    let mut done = 0;
    let threads = std::thread::available_parallelism().map_or(1, usize::from);
    let band = band::solve(neighbours, threads, &mut || {
        done += 1;
        let line = format!("plausible changes: {done} of {} solved", neighbours.len());
        if talk.is_verbose() {
            talk.say(&line);
        }
        bar.set_message(line);
        bar.tick();
    });
    bar.finish_and_clear();
    band
}

fn exit(assessment: &Assessment) -> Exit {
    match assessment.verdict.findings.first() {
        Some(Finding::Holds) => Exit::Done,
        Some(Finding::NoAnswer) | None => Exit::NoEquilibrium,
        Some(_) => Exit::LimitNotKept,
    }
}

/// A spinner on standard error where that is a terminal and silence is not wanted.
fn progress(talk: &Talk) -> ProgressBar {
    if talk.is_quiet() || talk.is_verbose() {
        return ProgressBar::hidden();
    }
    let bar = ProgressBar::new_spinner();
    if let Ok(style) = ProgressStyle::with_template("{spinner} {elapsed} {msg}") {
        bar.set_style(style);
    }
    bar
}

fn report(news: &News<'_>, talk: &Talk, bar: &ProgressBar) {
    match news {
        News::Point(point) => {
            let line = format!(
                "{:?}: {:.3} bar, lift {:.3} mm, bead tension {:.0} N, seat load {:.3} N/mm",
                point.stage,
                10.0 * point.pressure,
                point.lift,
                point.bead_tension,
                point.seat_load
            );
            if talk.is_verbose() {
                talk.say(&line);
            }
            bar.set_message(line);
            bar.tick();
        }
        News::Newton(target, residuals, failure) if talk.is_verbose() => {
            let list: Vec<String> = residuals.iter().map(|r| format!("{r:.1e}")).collect();
            let end = failure.map_or(String::new(), |reason| format!(" ({reason})"));
            talk.say(&format!("  Newton to {target:?}: relative residuals {}{end}", list.join(" ")));
        }
        News::Newton(..) => {}
    }
}

/// Pictures of the section, one for each state of note; a state that was not reached has none.
const SECTION_PICTURES: [&str; 3] = ["section_fit.svg", "section_rated.svg", "section_highest_pressure.svg"];
/// Pictures of the rim's meshed section, one for each state of note.
const RIM_PICTURES: [&str; 3] = ["rim_fit.svg", "rim_rated.svg", "rim_highest_pressure.svg"];
/// The same states as VTK files.
const RIM_GRIDS: [&str; 3] = ["rim_section_fit.vtu", "rim_section_rated.vtu", "rim_section_highest_pressure.vtu"];
/// Folder of the VTK files within the output folder.
const VTK_FOLDER: &str = "vtk";
/// The file that stands for a complete set.
const RESULT: &str = "result.json";

/// Files that every assessment has.
const MAIN: [&str; 3] = [RESULT, REPORT, "path.svg"];

/// The folder's question: the case.
fn asked<'a>(args: &'a AssessArgs, case: &Case) -> Asked<'a> {
    let question = Some(Key::of(case).to_string());
    Asked { command: "assess", of: &args.case, question, main: &MAIN, force: args.force }
}

/// Files by their names.
type Files = Vec<(String, Vec<u8>)>;

/// A part of the files, made on any thread.
type Part<'a> = Box<dyn Fn() -> Result<Files, Failure> + Sync + 'a>;

/// Every file of an assessment, made on two threads like the paths; a state that was not reached has no picture.
fn written(assessment: &Assessment, result_json: &[u8], given: &Given) -> Result<Files, Failure> {
    let run = &assessment.given;
    // The longest first, so that no thread waits for it in the end.
    let mut parts: Vec<Part<'_>> = vec![
        Box::new(|| Ok(vec![(REPORT.to_owned(), html::assessment(given, assessment).into_bytes())])),
        Box::new(|| rim(assessment)),
        Box::new(|| Ok(vec![("path.svg".to_owned(), svg::path::picture(assessment).into_bytes())])),
    ];
    parts.push(Box::new(|| local(assessment)));
    for (name, moment) in SECTION_PICTURES.into_iter().zip(Moment::ALL) {
        let picture = move || run.at(moment).and_then(|point| svg::section::picture(assessment, point));
        parts.push(Box::new(move || Ok(picture().map(|picture| (name.to_owned(), picture.into_bytes())).into_iter().collect())));
    }
    let stored = vtk::stored(run);
    parts.extend(stored.iter().map(|&i| -> Part<'_> { Box::new(move || grids(assessment, i)) }));
    let made: Result<Vec<Files>, Failure> = all(parts.len(), 2, &|i| parts[i](), &mut || ()).into_iter().collect();
    let mut list: Files = made?.into_iter().flatten().collect();
    list.extend(series(run, &stored));
    // Last, so that a result.json stands for a complete set of files.
    list.push((RESULT.to_owned(), result_json.to_vec()));
    Ok(list)
}

/// The law that the local release goes by and the ring, where they were found.
fn local(assessment: &Assessment) -> Result<Files, Failure> {
    let pictures = [("law.svg", svg::law::picture(assessment)), ("ring.svg", svg::ring::picture(assessment))];
    let tables = [("law.csv", law::table(assessment)), ("ring.csv", ring::table(assessment))];
    let pictures = pictures.into_iter().filter_map(|(name, picture)| Some((name.to_owned(), picture?.into_bytes())));
    let mut list: Files = pictures.collect();
    list.extend(tables.into_iter().filter_map(|(name, table)| Some((name.to_owned(), table?.csv()))));
    if let Some(surface) = vtk::ring::surface(assessment)? {
        list.push((format!("{VTK_FOLDER}/ring.vtu"), surface));
    }
    Ok(list)
}

/// The rim's section at the points fitted, rated and highest, where it is meshed: pictures and VTK files.
fn rim(assessment: &Assessment) -> Result<Files, Failure> {
    let mut list = Vec::new();
    let Some(section) = &assessment.rim_section else { return Ok(list) };
    for state in &section.states {
        let names = RIM_GRIDS.into_iter().zip(RIM_PICTURES).zip(Moment::ALL).find(|(_, moment)| *moment == state.0);
        let Some(((grid, picture), _)) = names else { continue };
        let Some(point) = assessment.given.at(state.0) else { continue };
        let station = Station::of(assessment, point);
        list.push((format!("{VTK_FOLDER}/{grid}"), vtk::rim_section(assessment, section, &state.1, &station)?));
        list.push((picture.to_owned(), svg::rim::picture(assessment, section, state).into_bytes()));
    }
    Ok(list)
}

/// What a point of the path at the given friction is stored as: its parts' names.
const PARTS: [&str; 2] = ["section", "rim"];

fn grid(part: &str, point: usize) -> String {
    format!("{part}_{point:04}.vtu")
}

/// Section and rim at a point of the path at the given friction.
fn grids(assessment: &Assessment, point: usize) -> Result<Files, Failure> {
    let place = &assessment.given.path[point];
    let Some(fields) = &place.fields else { return Ok(Vec::new()) };
    let station = Station::of(assessment, place);
    let made = [vtk::section(assessment, fields, &station)?, vtk::rim(assessment, fields, &station)?];
    Ok(PARTS.iter().zip(made).map(|(part, bytes)| (format!("{VTK_FOLDER}/{}", grid(part, point)), bytes)).collect())
}

/// The series of the points stored: over the pressure, bar, as long as it rises, and over the lift, mm, as long as that does.
fn series(run: &Run, stored: &[usize]) -> Files {
    let over = |number: &dyn Fn(usize) -> f64| {
        let points = vtk::rising(stored, number).into_iter();
        let entries = points.flat_map(|(i, time)| {
            PARTS.iter().enumerate().map(move |(part, name)| Entry { file: grid(name, i), time, block: (part, name) })
        });
        vtk::series(&entries.collect::<Vec<_>>()).into_bytes()
    };
    vec![
        (format!("{VTK_FOLDER}/over_pressure.pvd"), over(&|i| BAR.value_of(run.path[i].pressure))),
        (format!("{VTK_FOLDER}/over_lift.pvd"), over(&|i| run.path[i].lift)),
    ]
}
