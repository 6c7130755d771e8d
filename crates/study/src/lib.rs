//! What is asked of many solves: one case over a list or grid of its inputs, or mapped over two of them; and what logs of a test bench
//! tell of a bead. This crate writes no file and knows no output format.

pub mod calibrate;
pub mod column;
pub mod map;
pub mod rig;
pub mod service;
pub mod sizes;
mod table;
pub mod tolerance;
pub mod vary;
mod workers;
