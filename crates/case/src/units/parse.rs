//! Text to inner units.

use super::{Dimension, SHORE_A_RANGE, UNITS, Unit, modulus_of_shore_a};
use crate::nearest::nearest;

/// Why a text is not the quantity that is wanted.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum UnitError {
    /// No number at the beginning.
    #[error("\"{text}\" does not begin with a number")]
    NoNumber {
        /// As typed.
        text: String,
    },
    /// A comma in the number.
    #[error("\"{text}\" has a comma in its number")]
    Comma {
        /// As typed.
        text: String,
    },
    /// Infinite or not a number.
    #[error("\"{text}\" is not a finite number")]
    NotFinite {
        /// As typed.
        text: String,
    },
    /// A bare number where a unit is needed.
    #[error("bare number {text} where {} with its unit is needed", .wanted.with_article())]
    NoUnit {
        /// As typed.
        text: String,
        /// What is wanted.
        wanted: Dimension,
    },
    /// A unit that is not in the table.
    #[error("unknown unit \"{unit}\"")]
    UnknownUnit {
        /// As typed.
        unit: String,
        /// The nearest known unit of the wanted dimension.
        nearest: Option<&'static str>,
        /// What is wanted.
        wanted: Dimension,
    },
    /// A known unit of another dimension.
    #[error("\"{unit}\" is the unit of {}, but {} is needed", .found.with_article(), .wanted.with_article())]
    WrongDimension {
        /// Symbol of the unit.
        unit: &'static str,
        /// What it measures.
        found: Dimension,
        /// What is wanted.
        wanted: Dimension,
    },
    /// A hardness outside the range of the conversion.
    #[error("{hardness} Shore A lies outside {} to {} Shore A, the range in which it gives a modulus", SHORE_A_RANGE.0, SHORE_A_RANGE.1)]
    HardnessRange {
        /// As typed.
        hardness: f64,
    },
}

impl UnitError {
    /// What to do about it.
    pub fn remedy(&self) -> String {
        match self {
            Self::NoNumber { .. } => "write the number first, then the unit, as in \"5 bar\"".to_owned(),
            Self::Comma { .. } => {
                "write a point before the decimals and nothing between thousands, as in \"621.95 mm\"".to_owned()
            }
            Self::NotFinite { .. } => "write a finite number".to_owned(),
            Self::NoUnit { text, wanted } => {
                let example = wanted.example();
                let unit = example.split_once(' ').map_or("", |(_, unit)| unit);
                format!("add the unit, as in \"{text} {unit}\"; known units: {}", symbols(*wanted))
            }
            Self::UnknownUnit { nearest: Some(nearest), .. } => format!("did you mean \"{nearest}\"?"),
            Self::UnknownUnit { wanted, .. } => format!("known units: {}", symbols(*wanted)),
            Self::WrongDimension { wanted: Dimension::Number, .. } => "write a plain number or per cent".to_owned(),
            Self::WrongDimension { wanted, .. } => format!("use one of {}", symbols(*wanted)),
            Self::HardnessRange { .. } => "give Young's modulus instead, as in \"20 MPa\"".to_owned(),
        }
    }
}

/// Reads a quantity of the given dimension; returns it in the inner unit.
///
/// A number without unit is accepted for [`Dimension::Number`] only.
///
/// # Errors
/// [`UnitError`] where the text is no finite number with a known unit of that dimension.
pub fn parse(text: &str, wanted: Dimension) -> Result<f64, UnitError> {
    let (value, unit) = split(text, &[wanted])?;
    if unit.dimension == wanted { finite(unit.inner_of(value), text) } else { Err(wrong(unit, wanted, text)) }
}

/// Reads a Young's modulus, MPa, from a stress or from a Shore A hardness.
///
/// # Errors
/// [`UnitError`] as for [`parse`], and where the hardness lies outside the range of the conversion.
pub fn parse_modulus(text: &str) -> Result<f64, UnitError> {
    let (value, unit) = split(text, &[Dimension::Pressure, Dimension::Hardness])?;
    match unit.dimension {
        Dimension::Pressure => finite(unit.inner_of(value), text),
        Dimension::Hardness => modulus_of_shore_a(value).ok_or(UnitError::HardnessRange { hardness: value }),
        _ => Err(wrong(unit, Dimension::Pressure, text)),
    }
}

/// The unit of a quantity as typed; none where there is none that is known.
pub(crate) fn unit_of(text: &str) -> Option<&'static Unit> {
    split(text, &[]).ok().map(|(_, unit)| unit).filter(|unit| !unit.symbol.is_empty())
}

fn finite(value: f64, text: &str) -> Result<f64, UnitError> {
    if value.is_finite() { Ok(value) } else { Err(UnitError::NotFinite { text: text.to_owned() }) }
}

fn wrong(unit: &Unit, wanted: Dimension, text: &str) -> UnitError {
    if unit.symbol.is_empty() {
        UnitError::NoUnit { text: text.trim().to_owned(), wanted }
    } else {
        UnitError::WrongDimension { unit: unit.symbol, found: unit.dimension, wanted }
    }
}

fn split(text: &str, wanted: &[Dimension]) -> Result<(f64, &'static Unit), UnitError> {
    let trimmed = text.trim();
    let lower = trimmed.trim_start_matches(['+', '-']).to_ascii_lowercase();
    if lower.starts_with("inf") || lower.starts_with("nan") {
        return Err(UnitError::NotFinite { text: trimmed.to_owned() });
    }
    let (digits, rest) = trimmed.split_at(number_length(trimmed));
    let value: f64 = digits.parse().map_err(|_| UnitError::NoNumber { text: trimmed.to_owned() })?;
    if rest.starts_with(',') {
        return Err(UnitError::Comma { text: trimmed.to_owned() });
    }
    Ok((value, find(rest, wanted)?))
}

/// Bytes of the decimal number at the start of `text`: sign, digits, point, and an exponent if digits follow its `e`.
fn number_length(text: &str) -> usize {
    let bytes = text.as_bytes();
    let digits_from = |start: usize| start + bytes[start..].iter().take_while(|b| b.is_ascii_digit()).count();
    let signed = |at: usize| at + usize::from(matches!(bytes.get(at), Some(b'+' | b'-')));
    let mut end = digits_from(signed(0));
    if bytes.get(end) == Some(&b'.') {
        end = digits_from(end + 1);
    }
    if matches!(bytes.get(end), Some(b'e' | b'E')) {
        let start = signed(end + 1);
        let exponent_end = digits_from(start);
        if exponent_end > start {
            end = exponent_end;
        }
    }
    end
}

fn find(typed: &str, wanted: &[Dimension]) -> Result<&'static Unit, UnitError> {
    let squeezed = |s: &str| s.split_whitespace().collect::<String>();
    let name = squeezed(typed);
    let matches = |u: &&Unit| squeezed(u.symbol) == name || u.aliases.iter().any(|a| *a == name);
    UNITS.iter().find(matches).ok_or_else(|| {
        let candidates = UNITS.iter().filter(|u| wanted.contains(&u.dimension)).map(|u| u.symbol);
        UnitError::UnknownUnit {
            unit: typed.trim().to_owned(),
            nearest: nearest(&name, candidates),
            wanted: wanted.first().copied().unwrap_or(Dimension::Number),
        }
    })
}

/// Symbols of a dimension for a remedy.
pub(crate) fn symbols(dimension: Dimension) -> String {
    let list: Vec<&str> = UNITS.iter().filter(|u| u.dimension == dimension).map(|u| u.symbol).collect();
    list.join(", ")
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::panic, clippy::float_cmp)]
    use super::*;

    /// Text, wanted dimension, start of the sentence, part of the remedy.
    const REFUSED: &[(&str, Dimension, &str, &str)] = &[
        ("5", Dimension::Pressure, "bare number 5 where a pressure", "\"5 bar\""),
        ("621.95", Dimension::Length, "bare number 621.95", "\"621.95 mm\""),
        ("", Dimension::Length, "\"\" does not begin", "number first"),
        ("mm", Dimension::Length, "\"mm\" does not begin", "number first"),
        ("five bar", Dimension::Pressure, "\"five bar\" does not begin", "number first"),
        ("5,5 bar", Dimension::Pressure, "\"5,5 bar\" has a comma", "point"),
        ("5 mm", Dimension::Pressure, "\"mm\" is the unit of a length, but a pressure is needed", "MPa, bar, psi"),
        ("60 Shore A", Dimension::Pressure, "\"Shore A\" is the unit of a hardness", "bar"),
        ("5 bra", Dimension::Pressure, "unknown unit \"bra\"", "\"bar\""),
        ("5 mpa", Dimension::Pressure, "unknown unit \"mpa\"", "\"MPa\""),
        ("5 Bar", Dimension::Pressure, "unknown unit \"Bar\"", "\"bar\""),
        ("280 KN", Dimension::Force, "unknown unit \"KN\"", "\"kN\""),
        ("24.5 ins", Dimension::Length, "unknown unit \"ins\"", "\"in\""),
        ("5 furlongs", Dimension::Length, "unknown unit \"furlongs\"", "mm, cm, m, in, um"),
        ("1 2 mm", Dimension::Length, "unknown unit \"2 mm\"", "\"mm\""),
        ("1e999 mm", Dimension::Length, "\"1e999 mm\" is not a finite", "finite"),
        ("1e308 GPa", Dimension::Pressure, "\"1e308 GPa\" is not a finite", "finite"),
        ("nan bar", Dimension::Pressure, "\"nan bar\" is not a finite", "finite"),
        ("-inf mm", Dimension::Length, "\"-inf mm\" is not a finite", "finite"),
        ("3 bar", Dimension::Number, "\"bar\" is the unit of a pressure", "plain number or per cent"),
        ("10 %", Dimension::Length, "\"%\" is the unit of a pure number", "mm"),
    ];

    #[test]
    fn refusals_name_the_fault_and_the_remedy() {
        for (text, wanted, sentence, remedy) in REFUSED {
            let error = parse(text, *wanted).unwrap_err();
            assert!(error.to_string().starts_with(sentence), "{text}: {error}");
            assert!(error.remedy().contains(remedy), "{text}: {}", error.remedy());
        }
    }

    #[test]
    fn white_space_and_exponents() {
        for text in ["5bar", " 5  bar ", "5.0bar", "+5 bar", "50e-1 bar", "0.5e1bar", "5. bar"] {
            assert_eq!(parse(text, Dimension::Pressure).unwrap(), 0.5, "{text}");
        }
        assert_eq!(parse("145 N / mm", Dimension::ForcePerLength).unwrap(), 145.0);
    }

    #[test]
    fn modulus_from_stress_or_hardness() {
        assert_eq!(parse_modulus("7 MPa").unwrap(), 7.0);
        assert!((parse_modulus("75 Shore A").unwrap() - 7.05).abs() < 0.01);
        assert_eq!(parse_modulus("99 Shore A").unwrap_err(), UnitError::HardnessRange { hardness: 99.0 });
        assert!(matches!(parse_modulus("75"), Err(UnitError::NoUnit { .. })));
        assert!(matches!(parse_modulus("75 mm"), Err(UnitError::WrongDimension { .. })));
        assert!(matches!(parse_modulus("75 Shore D"), Err(UnitError::UnknownUnit { nearest: Some("Shore A"), .. })));
    }
}
