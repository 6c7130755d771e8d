//! Axisymmetric finite-strain finite elements.
//!
//! Coordinates (r, z): r from the axis of revolution, z along it. Units N, mm, MPa; forces and virtual work are taken over the
//! whole circumference (factor 2 pi). Displacement unknowns of node `i` are `2 i` (radial) and `2 i + 1` (axial); scalar extra
//! unknowns follow after all nodes. This crate knows no unit text, no file, and nothing of the thing that is modelled.
//!
//! Everything that adds to residual and tangent is a [`contribution::Contribution`]; [`assembly::System`] sums them,
//! [`newton`] solves, [`continuation`] follows a path past limit points.
//!
//! # A tube under pressure
//!
//! Inner radius 10 mm, outer 20 mm, both ends held axially, 50 MPa inside: four elements through the wall, against Lame's solution
//! u(a) = (1 + nu) p a / E ((1 - 2 nu) a^2 + b^2) / (b^2 - a^2), Timoshenko and Goodier, Theory of Elasticity, section 28 (from memory).
//!
//! ```
//! use hoopwright_fem::contribution::{Contribution, pressure::Pressure, solid::Solid};
//! use hoopwright_fem::material::linear_elastic::LinearElastic;
//! use hoopwright_fem::newton::{self, Control, Cost, Settings};
//! use hoopwright_fem::{assembly::System, mesh::Mesh, state::Load};
//! use std::sync::Arc;
//!
//! let (a, b, young, poisson, p) = (10.0, 20.0, 200_000.0, 0.3, 50.0);
//! // Three rows of nodes, from the axis outward in each row; elements as corners, mid-sides, centre.
//! let nodes = (0..3).flat_map(|j| (0..9).map(move |i| [a + (b - a) * f64::from(i) / 8.0, f64::from(j)])).collect();
//! let quads: Vec<[usize; 9]> = (0..4).map(|e| [0, 2, 20, 18, 1, 11, 19, 9, 10].map(|n| 2 * e + n)).collect();
//! let mesh = Mesh { nodes, quads };
//!
//! let wall = Solid::new(&mesh, &[0, 1, 2, 3], Box::new(LinearElastic::new(young, poisson))).ok_or("an element is turned over")?;
//! // First, last, mid node of the inner face; gas lies to the left of the way.
//! let gas = Pressure::new(&mesh, vec![[0, 18, 9]]);
//! let held: Vec<usize> = (0..27).filter(|i| i / 9 != 1).map(|i| 2 * i + 1).collect();
//! let contributions: Vec<Arc<dyn Contribution>> = vec![Arc::new(wall), Arc::new(gas)];
//! let mut system = System::new(2 * mesh.nodes.len(), &held, contributions)?;
//!
//! let (mut state, mut load) = (system.rest(), Load { pressure: p, ..Load::default() });
//! newton::solve(&mut system, &mut state, &mut load, Control::Load, &Settings::default(), &mut Cost::default())?;
//! let lame = (1.0 + poisson) * p * a / young * ((1.0 - 2.0 * poisson) * a * a + b * b) / (b * b - a * a);
//! // Within the change of the bore under its own load, which Lame leaves out.
//! assert!((state.u[0] / lame - 1.0).abs() < 2e-3, "{} mm, {lame} mm", state.u[0]);
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

pub mod assembly;
pub mod clock;
pub mod contact;
pub mod continuation;
pub mod contribution;
pub mod element;
pub mod error;
pub mod harmonic;
pub mod kinematics;
pub mod material;
pub mod mesh;
pub mod modes;
pub mod newton;
pub mod quadrature;
pub mod recovery;
pub mod sparse;
pub mod state;
