//! `rig fixture`: a commented fixture file.

use std::path::PathBuf;

use hoopwright_bench::fixture;

use crate::exit::Exit;
use crate::failure::Failure;
use crate::files;
use crate::output::Talk;

const EXAMPLES: &str = "\
Examples:
  hoopwright rig fixture fixture.toml
  hoopwright rig fixture --force fixture.toml    overwrite it";

/// Write a commented fixture file with every input, its range and default.
#[derive(Debug, clap::Args)]
#[command(after_help = EXAMPLES)]
pub(crate) struct FixtureArgs {
    /// Fixture file to write.
    #[arg(value_name = "FILE")]
    file: PathBuf,
    /// Overwrite the file if it exists.
    #[arg(long)]
    force: bool,
}

/// Writes the file.
pub(super) fn run(args: &FixtureArgs, talk: &Talk) -> Result<Exit, Failure> {
    files::write_whole(&args.file, fixture::starter().as_bytes(), args.force)?;
    let file = args.file.display();
    talk.say(&format!("Wrote {file}. Put in your values, then: hoopwright rig stretch LOG --fixture {file}"));
    Ok(Exit::Done)
}
