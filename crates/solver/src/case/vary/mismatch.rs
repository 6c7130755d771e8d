//! The diameter mismatch as a varied quantity: no input of a case, it stands for the bead diameter that makes it.

use super::values::{Value, tidy};
use crate::case::error::Problem;
use crate::case::file::{Entry, Typed};
use crate::case::inputs::{BEAD_DIAMETER, Input, Kind, Need, RIM_SEAT_DIAMETER};
use crate::units::MM;

/// Seat diameter minus unstretched bead diameter, mm. It may be varied like an input, but does not stand in a case.
pub static MISMATCH: Input = Input {
    section: "",
    key: "mismatch",
    kind: Kind::Quantity { unit: MM, min: -20.0, max: 20.0 },
    need: Need::Derived { rule: "rim.seat_diameter - bead.diameter", example: "1.5 mm" },
    meaning: "Seat diameter minus unstretched bead diameter",
    source: "definition",
};

/// Refuses a mismatch beside the bead diameter that it stands for.
pub(super) fn check(inputs: &[(&'static Input, Vec<Value>)]) -> Result<(), Problem> {
    let names = |wanted: &Input| inputs.iter().any(|(input, _)| input.path() == wanted.path());
    if names(&MISMATCH) && names(&BEAD_DIAMETER) {
        let sentence = "mismatch and bead.diameter cannot both be varied: one follows from the other".to_owned();
        return Err(Problem::Vary { sentence, remedy: "drop one of them, or vary rim.seat_diameter with mismatch".to_owned() });
    }
    Ok(())
}

/// The entry that puts a value in place; a mismatch becomes a bead diameter under the variant's seat, or under `seat`, mm.
pub(super) fn entry(
    input: &'static Input,
    value: &Value,
    all: &[(&'static Input, &Value)],
    seat: f64,
) -> (&'static Input, Entry) {
    if input.path() != MISMATCH.path() {
        return (input, value.entry.clone());
    }
    let varied = all.iter().find(|(other, _)| other.path() == RIM_SEAT_DIAMETER.path());
    let diameter = tidy(varied.map_or(seat, |(_, seat)| seat.number) - value.number);
    (&BEAD_DIAMETER, Entry { value: Typed::Text(format!("{diameter} mm")), span: value.entry.span.clone() })
}
