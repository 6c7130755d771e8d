//! Why a solve failed. A failed solve is a value with a reason, never a result.

use thiserror::Error;

/// Reason for which an evaluation or a solve gave no result.
#[derive(Clone, Debug, Error, PartialEq)]
pub enum SolveError {
    /// An element turned inside out.
    #[error(
        "an element turns inside out: {contribution} item {item} at r = {:.3}, z = {:.3} at rest (volume ratio {jacobian:.3e})",
        place[0],
        place[1]
    )]
    Inverted {
        /// Name of the contribution.
        contribution: &'static str,
        /// Item in the contribution.
        item: usize,
        /// Place (r, z) of the point at rest, mm.
        place: [f64; 2],
        /// Volume ratio J found.
        jacobian: f64,
    },
    /// The factorisation met a singular matrix.
    #[error("the tangent matrix is singular")]
    Singular,
    /// The linear solve returned something not finite or too inaccurate.
    #[error("the linear solve is inaccurate: backward error {backward_error:.2e}")]
    Inaccurate {
        /// |r| / (|A| |x| + |b|), infinity norms.
        backward_error: f64,
    },
    /// Newton ran out of iterations.
    #[error("no convergence in {iterations} Newton iterations: relative residual {residual:.2e}")]
    NotConverged {
        /// Iterations made.
        iterations: usize,
        /// Last residual over the force scale.
        residual: f64,
    },
    /// The step control cut the step under its minimum.
    #[error("the step fell under its minimum at pressure {pressure:.4} MPa: {reason}")]
    StepTooSmall {
        /// Pressure of the last converged state, MPa.
        pressure: f64,
        /// What stopped the last attempt.
        reason: String,
    },
}
