//! A number typed without its unit, and the unit that was probably meant.

use crate::error::Problem;
use crate::file::{CaseFile, Typed};
use crate::inputs::Input;
use crate::typed::quantity_of;
use crate::units::{Dimension, UNITS, Unit, UnitError, unit_of};

/// The problem with the unit that was probably meant, where it is that of a number without one: the first in which the number lies within the
/// input's range, of those that the file has for inputs listed in the same unit, for others of the same dimension, of the input's example, and
/// of all. Any other problem stands as it is.
pub(super) fn with_unit(file: &CaseFile<'_>, input: &Input, problem: Problem) -> Problem {
    let Problem::Unit(UnitError::NoUnit { text, wanted }) = &problem else { return problem };
    let in_range = |unit: &&Unit| quantity_of(input, &Typed::Text(format!("{text} {}", unit.symbol))).is_ok();
    let elsewhere = in_file(file, input, *wanted);
    if let Some(unit) = elsewhere.iter().copied().find(in_range) {
        return Problem::Bare { text: text.clone(), wanted: *wanted, unit: unit.symbol, elsewhere: true };
    }
    let all = UNITS.iter().filter(|unit| unit.dimension == *wanted);
    let others = unit_of(&format!("1 {}", typed_unit(input.example()))).into_iter().chain(all);
    match others.into_iter().find(in_range) {
        Some(unit) => Problem::Bare { text: text.clone(), wanted: *wanted, unit: unit.symbol, elsewhere: false },
        None => problem,
    }
}

/// Units of other inputs of the file: those of inputs that are listed in the same unit as `input` first.
fn in_file(file: &CaseFile<'_>, input: &Input, wanted: Dimension) -> Vec<&'static Unit> {
    let used = |(other, text): (&'static Input, &str)| {
        let (unit, alike) = (unit_of(text)?, other.unit() == input.unit());
        (alike || unit.dimension == wanted).then_some((!alike, unit))
    };
    let mut found: Vec<(bool, &'static Unit)> = file.texts().filter_map(used).collect();
    found.sort_by_key(|(unlike, _)| *unlike);
    found.into_iter().map(|(_, unit)| unit).collect()
}

/// What stands behind the number of a quantity.
fn typed_unit(text: &str) -> &str {
    text.split_once(' ').map_or("", |(_, unit)| unit)
}
