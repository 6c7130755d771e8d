//! Why checks cannot be made.

use hoopwright_fem::error::SolveError;
use hoopwright_solver::estimate::netting::NettingError;

/// A value of the program, named as in its problem.
pub(crate) type Value = (String, f64);

/// Why the checks cannot be made. Each is a fault of the program.
#[derive(Debug, thiserror::Error)]
pub enum ValidationError {
    /// A problem's file cannot be used.
    #[error("validation/{problem}/problem.toml: {fault}")]
    Problem {
        /// Folder.
        problem: String,
        /// What is wrong with it.
        fault: String,
    },
    /// A reference which nothing computes, or a value without a reference.
    #[error("{problem}: {names} stand on one side only")]
    Unmatched {
        /// Folder.
        problem: String,
        /// The names.
        names: String,
    },
    /// A mesh with an inverted element.
    #[error("a validation mesh has an inverted element")]
    Mesh,
    /// No equilibrium.
    #[error(transparent)]
    Solve(#[from] SolveError),
    /// No membrane.
    #[error(transparent)]
    Netting(#[from] NettingError),
    /// The starter case does not read.
    #[error("the starter case cannot be used: {0}")]
    Case(String),
}
