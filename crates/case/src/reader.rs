//! Typed values to inner units, one input at a time, gathering the faults.

use std::f64::consts::PI;
use std::ops::Range;

use crate::bare;
use crate::error::{CaseError, Problem};
use crate::file::{CaseFile, Entry, Typed};
use crate::inputs::{BEAD_DIAMETER, Input, Kind, Need, RIM_CENTROID_DIAMETER, RIM_SEAT_DIAMETER};
use crate::nearest::nearest;
use crate::units::{self, Dimension, MPA, Unit};

/// Reads inputs from a case file and remembers what is wrong.
///
/// A value that cannot be had is reported once and stands as NaN (or as the smallest count), so that the other inputs can
/// still be read and no rule that needs it speaks up. A case is handed out only if nothing was reported.
pub(super) struct Reader<'a> {
    pub(super) file: &'a CaseFile<'a>,
    pub(super) errors: Vec<CaseError>,
}

impl Reader<'_> {
    /// Whether the input is given.
    pub(super) fn given(&self, input: &Input) -> bool {
        self.file.get(input).is_some()
    }

    /// Reports a problem of one input at its value, its table or the end of the text.
    pub(super) fn report(&mut self, input: &Input, problem: Problem) {
        self.report_at(input, self.file.span_of(input), problem);
    }

    pub(super) fn report_at(&mut self, input: &Input, span: Range<usize>, problem: Problem) {
        self.errors.push(CaseError::at(&self.file.text, input.path(), span, problem));
    }

    /// A quantity or modulus in the inner unit, or its default; NaN where it cannot be had.
    pub(super) fn quantity(&mut self, input: &'static Input) -> f64 {
        self.value(input, quantity_of).unwrap_or(f64::NAN)
    }

    /// A quantity that may be left out.
    pub(super) fn optional(&mut self, input: &'static Input) -> Option<f64> {
        self.given(input).then(|| self.quantity(input))
    }

    /// A quantity, or what follows from other inputs.
    pub(super) fn quantity_or(&mut self, input: &'static Input, derived: f64) -> f64 {
        self.optional(input).unwrap_or(derived)
    }

    /// A count; the smallest one where it cannot be had.
    pub(super) fn count(&mut self, input: &'static Input) -> usize {
        self.value(input, count_of).unwrap_or(1)
    }

    /// A flag; false where it cannot be had.
    pub(super) fn flag(&mut self, input: &'static Input) -> bool {
        self.value(input, flag_of).unwrap_or(false)
    }

    /// The position of a word in its list of choices; the first where it cannot be had.
    pub(super) fn choice(&mut self, input: &'static Input) -> usize {
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
    pub(super) fn first_of(&mut self, a: &'static Input, b: &'static Input) -> bool {
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
    pub(super) fn needs(&mut self, key: &'static Input, partner: &'static Input) {
        if self.given(key) && !self.given(partner) {
            self.report(key, Problem::Alone { key: key.key, partner: partner.key });
        }
    }

    /// Reads the entry of an input or its default; reports what is wrong with it, or that it is missing.
    pub(super) fn value<T>(&mut self, input: &'static Input, read: impl Fn(&Input, &Typed) -> Result<T, Problem>) -> Option<T> {
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

fn wrong_type(input: &Input, value: &Typed, wanted: &'static str) -> Problem {
    Problem::WrongType { found: value.type_name(), wanted, line: input.line() }
}

/// The text of a value.
pub(super) fn text_of<'t>(input: &Input, value: &'t Typed) -> Result<&'t str, Problem> {
    match value {
        Typed::Text(text) => Ok(text),
        other => Err(wrong_type(input, other, "a text in quotes")),
    }
}

fn flag_of(input: &Input, value: &Typed) -> Result<bool, Problem> {
    match value {
        Typed::Flag(flag) => Ok(*flag),
        other => Err(wrong_type(input, other, "true or false, without quotes,")),
    }
}

pub(super) fn count_of(input: &Input, value: &Typed) -> Result<usize, Problem> {
    let (Typed::Integer(n), Kind::Count { min, max }) = (value, input.kind) else {
        return Err(wrong_type(input, value, "a whole number, without quotes,"));
    };
    match usize::try_from(*n) {
        Ok(count) if (min..=max).contains(n) => Ok(count),
        _ => Err(Problem::OutOfRange { given: n.to_string(), range: format!("{min} to {max}") }),
    }
}

fn choice_of(input: &Input, value: &Typed) -> Result<usize, Problem> {
    let given = text_of(input, value)?;
    let Kind::Choice(words) = input.kind else {
        return Err(wrong_type(input, value, "another type"));
    };
    words.iter().position(|word| *word == given).ok_or_else(|| Problem::NotAChoice {
        given: given.to_owned(),
        range: input.range().unwrap_or_default(),
        nearest: nearest(given, words.iter().copied()),
    })
}

/// A quantity or modulus in the inner unit, within the range of the input.
pub(super) fn quantity_of(input: &Input, value: &Typed) -> Result<f64, Problem> {
    match input.kind {
        Kind::Quantity { unit, min, max } | Kind::WordOr { unit, min, max, .. } | Kind::Quantities { unit, min, max, .. } => {
            within(input, parse(input, value, unit.dimension)?, &unit, min, max)
        }
        Kind::Modulus { min, max } => {
            let modulus = match value {
                Typed::Text(text) => units::parse_modulus(text)?,
                other => parse(input, other, Dimension::Pressure)?,
            };
            within(input, modulus, &MPA, min, max)
        }
        _ => Err(wrong_type(input, value, "another type")),
    }
}

/// A quantity of the dimension from a text, or from a number where no unit is needed.
pub(super) fn parse(input: &Input, value: &Typed, dimension: Dimension) -> Result<f64, Problem> {
    let text = match value {
        Typed::Text(text) => text.clone(),
        Typed::Integer(n) => n.to_string(),
        Typed::Float(x) => x.to_string(),
        other => return Err(wrong_type(input, other, "a quantity")),
    };
    Ok(units::parse(&text, dimension)?)
}

/// The problem of a diameter, mm, of the wheel where its circumference was given, as a tape tells it; none where that is no such diameter.
fn around(input: &Input, diameter: f64) -> Option<Problem> {
    let of_wheel = [&BEAD_DIAMETER, &RIM_SEAT_DIAMETER, &RIM_CENTROID_DIAMETER].iter().any(|i| i.path() == input.path());
    let (Kind::Quantity { min, max, .. }, true) = (input.kind, of_wheel) else { return None };
    (min..=max).contains(&diameter).then_some(Problem::Circumference { key: input.key, diameter })
}

fn within(input: &Input, inner: f64, unit: &Unit, min: f64, max: f64) -> Result<f64, Problem> {
    // Compared in inner units with a relative slack of rounding size, so that a typed end of the range is inside.
    let slack = 1e-12 * unit.inner_of(max).abs();
    if (unit.inner_of(min) - slack..=unit.inner_of(max) + slack).contains(&inner) {
        Ok(inner)
    } else {
        Err(around(input, inner / PI)
            .unwrap_or_else(|| Problem::OutOfRange { given: unit.format(inner), range: input.range().unwrap_or_default() }))
    }
}
