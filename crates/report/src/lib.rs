//! Results to bytes: the only crate that knows output formats. It writes no file.
//!
//! ```
//! use hoopwright_case as case;
//! use hoopwright_report::{inputs, text};
//! use hoopwright_solver::estimate::estimate;
//!
//! let (case, _notes) = case::read(&case::starter())?;
//! let table = text::estimate(&estimate(&case)?);
//! assert!(table.lines().any(|line| line.starts_with("off-centre release, bar")), "every number with its unit\n{table}");
//!
//! // What may be typed, from the one table of inputs.
//! assert!(inputs::text(&inputs::holding("bead.diameter")).contains("unit mm"));
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```
//!
//! Of an assessment ([`hoopwright_solver::assess::assess`]) come [`text::assessment`], [`json::assessment`], [`html::assessment`], the
//! pictures in [`svg`] and the fields in [`vtk`].

mod allowed;
mod band;
pub mod calibrate;
pub mod compare;
pub mod contents;
pub mod data;
pub mod html;
pub mod inputs;
pub mod json;
mod json_local;
mod json_rim;
pub mod law;
pub mod limit;
mod lines;
mod local;
pub mod map;
mod meant;
pub mod pairs;
pub mod rig;
mod rim;
pub mod ring;
pub mod schema;
pub mod service;
pub mod sizes;
mod source;
pub mod study;
pub mod svg;
pub mod text;
pub mod tolerance;
mod version;
pub mod vtk;
mod words;
