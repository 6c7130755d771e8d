//! The case file as typed: which keys stand where, before any value is read.
//!
//! The text is walked as a spanned TOML tree, not deserialised into structs: a derived reader stops at the first unknown
//! key, and the table of inputs would have to be kept equal to it by hand.

use std::collections::BTreeMap;
use std::ops::Range;
use std::sync::{Arc, OnceLock};

use toml::de::{DeTable, DeValue};

use crate::case::Drawing;
use crate::error::{CaseError, CaseErrors, Problem};
use crate::inputs::{CASE, Form, Input, Need};
use crate::nearest::nearest;
use crate::text::Text;

/// Largest case file, bytes.
pub const SIZE_LIMIT: usize = 1 << 20;

/// The text of a file's bytes.
///
/// # Errors
/// More than [`SIZE_LIMIT`] bytes, or bytes that are no UTF-8; the place is that of the first such byte.
pub fn decode(bytes: &[u8]) -> Result<&str, CaseErrors> {
    if bytes.len() > SIZE_LIMIT {
        return Err(whole_file("", 0..0, Problem::TooLarge { limit: SIZE_LIMIT }));
    }
    std::str::from_utf8(bytes).map_err(|e| {
        let good = e.valid_up_to();
        let text = String::from_utf8_lossy(&bytes[..good]);
        whole_file(&text, good..good, Problem::NotUtf8)
    })
}

/// Files that a case names: bytes by name, or why they could not be read.
pub type Attached = BTreeMap<String, Result<Vec<u8>, String>>;

/// What was read of a drawing, with notes, or why it cannot be used.
pub(crate) type Drawn = Result<(Arc<Drawing>, Vec<String>), String>;

/// Table of values to run a case over; it says nothing of the case itself.
pub(super) const VARY: &str = "vary";
/// Table of the two axes of a map; it says nothing of the case itself.
pub(super) const MAP: &str = "map";
/// Table of inputs that scatter; it says nothing of the case itself.
pub(super) const TOLERANCE: &str = "tolerance";

/// Table of the sizes that are asked for; it says nothing of the case itself.
pub(super) const SIZES: &str = "sizes";

/// A case file as typed. Only known tables and keys are kept.
#[derive(Clone, Debug)]
pub struct CaseFile<'a> {
    /// The whole text.
    pub text: Text<'a>,
    /// What may stand in it.
    form: &'static Form,
    /// Bytes of the header of each table present; the top level stands under "".
    headers: BTreeMap<&'static str, Range<usize>>,
    /// Entries by table and key.
    entries: BTreeMap<(&'static str, &'static str), Entry>,
    /// Entries that stand in place of the typed ones: what makes a variant of the case.
    replaced: BTreeMap<(&'static str, &'static str), Entry>,
    /// Files that the case names.
    pub(super) attached: Arc<Attached>,
    /// The drawing among them, once it is read: the same for all variants, as nothing that it depends on is a number.
    pub(super) drawn: Arc<OnceLock<Drawn>>,
    /// The table of values to run the case over, unread: its header and its entries in the order of the text.
    pub(super) vary: Option<(Range<usize>, Vec<Named>)>,
    /// The table of a map's axes, likewise.
    pub(super) map: Option<(Range<usize>, Vec<Named>)>,
    /// The table of sizes that are asked for, likewise.
    pub(super) sizes: Option<(Range<usize>, Vec<Named>)>,
    /// The table of inputs that scatter, likewise.
    pub(super) tolerance: Option<(Range<usize>, Vec<Named>)>,
}

/// An entry of a table with its key.
#[derive(Clone, Debug, PartialEq)]
pub struct Named {
    /// The key.
    pub name: String,
    /// Bytes of the key in the text.
    pub key: Range<usize>,
    /// The value.
    pub entry: Entry,
}

/// A typed value and its place.
#[derive(Clone, Debug, PartialEq)]
pub struct Entry {
    /// The value.
    pub value: Typed,
    /// Bytes of the value in the text.
    pub span: Range<usize>,
}

/// A value as typed.
#[derive(Clone, Debug, PartialEq)]
pub enum Typed {
    /// Text in quotes.
    Text(String),
    /// Whole number.
    Integer(i64),
    /// Number with point or exponent, possibly not finite.
    Float(f64),
    /// `true` or `false`.
    Flag(bool),
    /// Array.
    List(Vec<Entry>),
    /// Table, in the order of the text.
    Table(Vec<Named>),
    /// Anything else, by its name with article.
    Other(&'static str),
}

impl Typed {
    /// Name of the type with its article.
    pub fn type_name(&self) -> &'static str {
        match self {
            Self::Text(_) => "a text",
            Self::Integer(_) => "a whole number",
            Self::Float(_) => "a number",
            Self::Flag(_) => "a true or false",
            Self::List(_) => "an array",
            Self::Table(_) => "a table",
            Self::Other(name) => name,
        }
    }
}

impl<'a> CaseFile<'a> {
    /// Parses a text; returns what is known of it with the faults of structure: unknown tables and keys, missing tables.
    ///
    /// # Errors
    /// The text is too large or no TOML; nothing more can then be said of it.
    pub fn parse(text: &'a str) -> Result<(Self, Vec<CaseError>), CaseErrors> {
        Self::parse_as(text, &CASE)
    }

    /// As [`Self::parse`], for a file of another form.
    ///
    /// # Errors
    /// As [`Self::parse`].
    pub fn parse_as(text: &'a str, form: &'static Form) -> Result<(Self, Vec<CaseError>), CaseErrors> {
        if text.len() > SIZE_LIMIT {
            return Err(whole_file(text, 0..0, Problem::TooLarge { limit: SIZE_LIMIT }));
        }
        let tree = DeTable::parse(text).map_err(|e| {
            let message = e.message().to_owned();
            whole_file(text, e.span().unwrap_or(0..0), Problem::Syntax { message })
        })?;
        let mut file = Self {
            text: Text::new(text),
            form,
            headers: BTreeMap::new(),
            entries: BTreeMap::new(),
            replaced: BTreeMap::new(),
            attached: Arc::default(),
            drawn: Arc::default(),
            vary: None,
            map: None,
            sizes: None,
            tolerance: None,
        };
        let mut errors = Vec::new();
        file.take_top(tree.get_ref(), &mut errors);
        file.find_missing_tables(&mut errors);
        Ok((file, errors))
    }

    /// The same file with the files that it names at hand.
    pub(super) fn with_attached(self, attached: Attached) -> Self {
        Self { attached: Arc::new(attached), drawn: Arc::default(), ..self }
    }

    /// The same file with other entries in place of typed or absent ones. Everything that reads the file then reads these, and what is
    /// wrong with them is told at their own places in the text.
    pub(super) fn with(&self, entries: impl IntoIterator<Item = (&'static Input, Entry)>) -> Self {
        let replaced = entries.into_iter().map(|(input, entry)| ((input.section, input.key), entry)).collect();
        Self { replaced, ..self.clone() }
    }

    /// The same file with every table there, if empty.
    pub(super) fn with_all_tables(mut self) -> Self {
        let end = self.text.len();
        for (section, _) in self.form.sections {
            self.headers.entry(*section).or_insert(end..end);
        }
        self
    }

    /// The same file without the typed entries of some inputs.
    pub(super) fn without(&self, inputs: &[&'static Input]) -> Self {
        let mut file = self.clone();
        file.entries.retain(|(section, key), _| !inputs.iter().any(|input| (input.section, input.key) == (*section, *key)));
        file
    }

    /// Whether another entry stands in place of the typed one.
    pub(super) fn is_replaced(&self, input: &Input) -> bool {
        self.replaced.contains_key(&(input.section, input.key))
    }

    /// The entry of an input, if given.
    pub fn get(&self, input: &Input) -> Option<&Entry> {
        let place = (input.section, input.key);
        self.replaced.get(&place).or_else(|| self.entries.get(&place))
    }

    /// The inputs that are given as texts, with these.
    pub(super) fn texts(&self) -> impl Iterator<Item = (&'static Input, &str)> {
        let text = |input: &&'static Input| match &self.entries.get(&(input.section, input.key))?.value {
            Typed::Text(text) => Some((*input, text.as_str())),
            _ => None,
        };
        self.form.inputs.iter().chain(self.form.beside).filter_map(text)
    }

    /// Whether the table is present. The top level always is.
    pub fn has(&self, section: &str) -> bool {
        section.is_empty() || self.headers.contains_key(section)
    }

    /// Bytes of the name in a table's header; none where it has none.
    pub(super) fn header(&self, section: &str) -> Option<Range<usize>> {
        self.headers.get(section).cloned()
    }

    /// Where to point for an input: at its value, else at its table's header, else at the end of the text.
    pub fn span_of(&self, input: &Input) -> Range<usize> {
        let end = self.text.len();
        self.get(input).map(|entry| entry.span.clone()).or_else(|| self.headers.get(input.section).cloned()).unwrap_or(end..end)
    }

    fn take_top(&mut self, top: &DeTable<'_>, errors: &mut Vec<CaseError>) {
        for (key, value) in top {
            let (name, span) = (key.get_ref().as_ref(), key.span());
            let studies: &[&'static str] = if self.form.studied { &[VARY, MAP, SIZES, TOLERANCE] } else { &[] };
            let sections = self.form.sections;
            let beside = self.form.beside.first().map(|input| input.section);
            let tables = || sections.iter().map(|(section, _)| *section).chain(studies.iter().copied()).chain(beside);
            let section = tables().find(|section| *section == name);
            match (section, value.get_ref()) {
                (Some(VARY), DeValue::Table(table)) => self.vary = Some((span, named(table))),
                (Some(MAP), DeValue::Table(table)) => self.map = Some((span, named(table))),
                (Some(SIZES), DeValue::Table(table)) => self.sizes = Some((span, named(table))),
                (Some(TOLERANCE), DeValue::Table(table)) => self.tolerance = Some((span, named(table))),
                (Some(section), DeValue::Table(table)) => {
                    self.headers.insert(section, span);
                    self.take_section(section, table, errors);
                }
                (Some(section), other) => {
                    self.headers.insert(section, span.clone());
                    let line = format!("[{section}] once, and its keys on the lines below");
                    let problem = Problem::WrongType { found: typed(other).type_name(), wanted: "a table", line };
                    errors.push(CaseError::at(&self.text, name.to_owned(), span, problem));
                }
                (None, DeValue::Table(_)) => {
                    let nearest = nearest(name, tables());
                    let problem = Problem::UnknownTable { name: name.to_owned(), nearest };
                    errors.push(CaseError::at(&self.text, name.to_owned(), span, problem));
                }
                (None, other) => self.take_entry("", name, (span, value.span()), other, errors),
            }
        }
    }

    fn take_section(&mut self, section: &'static str, table: &DeTable<'_>, errors: &mut Vec<CaseError>) {
        for (key, value) in table {
            self.take_entry(section, key.get_ref(), (key.span(), value.span()), value.get_ref(), errors);
        }
    }

    fn take_entry(
        &mut self,
        section: &'static str,
        name: &str,
        (key_span, span): (Range<usize>, Range<usize>),
        value: &DeValue<'_>,
        errors: &mut Vec<CaseError>,
    ) {
        let inputs = || self.form.inputs.iter().chain(self.form.beside);
        if let Some(input) = inputs().find(|i| i.section == section && i.key == name) {
            self.entries.insert((input.section, input.key), Entry { value: typed(value), span });
            return;
        }
        let here = inputs().filter(|i| i.section == section).map(|i| i.key);
        let problem = Problem::UnknownKey {
            name: name.to_owned(),
            section,
            nearest: nearest(name, here),
            elsewhere: inputs().find(|i| i.key == name).map(|i| i.section),
        };
        let path = if section.is_empty() { name.to_owned() } else { format!("{section}.{name}") };
        errors.push(CaseError::at(&self.text, path, key_span, problem));
    }

    fn find_missing_tables(&self, errors: &mut Vec<CaseError>) {
        let end = self.text.len();
        let misspelt = |section: &str| {
            errors
                .iter()
                .any(|error| matches!(error.problem, Problem::UnknownTable { nearest: Some(name), .. } if name == section))
        };
        let missing: Vec<&'static str> =
            self.form.sections.iter().map(|(section, _)| *section).filter(|s| !self.has(s) && !misspelt(s)).collect();
        for section in missing {
            let needed = |i: &&&Input| matches!(i.need, Need::Required { .. } | Need::OneOf { .. });
            let lines: Vec<String> =
                self.form.inputs.iter().filter(|i| i.section == section).filter(needed).map(|i| i.line()).collect();
            if !lines.is_empty() {
                let problem = Problem::MissingTable { section, lines };
                errors.push(CaseError::at(&self.text, (*section).to_owned(), end..end, problem));
            }
        }
    }
}

/// The entries of a table in the order of the text; the parser sorts them by key.
fn named(table: &DeTable<'_>) -> Vec<Named> {
    let mut entries: Vec<Named> = table
        .iter()
        .map(|(key, value)| Named {
            name: key.get_ref().to_string(),
            key: key.span(),
            entry: Entry { value: typed(value.get_ref()), span: value.span() },
        })
        .collect();
    entries.sort_by_key(|named| named.key.start);
    entries
}

fn whole_file(text: &str, span: Range<usize>, problem: Problem) -> CaseErrors {
    CaseErrors(vec![CaseError::at(&Text::new(text), String::new(), span, problem)])
}

fn typed(value: &DeValue<'_>) -> Typed {
    match value {
        DeValue::String(text) => Typed::Text(text.to_string()),
        DeValue::Integer(i) => {
            i64::from_str_radix(i.as_str(), i.radix()).map_or(Typed::Other("a whole number beyond 64 bits"), Typed::Integer)
        }
        DeValue::Float(f) => f.as_str().parse().map_or(Typed::Other("an unreadable number"), Typed::Float),
        DeValue::Boolean(flag) => Typed::Flag(*flag),
        DeValue::Datetime(_) => Typed::Other("a date"),
        DeValue::Table(table) => Typed::Table(named(table)),
        DeValue::Array(list) => {
            Typed::List(list.iter().map(|item| Entry { value: typed(item.get_ref()), span: item.span() }).collect())
        }
    }
}
