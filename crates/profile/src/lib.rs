//! A smooth chain of lines and arcs in a plane: made from a control polygon with fillets, walked by arc length, asked for its closest point.
//!
//! The rim's tyre side is such a chain: a case draws the rim with it, the contact of the finite elements closes on it. This crate knows
//! neither. Lengths are in mm.
//!
//! ```
//! use hoopwright_profile::{Corner, Profile};
//!
//! let corner = |r: f64, z: f64, radius: f64| Corner { position: [r, z], radius, label: 0, fillet_label: 1 };
//! // Along z, round a fillet of 1 mm, then along r; the free side lies to the right.
//! let chain = Profile::new(&[corner(300.0, 0.0, 0.0), corner(300.0, 10.0, 1.0), corner(306.0, 10.0, 0.0)])?;
//! let closest = chain.closest_point([300.5, 4.0]);
//! assert!((closest.gap - 0.5).abs() < 1e-12 && closest.label == 0);
//! # Ok::<(), hoopwright_profile::ProfileError>(())
//! ```

mod profile;
mod segment;

pub use profile::{Corner, Profile, ProfileError};
pub use segment::ClosestPoint;
