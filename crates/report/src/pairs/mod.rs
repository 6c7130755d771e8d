//! The list of pairs: table, text, JSON, register and history.

mod data;
mod history;
mod json;
pub mod register;
mod text;
mod words;

pub use data::data;
pub use history::history;
pub use json::document;
pub(crate) use text::terms;
pub use text::{headline, text};
pub(crate) use words::{against, finding, kind, near, reason, tested};

use hoopwright_study::pairs::basis::Basis;
use hoopwright_study::pairs::list::List;

/// The hash of what each pair rests on. Names alone change nothing.
pub fn hashes(list: &List<'_>) -> Vec<String> {
    list.entries.iter().map(|entry| Basis::of(list, entry).whole().to_string()).collect()
}
