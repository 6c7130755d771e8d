//! Closed sections of lines and arcs in the (r, z) plane: the half of a rim section, as drawn or as described by numbers.
//!
//! Knows no tyre and no unit: lengths are in mm. Reads bytes, opens no file.

pub mod meshing;
pub mod section;
