//! What a column of a log probably holds that is not what its head says.

use hoopwright_case::units::MM;
use std::fmt;

/// What a column that is no diameter probably holds.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Likely {
    /// Diameters with the wrong sign.
    Negative,
    /// Diameters in another unit: its symbol, and the value with it, mm.
    Unit(&'static str, f64),
    /// Circumferences in a unit: its symbol, and the diameter, mm.
    Circumference(&'static str, f64),
    /// Travels that with the fixture make such a diameter, mm.
    Travel(f64),
    /// Nothing that is known.
    Unknown,
}

impl fmt::Display for Likely {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Negative => f.write_str("it is negative: write it without the sign, or log the diameter and not its change"),
            Self::Unit(symbol, diameter) => write!(
                f,
                "likely the unit in the head is wrong: in {symbol} it would be {}. Write `diameter [{symbol}]` if it is",
                MM.format(*diameter)
            ),
            Self::Circumference(symbol, diameter) => write!(
                f,
                "likely it is the circumference in {symbol}, of a diameter of {}: divide the column by pi",
                MM.format(*diameter)
            ),
            Self::Travel(diameter) => write!(
                f,
                "on the fixture it makes a diameter of {}: check the travel's unit, and diameter and gap in the fixture file",
                MM.format(*diameter)
            ),
            Self::Unknown => f.write_str("check the column and its unit"),
        }
    }
}
