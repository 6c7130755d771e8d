//! One tyre on one rim, and what follows from it.
//!
//! Text becomes a [`case::CaseFile`] (as typed), then a [`case::Case`] (checked, in N, mm, MPa and radians).
//! From a case come the closed-form [`estimate`] and the finite-element [`result::Assessment`].
//! This crate writes no file and knows no output format.

pub mod case;
mod nearest;
pub mod result;
pub mod units;
