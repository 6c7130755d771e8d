//! `assess`: the main job.

use std::path::{Path, PathBuf};

use hoopwright_report::html::Given;
use hoopwright_report::{html, json, svg, text, vtk};
use hoopwright_solver::assess::{Paths, assess};
use hoopwright_solver::result::{Assessment, Finding, Moment};
use hoopwright_solver::stages::News;
use indicatif::{ProgressBar, ProgressStyle};

use crate::exit::Exit;
use crate::failure::Failure;
use crate::files::{self, REPORT};
use crate::output::{self, Talk};

const EXAMPLES: &str = "\
Examples:
  hoopwright assess tyre.toml               table and verdict
  hoopwright assess tyre.toml --out out     and report.html, result.json, pictures, VTK files
  hoopwright assess -v tyre.toml            with Newton's residuals
  hoopwright assess --json tyre.toml        result.json on standard output";

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
    /// Print result.json in place of the table.
    #[arg(long)]
    json: bool,
}

/// Assesses the case, prints and writes the results.
pub(crate) fn run(args: &AssessArgs, talk: &Talk) -> Result<Exit, Failure> {
    let given = files::read_given(&args.case)?;
    if let Some(folder) = &args.out {
        prepare(folder)?;
    }
    let bar = progress(talk);
    // A log is read from top to bottom: it needs one path after the other.
    let paths = if talk.is_verbose() { Paths::InTurn } else { Paths::SideBySide };
    let result = assess(&given.case, given.notes.clone(), paths, &mut |news| report(&news, talk, &bar));
    bar.finish_and_clear();
    let assessment = result.map_err(|source| Failure::Model { path: args.case.clone(), source })?;
    // A clock's reading differs from run to run: it is talk, not data.
    talk.say(&text::timing(&assessment));
    let result_json = json::assessment(&assessment)?;
    if let Some(folder) = &args.out {
        write_all(&assessment, &result_json, &given, folder)?;
        talk.say(&format!("results written to {}", folder.display()));
    }
    if args.json {
        output::print(&String::from_utf8_lossy(&result_json))?;
    } else {
        output::print(&text::assessment(&assessment))?;
    }
    Ok(exit(&assessment))
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

/// Makes the output folder, so that one that cannot be made is told before the solve, and removes what an earlier run left there and
/// this one may not overwrite.
fn prepare(folder: &Path) -> Result<(), Failure> {
    let vtk_folder = folder.join(VTK_FOLDER);
    std::fs::create_dir_all(&vtk_folder).map_err(|source| Failure::Write { path: vtk_folder, source })?;
    for name in SECTION_PICTURES.into_iter().chain(RIM_PICTURES).chain([REPORT, RESULT]) {
        files::remove(&folder.join(name))?;
    }
    Ok(())
}

/// Writes every file of an assessment.
fn write_all(assessment: &Assessment, result_json: &[u8], given: &Given, folder: &Path) -> Result<(), Failure> {
    write_vtk(assessment, &folder.join(VTK_FOLDER))?;
    let run = &assessment.given;
    for (name, moment) in SECTION_PICTURES.into_iter().zip(Moment::ALL) {
        if let Some(picture) = run.at(moment).and_then(|p| svg::section::picture(assessment, p)) {
            files::write_whole(&folder.join(name), picture.as_bytes(), true)?;
        }
    }
    write_rim(assessment, folder)?;
    files::write_whole(&folder.join("path.svg"), svg::path::picture(assessment).as_bytes(), true)?;
    files::write_whole(&folder.join(REPORT), html::assessment(given, assessment).as_bytes(), true)?;
    // Last, so that a result.json stands for a complete set of files.
    files::write_whole(&folder.join(RESULT), result_json, true)
}

/// Writes the rim's section at the points fitted, rated and highest, where it is meshed: pictures and VTK files.
fn write_rim(assessment: &Assessment, folder: &Path) -> Result<(), Failure> {
    let Some(section) = &assessment.rim_section else { return Ok(()) };
    for state in &section.states {
        let names = RIM_GRIDS.into_iter().zip(RIM_PICTURES).zip(Moment::ALL).find(|(_, moment)| *moment == state.0);
        let Some(((grid, picture), _)) = names else { continue };
        let (grid, picture) = (folder.join(VTK_FOLDER).join(grid), folder.join(picture));
        files::write_whole(&grid, &vtk::rim_section(assessment, section, &state.1)?, true)?;
        files::write_whole(&picture, svg::rim::picture(assessment, section, state).as_bytes(), true)?;
    }
    Ok(())
}

/// Writes the series of the path at the given friction.
fn write_vtk(assessment: &Assessment, folder: &Path) -> Result<(), Failure> {
    let run = &assessment.given;
    let mut series = Vec::new();
    for i in vtk::stored(run) {
        let point = &run.path[i];
        let Some(fields) = &point.fields else { continue };
        for (part, (name, bytes)) in [
            (format!("section_{i:04}.vtu"), vtk::section(assessment, fields)?),
            (format!("rim_{i:04}.vtu"), vtk::rim(assessment, fields)?),
        ]
        .into_iter()
        .enumerate()
        {
            files::write_whole(&folder.join(&name), &bytes, true)?;
            series.push((name, i as f64, part));
        }
    }
    files::write_whole(&folder.join("series.pvd"), vtk::series(&series).as_bytes(), true)
}
