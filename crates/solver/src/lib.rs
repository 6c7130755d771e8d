//! One tyre on one rim, and what follows from it.
//!
//! Text becomes a case file as typed, then a [`case::Case`] (checked, in N, mm, MPa and radians). From a case come the closed-form
//! estimate and the finite-element [`result::Assessment`]. This crate writes no file and knows no output format.

pub mod assess;
pub mod case;
pub mod estimate;
pub mod geometry;
pub mod meshing;
pub mod model;
mod nearest;
pub mod observe;
pub mod result;
pub mod retention;
pub mod rim;
pub mod stages;
pub mod units;
pub mod verdict;
