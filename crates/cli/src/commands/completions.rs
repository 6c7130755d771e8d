//! `completions`: what a shell needs to complete commands and options.

use clap_complete::Shell;

use crate::exit::Exit;
use crate::failure::Failure;
use crate::output;

const EXAMPLES: &str = "\
Examples:
  hoopwright completions bash > ~/.local/share/bash-completion/completions/hoopwright
  hoopwright completions fish > ~/.config/fish/completions/hoopwright.fish";

/// Print the completions of a shell.
#[derive(Debug, clap::Args)]
#[command(after_help = EXAMPLES)]
pub(crate) struct CompletionsArgs {
    /// Shell.
    shell: Shell,
}

/// Prints the completions of the whole program.
pub(crate) fn run(args: &CompletionsArgs, mut program: clap::Command) -> Result<Exit, Failure> {
    let mut script = Vec::new();
    clap_complete::generate(args.shell, &mut program, "hoopwright", &mut script);
    output::print(&String::from_utf8_lossy(&script))?;
    Ok(Exit::Done)
}
