//! A file that grows by lines while a study is under way, under a name of its own: what has the plain name is whole.

use std::ffi::OsString;
use std::fs::{File, OpenOptions};
use std::io::{self, Write};
use std::path::{Path, PathBuf};

use crate::failure::Failure;
use crate::files;

/// Ending of the name while the study is under way.
pub(crate) const UNFINISHED: &str = ".unfinished";

/// A growing file.
pub(crate) struct Growing {
    path: PathBuf,
    file: File,
    /// Bytes of whole lines.
    length: u64,
}

/// Where the lines of a study lie whose file is to be `path`, while it is under way.
pub(crate) fn unfinished(path: &Path) -> PathBuf {
    let mut name = path.file_name().map_or_else(OsString::new, OsString::from);
    name.push(UNFINISHED);
    path.with_file_name(name)
}

impl Growing {
    /// The file that is to become `path`, with these lines in it.
    ///
    /// # Errors
    /// It cannot be written.
    pub(crate) fn begin(path: &Path, bytes: &[u8]) -> Result<Self, Failure> {
        let path = unfinished(path);
        files::write_whole(&path, bytes, true)?;
        let opened = OpenOptions::new().append(true).open(&path);
        let file = opened.map_err(|source| Failure::Write { path: path.clone(), source })?;
        Ok(Self { path, file, length: bytes.len() as u64 })
    }

    /// Adds a line, or nothing.
    ///
    /// # Errors
    /// It cannot be written.
    pub(crate) fn add(&mut self, line: &[u8]) -> Result<(), Failure> {
        self.try_add(line).map_err(|source| Failure::Write { path: self.path.clone(), source })
    }

    fn try_add(&mut self, line: &[u8]) -> io::Result<()> {
        if let Err(error) = self.file.write_all(line) {
            // The first error tells more than one of cleaning up; a reader leaves out what is torn.
            let _ignored = self.file.set_len(self.length);
            return Err(error);
        }
        self.length += line.len() as u64;
        Ok(())
    }
}
