//! `validate`: the program held against results which its authors did not make.

use std::path::PathBuf;

use hoopwright_validation as validation;

use crate::exit::Exit;
use crate::failure::Failure;
use crate::files;
use crate::output::{self, Talk};

const EXAMPLES: &str = "\
Examples:
  hoopwright validate               table: value, reference, difference, tolerance, source
  hoopwright validate --json        the same as JSON
  hoopwright validate --out out     and the picture out/checks.svg";

/// Hold the program against closed forms and published numbers; exit code 1 if a check falls short.
#[derive(Debug, clap::Args)]
#[command(after_help = EXAMPLES)]
pub(crate) struct ValidateArgs {
    /// Print JSON in place of the table.
    #[arg(long, conflicts_with = "markdown")]
    json: bool,
    /// Print the Markdown tables of validation/README.md.
    #[arg(long)]
    markdown: bool,
    /// Folder for the picture checks.svg; made if it does not exist.
    #[arg(long, value_name = "DIR")]
    out: Option<PathBuf>,
}

/// Makes the checks and prints them.
pub(crate) fn run(args: &ValidateArgs, talk: &Talk) -> Result<Exit, Failure> {
    talk.say("Running the checks: some seconds.");
    let checks = validation::run()?;
    if let Some(folder) = &args.out {
        files::make_folder(folder)?;
        files::write_whole(&folder.join("checks.svg"), validation::picture(&checks).as_bytes(), true)?;
    }
    output::print(&match (args.json, args.markdown) {
        (true, _) => validation::json(&checks),
        (_, true) => format!("{}\n{}", validation::summary(&checks), validation::markdown(&checks)),
        _ => validation::text(&checks),
    })?;
    Ok(if checks.iter().all(validation::Check::passes) { Exit::Done } else { Exit::LimitNotKept })
}
