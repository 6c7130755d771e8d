//! Data on standard output, talk on standard error.

use std::io::{self, ErrorKind, IsTerminal, Write};

use crate::failure::Failure;
use hoopwright_report::text::wrapped;

/// Writes data to standard output. A reader that has gone away is no failure.
pub(crate) fn print(data: &str) -> Result<(), Failure> {
    let mut stdout = io::stdout().lock();
    match stdout.write_all(data.as_bytes()).and_then(|()| stdout.flush()) {
        Err(error) if error.kind() != ErrorKind::BrokenPipe => Err(Failure::Output(error)),
        _ => Ok(()),
    }
}

/// Whether standard error takes colours: a terminal, and `NO_COLOR` is unset or empty.
pub(crate) fn colour() -> bool {
    let no_colour = std::env::var_os("NO_COLOR").is_some_and(|value| !value.is_empty());
    let dumb = std::env::var_os("TERM").is_some_and(|value| value == "dumb");
    io::stderr().is_terminal() && !no_colour && !dumb
}

/// What is said on standard error beside the data.
#[derive(Debug)]
pub(crate) struct Talk {
    quiet: bool,
    verbose: u8,
}

impl Talk {
    /// From the flags.
    pub(crate) fn new(quiet: bool, verbose: u8) -> Self {
        Self { quiet, verbose }
    }

    /// Whether silence is wanted.
    pub(crate) fn is_quiet(&self) -> bool {
        self.quiet
    }

    /// Whether more is wanted than by default.
    pub(crate) fn is_verbose(&self) -> bool {
        self.verbose > 0
    }

    /// Says a line unless silence is wanted.
    pub(crate) fn say(&self, line: &str) {
        if !self.quiet {
            self.always(line);
        }
    }

    /// Says a note, wrapped, unless silence is wanted.
    pub(crate) fn note(&self, sentence: &str) {
        self.say(&wrapped("Note:", 2, sentence));
    }

    /// Says a line in any case: errors.
    pub(crate) fn always(&self, line: &str) {
        // Where standard error is closed there is nobody left to tell.
        let _ignored = writeln!(io::stderr().lock(), "{line}");
    }
}
