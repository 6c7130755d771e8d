//! Contact of a body's boundary nodes with a smooth rigid profile that may move radially.

pub mod aitken;
pub mod profile;
pub mod sealing;
pub mod unilateral;
