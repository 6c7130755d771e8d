//! Quantities with units: the border between text and the inner units N, mm, MPa, rad, K and s.
//!
//! `"5 bar"` comes in as 0.5 (MPa) and goes out as `"5 bar"`. A bare number, a wrong dimension, an unknown unit and a
//! number that is not finite are refused.

mod parse;
mod shore;
mod table;

pub use parse::{UnitError, parse, parse_modulus};
pub(crate) use parse::{symbols, unit_of};
pub use shore::{SHORE_A_RANGE, modulus_of_shore_a};
pub use table::*;

use std::fmt;

/// What a quantity measures. The inner unit of each stands in brackets.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Dimension {
    /// Pressure, stress or modulus (MPa).
    Pressure,
    /// Length (mm).
    Length,
    /// Area (mm2).
    Area,
    /// Force (N).
    Force,
    /// Force per length (N/mm).
    ForcePerLength,
    /// Angle (rad).
    Angle,
    /// Absolute temperature (K).
    Temperature,
    /// Pure number (1).
    Number,
    /// Count per length (1/mm).
    PerLength,
    /// Shore A hardness (points of the scale).
    Hardness,
    /// Mass per volume (g/mm3).
    Density,
    /// Time (s).
    Time,
    /// Share per temperature (1/K).
    PerTemperature,
}

impl Dimension {
    /// Name with its article, for sentences.
    pub fn with_article(self) -> &'static str {
        match self {
            Self::Pressure => "a pressure",
            Self::Length => "a length",
            Self::Area => "an area",
            Self::Force => "a force",
            Self::ForcePerLength => "a force per length",
            Self::Angle => "an angle",
            Self::Temperature => "a temperature",
            Self::Number => "a pure number",
            Self::PerLength => "a count per length",
            Self::Hardness => "a hardness",
            Self::Density => "a density",
            Self::Time => "a time",
            Self::PerTemperature => "a share per temperature",
        }
    }

    /// A quantity of this dimension as it may be typed.
    pub fn example(self) -> &'static str {
        match self {
            Self::Pressure => "5 bar",
            Self::Length => "621.95 mm",
            Self::Area => "104 mm2",
            Self::Force => "280 kN",
            Self::ForcePerLength => "145 N/mm",
            Self::Angle => "2 deg",
            Self::Temperature => "20 degC",
            Self::Number => "25 %",
            Self::PerLength => "120 /in",
            Self::Hardness => "60 Shore A",
            Self::Density => "2700 kg/m3",
            Self::Time => "5 min",
            Self::PerTemperature => "23.6e-6 /K",
        }
    }
}

/// A unit: `inner value = (typed value + offset) x factor`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Unit {
    /// As printed, and as typed but for white space.
    pub symbol: &'static str,
    /// Further spellings that are read.
    pub aliases: &'static [&'static str],
    /// What it measures.
    pub dimension: Dimension,
    /// Inner units in one of this unit.
    pub factor: f64,
    /// Added before the factor; zero but for temperatures.
    pub offset: f64,
}

impl Unit {
    /// From this unit to the inner unit.
    pub fn inner_of(&self, typed: f64) -> f64 {
        (typed + self.offset) * self.factor
    }

    /// From the inner unit to this unit.
    pub fn value_of(&self, inner: f64) -> f64 {
        inner / self.factor - self.offset
    }

    /// A value given in the inner unit as text in this unit, with six significant digits at most.
    pub fn format(&self, inner: f64) -> String {
        self.show(self.value_of(inner))
    }

    /// A value already in this unit as text, with six significant digits at most.
    pub fn show(&self, value: f64) -> String {
        if self.symbol.is_empty() { number(value) } else { format!("{} {}", number(value), self.symbol) }
    }
}

impl fmt::Display for Unit {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.symbol)
    }
}

/// A number with six significant digits at most and no trailing zeros; exponents only beyond 1e9 and under 1e-6.
pub fn number(value: f64) -> String {
    let rounded: f64 = format!("{value:.5e}").parse().unwrap_or(value);
    let size = rounded.abs();
    if size == 0.0 {
        "0".to_owned()
    } else if (1e-6..1e9).contains(&size) {
        format!("{rounded}")
    } else {
        format!("{rounded:e}")
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::panic, clippy::float_cmp)]
    use super::*;
    use approx::assert_relative_eq;

    #[test]
    fn every_unit_round_trips_through_text() {
        for unit in UNITS.iter().filter(|u| u.dimension != Dimension::Hardness) {
            for value in [0.0, 1.0, 72.5, 0.00125, 621.95, -3.0] {
                let inner = parse(&unit.show(value), unit.dimension).unwrap();
                assert_eq!(unit.format(inner), unit.show(value), "{}", unit.symbol);
            }
        }
    }

    #[test]
    fn known_conversions() {
        for (text, dimension, inner) in [
            ("5 bar", Dimension::Pressure, 0.5),
            // 1 lbf = 0.45359237 x 9.80665 N on (25.4 mm)^2.
            ("72.5 psi", Dimension::Pressure, 72.5 * 0.453_592_37 * 9.806_65 / 645.16),
            ("1.2 MPa", Dimension::Pressure, 1.2),
            ("500 kPa", Dimension::Pressure, 0.5),
            ("70 GPa", Dimension::Pressure, 70e3),
            ("280 kN", Dimension::Force, 280e3),
            ("7 MN", Dimension::Force, 7e6),
            ("100 kgf", Dimension::Force, 980.665),
            ("1 lbf", Dimension::Force, 0.453_592_37 * 9.806_65),
            ("24.5 in", Dimension::Length, 622.3),
            ("0.62 m", Dimension::Length, 620.0),
            ("8 um", Dimension::Length, 0.008),
            ("104 mm2", Dimension::Area, 104.0),
            ("1 in2", Dimension::Area, 645.16),
            ("145 N/mm", Dimension::ForcePerLength, 145.0),
            ("145 kN/m", Dimension::ForcePerLength, 145.0),
            ("25 kN/mm", Dimension::ForcePerLength, 25e3),
            ("1.5 h", Dimension::Time, 5400.0),
            ("1 d", Dimension::Time, 86_400.0),
            ("145 N/m", Dimension::ForcePerLength, 0.145),
            ("180 deg", Dimension::Angle, std::f64::consts::PI),
            ("80 degC", Dimension::Temperature, 353.15),
            ("212 degF", Dimension::Temperature, 373.15),
            ("293.15 K", Dimension::Temperature, 293.15),
            ("25 %", Dimension::Number, 0.25),
            ("0.3", Dimension::Number, 0.3),
            ("60 /in", Dimension::PerLength, 60.0 / 25.4),
            ("2.4 /mm", Dimension::PerLength, 2.4),
            ("24 1/cm", Dimension::PerLength, 2.4),
        ] {
            assert_relative_eq!(parse(text, dimension).unwrap(), inner, max_relative = 1e-12);
        }
    }

    #[test]
    fn numbers_are_short() {
        for (value, text) in [(0.1 + 0.2, "0.3"), (621.950_000_1, "621.95"), (-0.0, "0"), (7e6, "7000000"), (1e12, "1e12")] {
            assert_eq!(number(value), text);
        }
    }
}
