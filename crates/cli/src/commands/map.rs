//! `map`: the main job over two inputs.

use std::num::NonZeroUsize;
use std::path::PathBuf;

use hoopwright_study::vary::Scope;

use crate::exit::Exit;
use crate::failure::Failure;
use crate::files;
use crate::output::Talk;
use crate::study_file::{Study, threads};

/// Name of the file of solved points in the output folder.
const POINTS: &str = "points.csv";

/// Map a case over two inputs.
#[derive(Debug, clap::Args)]
pub(crate) struct MapArgs {
    /// Case file.
    #[arg(value_name = "CASE")]
    case: PathBuf,
    /// Folder for the files and pictures; made if it does not exist.
    #[arg(long, value_name = "DIR")]
    out: PathBuf,
    /// Points that are solved at a time; as many as there are processors by default.
    #[arg(long, value_name = "N")]
    threads: Option<NonZeroUsize>,
}

/// Solves the points.
pub(crate) fn run(args: &MapArgs, talk: &Talk) -> Result<Exit, Failure> {
    let map = files::read_map(&args.case)?.ok_or_else(|| Failure::NoMap { path: args.case.clone() })?;
    std::fs::create_dir_all(&args.out).map_err(|source| Failure::Write { path: args.out.clone(), source })?;
    let mut study = Study::open((&map.grid, Scope::Deciding), &args.out.join(POINTS), &[])?;
    let start = std::time::Instant::now();
    let open = study.open_numbers();
    study.solve(&open, threads(args.threads), "point", talk)?;
    study.finish()?;
    talk.say(&format!("{} solves in {:.1} s", open.len(), start.elapsed().as_secs_f64()));
    Ok(Exit::Done)
}
