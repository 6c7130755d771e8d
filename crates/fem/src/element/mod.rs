//! Reference elements: shape functions and their derivatives.

pub mod line3;
pub mod quad9;
pub mod tri6;
