//! Arguments.

use clap::{ArgAction, CommandFactory, Parser, Subcommand};

use crate::commands::{
    assess, calibrate, compare, completions, draft, inputs, limit, manual, map, pairs, review, rig, schema, service, sizes,
    tolerance, validate, vary,
};
use crate::exit::{self, Exit};
use crate::failure::Failure;
use crate::output::Talk;

const EXAMPLES: &str = "\
Examples:
  hoopwright draft tyre.toml     write a commented starter case
  hoopwright review tyre.toml    faults, all defaults, an estimate; nothing is solved
  hoopwright assess tyre.toml    fit, inflate, blow off: the answer";

/// Decides whether a bicycle tyre with a measured bead diameter and stiffness stays on a straight-wall (hookless) rim at
/// rated pressure.
#[derive(Debug, Parser)]
#[command(version, max_term_width = 100, help_expected = true, arg_required_else_help = true)]
#[command(after_help = format!("{EXAMPLES}\n\n{}", exit::help()))]
pub(crate) struct Args {
    /// What to do.
    #[command(subcommand)]
    pub(crate) command: Command,
    /// Say nothing on stderr but errors.
    #[arg(short, long, global = true, conflicts_with = "verbose")]
    pub(crate) quiet: bool,
    /// Say more.
    #[arg(short, long, global = true, action = ArgAction::Count)]
    pub(crate) verbose: u8,
}

/// Commands.
#[derive(Debug, Subcommand)]
pub(crate) enum Command {
    Draft(draft::DraftArgs),
    Review(review::ReviewArgs),
    Assess(assess::AssessArgs),
    Compare(compare::CompareArgs),
    Vary(vary::VaryArgs),
    Limit(limit::LimitArgs),
    Map(map::MapArgs),
    Pairs(pairs::PairsArgs),
    Tolerance(tolerance::ToleranceArgs),
    Rig(rig::RigArgs),
    Calibrate(calibrate::CalibrateArgs),
    Sizes(sizes::SizesArgs),
    Service(service::ServiceArgs),
    Validate(validate::ValidateArgs),
    Inputs(inputs::InputsArgs),
    Schema(schema::SchemaArgs),
    Manual(manual::ManualArgs),
    Completions(completions::CompletionsArgs),
}

impl Command {
    /// Runs the command.
    pub(crate) fn run(&self, talk: &Talk) -> Result<Exit, Failure> {
        match self {
            Self::Draft(args) => draft::run(args, talk),
            Self::Review(args) => review::run(args, talk),
            Self::Assess(args) => assess::run(args, talk),
            Self::Compare(args) => compare::run(args, talk),
            Self::Vary(args) => vary::run(args, talk),
            Self::Limit(args) => limit::run(args, talk),
            Self::Map(args) => map::run(args, talk),
            Self::Pairs(args) => pairs::run(args, talk),
            Self::Tolerance(args) => tolerance::run(args, talk),
            Self::Rig(args) => rig::run(args, talk),
            Self::Service(args) => service::run(args, talk),
            Self::Calibrate(args) => calibrate::run(args, talk),
            Self::Sizes(args) => sizes::run(args, talk),
            Self::Validate(args) => validate::run(args, talk),
            Self::Inputs(args) => inputs::run(args),
            Self::Schema(_) => schema::run(),
            Self::Manual(args) => manual::run(args, Args::command(), talk),
            Self::Completions(args) => completions::run(args, Args::command()),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn arguments_are_consistent_and_documented() {
        Args::command().debug_assert();
    }

    /// A longer line would be broken in the middle of an example.
    #[test]
    fn examples_stand_in_the_help_line_by_line() {
        let mut left = vec![Args::command()];
        while let Some(mut command) = left.pop() {
            let text = command.get_after_help().map(ToString::to_string).unwrap_or_default();
            let help = command.render_help().to_string();
            let broken: Vec<&str> = text.lines().filter(|line| !help.lines().any(|whole| whole == *line)).collect();
            assert!(broken.is_empty(), "{}: {broken:?}", command.get_name());
            left.extend(command.get_subcommands().cloned());
        }
    }
}
