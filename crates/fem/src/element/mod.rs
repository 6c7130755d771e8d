//! Reference elements: shape functions and their derivatives.

pub mod line3;
pub mod quad9;
