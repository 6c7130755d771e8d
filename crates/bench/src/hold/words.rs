//! Faults and notes of an inflation test in words.

use std::fmt;

use super::signal::Why;
use super::{Fault, Note};
use crate::hold::events::Kind;
use crate::log::rows_of;

/// MPa in bar.
const BAR: f64 = 10.0;

impl fmt::Display for Fault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::TooFewRows(rows) => write!(f, "it has {rows} readings at different times, 20 are needed; log more often"),
            Self::NoPressure(rows) => write!(
                f,
                "{} below -1 bar, less than no air at all, and next to no others: the signal was lost; check the sensor and its scale",
                if *rows == 1 { "1 reading is".to_owned() } else { format!("{rows} readings are") }
            ),
            Self::NoChange => f.write_str("the pressure is the same all along; check the sensor"),
            Self::Unit { highest, required, logged, likely } => {
                let (times, required) = (highest / required, BAR * required);
                write!(
                    f,
                    "its highest pressure, {logged}, cannot be that of a bicycle tyre: {times:.1} times the required {required:.3} bar; "
                )?;
                other_unit(f, *likely)
            }
        }
    }
}

/// The unit that a head should probably have, and the highest pressure with it, MPa.
fn other_unit(f: &mut fmt::Formatter<'_>, likely: Option<(&str, f64)>) -> fmt::Result {
    let Some((unit, pressure)) = likely else { return f.write_str("write the logger's own unit in its head") };
    write!(
        f,
        "likely the unit in its head is wrong: in {unit} it would be {:.3} bar. Write `pressure [{unit}]` if it is",
        BAR * pressure
    )
}

impl std::error::Error for Fault {}

impl fmt::Display for Note {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Missing(rows) => write!(f, "left out: {} without a reading", rows_of(*rows)),
            Self::NoPressure(why, from, long) => {
                write!(f, "from {from:.1} s on, for {long:.1} s, {}: they count as none", odd(*why))
            }
            Self::OftenAway(times) => {
                write!(f, "the signal went away and came back at once {times} times: left out; look at cable and sensor")
            }
            Self::Stuck(rows) => write!(
                f,
                "{rows} readings in a row are the same, the largest there is: the gauge is coarse, stuck, or at its end, and a leak would not \
                 show; use a better one"
            ),
            Self::ToppedUp(pressure) => {
                write!(f, "air was put in during the hold, {:.3} bar in all: the leak is larger than it looks", BAR * pressure)
            }
            Self::Noisy(noise) => {
                write!(f, "the gauge scatters by {:.4} bar, more than half of what may leak: use a better one", BAR * noise)
            }
            Self::AfterHold(Kind::Release, pressure) => {
                write!(f, "after the hold all went at once, from {:.3} bar", BAR * pressure)
            }
            Self::AfterHold(Kind::Burp, pressure) => {
                write!(f, "after the hold some went at once, from {:.3} bar: let down in steps, or a burp", BAR * pressure)
            }
            Self::AfterHold(Kind::Leak, pressure) => {
                write!(f, "after the hold it leaked fast or was let down slowly, from {:.3} bar", BAR * pressure)
            }
            Self::ReleasedLater(pressure) => {
                write!(f, "later all went at once, from {:.3} bar: the tyre came off or burst", BAR * pressure)
            }
            Self::HeldLater(seconds) => write!(
                f,
                "later it was held for {seconds:.1} s: the first time that the pressure falls below the floor decides; a second test needs a log of \
                 its own"
            ),
            Self::OtherUnit(unit, pressure) => write!(
                f,
                "that is so little that the unit in the head may be wrong: in {unit} it would be {:.3} bar",
                BAR * pressure
            ),
            Self::AfterHold(_, pressure) => write!(f, "after the hold the tyre was let down, from {:.3} bar", BAR * pressure),
        }
    }
}

/// What readings that are no pressure were.
fn odd(why: Why) -> &'static str {
    match why {
        Why::Vacuum => "readings were below -1 bar, which no gauge pressure is",
        Why::AtEnd => "readings were at the gauge's end, the same all along",
        _ => "readings were frozen, the same all along",
    }
}
