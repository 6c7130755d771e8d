//! What is asked of many solves: one case over a list or grid of its inputs, or mapped over two of them. This crate writes
//! no file; the only format that it knows is that of a study's own rows ([`rows`]).
//!
//! ```
//! use std::collections::BTreeMap;
//!
//! use hoopwright_case as case;
//! use hoopwright_study::column::COLUMNS;
//! use hoopwright_study::rows::Row;
//! use hoopwright_study::rows::Scope;
//! use hoopwright_study::vary::solve;
//!
//! // An invented tyre with two beads, without friction.
//! let text = case::starter() + "\n[vary]\n\"bead.stiffness\" = [\"300 kN\", \"400 kN\"]\n\"contact.friction\" = [0]\n";
//! let vary = case::variants(&text, BTreeMap::new())?.ok_or("no table [vary]")?;
//! let mut rows: Vec<Option<Row>> = vec![None; vary.variants.len()];
//! let mut keep = |number: usize, row: Row| -> Result<(), String> {
//!     rows[number] = Some(row);
//!     Ok(())
//! };
//! solve((&vary.variants, Scope::Deciding), &[0, 1], 2, &mut keep)?;
//!
//! let release = COLUMNS.iter().position(|column| column.name == "off_centre_release").ok_or("no such number")?;
//! let bar: Vec<f64> = rows.iter().flatten().filter_map(|row| row.numbers[release]).map(|number| number.value()).collect();
//! assert!(bar.len() == 2 && bar[0] < bar[1], "the stiffer bead stays on to a higher pressure: {bar:?}");
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

pub mod band;
pub mod calibrate;
pub mod cells;
pub mod column;
pub mod limit;
pub mod map;
pub mod pairs;
pub mod rows;
pub mod service;
pub mod sizes;
pub mod tolerance;
pub mod vary;

pub mod workers;
