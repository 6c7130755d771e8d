//! What can be wrong with a case file: one sentence, one remedy, one place.

use std::f64::consts::PI;
use std::fmt;
use std::ops::Range;

use crate::text::Text;
use crate::units::{Dimension, MM, UnitError, symbols};

/// All faults found in one case file, in the order of the file; never empty.
#[derive(Clone, Debug, PartialEq)]
pub struct CaseErrors(pub Vec<CaseError>);

/// One fault of a case file.
#[derive(Clone, Debug, PartialEq)]
pub struct CaseError {
    /// Key path such as `rim.seat_diameter`; empty if the fault is the whole file's.
    pub key: String,
    /// What is wrong.
    pub problem: Problem,
    /// Bytes of the text that the fault is about; empty at the end of the text where something is missing.
    pub span: Range<usize>,
    /// Line of the span's start, from 1.
    pub line: usize,
    /// Column of the span's start in characters, from 1.
    pub column: usize,
}

/// Kinds of faults.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum Problem {
    /// The text is longer than a case may be.
    #[error("the file has more than {limit} bytes")]
    TooLarge {
        /// Largest number of bytes.
        limit: usize,
    },
    /// The bytes are no UTF-8 text.
    #[error("the file is not UTF-8 text")]
    NotUtf8,
    /// The text is no TOML.
    #[error("{message}")]
    Syntax {
        /// Sentence of the TOML reader.
        message: String,
    },
    /// A table that no case has.
    #[error("unknown table [{name}]")]
    UnknownTable {
        /// As typed.
        name: String,
        /// The table that may have been meant.
        nearest: Option<&'static str>,
    },
    /// A key that this table does not have.
    #[error("unknown key `{name}` {}", place(.section))]
    UnknownKey {
        /// As typed.
        name: String,
        /// The table it stands in; empty above the first table.
        section: &'static str,
        /// The key of this table that may have been meant.
        nearest: Option<&'static str>,
        /// The table that has a key of this name.
        elsewhere: Option<&'static str>,
    },
    /// A table with required keys is missing.
    #[error("table [{section}] is missing")]
    MissingTable {
        /// Its name.
        section: &'static str,
        /// Lines that set its required keys.
        lines: Vec<String>,
    },
    /// A required key is missing.
    #[error("`{path}` is missing")]
    Missing {
        /// Key path.
        path: String,
        /// Line that sets it.
        line: String,
    },
    /// One of two keys must be given, and neither is.
    #[error("neither `{a}` nor `{b}` is given")]
    Neither {
        /// One key.
        a: &'static str,
        /// The other key.
        b: &'static str,
        /// Line that sets the first.
        line: String,
    },
    /// Two keys that exclude each other.
    #[error("`{a}` and `{b}` are both given")]
    Both {
        /// The key to keep or drop.
        a: &'static str,
        /// The other key.
        b: &'static str,
    },
    /// A key without the key that it goes with.
    #[error("`{key}` has no use without `{partner}`")]
    Alone {
        /// The key given.
        key: &'static str,
        /// The key missing.
        partner: &'static str,
    },
    /// A value of another type.
    #[error("{found} where {wanted} is needed")]
    WrongType {
        /// Type found, with article.
        found: &'static str,
        /// Type needed, with article.
        wanted: &'static str,
        /// A line that would do.
        line: String,
    },
    /// No quantity of the needed dimension.
    #[error("{0}")]
    Unit(#[from] UnitError),
    /// A number without its unit, where one is probable.
    #[error("bare number {text} where {} with its unit is needed", .wanted.with_article())]
    Bare {
        /// As typed.
        text: String,
        /// What is wanted.
        wanted: Dimension,
        /// Symbol of the unit that was probably meant.
        unit: &'static str,
        /// Whether the rest of the file has it.
        elsewhere: bool,
    },
    /// The circumference in place of a diameter.
    #[error("{} is out of range for a diameter, and the circumference of one of {}", MM.format(PI * .diameter), MM.format(*.diameter))]
    Circumference {
        /// The key.
        key: &'static str,
        /// The diameter, mm.
        diameter: f64,
    },
    /// Outside the admissible range.
    #[error("{given} is out of range")]
    OutOfRange {
        /// The value in the unit of the range.
        given: String,
        /// The range.
        range: String,
    },
    /// None of the words that may stand here.
    #[error("\"{given}\" is not one of the words that may stand here")]
    NotAChoice {
        /// As typed.
        given: String,
        /// The words.
        range: String,
        /// The word that may have been meant.
        nearest: Option<&'static str>,
    },
    /// A size label that cannot be read.
    #[error("\"{given}\" is no tyre size")]
    NotASize {
        /// As typed.
        given: String,
    },
    /// A bad hoop law.
    #[error("{sentence}")]
    Curve {
        /// What is wrong with it.
        sentence: String,
    },
    /// A path that is no input.
    #[error("`{path}` is no input of a case")]
    UnknownPath {
        /// As typed.
        path: String,
        /// The path that may have been meant.
        nearest: Option<String>,
    },
    /// Paths of inputs typed without quotes, of which tables are made.
    #[error("`{table}` is no input of a case, but a table of it")]
    Unquoted {
        /// The table that the paths begin with.
        table: String,
        /// The paths that were meant.
        paths: Vec<String>,
    },
    /// A fault of the table of values to run the case over.
    #[error("{sentence}")]
    Vary {
        /// What is wrong with it.
        sentence: String,
        /// What to do.
        remedy: String,
    },
    /// A fault of the case with varied values in place.
    #[error("with {values}: {problem}")]
    Variant {
        /// The varied values.
        values: String,
        /// What is then wrong.
        problem: Box<Problem>,
    },
    /// A drawing that cannot be used.
    #[error("{name}: {sentence}")]
    Drawing {
        /// File name.
        name: String,
        /// What is wrong with it, and where.
        sentence: String,
    },
    /// Inputs that are good alone but not together.
    #[error("{sentence}")]
    Inconsistent {
        /// What is wrong, with the numbers.
        sentence: String,
        /// What to do.
        remedy: &'static str,
    },
}

fn place(section: &str) -> String {
    if section.is_empty() { "above the first table".to_owned() } else { format!("in [{section}]") }
}

impl Problem {
    /// What to do about it.
    pub fn remedy(&self) -> String {
        match self {
            Self::TooLarge { .. } => "give a case file; `hoopwright draft FILE` writes one to start from".to_owned(),
            Self::NotUtf8 => "save the file as UTF-8".to_owned(),
            Self::Syntax { .. } => "write one `key = \"value\"` a line under a [table], texts in straight quotes".to_owned(),
            Self::UnknownTable { nearest: Some(name), .. } => format!("did you mean [{name}]?"),
            Self::UnknownTable { .. } => {
                "take the tables from a starter case (`hoopwright draft FILE`; of a fixture: `hoopwright rig fixture FILE`)"
                    .to_owned()
            }
            Self::UnknownKey { elsewhere: Some(""), name, .. } => format!("move `{name}` above the first table"),
            Self::UnknownKey { elsewhere: Some(section), name, .. } => format!("move `{name}` to [{section}]"),
            Self::UnknownKey { nearest: Some(name), .. } => format!("did you mean `{name}`?"),
            Self::UnknownKey { .. } => {
                "take the keys from a starter case (`hoopwright draft FILE`; of a fixture: `hoopwright rig fixture FILE`)"
                    .to_owned()
            }
            Self::MissingTable { section, lines } => format!("add [{section}] with {}", lines.join(", ")),
            Self::Missing { line, .. } => format!("add it, as in {line}"),
            Self::Neither { line, .. } => format!("add one of them, as in {line}"),
            Self::Both { .. } => "drop one of them".to_owned(),
            Self::Alone { key, partner } => format!("add `{partner}`, or drop `{key}`"),
            Self::WrongType { line, .. } => format!("write, for instance, {line}"),
            Self::Unit(error) => error.remedy(),
            Self::Bare { text, wanted, unit, elsewhere } => {
                let why = if *elsewhere { "a unit that the file uses elsewhere" } else { "for instance" };
                format!("add the unit, as in \"{text} {unit}\", {why}; known units: {}", symbols(*wanted))
            }
            Self::Circumference { key, diameter } => {
                format!("divide by pi what a tape tells: {key} = \"{}\"", MM.format(*diameter))
            }
            Self::OutOfRange { range, .. } => format!("give {range}"),
            Self::NotAChoice { nearest: Some(word), .. } => format!("did you mean \"{word}\"?"),
            Self::NotAChoice { range, .. } => format!("write {range}"),
            Self::NotASize { .. } => "write labelled width and rim code in mm, as in \"28-622\"".to_owned(),
            Self::Curve { .. } => {
                "write rising [strain, force] pairs from zero, as in [[\"0 %\", \"0 N\"], [\"0.5 %\", \"1.1 kN\"]]".to_owned()
            }
            Self::UnknownPath { nearest: Some(path), .. } => format!("did you mean \"{path}\"?"),
            Self::UnknownPath { .. } => {
                "write table and key in quotes, as in \"rim.seat_diameter\" = [\"621.5 mm\", \"622.4 mm\"]".to_owned()
            }
            Self::Unquoted { paths, .. } => {
                let quoted: Vec<String> = paths.iter().map(|path| format!("\"{path}\"")).collect();
                format!("write {} in quotes", quoted.join(" and "))
            }
            Self::Drawing { .. } => {
                "mend the drawing, or name another file; its name is taken relative to the case file".to_owned()
            }
            Self::Vary { remedy, .. } => remedy.clone(),
            Self::Variant { problem, .. } => problem.remedy(),
            Self::Inconsistent { remedy, .. } => (*remedy).to_owned(),
        }
    }
}

impl CaseError {
    /// Puts a problem at a place in the text.
    pub(crate) fn at(text: &Text<'_>, key: String, span: Range<usize>, problem: Problem) -> Self {
        let (line, column) = text.line_and_column(span.start);
        Self { key, problem, span, line, column }
    }

    /// The sentence.
    pub fn message(&self) -> String {
        self.problem.to_string()
    }

    /// The remedy.
    pub fn remedy(&self) -> String {
        self.problem.remedy()
    }
}

impl fmt::Display for CaseErrors {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (i, error) in self.0.iter().enumerate() {
            let newline = if i == 0 { "" } else { "\n" };
            write!(f, "{newline}{}:{}: {}; {}", error.line, error.column, error.message(), error.remedy())?;
        }
        Ok(())
    }
}

impl std::error::Error for CaseErrors {}
