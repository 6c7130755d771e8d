//! Exit codes, which scripts may rely on.

use std::process::ExitCode;

/// How a run ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Exit {
    /// Done, and every stated limit is kept.
    Done = 0,
    /// Done, and a stated limit is not kept.
    LimitNotKept = 1,
    /// Wrong arguments or input, or a file that cannot be read or written.
    WrongInput = 2,
    /// No equilibrium was found, or a log tells nothing: no answer.
    NoEquilibrium = 3,
}

impl Exit {
    const ALL: [Self; 4] = [Self::Done, Self::LimitNotKept, Self::WrongInput, Self::NoEquilibrium];

    fn meaning(self) -> &'static str {
        match self {
            Self::Done => "done, every stated limit is kept",
            Self::LimitNotKept => "done, a stated limit is not kept",
            Self::WrongInput => "wrong arguments or input, or a file that cannot be read or written",
            Self::NoEquilibrium => "no equilibrium was found, or a log tells nothing: no answer",
        }
    }
}

impl From<Exit> for ExitCode {
    fn from(exit: Exit) -> Self {
        Self::from(exit as u8)
    }
}

/// The exit codes for the help text.
pub(crate) fn help() -> String {
    let lines: Vec<String> = Exit::ALL.iter().map(|exit| format!("  {}  {}", *exit as u8, exit.meaning())).collect();
    format!("Exit codes:\n{}", lines.join("\n"))
}
