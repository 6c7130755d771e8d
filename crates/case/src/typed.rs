//! A typed value to the inner unit of its input, or what is wrong with it.

use crate::error::Problem;
use crate::file::Typed;
use crate::inputs::{BEAD_DIAMETER, Input, Kind, RIM_CENTROID_DIAMETER, RIM_SEAT_DIAMETER};
use crate::nearest::nearest;
use crate::units::{self, Dimension, MPA, Unit};
use std::f64::consts::PI;

fn wrong_type(input: &Input, value: &Typed, wanted: &'static str) -> Problem {
    Problem::WrongType { found: value.type_name(), wanted, line: input.line() }
}

/// The text of a value.
///
/// # Errors
/// It is none.
pub fn text_of<'t>(input: &Input, value: &'t Typed) -> Result<&'t str, Problem> {
    match value {
        Typed::Text(text) => Ok(text),
        other => Err(wrong_type(input, other, "a text in quotes")),
    }
}

pub(crate) fn flag_of(input: &Input, value: &Typed) -> Result<bool, Problem> {
    match value {
        Typed::Flag(flag) => Ok(*flag),
        other => Err(wrong_type(input, other, "true or false, without quotes,")),
    }
}

pub(crate) fn count_of(input: &Input, value: &Typed) -> Result<usize, Problem> {
    let (Typed::Integer(n), Kind::Count { min, max }) = (value, input.kind) else {
        return Err(wrong_type(input, value, "a whole number, without quotes,"));
    };
    match usize::try_from(*n) {
        Ok(count) if (min..=max).contains(n) => Ok(count),
        _ => Err(Problem::OutOfRange { given: n.to_string(), range: format!("{min} to {max}") }),
    }
}

pub(crate) fn choice_of(input: &Input, value: &Typed) -> Result<usize, Problem> {
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
///
/// # Errors
/// What is wrong with the value.
pub fn quantity_of(input: &Input, value: &Typed) -> Result<f64, Problem> {
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
pub(crate) fn parse(input: &Input, value: &Typed, dimension: Dimension) -> Result<f64, Problem> {
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
