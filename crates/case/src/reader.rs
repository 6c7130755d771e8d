//! Inputs of a file to values, one at a time, gathering the faults.

use std::ops::Range;

use crate::bare;
use crate::error::{CaseError, Problem};
use crate::file::{CaseFile, Entry, Typed};
use crate::inputs::{Input, Kind, Need};
use crate::typed::{choice_of, count_of, flag_of, quantity_of};

/// Reads inputs from a case file and remembers what is wrong.
///
/// A value that cannot be had is reported once and stands as NaN (or as the smallest count), so that the other inputs can
/// still be read and no rule that needs it speaks up. A case is handed out only if nothing was reported.
pub struct Reader<'a> {
    /// The file that is read.
    pub file: &'a CaseFile<'a>,
    /// What is wrong so far.
    pub errors: Vec<CaseError>,
}

impl Reader<'_> {
    /// Whether the input is given.
    pub fn given(&self, input: &Input) -> bool {
        self.file.get(input).is_some()
    }

    /// Reports a problem of one input at its value, its table or the end of the text.
    pub fn report(&mut self, input: &Input, problem: Problem) {
        self.report_at(input, self.file.span_of(input), problem);
    }

    pub(crate) fn report_at(&mut self, input: &Input, span: Range<usize>, problem: Problem) {
        self.errors.push(CaseError::at(&self.file.text, input.path(), span, problem));
    }

    /// A quantity or modulus in the inner unit, or its default; NaN where it cannot be had.
    pub fn quantity(&mut self, input: &'static Input) -> f64 {
        self.value(input, quantity_of).unwrap_or(f64::NAN)
    }

    /// A quantity that may be left out.
    pub fn optional(&mut self, input: &'static Input) -> Option<f64> {
        self.given(input).then(|| self.quantity(input))
    }

    /// A quantity, or what follows from other inputs.
    pub(crate) fn quantity_or(&mut self, input: &'static Input, derived: f64) -> f64 {
        self.optional(input).unwrap_or(derived)
    }

    /// A count; the smallest one where it cannot be had.
    pub fn count(&mut self, input: &'static Input) -> usize {
        self.value(input, count_of).unwrap_or(1)
    }

    /// A flag; false where it cannot be had.
    pub fn flag(&mut self, input: &'static Input) -> bool {
        self.value(input, flag_of).unwrap_or(false)
    }

    /// The position of a word in its list of choices; the first where it cannot be had.
    pub fn choice(&mut self, input: &'static Input) -> usize {
        self.value(input, choice_of).unwrap_or(0)
    }

    /// Whether an unknown key was reported that probably means this input.
    fn misspelt(&self, input: &Input) -> bool {
        self.errors.iter().any(|error| match &error.problem {
            Problem::UnknownKey { section, nearest, elsewhere: None, .. } => {
                *section == input.section && *nearest == Some(input.key)
            }
            _ => false,
        })
    }

    /// Of two keys that exclude each other, whether the first is the one to read. Reports both and neither.
    pub(crate) fn first_of(&mut self, a: &'static Input, b: &'static Input) -> bool {
        match (self.given(a), self.given(b)) {
            (true, true) => self.report(b, Problem::Both { a: a.key, b: b.key }),
            (false, false) if self.file.has(a.section) && !self.misspelt(a) && !self.misspelt(b) => {
                self.report(a, Problem::Neither { a: a.key, b: b.key, line: a.line() });
            }
            _ => {}
        }
        !self.given(b)
    }

    /// Reports a key that has no use without its partner.
    pub(crate) fn needs(&mut self, key: &'static Input, partner: &'static Input) {
        if self.given(key) && !self.given(partner) {
            self.report(key, Problem::Alone { key: key.key, partner: partner.key });
        }
    }

    /// Reads the entry of an input or its default; reports what is wrong with it, or that it is missing.
    pub fn value<T>(&mut self, input: &'static Input, read: impl Fn(&Input, &Typed) -> Result<T, Problem>) -> Option<T> {
        let result = match (self.file.get(input), input.need) {
            (Some(Entry { value, .. }), _) => read(input, value),
            (None, Need::Default { value }) => read(input, &default_of(input, value)),
            (None, Need::Required { .. }) if self.file.has(input.section) && !self.misspelt(input) => {
                Err(Problem::Missing { path: input.path(), line: input.line() })
            }
            // Absent alternatives, absent tables and misspelt keys are reported where they are found.
            (None, _) => return None,
        };
        result.map_err(|problem| self.report(input, bare::with_unit(self.file, input, problem))).ok()
    }
}

/// The default as if it had been typed.
fn default_of(input: &Input, value: &str) -> Typed {
    let text = Typed::Text(value.to_owned());
    match input.kind {
        Kind::Count { .. } => value.parse().map_or(text, Typed::Integer),
        Kind::Flag => value.parse().map_or(text, Typed::Flag),
        _ => text,
    }
}
