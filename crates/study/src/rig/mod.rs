//! From the test bench to the model: what logs of a stretched bead, of its growth under tension and of an inflation test tell.
//!
//! Inner units: N, mm, MPa, s. Every analysis takes bytes or rows and writes no file.

pub mod growth;
pub mod hold;
pub mod log;
pub mod measured;
pub mod plausible;
pub mod regression;
mod spikes;
pub mod stretch;

/// So many rows in words.
pub(crate) fn rows_of(rows: usize) -> String {
    if rows == 1 { "1 row".to_owned() } else { format!("{rows} rows") }
}
