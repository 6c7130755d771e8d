//! Contact of a body's boundary with a smooth profile, at rest or carried by a few modes.

pub mod reduced_basis;
mod residual;
pub mod sealing;
pub mod unilateral;
