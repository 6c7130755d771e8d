//! Faults and notes of an inflation test in words.

use std::fmt;

use super::{Fault, Note};
use crate::rig::hold::events::Kind;
use crate::rig::rows_of;

/// MPa in bar.
const BAR: f64 = 10.0;

impl fmt::Display for Fault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::TooFewRows(rows) => write!(f, "it has {rows} readings at different times, 20 are needed; log more often"),
            Self::NoChange => f.write_str("the pressure is the same all along; check the sensor"),
            Self::Saturated { pressure, rows } => write!(
                f,
                "{rows} readings in a row are {:.3} bar, the largest there is: the sensor is at its end; use a larger one",
                BAR * pressure
            ),
        }
    }
}

impl std::error::Error for Fault {}

impl fmt::Display for Note {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Missing(rows) => write!(f, "left out: {} without a reading", rows_of(*rows)),
            Self::LongLoss(seconds) => {
                write!(f, "the signal was lost for {seconds:.1} s within the hold: what happened then is not known")
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
            Self::AfterHold(_, pressure) => write!(f, "after the hold the tyre was let down, from {:.3} bar", BAR * pressure),
        }
    }
}
