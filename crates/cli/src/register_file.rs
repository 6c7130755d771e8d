//! The register of a list under way: every answer is in its file as soon as it is found, and those of earlier lists are taken over.

use std::path::{Path, PathBuf};
use std::sync::{Mutex, MutexGuard, PoisonError};

use hoopwright_case::Case;
use hoopwright_report::pairs::register::{self, Known};
use hoopwright_study::pairs::solve::CaseAnswer;

use crate::failure::Failure;
use crate::files;
use crate::growing::{Growing, unfinished};
use crate::output::Talk;
use crate::parts::{Parts, file_of};
use hoopwright_study::rows::Part;

/// Name of the file in the output folder.
pub(crate) const REGISTER: &str = "register.csv";
/// Largest register that is looked at, bytes.
const LARGEST: usize = 1 << 28;

/// A register that may be asked from several threads.
pub(crate) struct Register {
    path: PathBuf,
    inner: Mutex<Inner>,
}

struct Inner {
    known: Known,
    file: Growing,
    solved: usize,
    failure: Option<Failure>,
}

impl Register {
    /// Takes over what earlier lists and parts of lists left in a folder. With `force` a file that is no register is as good as none. The
    /// register of a part is a file of its own, which begins with what earlier lists left.
    ///
    /// # Errors
    /// A file that cannot be read, written or is no register.
    pub(crate) fn open(folder: &Path, part: Option<Part>, force: bool) -> Result<Self, Failure> {
        let whole = folder.join(REGISTER);
        let path = part.map_or_else(|| whole.clone(), |part| file_of(&whole, part));
        let mut files = vec![whole.clone()];
        files.extend(part.map_or_else(|| Parts::beside(&whole).map(|parts| parts.files()), |_| Ok(vec![path.clone()]))?);
        files.push(unfinished(&path));
        let mut known = Known::new();
        for file in files {
            match earlier(&file) {
                Err(Failure::NoRegister { .. }) if force => {}
                read => known.extend(read?),
            }
        }
        let file = Growing::begin(&path, &register::bytes(&known))?;
        Ok(Self { path, inner: Mutex::new(Inner { known, file, solved: 0, failure: None }) })
    }

    /// The answer of a case: known, or solved now.
    pub(crate) fn answer(&self, case: &Case) -> CaseAnswer {
        let hash = register::hash(case);
        if let Some(known) = self.lock().known.get(&hash) {
            return known.clone();
        }
        let answer = CaseAnswer::of(case);
        let mut inner = self.lock();
        let line = register::line(&hash, &answer);
        let written = inner.file.add(&line);
        if inner.failure.is_none() {
            inner.failure = written.err();
        }
        inner.solved += 1;
        inner.known.insert(hash, answer.clone());
        answer
    }

    /// Fails where the file could not be written.
    ///
    /// # Errors
    /// It could not.
    pub(crate) fn check(&self) -> Result<(), Failure> {
        self.lock().failure.take().map_or(Ok(()), Err)
    }

    /// How many cases were solved by this run.
    pub(crate) fn solved(&self) -> usize {
        self.lock().solved
    }

    /// Writes the file of a part, which is done.
    ///
    /// # Errors
    /// It cannot be written.
    pub(crate) fn write_part(&self, talk: &Talk) -> Result<(), Failure> {
        files::write_whole(&self.path, &self.bytes(), true)?;
        self.finish()?;
        talk.say(&format!("{} cases solved, all others known; written to {}", self.solved(), self.path.display()));
        Ok(())
    }

    /// The whole file.
    pub(crate) fn bytes(&self) -> Vec<u8> {
        register::bytes(&self.lock().known)
    }

    /// Removes the file of the list under way, once the whole one is written.
    ///
    /// # Errors
    /// It cannot be removed.
    pub(crate) fn finish(&self) -> Result<(), Failure> {
        files::remove(&unfinished(&self.path))
    }

    /// What is known, though a thread may have ended badly: an answer is put in whole or not at all.
    fn lock(&self) -> MutexGuard<'_, Inner> {
        self.inner.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

fn earlier(path: &Path) -> Result<Known, Failure> {
    let Some(bytes) = files::left(path, LARGEST)? else { return Ok(Known::new()) };
    let read = if bytes.len() > LARGEST { Err(register::RegisterError::Head) } else { register::read(&bytes) };
    read.map_err(|source| Failure::NoRegister { path: path.to_owned(), source })
}
