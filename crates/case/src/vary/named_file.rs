//! A file that a table of the case names, with its place in the text.

use std::ops::Range;

use crate::error::{CaseError, Problem};
use crate::text::Text;

/// A file that a table names.
#[derive(Clone, Debug, PartialEq)]
pub struct NamedFile {
    /// Its name as typed, relative to the case file.
    pub name: String,
    /// Path of the key.
    pub(super) key: String,
    /// Bytes of the name in the text.
    pub(super) span: Range<usize>,
}

impl NamedFile {
    /// A fault of the file at the place in the case's `text` where it is named: a sentence and a remedy.
    pub fn fault(&self, text: &str, sentence: String, remedy: &str) -> CaseError {
        CaseError::at(
            &Text::new(text),
            self.key.clone(),
            self.span.clone(),
            Problem::Vary { sentence, remedy: remedy.to_owned() },
        )
    }
}
