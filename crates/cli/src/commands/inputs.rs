//! `inputs`: every input of a case.

use hoopwright_report::inputs;

use crate::exit::Exit;
use crate::failure::Failure;
use crate::output;

const EXAMPLES: &str = "\
Examples:
  hoopwright inputs                 key, unit, range, default, meaning, source
  hoopwright inputs service         time and heat in service
  hoopwright inputs bead            those of one table, or those whose key holds the word
  hoopwright inputs --json          the same for programs
  hoopwright inputs --markdown > crates/case/INPUTS.md    refreshes that file of the project";

/// Print every input of a case: unit, range, default, meaning and where the default comes from.
#[derive(Debug, clap::Args)]
#[command(after_help = EXAMPLES)]
pub(crate) struct InputsArgs {
    /// Only inputs whose table and key hold this word, as in "bead" or "rim.seat"; all without it.
    #[arg(value_name = "WORD", default_value = "", hide_default_value = true)]
    word: String,
    /// Print JSON.
    #[arg(long, conflicts_with = "markdown")]
    json: bool,
    /// Print Markdown.
    #[arg(long)]
    markdown: bool,
}

/// Prints the inputs.
pub(crate) fn run(args: &InputsArgs) -> Result<Exit, Failure> {
    let found = inputs::holding(&args.word);
    if found.is_empty() {
        return Err(Failure::NoInput { word: args.word.clone() });
    }
    output::print(&match (args.json, args.markdown) {
        (true, _) => inputs::json(&found),
        (_, true) => inputs::markdown(&found),
        _ => inputs::text(&found),
    })?;
    Ok(Exit::Done)
}
