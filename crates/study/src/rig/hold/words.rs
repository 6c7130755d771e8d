//! Faults and notes of an inflation test in words.

use std::fmt;

use super::signal::Why;
use super::{Fault, Note};
use crate::rig::hold::events::Kind;
use crate::rig::rows_of;

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
                let times = highest / required;
                write!(
                    f,
                    "its highest pressure, {logged}, is none of a bicycle tyre: {times:.1} times the required {:.3} bar",
                    BAR * required
                )?;
                match likely {
                    Some((unit, pressure)) => write!(
                        f,
                        "; likely the unit in its head is wrong: in {unit} it would be {:.3} bar. Write `pressure [{unit}]` if it is",
                        BAR * pressure
                    ),
                    None => f.write_str("; write the logger's own unit in its head"),
                }
            }
        }
    }
}

impl std::error::Error for Fault {}

impl fmt::Display for Note {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Missing(rows) => write!(f, "left out: {} without a reading", rows_of(*rows)),
            Self::NoPressure(why, from, long) => {
                let what = match why {
                    Why::Vacuum => "readings were below -1 bar, which no gauge pressure is",
                    Why::AtEnd => "the gauge was at its end and read the same",
                    _ => "the readings were frozen",
                };
                write!(f, "from {from:.1} s on, for {long:.1} s, {what}: they count as none")
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
