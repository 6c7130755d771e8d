//! Reading and writing files.

use std::ffi::OsString;
use std::fs::{self, File, OpenOptions};
use std::io::{self, Read, Write};
use std::path::{Path, PathBuf};

use hoopwright_case::{self as case, SIZE_LIMIT};
use hoopwright_report::data::Table;
use hoopwright_report::html::Source;
use hoopwright_study::map::tyres::{self, Tyre, TyreError};

use crate::failure::{Failure, TyresNamed};

/// The report for people, in the output folder of every study.
pub(crate) const REPORT: &str = "report.html";

/// Where a file lies that a case names: relative to the case.
pub(crate) fn beside(case: &Path, name: &str) -> PathBuf {
    case.parent().unwrap_or(Path::new("")).join(name)
}

/// The text of a file that is read as a case is; `failed` makes the failure where it cannot be had.
///
/// # Errors
/// The file cannot be read, is too large or no text.
pub(crate) fn read_text_of(path: &Path, failed: impl Fn(PathBuf, io::Error) -> Failure) -> Result<String, Failure> {
    let bytes = read_limited(path, SIZE_LIMIT).map_err(|source| failed(path.to_owned(), source))?;
    let failed = |errors| Failure::Case { path: path.to_owned(), text: String::new(), errors };
    case::decode(&bytes).map(str::to_owned).map_err(failed)
}

/// The bytes of a file, one more than `limit` at most.
///
/// # Errors
/// It cannot be read.
pub(crate) fn read_limited(path: &Path, limit: usize) -> io::Result<Vec<u8>> {
    let mut bytes = Vec::new();
    File::open(path)?.take(limit as u64 + 1).read_to_end(&mut bytes)?;
    Ok(bytes)
}

/// The bytes of a file that an earlier run may have left, one more than `limit` at most; none where there is no such file.
///
/// # Errors
/// It cannot be read.
pub(crate) fn left(path: &Path, limit: usize) -> Result<Option<Vec<u8>>, Failure> {
    match read_limited(path, limit) {
        Ok(bytes) => Ok(Some(bytes)),
        Err(error) if error.kind() == io::ErrorKind::NotFound => Ok(None),
        Err(source) => Err(Failure::ReadOutput { path: path.to_owned(), source }),
    }
}

/// Writes a whole file or nothing: into a temporary file of the same folder, which then takes the name.
///
/// # Errors
/// The file exists and may not be overwritten, or is a folder, or it cannot be written.
pub(crate) fn write_whole(path: &Path, bytes: &[u8], overwrite: bool) -> Result<(), Failure> {
    refuse_taken(path, overwrite)?;
    write_and_rename(path, bytes).map_err(|source| Failure::Write { path: path.to_owned(), source })
}

/// Refuses a name that cannot be, or may not be, that of a new file.
///
/// # Errors
/// It is a folder's, or another file's that may not be overwritten.
pub(crate) fn refuse_taken(path: &Path, overwrite: bool) -> Result<(), Failure> {
    if path.is_dir() {
        return Err(Failure::IsFolder { path: path.to_owned() });
    }
    if !overwrite && path.symlink_metadata().is_ok() {
        return Err(Failure::Exists { path: path.to_owned() });
    }
    Ok(())
}

/// Makes a folder and those above it, where they do not exist.
///
/// # Errors
/// It cannot be made.
pub(crate) fn make_folder(path: &Path) -> Result<(), Failure> {
    fs::create_dir_all(path).map_err(|source| Failure::MakeFolder { path: path.to_owned(), source })
}

/// Names and bytes of the files of a table of data.
///
/// # Errors
/// The table cannot be put into a format.
pub(crate) fn data(name: &str, table: &Table, sources: &[Source]) -> Result<[(String, Vec<u8>); 2], Failure> {
    Ok([(format!("{name}.csv"), table.csv()), (format!("{name}.parquet"), table.parquet(sources)?)])
}

/// Largest file of measured tyres, bytes.
const LARGEST_TYRES: usize = 1 << 24;

/// Measured tyres.
pub(crate) struct Tyres {
    /// The tyres, in the order of the file.
    pub(crate) list: Vec<Tyre>,
    /// Their file.
    pub(crate) source: Source,
    /// Sentences on what of the file is not used or does not fit the case.
    pub(crate) notes: Vec<String>,
}

/// Measured tyres for a seat, mm, and a labelled size if the case has one, of the file that is called `name`; `named` tells by whom.
///
/// # Errors
/// The file cannot be read, is too large or no table of tyres for such a seat.
pub(crate) fn read_tyres(
    path: &Path,
    name: &str,
    (seat, size): (f64, Option<&str>),
    named: TyresNamed,
) -> Result<Tyres, Failure> {
    let bytes =
        read_limited(path, LARGEST_TYRES).map_err(|source| Failure::ReadTyres { path: path.to_owned(), source, named })?;
    let read = if bytes.len() > LARGEST_TYRES { Err(TyreError::TooMany) } else { tyres::read(&bytes) };
    let checked = read.and_then(|list| tyres::check_lengths(&list, seat).map(|()| list));
    let list = checked.map_err(|source| Failure::Tyres { path: path.to_owned(), source, named })?;
    let unused = tyres::unused_columns(&bytes);
    let columns = || unused.iter().map(|head| format!("`{head}`")).collect::<Vec<_>>().join(", ");
    let mut notes: Vec<String> =
        (!unused.is_empty()).then(|| format!("Of {name} these columns are not used: {}.", columns())).into_iter().collect();
    notes.extend(size.and_then(|size| other_sizes(&list, size)));
    Ok(Tyres { list, source: Source::new(format!("tyres {name}"), &bytes), notes })
}

/// A warning of tyres of another size than the case's.
fn other_sizes(tyres: &[Tyre], size: &str) -> Option<String> {
    let other = tyres::of_other_sizes(tyres, size)?;
    Some(format!(
        "{} of {} tyres have another size than the case's {size}: {}. The answer holds for {size} only, as wider tyres let go at lower \
         pressures: run a case for each size.",
        other.count,
        tyres.len(),
        other.sizes.join(", ")
    ))
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

/// A file's name for lists and tables, without its folder.
pub(crate) fn name(path: &Path) -> String {
    path.file_name().map_or_else(|| path.display().to_string(), |name| name.to_string_lossy().into_owned())
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

/// The file that a temporary one of [`write_whole`] was to become; none where the name is no such name.
pub(crate) fn meant_by(temporary: &str) -> Option<&str> {
    let (name, process) = temporary.strip_prefix('.')?.strip_suffix(".tmp")?.rsplit_once('.')?;
    process.parse::<u32>().is_ok().then_some(name)
}

fn temporary_beside(path: &Path) -> io::Result<PathBuf> {
    let name = path.file_name().ok_or_else(|| io::Error::new(io::ErrorKind::InvalidInput, "this is no file name"))?;
    let mut temporary = OsString::from(".");
    temporary.push(name);
    temporary.push(format!(".{}.tmp", std::process::id()));
    Ok(path.with_file_name(temporary))
}
