//! One input of a case over a range, at values that are not known beforehand.

use super::values::{number, tidy};
use super::{Faults, Variant, input_of, stand_in};
use crate::case::Case;
use crate::check::case_of;
use crate::error::{CaseError, CaseErrors, Problem};
use crate::file::Attached;
use crate::file::{CaseFile, Entry, Typed};
use crate::inputs::{Input, Kind};
use crate::units::{self, ONE};

/// Most steps from one end to the other that are told apart.
const FINEST: f64 = 1e-9;

/// A case with one of its inputs left open.
#[derive(Clone, Debug)]
pub struct OneInput {
    text: String,
    attached: Attached,
    base: Case,
    /// The input; it has a unit.
    pub input: &'static Input,
    /// Ends of the range in its unit, rising.
    pub range: [f64; 2],
}

/// Why one input of a case cannot be varied as asked.
#[derive(Clone, Debug, PartialEq)]
pub enum OneInputError {
    /// The case has faults, as it stands or at an end of the range.
    Case(CaseErrors),
    /// The input is none, or no number.
    Input(Problem),
    /// An end of the range (0 or 1) cannot be read.
    End(usize, Problem),
    /// The range is empty.
    Empty,
}

/// Reads a case with the input of a path left open between two ends, as typed: numbers with units.
///
/// # Errors
/// [`OneInputError`], each fault with its remedy.
pub fn one_input(text: &str, attached: Attached, path: &str, ends: [&str; 2]) -> Result<OneInput, OneInputError> {
    let (file, structural) = CaseFile::parse(text).map_err(OneInputError::Case)?;
    let (base, _) = case_of(&file.with_attached(attached.clone()), structural).map_err(OneInputError::Case)?;
    let input = input_of(path).map_err(OneInputError::Input)?;
    let end = |k: usize| number(input, &typed(input, ends[k])).map_err(|problem| OneInputError::End(k, problem));
    let range = [end(0)?, end(1)?];
    if range[1] - range[0] <= FINEST * range[0].abs() {
        return Err(OneInputError::Empty);
    }
    let one = OneInput { text: text.to_owned(), attached, base, input, range };
    for value in range {
        one.at(value).map_err(OneInputError::Case)?;
    }
    Ok(one)
}

/// A value of an argument as if it stood in a case.
fn typed(input: &Input, text: &str) -> Typed {
    match (input.kind, text.parse::<i64>(), text.parse::<f64>()) {
        (Kind::Count { .. }, Ok(whole), _) => Typed::Integer(whole),
        (_, _, Ok(number)) => Typed::Float(number),
        _ => Typed::Text(text.to_owned()),
    }
}

impl OneInput {
    /// Whether the input takes whole numbers only.
    pub fn is_whole(&self) -> bool {
        matches!(self.input.kind, Kind::Count { .. })
    }

    /// A difference of two values, as typed, in the input's unit; it need not lie in the input's range.
    ///
    /// # Errors
    /// It cannot be read.
    pub fn difference(&self, text: &str) -> Result<f64, Problem> {
        let unit = self.input.unit().unwrap_or(ONE);
        Ok(tidy(unit.value_of(units::parse(text, unit.dimension)?)))
    }

    /// The case with the input at a value in its unit.
    ///
    /// # Errors
    /// Every fault of that case.
    pub fn at(&self, value: f64) -> Result<Variant, CaseErrors> {
        let (file, _) = CaseFile::parse(&self.text)?;
        let file = file.with_attached(self.attached.clone());
        let value = tidy(value);
        let unit = self.input.unit().unwrap_or(ONE);
        let as_typed =
            if self.is_whole() { Typed::Integer(value as i64) } else { Typed::Text(format!("{value} {}", unit.symbol)) };
        let entry = Entry { value: as_typed, span: file.span_of(self.input) };
        let entries = stand_in::entries(&[(self.input, value, &entry)], &self.base);
        match case_of(&file.with(entries), Vec::new()) {
            Ok((case, notes)) => Ok(Variant { values: vec![value], case, notes, in_service: None }),
            Err(errors) => {
                let mut faults = Faults::default();
                let shown = || format!("{} = {}", self.input.path(), unit.show(value));
                errors.0.into_iter().for_each(|error: CaseError| faults.add(error, shown));
                faults.none().and(Err(CaseErrors(Vec::new())))
            }
        }
    }
}
