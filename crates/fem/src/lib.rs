//! Axisymmetric finite-strain finite elements.
//!
//! Coordinates (r, z): r from the axis of revolution, z along it. Units N, mm, MPa; forces and virtual work are taken over the
//! whole circumference (factor 2 pi). Displacement unknowns of node `i` are `2 i` (radial) and `2 i + 1` (axial); scalar extra
//! unknowns follow after all nodes. This crate knows no tyre, no unit text and no file.
//!
//! Everything that adds to residual and tangent is a [`contribution::Contribution`]; [`assembly::System`] sums them,
//! [`newton`] solves, [`continuation`] follows a path past limit points.

pub mod assembly;
pub mod contact;
pub mod continuation;
pub mod contribution;
pub mod element;
pub mod error;
pub mod kinematics;
pub mod material;
pub mod mesh;
pub mod modes;
pub mod newton;
pub mod quadrature;
pub mod recovery;
pub mod sparse;
pub mod state;
