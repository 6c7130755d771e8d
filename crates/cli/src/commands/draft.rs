//! `draft`: a commented starter case.

use std::path::PathBuf;

use hoopwright_case as case;

use crate::exit::Exit;
use crate::failure::Failure;
use crate::files;
use crate::output::Talk;

const EXAMPLES: &str = "\
Examples:
  hoopwright draft tyre.toml
  hoopwright draft --force tyre.toml    overwrite it";

/// Write a commented starter case with every input, its range, default and source.
#[derive(Debug, clap::Args)]
#[command(after_help = EXAMPLES)]
pub(crate) struct DraftArgs {
    /// Case file to write.
    #[arg(value_name = "FILE")]
    file: PathBuf,
    /// Overwrite the file if it exists.
    #[arg(long)]
    force: bool,
}

/// Writes the starter case.
pub(crate) fn run(args: &DraftArgs, talk: &Talk) -> Result<Exit, Failure> {
    files::write_whole(&args.file, case::starter().as_bytes(), args.force)?;
    let file = args.file.display();
    talk.say(&format!("Wrote {file}. Put in your values, then: hoopwright review {file}"));
    Ok(Exit::Done)
}
