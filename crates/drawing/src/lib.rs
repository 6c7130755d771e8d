//! Closed sections of lines and arcs in the (r, z) plane: the half of a rim section, as drawn or as described by numbers.
//!
//! Knows no tyre and no unit: lengths are in mm. Reads bytes, opens no file.

pub mod dxf;
pub mod error;
pub mod features;
mod loops;
pub mod meshing;
pub mod msh;
pub mod section;
mod span;

pub use error::{DrawingError, Place};
