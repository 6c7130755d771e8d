//! Contact of a body's boundary with a smooth profile, at rest or carried by a few modes.

pub mod carrier;
pub mod profile;
mod residual;
pub mod sealing;
mod segment;
pub mod unilateral;
