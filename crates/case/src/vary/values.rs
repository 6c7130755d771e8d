//! The values that an input takes: a list, or a range in equal steps.

use std::ops::Range;

use super::MOST_VARIANTS;
use crate::error::Problem;
use crate::file::{Entry, Named, Typed};
use crate::inputs::{Input, Kind};
use crate::typed::{count_of, quantity_of};
use crate::units::ONE;

/// One value of an input.
pub(super) struct Value {
    /// As if it had been typed in the input's place.
    pub(super) entry: Entry,
    /// In the input's unit, to twelve digits.
    pub(super) number: f64,
}

/// A problem and the bytes of the text that it is about.
type Fault = (Range<usize>, Problem);

/// Reads the values of an input; what is wrong with them is reported value by value.
pub(super) fn values_of(input: &'static Input, entry: &Entry, report: &mut impl FnMut(Fault)) -> Vec<Value> {
    match &entry.value {
        Typed::List(list) => listed(input, entry, list, report),
        Typed::Table(keys) => range(input, entry, keys, report),
        other => {
            let wanted = "an array of values or a range";
            report((entry.span.clone(), Problem::WrongType { found: other.type_name(), wanted, line: example(input) }));
            Vec::new()
        }
    }
}

/// A line that gives two values.
fn example(input: &Input) -> String {
    let value = input.line().replacen(&format!("{} = ", input.key), "", 1);
    format!("\"{}\" = [{value}]", input.path())
}

fn listed(input: &'static Input, entry: &Entry, list: &[Entry], report: &mut impl FnMut(Fault)) -> Vec<Value> {
    if list.is_empty() || list.len() > MOST_VARIANTS {
        let sentence = format!("{} values are listed, 1 to {MOST_VARIANTS} may be", list.len());
        report((entry.span.clone(), Problem::Vary { sentence, remedy: format!("write, for instance, {}", example(input)) }));
        return Vec::new();
    }
    let mut read = |entry: &Entry| match number(input, &entry.value) {
        Ok(number) => Some(Value { entry: entry.clone(), number }),
        Err(problem) => {
            report((entry.span.clone(), problem));
            None
        }
    };
    list.iter().filter_map(&mut read).collect()
}

/// A value in the input's unit, to twelve digits, so that 72.5 psi in bar and back is what was typed.
pub(super) fn number(input: &'static Input, value: &Typed) -> Result<f64, Problem> {
    match input.kind {
        Kind::Count { .. } => count_of(input, value).map(|count| count as f64),
        _ => Ok(tidy(input.unit().unwrap_or(ONE).value_of(quantity_of(input, value)?))),
    }
}

/// A number to twelve digits.
pub(super) fn tidy(value: f64) -> f64 {
    format!("{value:.11e}").parse().unwrap_or(value)
}

/// `{ from, to, count }`: equal steps in the input's unit, ends included.
fn range(input: &'static Input, entry: &Entry, keys: &[Named], report: &mut impl FnMut(Fault)) -> Vec<Value> {
    let mut sound = true;
    let mut say = |fault| {
        sound = false;
        report(fault);
    };
    for named in keys.iter().filter(|named| !["from", "to", "count"].contains(&named.name.as_str())) {
        say((named.key.clone(), form(format!("a range has no key `{}`", named.name), input)));
    }
    let mut get = |name: &str| {
        let found = keys.iter().find(|named| named.name == name).map(|named| &named.entry);
        if found.is_none() {
            say((entry.span.clone(), form(format!("`{name}` is missing in the range"), input)));
        }
        found
    };
    let (Some(from), Some(to), Some(count)) = (get("from"), get("to"), get("count")) else { return Vec::new() };
    let mut end = |entry: &Entry| number(input, &entry.value).map_err(|problem| say((entry.span.clone(), problem))).ok();
    let ends = (end(from), end(to));
    let steps = steps(count, input).map_err(&mut say).ok();
    let ((Some(a), Some(b)), Some(n), true) = (ends, steps, sound) else { return Vec::new() };
    match between(input, (a, b), n) {
        Ok(typed) => {
            // The ends stand as they were typed, so that no rounding moves them out of a rule's limit.
            let last = typed.len() - 1;
            let value = |(i, (number, value)): (usize, (f64, Typed))| {
                let value = if i == 0 {
                    from.value.clone()
                } else if i == last {
                    to.value.clone()
                } else {
                    value
                };
                Value { entry: Entry { value, span: entry.span.clone() }, number }
            };
            typed.into_iter().enumerate().map(value).collect()
        }
        Err(sentence) => {
            report((entry.span.clone(), form(sentence, input)));
            Vec::new()
        }
    }
}

/// Number of values of a range.
fn steps(entry: &Entry, input: &Input) -> Result<u32, Fault> {
    match entry.value {
        Typed::Integer(n) if (2..=MOST_VARIANTS as i64).contains(&n) => Ok(n as u32),
        Typed::Integer(n) => {
            let problem = Problem::OutOfRange { given: n.to_string(), range: format!("2 to {MOST_VARIANTS}") };
            Err((entry.span.clone(), problem))
        }
        _ => {
            let sentence = format!("{} where the number of values is needed", entry.value.type_name());
            Err((entry.span.clone(), form(sentence, input)))
        }
    }
}

/// `n` numbers in equal steps, each also as it would be typed.
fn between(input: &Input, (a, b): (f64, f64), n: u32) -> Result<Vec<(f64, Typed)>, String> {
    if (b - a).abs() <= f64::EPSILON * a.abs() {
        return Err("the range ends where it begins".to_owned());
    }
    let unit = input.unit().unwrap_or(ONE);
    let numbers = (0..n).map(|k| tidy(a + (b - a) * f64::from(k) / f64::from(n - 1)));
    numbers
        .map(|number| match input.kind {
            Kind::Count { .. } if number.fract() != 0.0 => Err(format!("{n} equal steps from {a} to {b} are no whole numbers")),
            Kind::Count { .. } => Ok((number, Typed::Integer(number as i64))),
            _ => Ok((number, Typed::Text(format!("{number} {}", unit.symbol)))),
        })
        .collect()
}

fn form(sentence: String, input: &Input) -> Problem {
    let value = input.line().replacen(&format!("{} = ", input.key), "", 1);
    let remedy = format!("write \"{}\" = {{ from = {value}, to = ..., count = 4 }}, or a list of values", input.path());
    Problem::Vary { sentence, remedy }
}
