//! `vary`: the main job over a list or grid of values.

use std::collections::HashMap;
use std::fs::{File, OpenOptions};
use std::io::{ErrorKind, Write};
use std::num::NonZeroUsize;
use std::path::{Path, PathBuf};

use hoopwright_report::study::{self, Line, Outcome, Sheet, SheetError};
use hoopwright_report::svg;
use hoopwright_solver::case::Vary;
use hoopwright_study::vary::solve;
use indicatif::{ProgressBar, ProgressStyle};

use crate::exit::Exit;
use crate::failure::Failure;
use crate::files;
use crate::output::{self, Talk};

const EXAMPLES: &str = "\
In the case file:
  [vary]
  combine = \"grid\"            # every value with every other; \"list\": the n-th values together
  \"rim.seat_diameter\" = [\"621.5 mm\", \"621.95 mm\", \"622.4 mm\"]
  \"rim.flange_height\" = { from = \"5 mm\", to = \"6.5 mm\", count = 4 }

Examples:
  hoopwright check tyre.toml             how many variants
  hoopwright vary tyre.toml --out out    out/vary.csv and a picture of every number
The same command goes on where an earlier run was stopped. Exit code 3 if any variant has no answer, else 1 if any does not keep a
limit.";

/// Name of the file in the output folder.
const FILE: &str = "vary.csv";
/// Largest file that is looked at as one of an earlier run, bytes: far more than the most variants fill.
const LARGEST: usize = 1 << 26;

/// Assess a case over the list or grid of values in its table [vary]; a table on standard output, CSV and pictures in the folder.
#[derive(Debug, clap::Args)]
#[command(after_help = EXAMPLES)]
pub(crate) struct VaryArgs {
    /// Case file.
    #[arg(value_name = "CASE")]
    case: PathBuf,
    /// Folder for vary.csv and the pictures; made if it does not exist.
    #[arg(long, value_name = "DIR")]
    out: PathBuf,
    /// Variants that are solved at a time; as many as there are processors by default.
    #[arg(long, value_name = "N")]
    threads: Option<NonZeroUsize>,
    /// Print the rows as JSON in place of the table.
    #[arg(long)]
    json: bool,
}

/// Solves the variants, prints and writes their rows.
pub(crate) fn run(args: &VaryArgs, talk: &Talk) -> Result<Exit, Failure> {
    let vary = files::read_variants(&args.case)?.ok_or_else(|| Failure::NoVariants { path: args.case.clone() })?;
    std::fs::create_dir_all(&args.out).map_err(|source| Failure::Write { path: args.out.clone(), source })?;
    let mut study = Study::open(&vary, &args.out.join(FILE))?;
    let threads = args.threads.or_else(|| std::thread::available_parallelism().ok()).map_or(1, NonZeroUsize::get);
    study.solve(threads, talk)?;
    let lines = study.finish()?;
    for (name, picture) in svg::family::pictures(&vary, &study.sheet, &lines) {
        files::write_whole(&args.out.join(name), picture.as_bytes(), true)?;
    }
    talk.say(&format!("results written to {}", args.out.display()));
    output::print(&if args.json {
        study::document(&vary, &study.sheet, &lines)
    } else {
        study::table(&vary, &study.sheet, &lines)
    })?;
    Ok(exit(&study.sheet, &lines))
}

fn exit(sheet: &Sheet, lines: &[Line]) -> Exit {
    let any = |outcome| lines.iter().any(|line| sheet.outcome(line) == outcome);
    if any(Outcome::NoAnswer) {
        Exit::NoEquilibrium
    } else if any(Outcome::LimitNotKept) {
        Exit::LimitNotKept
    } else {
        Exit::Done
    }
}

/// A study under way: the lines had so far, in the order of the variants, and its file.
struct Study<'a> {
    vary: &'a Vary,
    sheet: Sheet,
    hashes: Vec<String>,
    lines: Vec<Option<Line>>,
    path: PathBuf,
}

impl<'a> Study<'a> {
    /// Takes over what an earlier run of the same study left in the file.
    fn open(vary: &'a Vary, path: &Path) -> Result<Self, Failure> {
        let sheet = Sheet::new(vary);
        let hashes: Vec<String> = vary.variants.iter().map(|variant| sheet.hash(&variant.case)).collect();
        let known = earlier(&sheet, &hashes, path)?;
        let take = |(i, hash): (usize, &String)| known.get(hash).map(|line| line.clone().renumbered(i, &vary.variants[i].values));
        let lines = hashes.iter().enumerate().map(take).collect();
        Ok(Self { vary, sheet, hashes, lines, path: path.to_owned() })
    }

    /// Solves what is not yet there; each line is in the file as soon as it is finished.
    fn solve(&mut self, threads: usize, talk: &Talk) -> Result<(), Failure> {
        let open: Vec<usize> = (0..self.lines.len()).filter(|i| self.lines[*i].is_none()).collect();
        let (all, known) = (self.lines.len(), self.lines.len() - open.len());
        talk.say(&match known {
            0 => format!("{all} variants, up to {threads} at a time"),
            _ => format!("{all} variants, {known} of them taken over from {}; up to {threads} at a time", self.path.display()),
        });
        let bar = progress(talk, all, known);
        let mut file = self.begin()?;
        let result = solve(&self.vary.variants, &open, threads, &mut |i, row| {
            let line = self.sheet.line(i, &self.hashes[i], &self.vary.variants[i].values, &row);
            file.write_all(&line.bytes()).map_err(|source| Failure::Write { path: self.path.clone(), source })?;
            if talk.is_verbose() {
                talk.say(&format!("variant {} of {all} finished", i + 1));
            }
            self.lines[i] = Some(line);
            bar.inc(1);
            show(&bar, UNDER_WAY);
            Ok(())
        });
        bar.finish_and_clear();
        result
    }

    /// The file with the head and the lines taken over, open for more: a last line that was torn is gone.
    fn begin(&self) -> Result<File, Failure> {
        let known: Vec<Line> = self.lines.iter().flatten().cloned().collect();
        files::write_whole(&self.path, &self.sheet.file(&known), true)?;
        let opened = OpenOptions::new().append(true).open(&self.path);
        opened.map_err(|source| Failure::Write { path: self.path.clone(), source })
    }

    /// The whole file in the order of the variants, and its lines.
    fn finish(&self) -> Result<Vec<Line>, Failure> {
        let lines: Vec<Line> = self.lines.iter().flatten().cloned().collect();
        files::write_whole(&self.path, &self.sheet.file(&lines), true)?;
        Ok(lines)
    }
}

/// Lines of an earlier run by the hashes of their cases.
fn earlier(sheet: &Sheet, hashes: &[String], path: &Path) -> Result<HashMap<String, Line>, Failure> {
    let bytes = match files::read_limited(path, LARGEST) {
        Ok(bytes) => bytes,
        Err(error) if error.kind() == ErrorKind::NotFound => return Ok(HashMap::new()),
        Err(source) => return Err(Failure::ReadOutput { path: path.to_owned(), source }),
    };
    let text = String::from_utf8_lossy(&bytes);
    let lines = if bytes.len() > LARGEST { Err(SheetError::Head) } else { sheet.lines(&text, hashes) };
    lines.map_err(|source| Failure::OtherStudy { path: path.to_owned(), source })
}

/// Bar before and after the first variant of this run: nothing tells how long one takes until then.
const BEGINNING: &str = "{bar:30} {pos} of {len} variants, {elapsed} gone";
const UNDER_WAY: &str = "{bar:30} {pos} of {len} variants, {elapsed} gone, {eta} left";

fn show(bar: &ProgressBar, template: &str) {
    if let Ok(style) = ProgressStyle::with_template(template) {
        bar.set_style(style);
    }
}

/// A bar with the time left on standard error where that is a terminal and silence is not wanted.
fn progress(talk: &Talk, all: usize, known: usize) -> ProgressBar {
    if talk.is_quiet() || talk.is_verbose() {
        return ProgressBar::hidden();
    }
    let bar = ProgressBar::new(all as u64).with_position(known as u64);
    show(&bar, BEGINNING);
    // Lines taken over say nothing of the time that the others take.
    bar.reset_eta();
    bar.enable_steady_tick(std::time::Duration::from_millis(500));
    bar
}
