//! `tolerance`: how often a case will not hold where its inputs scatter.

use std::path::{Path, PathBuf};
use std::time::Instant;

use hoopwright_case::{Spread, Tolerance, Uncertain};
use hoopwright_report::html::{Given, Source};
use hoopwright_report::tolerance::{self as report, Reported};
use hoopwright_report::{html, svg};
use hoopwright_study::tolerance::joint::{Joint, JointError};
use hoopwright_study::tolerance::limits::Limits;
use hoopwright_study::tolerance::marginal::Marginal;
use hoopwright_study::tolerance::measured::{self, MeasuredError};
use hoopwright_study::tolerance::{Findings, Plan, study};

use crate::case_file::CaseFile;
use crate::exit::Exit;
use crate::failure::Failure;
use crate::files::{self, REPORT};
use crate::out_folder::{Asked, OutFolder};
use crate::output::{self, Talk};
use crate::sample_file::SampleFile;
use crate::study_file::AtATime;

const EXAMPLES: &str = "\
In the case file:
  [tolerance]
  target = 1e-5                                  # allowed probability of a release or an overload
  \"bead.stiffness\" = { deviation = \"12 kN\" }     # normal about the case's value
  \"bead.diameter\" = { deviation = \"0.1 mm\", within = [\"620.1 mm\", \"620.7 mm\"] }
  \"rim.seat_diameter\" = { between = [\"621.7 mm\", \"622.2 mm\"] }
  \"rim.flange_height\" = { between = [\"5 mm\", \"6 mm\"], mode = \"5.5 mm\" }
  \"contact.friction\" = { values = \"friction.csv\", column = \"friction\" }
  gauge_error = { deviation = \"0.1 bar\" }
  correlation = [[\"bead.diameter\", \"bead.stiffness\", 0.3]]
  choose = \"bead.diameter\"                       # how wide may this spread be?
  condition = \"hot\"                              # or new (default), held, aged, aged and hot
  \"service.hot_air\" = { deviation = \"3 K\", within = [\"25 degC\", \"50 degC\"] }

Examples:
  hoopwright tolerance tyre.toml --out out       table, report, samples, JSON and pictures
Run the same command again to resume a stopped run. Exit code 0 if the
target is met (or none is given), 1 if it is not shown to be met, 3 if there is no answer
or too few solves for one.";

/// Name of the file of samples in the output folder.
const SAMPLES: &str = "samples.csv";
/// Files that every answer has.
const MAIN: [&str; 2] = ["tolerance.json", REPORT];
/// Largest file of measured values, bytes.
const LARGEST: usize = 1 << 24;

/// Tell how often a case will not hold where the inputs in its table tolerance scatter: worst case, probability with its interval, what
/// matters, how wide one tolerance may be.
#[derive(Debug, clap::Args)]
#[command(after_help = EXAMPLES)]
pub(crate) struct ToleranceArgs {
    /// Case file.
    #[arg(value_name = "CASE")]
    case: PathBuf,
    /// Folder for report.html, samples.csv, samples.parquet, tolerance.json and the pictures; made if it does not exist.
    #[arg(long, value_name = "DIR")]
    out: Option<PathBuf>,
    /// Replace results of another case in the folder.
    #[arg(long)]
    force: bool,
    #[command(flatten)]
    at_a_time: AtATime,
    /// Print the answer as JSON in place of the table.
    #[arg(long)]
    json: bool,
}

/// Solves, prints and writes the answer.
pub(crate) fn run(args: &ToleranceArgs, talk: &Talk) -> Result<Exit, Failure> {
    let file = CaseFile::open(&args.case)?;
    let tolerance = file.tolerance()?.ok_or_else(|| Failure::NoTolerance { path: args.case.clone() })?;
    let mut given = file.given()?;
    let mut read = |u| read_measured(&args.case, &tolerance, u, &mut given.others);
    let measured = tolerance.inputs.iter().map(&mut read).collect::<Result<Vec<_>, _>>()?;
    let limits = Limits::of(&tolerance.case);
    let plan = plan(&args.case, &tolerance, &measured, &limits)?;
    let asked = Asked { command: "tolerance", of: &args.case, question: None, main: &MAIN, force: args.force };
    let folder = args.out.as_deref().map(|path| OutFolder::open(path, &asked)).transpose()?;
    let path = args.out.as_ref().map(|folder| folder.join(SAMPLES));
    let mut samples = SampleFile::open((&tolerance, &limits), &measured, path, args.force)?;
    let findings = solve(args, &tolerance, &plan, &mut samples, talk)?;
    let unanswered = samples.unanswered();
    let reported = Reported { tolerance: &tolerance, plan: &plan, limits: &limits, findings: &findings, unanswered: &unanswered };
    if let Some(mut folder) = folder {
        let mut list = samples.files(&given.sources())?.to_vec();
        list.extend(written(&given, &reported));
        folder.write(&list, talk)?;
        samples.finish()?;
    }
    output::print(&if args.json { report::document(&reported) } else { report::text(&reported) })?;
    Ok(match reported.outcome() {
        report::Outcome::NoAnswer | report::Outcome::NotKnown => Exit::NoEquilibrium,
        report::Outcome::Missed | report::Outcome::NotShown => Exit::LimitNotKept,
        report::Outcome::Met | report::Outcome::NoTarget => Exit::Done,
    })
}

/// The measured values of an input, whose file joins the `sources`; none where its spread is told otherwise.
pub(crate) fn read_measured(
    case: &Path,
    tolerance: &Tolerance,
    uncertain: &Uncertain,
    sources: &mut Vec<Source>,
) -> Result<Vec<f64>, Failure> {
    let Spread::Measured { file, column } = &uncertain.spread else { return Ok(Vec::new()) };
    let path = files::beside(case, file);
    let bytes = files::read_limited(&path, LARGEST).map_err(|source| Failure::ReadMeasured { path: path.clone(), source })?;
    sources.push(Source::new(format!("values {file}"), &bytes));
    let read = if bytes.len() > LARGEST { Err(MeasuredError::TooMany) } else { measured::read(&bytes, column, uncertain.input) };
    let values = read.map_err(|source| Failure::Measured { path: path.clone(), source })?;
    for value in [values.iter().copied().fold(f64::INFINITY, f64::min), values.iter().copied().fold(f64::NEG_INFINITY, f64::max)]
    {
        let refused = |errors: hoopwright_case::CaseErrors| {
            let reason = errors.0.first().map_or(String::new(), |error| error.message());
            Failure::MeasuredValue { path: path.clone(), value: format!("{} = {value}", uncertain.input.path()), reason }
        };
        tolerance.admits(uncertain, value).map_err(refused)?;
    }
    Ok(values)
}

fn plan(case: &Path, tolerance: &Tolerance, measured: &[Vec<f64>], limits: &Limits) -> Result<Plan, Failure> {
    let marginals: Vec<Marginal> =
        tolerance.inputs.iter().zip(measured).filter_map(|(u, values)| Marginal::of(&u.spread, values)).collect();
    let refused = |error: JointError| {
        let path = |i: usize| tolerance.inputs.get(i).map_or(String::new(), |u| u.input.path());
        let sentence = match error {
            JointError::Pair(i, j, rho) => {
                format!("{} and {} cannot have a correlation of {rho}: their spreads are too unlike", path(i), path(j))
            }
            JointError::Matrix => error.to_string(),
        };
        Failure::Joint { path: case.to_owned(), sentence }
    };
    let joint = Joint::new(marginals, &tolerance.correlation).map_err(refused)?;
    Ok(Plan::new(tolerance, joint, limits.len()))
}

fn solve(
    args: &ToleranceArgs,
    tolerance: &Tolerance,
    plan: &Plan,
    file: &mut SampleFile<'_>,
    talk: &Talk,
) -> Result<Findings, Failure> {
    let threads = args.at_a_time.number();
    let taken = match file.known() {
        0 => String::new(),
        known => format!(", {known} of them kept from an earlier run"),
    };
    talk.say(&format!(
        "{} inputs scatter; up to {} samples are solved, as many as the interval asks for{taken}; {threads} at a time",
        tolerance.inputs.len(),
        plan.most_solves
    ));
    let start = Instant::now();
    let findings = study(plan, &mut |purpose, places: &[Vec<f64>]| file.solve(purpose, places, threads, talk))?;
    let seconds = start.elapsed().as_secs_f64();
    talk.say(&format!("{} samples, {} solved in this run, {seconds:.1} s", findings.record.solved.len(), file.solved));
    Ok(findings)
}

/// Every file but that of the samples.
fn written(given: &Given, reported: &Reported<'_>) -> Vec<(String, Vec<u8>)> {
    let json = [("tolerance.json".to_owned(), report::document(reported))];
    let page = [(REPORT.to_owned(), html::tolerance(given, reported))];
    let all = json.into_iter().chain(svg::tolerance::pictures(reported)).chain(page);
    all.map(|(name, text)| (name, text.into_bytes())).collect()
}
