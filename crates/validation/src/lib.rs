//! Checks of the program against what its authors did not make: formulas evaluated elsewhere and published numbers.
//!
//! Each problem has a folder under `validation/` with its statement (`README.md`) and its reference values (`problem.toml`, built
//! into the program); here is what the program itself computes. The two are paired by name, and a name without its partner is an error.
//!
//! ```no_run
//! // Takes half a minute.
//! let checks = hoopwright_validation::run()?;
//! assert!(checks.iter().all(|check| (check.value - check.reference).abs() <= check.tolerance));
//! print!("{}", hoopwright_validation::text(&checks));
//! # Ok::<(), hoopwright_validation::ValidationError>(())
//! ```

pub mod check;
pub mod error;
mod grid;
mod picture;
mod problem;
mod problems;
mod table;

pub use check::{Check, run};
pub use error::ValidationError;
pub use picture::picture;
pub use problems::half_torus::HalfTorus;
pub use problems::rim::box_rim_json;
pub use table::{json, markdown, summary, text};
