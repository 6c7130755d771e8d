//! Distributions that studies and the test bench share. Knows no tyre and no unit.

pub mod normal;
