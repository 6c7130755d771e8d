//! From the test bench to the model: what logs of a stretched bead, of its growth under tension and of an inflation test tell.
//!
//! This crate solves nothing: it knows the facts of a fixture ([`fixture`]) and the tables of a log.
//!
//! Inner units: N, mm, MPa, s. Every analysis takes bytes or rows and writes no file.

pub mod fixture;
pub mod growth;
pub mod hold;
pub mod likely;
pub mod log;
pub mod measured;
pub mod plausible;
pub mod regression;
mod spikes;
pub mod stretch;
