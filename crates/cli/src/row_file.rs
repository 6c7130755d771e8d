//! The file of a study's rows: what an earlier run left in it is taken over, and each new row is in it as soon as it is found.

use std::path::{Path, PathBuf};

use hoopwright_study::rows::{Layout, Row, RowStore, RowsError};

use crate::failure::Failure;
use crate::files;
use crate::growing::{Growing, unfinished};

/// Largest file that is looked at as one of an earlier run, bytes: far more than the most rows fill.
const LARGEST: usize = 1 << 26;

/// Rows under way.
pub(crate) struct RowFile {
    /// The rows that are known.
    pub(crate) store: RowStore,
    /// The name that the whole file is to have; none where nothing is written.
    path: Option<PathBuf>,
    growing: Option<Growing>,
}

impl RowFile {
    /// Takes over what an earlier run of the same study left in the file, finished or not, and what there is in `others`; `belongs` tells
    /// whether a row is one of the study's. With `force` a file of another study is as good as none.
    ///
    /// # Errors
    /// A file that cannot be read or is of another study.
    pub(crate) fn open(
        layout: Layout,
        (path, others): (Option<PathBuf>, &[PathBuf]),
        belongs: &dyn Fn(&Row) -> bool,
        force: bool,
    ) -> Result<Self, Failure> {
        let mut store = RowStore::new(layout);
        let own = path.iter().flat_map(|path| [path.clone(), unfinished(path)]);
        for file in others.iter().cloned().chain(own) {
            match take_over(&mut store, &file, belongs) {
                Err(Failure::OtherStudy { .. }) if force => {}
                taken => taken?,
            }
        }
        Ok(Self { store, path, growing: None })
    }

    /// Whether the file of the run under way is there.
    pub(crate) fn has_begun(&self) -> bool {
        self.path.is_none() || self.growing.is_some()
    }

    /// Begins the file of the run under way with some rows, each with its number (from 0): a last line that was torn is gone.
    ///
    /// # Errors
    /// It cannot be written.
    pub(crate) fn begin<'r>(&mut self, rows: impl IntoIterator<Item = (usize, &'r Row)>) -> Result<(), Failure> {
        if let Some(path) = &self.path {
            self.growing = Some(Growing::begin(path, &self.store.layout().file(rows))?);
        }
        Ok(())
    }

    /// Adds a row, which has a number (from 0).
    ///
    /// # Errors
    /// It cannot be written.
    pub(crate) fn add(&mut self, number: usize, row: Row) -> Result<(), Failure> {
        if let Some(growing) = &mut self.growing {
            growing.add(&self.store.layout().line(number, &row))?;
        }
        self.store.insert(row);
        Ok(())
    }

    /// Removes the file of the run under way, once the whole one is written.
    ///
    /// # Errors
    /// It cannot be removed.
    pub(crate) fn finish(&self) -> Result<(), Failure> {
        self.path.as_deref().map_or(Ok(()), |path| files::remove(&unfinished(path)))
    }
}

fn take_over(store: &mut RowStore, path: &Path, belongs: &dyn Fn(&Row) -> bool) -> Result<(), Failure> {
    let Some(bytes) = files::left(path, LARGEST)? else { return Ok(()) };
    let taken = if bytes.len() > LARGEST { Err(RowsError::Head) } else { store.take_over(&bytes, belongs) };
    taken.map_err(|source| Failure::OtherStudy { path: path.to_owned(), source })
}
