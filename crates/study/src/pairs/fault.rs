//! What can be wrong with a table of tyres or rims: one sentence, one remedy, one place.

use std::fmt;

/// A fault of a table or of a case beside it.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct Fault {
    /// Name of the file, as given.
    pub file: String,
    /// Where in it.
    pub place: Place,
    /// What is wrong.
    pub sentence: String,
    /// What to do.
    pub remedy: String,
}

/// A place in a file.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub enum Place {
    /// The whole file.
    File,
    /// The head of a column.
    Head(String),
    /// A row, from 1, the head being one.
    Row(usize),
    /// A row and the head of a column.
    Cell(usize, String),
    /// Line and column of a text, from 1.
    Text(usize, usize),
}

impl fmt::Display for Fault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Self { file, place, sentence, remedy } = self;
        match place {
            Place::File => write!(f, "{file}: ")?,
            Place::Head(head) => write!(f, "{file}, column \"{head}\": ")?,
            Place::Row(row) => write!(f, "{file}, row {row}: ")?,
            Place::Cell(row, head) => write!(f, "{file}, row {row}, column \"{head}\": ")?,
            Place::Text(line, column) => write!(f, "{file}:{line}:{column}: ")?,
        }
        write!(f, "{sentence}; {remedy}")
    }
}

/// Faults of a file under its name, each once, in the order in which they are found.
#[derive(Clone, Debug, Default)]
pub struct Faults {
    file: String,
    list: Vec<Fault>,
    known: std::collections::HashSet<Fault>,
}

impl Faults {
    /// None yet.
    pub fn of(file: &str) -> Self {
        Self { file: file.to_owned(), ..Self::default() }
    }

    /// Adds one, unless it is there.
    pub fn add(&mut self, place: Place, sentence: impl Into<String>, remedy: impl Into<String>) {
        let fault = Fault { file: self.file.clone(), place, sentence: sentence.into(), remedy: remedy.into() };
        if self.known.insert(fault.clone()) {
            self.list.push(fault);
        }
    }

    /// Whether there is none.
    pub fn is_empty(&self) -> bool {
        self.list.is_empty()
    }

    /// All of them.
    pub fn into_list(self) -> Vec<Fault> {
        self.list
    }
}
