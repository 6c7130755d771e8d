//! `rig`: from the test bench to the model.

mod arguments;
mod fixture;
mod growth;
mod hold;
mod logs;
mod stretch;

use crate::exit::Exit;
use crate::failure::Failure;
use crate::output::Talk;

const EXAMPLES: &str = "\
Examples:
  hoopwright rig fixture fixture.toml                             write a commented fixture file
  hoopwright rig stretch pull.csv --fixture fixture.toml --out out
  hoopwright rig growth night.csv --until \"1000 h\"
  hoopwright rig hold test.csv --rated \"5 bar\" --factor 1.1
Logs are CSV with units in the head, as in `time [s],force [N],travel [mm]`; lines that begin
with # are comments. A log may have 4 million rows and 256 MB.";

/// Read logs of a test bench: a bead stretched, its growth under tension, an inflation test; numbers with their errors, blocks of a case.
#[derive(Debug, clap::Args)]
#[command(after_help = EXAMPLES, subcommand_required = true, arg_required_else_help = true)]
pub(crate) struct RigArgs {
    /// Kind of log.
    #[command(subcommand)]
    command: RigCommand,
}

/// Kinds of logs.
#[derive(Debug, clap::Subcommand)]
enum RigCommand {
    Stretch(stretch::StretchArgs),
    Growth(growth::GrowthArgs),
    Hold(hold::HoldArgs),
    Fixture(fixture::FixtureArgs),
}

/// Reads, prints and writes.
pub(crate) fn run(args: &RigArgs, talk: &Talk) -> Result<Exit, Failure> {
    match &args.command {
        RigCommand::Stretch(args) => stretch::run(args, talk),
        RigCommand::Growth(args) => growth::run(args, talk),
        RigCommand::Hold(args) => hold::run(args, talk),
        RigCommand::Fixture(args) => fixture::run(args, talk),
    }
}
