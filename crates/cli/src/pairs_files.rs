//! The files of a list: the table of tyres with the curves that it names, and the rims as a table, a folder of cases or one case.

use std::collections::HashMap;
use std::ffi::OsStr;
use std::path::{Path, PathBuf};

use hoopwright_case::{self as case, Attached, LARGEST_DRAWING};
use hoopwright_report::html::Source;
use hoopwright_study::cells::{self, Cells, CellsError};
use hoopwright_study::pairs::fault::{Fault, Place};
use hoopwright_study::pairs::join::Joined;
use hoopwright_study::pairs::rims::RimFile;
use hoopwright_study::pairs::tyres::{Curves, curves_named};

use crate::failure::Failure;
use crate::files;

/// Largest table, bytes.
const LARGEST_TABLE: usize = 1 << 24;
/// Largest file with a curve, bytes.
const LARGEST_CURVE: usize = 1 << 20;
/// Most rims of a folder.
const MOST_RIMS: usize = 1000;

/// A table as read.
pub(crate) struct TableFile {
    /// Its name, for messages.
    pub(crate) name: String,
    /// Its cells.
    pub(crate) cells: Cells,
    /// The file, for the record.
    pub(crate) source: Source,
}

impl TableFile {
    /// As what joins the tyres, and the file for the record.
    pub(crate) fn joined(self) -> (Joined, Source) {
        (Joined { file: self.name, cells: self.cells }, self.source)
    }
}

/// The rims.
pub(crate) enum RimFiles {
    /// Rows of a table.
    Table(TableFile),
    /// Case files.
    Cases(Vec<RimFile>, Vec<Source>),
}

impl RimFiles {
    /// The files that they come from, for the record.
    pub(crate) fn sources(&self) -> Vec<Source> {
        match self {
            Self::Table(table) => vec![table.source.clone()],
            Self::Cases(_, sources) => sources.clone(),
        }
    }
}

/// Reads a table; `what` it is, for the record.
///
/// # Errors
/// The file cannot be read or is no table.
pub(crate) fn table(path: &Path, what: &str) -> Result<TableFile, Failure> {
    let mut name = path.display().to_string();
    let bytes =
        files::read_limited(path, LARGEST_TABLE).map_err(|source| Failure::ReadTable { path: path.to_owned(), source })?;
    let read = if bytes.len() > LARGEST_TABLE { Err(CellsError::TooLarge) } else { cells::read(&bytes) };
    let cells = read.map_err(|error| Failure::Tables { faults: vec![no_table(&name, &error)] })?;
    let source = Source::new(format!("{what} {}", files::name(path)), &bytes);
    if let Some(sheet) = &cells.sheet {
        name = format!("{name}, sheet \"{sheet}\"");
    }
    Ok(TableFile { name, cells, source })
}

fn no_table(name: &str, error: &CellsError) -> Fault {
    let remedy = "give a table as CSV, XLSX or Parquet with a head in its first row and a row for each of its things";
    Fault { file: name.to_owned(), place: Place::File, sentence: error.to_string(), remedy: remedy.to_owned() }
}

/// The files with curves that a table of tyres names, beside it, and their hashes.
pub(crate) fn curves(path: &Path, cells: &Cells) -> (Curves, Vec<Source>) {
    let (mut curves, mut sources) = (HashMap::new(), Vec::new());
    for name in curves_named(cells) {
        let place = files::beside(path, &name);
        let read = match files::read_limited(&place, LARGEST_CURVE) {
            Ok(bytes) if bytes.len() > LARGEST_CURVE => Err(format!("{} has more than {LARGEST_CURVE} bytes", place.display())),
            Ok(bytes) => {
                sources.push(Source::new(format!("curve {name}"), &bytes));
                Ok(bytes)
            }
            Err(error) => Err(format!("cannot be read at {}: {error}", place.display())),
        };
        curves.insert(name, read);
    }
    (curves, sources)
}

/// Reads the rims: a folder of case files, a case file, or else a table.
///
/// # Errors
/// A file cannot be read; a folder holds no case.
pub(crate) fn rims(path: &Path) -> Result<RimFiles, Failure> {
    if path.is_dir() {
        let mut cases = cases_in(path)?;
        cases.sort();
        return of_cases(&cases);
    }
    if path.extension() == Some(OsStr::new("toml")) {
        of_cases(&[path.to_owned()])
    } else {
        table(path, "table of rims").map(RimFiles::Table)
    }
}

fn cases_in(folder: &Path) -> Result<Vec<PathBuf>, Failure> {
    let failed = |source| Failure::ReadTable { path: folder.to_owned(), source };
    let mut found = Vec::new();
    for entry in std::fs::read_dir(folder).map_err(failed)? {
        let path = entry.map_err(failed)?.path();
        if path.extension() == Some(OsStr::new("toml")) && path.is_file() {
            found.push(path);
        }
    }
    if found.is_empty() || found.len() > MOST_RIMS {
        let sentence = format!("it holds {} case files (names that end in .toml), 1 to {MOST_RIMS} may be", found.len());
        let remedy = "give a folder with a case for every rim, or a table of rims".to_owned();
        let fault = Fault { file: folder.display().to_string(), place: Place::File, sentence, remedy };
        return Err(Failure::Tables { faults: vec![fault] });
    }
    Ok(found)
}

fn of_cases(paths: &[PathBuf]) -> Result<RimFiles, Failure> {
    let (mut rims, mut sources) = (Vec::new(), Vec::new());
    for path in paths {
        let text = files::read_text_of(path, |path, source| Failure::Read { path, source })?;
        let read = |name: String| {
            let place = files::beside(path, &name);
            let bytes = files::read_limited(&place, LARGEST_DRAWING);
            (name, bytes.map_err(|e| format!("cannot be read at {}: {e}", place.display())))
        };
        let named = case::drawing_named(&text).into_iter().chain(case::heights_named(&text));
        let attached: Attached = named.map(read).collect();
        sources.push(Source::new(format!("case {}", files::name(path)), text.as_bytes()));
        let others = attached.iter().filter_map(|(name, bytes)| Some((name, bytes.as_ref().ok()?)));
        sources.extend(others.map(|(name, bytes)| Source::new(format!("file {name}"), bytes)));
        let id = path.file_stem().map_or_else(String::new, |stem| stem.to_string_lossy().into_owned());
        rims.push(RimFile { file: path.display().to_string(), id, text, attached });
    }
    Ok(RimFiles::Cases(rims, sources))
}
