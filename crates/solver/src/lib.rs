//! One tyre on one rim, and what follows from it.
//!
//! From a valid case ([`hoopwright_case::Case`], in N, mm, MPa and radians) come the closed-form
//! estimate and the finite-element [`result::Assessment`]. This crate writes no file and knows no output format.
//!
//! # From text to a verdict
//!
//! ```
//! use hoopwright_solver::assess::{Paths, assess};
//! use hoopwright_case as case;
//! use hoopwright_solver::estimate::estimate;
//! use hoopwright_solver::result::Release;
//!
//! // The starter case: invented, commented, every default shown. A case file's text does as well.
//! let text = case::starter().replace("#friction = 0.3", "friction = 0.2");
//! let (case, notes) = case::read(&text)?;
//! assert_eq!((case.friction, case.pressure.rated), (0.2, 0.5), "MPa inside");
//!
//! // The closed form at once.
//! let closed_form = estimate(&case)?;
//! // Fit, inflation and release by finite elements, at this friction and without any: some seconds.
//! let answer = assess(&case, notes, Paths::SideBySide, &mut |_news| {})?;
//! let [Release::At(with), Release::At(without)] =
//!     [&answer.given, &answer.frictionless].map(|run| run.retention.off_centre_release)
//! else {
//!     return Err("not reached up to the cap".into());
//! };
//! println!("{:?}: {with:.3} MPa, {without:.3} MPa without friction", answer.verdict.findings);
//! // A casing without bending stiffness, as the closed form has it, lets go sooner.
//! assert!(without < with && closed_form.given.off_centre_release < with);
//!
//! // A fault names its place and the remedy.
//! let faults = case::read("[pressure]\nrated = 5").unwrap_err();
//! assert!(faults.0.iter().any(|fault| fault.line == 2 && fault.remedy().contains("5 bar")));
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

pub mod allowed;
pub mod assess;
pub mod band;
pub mod beside;
pub mod deciding;
pub mod estimate;
pub mod first_lift;
pub mod geometry;
mod judgement;
pub mod law;
pub mod local;
pub mod meshing;
pub mod model;
pub mod numerical;
pub mod observe;
pub mod path;
pub mod quantities;
mod remarks;
pub mod result;
pub mod retention;
pub mod rim;
pub mod ring;
mod roots;
pub mod slip;
pub mod stages;
pub mod verdict;
