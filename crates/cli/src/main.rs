//! Command line of Hoopwright: whether a bicycle tyre stays on a straight-wall rim at rated pressure.

mod args;
mod case_file;
mod commands;
mod diagnostics;
mod exit;
mod failure;
mod files;
mod growing;
mod limit_file;
mod out_folder;
mod output;
mod pairs_files;
mod parts;
mod progress;
mod register_file;
mod row_file;
mod sample_file;
mod study_file;

use std::process::ExitCode;

use clap::Parser;

use crate::args::Args;
use crate::exit::Exit;
use crate::output::Talk;

fn main() -> ExitCode {
    let args = match Args::try_parse() {
        Ok(args) => args,
        Err(message) => return refused(&message),
    };
    let talk = Talk::new(args.quiet, args.verbose);
    let exit = args.command.run(&talk).unwrap_or_else(|failure| {
        talk.always(&diagnostics::render(&failure, output::colour()));
        failure.exit()
    });
    exit.into()
}

/// Help and version end well; wrong arguments do not. A closed pipe is no reason to complain.
fn refused(message: &clap::Error) -> ExitCode {
    let _closed_pipe = message.print();
    if message.use_stderr() { Exit::WrongInput.into() } else { Exit::Done.into() }
}
