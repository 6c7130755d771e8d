//! Quantities that stand for an input: as they are measured, or as a rim and a tyre are matched. They may be varied like an input, but do
//! not stand in a case.

use std::f64::consts::PI;

use super::values::tidy;
use crate::case::{Case, Maxima};
use crate::error::Problem;
use crate::file::{Entry, Typed};
use crate::inputs::{
    BEAD_DIAMETER, Input, Kind, LIMITS_LAW_PRESSURE, LIMITS_RIM_PRESSURE, LIMITS_TYRE_PRESSURE, Need, PRESSURE_RATED,
    RIM_SEAT_DIAMETER,
};
use crate::units::{BAR, MM};

/// Seat diameter minus unstretched bead diameter, mm.
pub static MISMATCH: Input = Input {
    section: "",
    key: "mismatch",
    kind: Kind::Quantity { unit: MM, min: -20.0, max: 20.0 },
    need: Need::Derived { rule: "rim.seat_diameter - bead.diameter", example: "1.5 mm" },
    meaning: "Seat diameter minus unstretched bead diameter",
    source: "definition",
};

/// Circumference of the unstretched bead, mm, as a tape round a gauge tells it.
pub static BEAD_CIRCUMFERENCE: Input = Input {
    section: "bead",
    key: "circumference",
    kind: Kind::Quantity { unit: MM, min: 315.0, max: 3141.0 },
    need: Need::Derived { rule: "pi x bead.diameter", example: "1949.04 mm" },
    meaning: "Unstretched circumference at the bead base's middle",
    source: "definition",
};

/// Circumference of the seat, mm, as a tape tells it.
pub static SEAT_CIRCUMFERENCE: Input = Input {
    section: "rim",
    key: "seat_circumference",
    kind: Kind::Quantity { unit: MM, min: 315.0, max: 3141.0 },
    need: Need::Derived { rule: "pi x rim.seat_diameter", example: "1953.91 mm" },
    meaning: "Circumference of the bead seat at the middle of its width",
    source: "definition",
};

/// What the gas presses more than the gauge reads, bar: the tyre is then rated for, and holds, that much more.
pub static GAUGE_ERROR: Input = Input {
    section: "",
    key: "gauge_error",
    kind: Kind::Quantity { unit: BAR, min: -5.0, max: 5.0 },
    need: Need::Derived { rule: "0 bar", example: "0.1 bar" },
    meaning: "Pressure in the tyre minus what the gauge reads; it adds to the rated pressure, and so to the required one",
    source: "definition",
};

/// All of them.
pub static STAND_INS: [&Input; 4] = [&MISMATCH, &BEAD_CIRCUMFERENCE, &SEAT_CIRCUMFERENCE, &GAUGE_ERROR];

/// The input that a varied quantity sets in the case.
fn set_by(input: &'static Input) -> &'static Input {
    match input.path().as_str() {
        "mismatch" | "bead.circumference" => &BEAD_DIAMETER,
        "rim.seat_circumference" => &RIM_SEAT_DIAMETER,
        "gauge_error" => &PRESSURE_RATED,
        _ => input,
    }
}

/// Whether a quantity stands for an input.
fn stands_in(input: &Input) -> bool {
    STAND_INS.iter().any(|other| other.path() == input.path())
}

/// Refuses two quantities that set the same input.
pub(super) fn check(inputs: &[&'static Input]) -> Result<(), Problem> {
    for (i, input) in inputs.iter().enumerate() {
        let set = set_by(input).path();
        if let Some(other) = inputs[..i].iter().find(|other| set_by(other).path() == set) {
            let (a, b) = if stands_in(input) { (input, other) } else { (other, input) };
            let sentence = format!("{} and {} cannot both be varied: one follows from the other", a.path(), b.path());
            let remedy = "drop one of them; with mismatch the other diameter, rim.seat_diameter, may be varied";
            return Err(Problem::Vary { sentence, remedy: remedy.to_owned() });
        }
    }
    Ok(())
}

/// The value of a stand-in in a case, in its unit; none for an input.
pub(super) fn in_case(input: &Input, case: &Case) -> Option<f64> {
    match input.path().as_str() {
        "mismatch" => Some(case.diameter_mismatch()),
        "bead.circumference" => Some(PI * case.bead.diameter),
        "rim.seat_circumference" => Some(PI * case.rim.seat_diameter),
        "gauge_error" => Some(0.0),
        _ => None,
    }
}

/// The maximum pressures that a case states, where the gas presses by `error`, bar, more than the gauge reads.
fn maxima_by_gauge(base: &Case, error: f64, typed: &Entry) -> Vec<(&'static Input, Entry)> {
    let Maxima { tyre, rim, law } = base.limits.maxima;
    let all: [(&'static Input, Option<f64>); 3] =
        [(&LIMITS_TYRE_PRESSURE, tyre), (&LIMITS_RIM_PRESSURE, rim), (&LIMITS_LAW_PRESSURE, law)];
    let entry = |(input, maximum): (&'static Input, Option<f64>)| {
        let text = format!("{} bar", tidy(BAR.value_of(maximum?) + error));
        Some((input, Entry { value: Typed::Text(text), span: typed.span.clone() }))
    };
    all.into_iter().filter_map(entry).collect()
}

/// The entries that put some values in place, each with its input: those of stand-ins become entries of what they stand for. `base` is
/// the case without them.
pub(super) fn entries(values: &[(&'static Input, f64, &Entry)], base: &Case) -> Vec<(&'static Input, Entry)> {
    let seat = |(input, number, _): &(&'static Input, f64, &Entry)| match input.path().as_str() {
        "rim.seat_circumference" => Some(number / PI),
        path => (path == RIM_SEAT_DIAMETER.path()).then_some(*number),
    };
    let seat = values.iter().find_map(seat).unwrap_or(base.rim.seat_diameter);
    let entry = |(input, number, typed): &(&'static Input, f64, &Entry)| {
        let text = match input.path().as_str() {
            "mismatch" => format!("{} mm", tidy(seat - number)),
            "bead.circumference" | "rim.seat_circumference" => format!("{} mm", tidy(number / PI)),
            "gauge_error" => format!("{} bar", tidy(BAR.value_of(base.pressure.rated) + number)),
            _ => return (*input, (*typed).clone()),
        };
        (set_by(input), Entry { value: Typed::Text(text), span: typed.span.clone() })
    };
    // The gauge that the rated pressure goes by is the one that the maximum pressures go by.
    let gauge = values.iter().find(|(input, _, _)| input.path() == GAUGE_ERROR.path());
    let maxima = gauge.into_iter().flat_map(|(_, error, typed)| maxima_by_gauge(base, *error, typed));
    values.iter().map(entry).chain(maxima).collect()
}
