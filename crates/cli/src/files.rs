//! Reading and writing files.

use std::ffi::OsString;
use std::fs::{self, File, OpenOptions};
use std::io::{self, Read, Write};
use std::path::{Path, PathBuf};

use hoopwright_solver::case::{self, Case, SIZE_LIMIT};

use crate::failure::Failure;

/// Reads and checks a case file. Returns the case with its notes.
///
/// # Errors
/// The file cannot be read, or the case has faults.
pub(crate) fn read_case(path: &Path) -> Result<(Case, Vec<String>), Failure> {
    read_case_and_text(path).map(|(case, notes, _)| (case, notes))
}

/// As [`read_case`], with the file's text.
///
/// # Errors
/// As [`read_case`].
pub(crate) fn read_case_and_text(path: &Path) -> Result<(Case, Vec<String>, String), Failure> {
    let bytes = read_limited(path).map_err(|source| Failure::Read { path: path.to_owned(), source })?;
    let failed = |text: &str, errors| Failure::Case { path: path.to_owned(), text: text.to_owned(), errors };
    let text = case::decode(&bytes).map_err(|errors| failed("", errors))?;
    let (case, notes) = case::read(text).map_err(|errors| failed(text, errors))?;
    Ok((case, notes, text.to_owned()))
}

/// The bytes of a file, one more than a case may have at most.
fn read_limited(path: &Path) -> io::Result<Vec<u8>> {
    let mut bytes = Vec::new();
    File::open(path)?.take(SIZE_LIMIT as u64 + 1).read_to_end(&mut bytes)?;
    Ok(bytes)
}

/// Writes a whole file or nothing: into a temporary file of the same folder, which then takes the name.
///
/// # Errors
/// The file exists and may not be overwritten, or it cannot be written.
pub(crate) fn write_whole(path: &Path, bytes: &[u8], overwrite: bool) -> Result<(), Failure> {
    if !overwrite && path.symlink_metadata().is_ok() {
        return Err(Failure::Exists { path: path.to_owned() });
    }
    write_and_rename(path, bytes).map_err(|source| Failure::Write { path: path.to_owned(), source })
}

/// Removes a file if it is there.
///
/// # Errors
/// It is there and cannot be removed.
pub(crate) fn remove(path: &Path) -> Result<(), Failure> {
    match fs::remove_file(path) {
        Err(source) if source.kind() != io::ErrorKind::NotFound => Err(Failure::Write { path: path.to_owned(), source }),
        _ => Ok(()),
    }
}

fn write_and_rename(path: &Path, bytes: &[u8]) -> io::Result<()> {
    let temporary = temporary_beside(path)?;
    let written = write_new(&temporary, bytes).and_then(|()| fs::rename(&temporary, path));
    if written.is_err() {
        // The first error tells more than a failure to clean up after it.
        let _ignored = fs::remove_file(&temporary);
    }
    written
}

fn write_new(path: &Path, bytes: &[u8]) -> io::Result<()> {
    let mut file = OpenOptions::new().write(true).create_new(true).open(path)?;
    file.write_all(bytes)?;
    file.sync_all()
}

fn temporary_beside(path: &Path) -> io::Result<PathBuf> {
    let name = path.file_name().ok_or_else(|| io::Error::new(io::ErrorKind::InvalidInput, "this is no file name"))?;
    let mut temporary = OsString::from(".");
    temporary.push(name);
    temporary.push(format!(".{}.tmp", std::process::id()));
    Ok(path.with_file_name(temporary))
}
