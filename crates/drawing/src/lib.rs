//! Closed sections of lines and arcs in the (r, z) plane: the half of a rim section, as drawn or as described by numbers.
//!
//! Knows no tyre and no unit: lengths are in mm. Reads bytes, opens no file.
//!
//! # A section described by numbers
//!
//! A flat ring of 10 mm by 2 mm with one rounded end, filled with six-node triangles:
//!
//! ```
//! use hoopwright_drawing::meshing::triangulate;
//! use hoopwright_drawing::section::{Loop, Piece, Section};
//!
//! // Counter-clockwise in (r, z); a bulge is the tangent of a quarter of the arc's angle, so 1 makes a half circle.
//! let pieces = [([300.0, 0.0], 0.0), ([310.0, 0.0], 1.0), ([310.0, 2.0], 0.0), ([300.0, 2.0], 0.0)]
//!     .map(|(start, bulge)| Piece { start, bulge });
//! let section = Section { outer: Loop { pieces: pieces.to_vec() }, cavities: Vec::new() };
//! assert!((section.area() - (20.0 + std::f64::consts::PI / 2.0)).abs() < 1e-9, "mm^2, arcs exact");
//!
//! let mesh = triangulate(&section, 0.5)?;
//! let doubled = |t: &[usize; 6]| {
//!     let [a, b, c] = [t[0], t[1], t[2]].map(|node| mesh.nodes[node]);
//!     (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])
//! };
//! let straight: f64 = mesh.triangles.iter().map(|t| 0.5 * doubled(t)).sum();
//! assert!(mesh.triangles.iter().all(|t| doubled(t) > 0.0) && (straight / section.area() - 1.0).abs() < 5e-3);
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

mod biarc;
pub mod dxf;
pub mod error;
pub mod features;
mod loops;
pub mod meshing;
pub mod msh;
pub mod section;
mod span;

pub use error::{DrawingError, Place};
