//! What is asked of many solves: here, one case over a list or grid of its inputs. This crate writes no file and knows no output format.

pub mod column;
pub mod vary;
