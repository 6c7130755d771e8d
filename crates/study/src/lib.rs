//! What is asked of many solves: one case over a list or grid of its inputs, or mapped over two of them. This crate writes no file and knows no output format.

pub mod column;
pub mod map;
pub mod tolerance;
pub mod vary;
