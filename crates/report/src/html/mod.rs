//! Answers as HTML files that need nothing else: no network, no other file, readable on a telephone and on paper.
//!
//! The same input gives the same bytes: no date, no time.

mod assess;
mod calibrate;
mod compare;
mod frame;
mod limit;
mod map;
mod pairs;
pub mod rig;
mod service;
mod sizes;
mod tolerance;
mod vary;

pub use crate::source::Source;
pub use assess::page as assessment;
pub use calibrate::page as calibration;
pub use compare::page as comparison;
pub use frame::Given;
pub use limit::page as limit;
pub use map::page as map;
pub use pairs::page as pairs;
pub use service::page as service;
pub use sizes::page as sizes;
pub use tolerance::page as tolerance;
pub use vary::page as vary;
