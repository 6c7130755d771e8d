//! `contents.json`: what lies in an output folder, schema `hoopwright/contents/1.0`.
//!
//! | key | holds |
//! |---|---|
//! | `command`, `of` | the command whose results these are, and the name of the file that it was given |
//! | `question` | hash of what was asked (the key of a case, a log with its settings); null where a study's own file tells |
//! | `complete` | whether every file listed is there, whole; false while files are being replaced and after a run that was stopped then |
//! | `files` | SHA-256 of every file, by its name within the folder |

use std::collections::BTreeMap;
use std::fmt::Debug;
use std::path::{Component, Path};

use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};

use crate::json::JsonError;
use crate::version::is_readable_as;

/// Name of the file.
pub const CONTENTS: &str = "contents.json";
/// Schema of the file.
const SCHEMA: &str = "hoopwright/contents/1.0";
/// Bytes of the hash of a question.
const QUESTION_BYTES: usize = 8;

/// What lies in an output folder.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Contents {
    schema: String,
    version: String,
    /// The command whose results these are.
    pub command: String,
    /// Name of the file that it was given.
    pub of: String,
    /// Hash of what was asked.
    pub question: Option<String>,
    /// Whether every file is there.
    pub complete: bool,
    files: BTreeMap<String, String>,
}

/// The hash of what is asked: of everything that the debugging text of it holds.
pub fn question(asked: &impl Debug) -> String {
    let digest = Sha256::digest(format!("{asked:?}").as_bytes());
    digest[..QUESTION_BYTES].iter().map(|byte| format!("{byte:02x}")).collect()
}

impl Contents {
    /// Of a folder in which nothing lies yet.
    pub fn new(command: &str, of: &str, question: Option<String>) -> Self {
        let (schema, version) = (SCHEMA.to_owned(), env!("CARGO_PKG_VERSION").to_owned());
        let (command, of) = (command.to_owned(), of.to_owned());
        Self { schema, version, command, of, question, complete: false, files: BTreeMap::new() }
    }

    /// From the file's bytes; none where they are not such a file. A name that leads out of the folder makes it none.
    pub fn read(bytes: &[u8]) -> Option<Self> {
        let read: Self = serde_json::from_slice(bytes).ok()?;
        let within = |name: &String| {
            let mut parts = Path::new(name).components().peekable();
            parts.peek().is_some() && parts.all(|part| matches!(part, Component::Normal(_)))
        };
        (is_readable_as(&read.schema, SCHEMA) && read.files.keys().all(within)).then_some(read)
    }

    /// Whether these are answers to another question than `other`.
    pub fn differs(&self, other: &Self) -> bool {
        self.command != other.command || self.question.is_some() && other.question.is_some() && self.question != other.question
    }

    /// Names of the files within the folder.
    pub fn names(&self) -> impl Iterator<Item = &str> {
        self.files.keys().map(String::as_str)
    }

    /// Whether a file is listed.
    pub fn has(&self, name: &str) -> bool {
        self.files.contains_key(name)
    }

    /// Lists a file.
    pub fn add(&mut self, name: &str, bytes: &[u8]) {
        let hash = Sha256::digest(bytes).iter().map(|byte| format!("{byte:02x}")).collect();
        self.files.insert(name.to_owned(), hash);
    }

    /// The file's bytes.
    ///
    /// # Errors
    /// The serialiser fails.
    pub fn bytes(&self) -> Result<Vec<u8>, JsonError> {
        let mut bytes = serde_json::to_vec_pretty(self)?;
        bytes.push(b'\n');
        Ok(bytes)
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    #[test]
    fn what_is_written_reads_back() {
        let mut contents = Contents::new("assess", "räder 1.toml", Some(question(&1.0)));
        contents.add("vtk/series.pvd", b"a");
        let read = Contents::read(&contents.bytes().unwrap()).unwrap();
        assert!(read == contents && read.has("vtk/series.pvd") && !read.complete);
        // SHA-256 of "a": FIPS 180 example files, as `sha256sum` prints it.
        assert!(
            String::from_utf8(contents.bytes().unwrap())
                .unwrap()
                .contains("ca978112ca1bbdcafac231b39a23dc4da786eff8147c4e72b9807785afee48bb")
        );
    }

    #[test]
    fn names_that_lead_out_of_the_folder_are_refused() {
        for name in ["../case.toml", "/etc/passwd", "a/../../b", "", "./a/.."] {
            let mut contents = Contents::new("assess", "case.toml", None);
            contents.add(name, b"");
            assert_eq!(Contents::read(&contents.bytes().unwrap()), None, "{name}");
        }
        assert_eq!(Contents::read(b"{}"), None);
    }

    #[test]
    fn another_command_or_question_differs() {
        let one = Contents::new("assess", "a.toml", Some("1".to_owned()));
        assert!(!one.differs(&Contents::new("assess", "b.toml", Some("1".to_owned()))));
        assert!(one.differs(&Contents::new("assess", "a.toml", Some("2".to_owned()))));
        assert!(one.differs(&Contents::new("service", "a.toml", Some("1".to_owned()))));
        assert!(!Contents::new("map", "a.toml", None).differs(&Contents::new("map", "b.toml", None)));
    }
}
