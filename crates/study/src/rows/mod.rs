//! The rows of a study: what was found of each of its cases, by the case's key, and the file that they are kept in.
//!
//! A [`Row`] holds numbers and identities: nothing in it is rounded and nothing in it is a sentence but the reason of a failure. A
//! [`RowStore`] takes over what an earlier run left and gives the lines of the file; CSV is its codec ([`Layout`]), which keeps every
//! digit, so that a run that is gone on with ends as one that was never stopped. Words for people are made where they are shown.
//!
//! This module makes and reads bytes; files are opened by whoever runs a study.

mod head;
mod key;
mod layout;
mod part;
mod row;
mod store;
mod words;

pub use head::{Head, Kind, NO, YES, flag, reached};
pub use key::{Key, KeyMaker};
pub use layout::{FORMAT, Layout, Scope, digits, record};
pub use part::Part;
pub use row::{Ends, NoPath, Outcome, Row};
pub use store::{RowStore, RowsError};
pub use words::{findings, of_findings};
