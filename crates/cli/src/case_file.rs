//! A case file as it was when it was opened.

use std::path::{Path, PathBuf};

use hoopwright_case::{
    self as case, Attached, CaseErrors, LARGEST_DRAWING, Map, Neighbour, OneInput, OneInputError, Service, Sizes, Tolerance, Vary,
};
use hoopwright_report::html::{Given, Source};

use crate::failure::Failure;
use crate::files;

/// A case file, read once: a pipe gives its text only once, and an edit between two reads would put the answer to one text beside another.
pub(crate) struct CaseFile {
    path: PathBuf,
    text: String,
    /// The files that the case names, a drawing and measured heights, looked for beside it.
    attached: Attached,
}

impl CaseFile {
    /// Reads the file and those that it names.
    ///
    /// # Errors
    /// The file cannot be read, is too large or no text.
    pub(crate) fn open(path: &Path) -> Result<Self, Failure> {
        let text = files::read_text_of(path, |path, source| Failure::Read { path, source })?;
        let read = |name: String| {
            let place = files::beside(path, &name);
            let bytes = files::read_limited(&place, LARGEST_DRAWING);
            (name, bytes.map_err(|e| format!("cannot be read at {}: {e}", place.display())))
        };
        let named = case::drawing_named(&text).into_iter().chain(case::heights_named(&text));
        let attached = named.map(read).collect();
        Ok(Self { path: path.to_owned(), text, attached })
    }

    /// The checked case with its notes, the file's text and the files that it names, for the report.
    ///
    /// # Errors
    /// The case has faults.
    pub(crate) fn given(&self) -> Result<Given, Failure> {
        let (case, notes) = self.view(case::read_with)?;
        let read = self.attached.iter().filter_map(|(name, bytes)| Some((name, bytes.as_ref().ok()?)));
        let heights = case::heights_named(&self.text);
        let kind = |name: &String| if heights.as_ref() == Some(name) { "heights" } else { "drawing" };
        let others = read.map(|(name, bytes)| Source::new(format!("{} {name}", kind(name)), bytes)).collect();
        Ok(Given { case, notes, text: self.text.clone(), others })
    }

    /// The case with all its variants; none where it names no values to run it over.
    ///
    /// # Errors
    /// The case or one of its variants has faults.
    pub(crate) fn variants(&self) -> Result<Option<Vary>, Failure> {
        self.view(case::variants)
    }

    /// The cases beside the case.
    ///
    /// # Errors
    /// The case has faults.
    pub(crate) fn neighbours(&self) -> Result<Vec<Neighbour>, Failure> {
        self.view(case::neighbours)
    }

    /// The case with its map; none where it has no table of axes.
    ///
    /// # Errors
    /// The case or a point of the map has faults.
    pub(crate) fn map(&self) -> Result<Option<Map>, Failure> {
        self.view(case::map)
    }

    /// The case with the sizes asked of it.
    ///
    /// # Errors
    /// The case or one of its pairs has faults.
    pub(crate) fn sizes(&self) -> Result<Sizes, Failure> {
        self.view(case::sizes)
    }

    /// As [`Self::sizes`]; none where the case has no table of them.
    ///
    /// # Errors
    /// As [`Self::sizes`].
    pub(crate) fn stated_sizes(&self) -> Result<Option<Sizes>, Failure> {
        self.view(case::stated_sizes)
    }

    /// The case's service.
    ///
    /// # Errors
    /// The case or its table of service has faults.
    pub(crate) fn service(&self) -> Result<Service, Failure> {
        self.view(case::service)
    }

    /// As [`Self::service`]; none where the case has no table of it.
    ///
    /// # Errors
    /// As [`Self::service`].
    pub(crate) fn stated_service(&self) -> Result<Option<Service>, Failure> {
        self.view(case::stated_service)
    }

    /// The case with how its inputs scatter; none where it does not say.
    ///
    /// # Errors
    /// The case or its table has faults.
    pub(crate) fn tolerance(&self) -> Result<Option<Tolerance>, Failure> {
        self.view(case::tolerance)
    }

    /// The case with one of its inputs left open between two ends, as typed.
    ///
    /// # Errors
    /// The case has faults, as it stands or at an end; the input or an end is none.
    pub(crate) fn one_input(&self, path: &str, ends: [&str; 2]) -> Result<OneInput, Failure> {
        case::one_input(&self.text, self.attached.clone(), path, ends).map_err(|error| match error {
            OneInputError::Case(errors) => Failure::Case { path: self.path.clone(), text: self.text.clone(), errors },
            OneInputError::Input(problem) => Failure::argument("INPUT", &problem),
            OneInputError::End(k, problem) => Failure::argument(["--from", "--to"][k.min(1)], &problem),
            OneInputError::Empty => Failure::EmptyRange,
        })
    }

    /// What a reader makes of text and drawing, its faults with the file's name.
    fn view<T>(&self, read: impl Fn(&str, Attached) -> Result<T, CaseErrors>) -> Result<T, Failure> {
        let failed = |errors| Failure::Case { path: self.path.clone(), text: self.text.clone(), errors };
        read(&self.text, self.attached.clone()).map_err(failed)
    }
}
