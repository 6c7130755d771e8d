//! Diameters that are none of a bead: negative, in another unit than the head has, or circumferences.

use std::f64::consts::PI;

use hoopwright_case::units::{Dimension, UNITS, Unit};

use super::log::{DIAMETER, Log, LogError, Wanted};
use super::measured::median;
use crate::likely::Likely;

/// Diameters that beads have, mm: the range of a case's `bead.diameter`.
const BEADS: [f64; 2] = [100.0, 1000.0];
/// What a guess is best near, mm: the wheels that most bicycles have.
const USUAL: f64 = 600.0;
/// Largest stretch of a bead's path in a log, as a share of its length, the slack before it among it (common practice, no source), and the
/// smallest.
pub(crate) const STRETCH: [f64; 2] = [5e-5, 0.3];

fn is_a_bead(diameter: f64) -> bool {
    (BEADS[0]..=BEADS[1]).contains(&diameter)
}

/// What a value is that is no diameter, in the head's unit.
fn likely(value: f64, unit: &Unit) -> Likely {
    if value <= 0.0 {
        return if is_a_bead(-value) { Likely::Negative } else { Likely::Unknown };
    }
    if is_a_bead(value / PI) {
        return Likely::Circumference(unit.symbol, value / PI);
    }
    let lengths = UNITS.iter().filter(|u| u.dimension == Dimension::Length && u.symbol != unit.symbol);
    let with = |divisor: f64| {
        let all = lengths.clone().map(move |u| (u.symbol, u.inner_of(unit.value_of(value)) / divisor));
        let near = |a: &(&str, f64)| (a.1 / USUAL).ln().abs();
        all.filter(|(_, d)| is_a_bead(*d)).min_by(|a, b| near(a).total_cmp(&near(b)))
    };
    match (with(1.0), with(PI)) {
        (Some((symbol, diameter)), _) => Likely::Unit(symbol, diameter),
        (None, Some((symbol, diameter))) => Likely::Circumference(symbol, diameter),
        (None, None) => Likely::Unknown,
    }
}

/// Refuses the `column` of a log most of whose diameters, mm, are none of a bead; those of a travel come from the fixture. Few that are not
/// are left to what finds outliers.
///
/// # Errors
/// The first row that is no diameter.
pub(crate) fn check_diameters(log: &Log, column: usize, wanted: &Wanted, diameters: &[f64]) -> Result<(), LogError> {
    let middle = median(&mut diameters.to_vec());
    if is_a_bead(middle) {
        return Ok(());
    }
    let Some(row) = diameters.iter().position(|diameter| !is_a_bead(*diameter)) else { return Ok(()) };
    let unit = &log.units[column];
    Err(LogError::Diameter {
        line: log.lines[row] as usize,
        column: log.places[column],
        name: wanted.names[0],
        logged: unit.format(log.columns[column][row]),
        likely: if wanted.names == DIAMETER.names { likely(middle, unit) } else { Likely::Travel(diameters[row]) },
    })
}

/// A circumference taken for a diameter, mm: the diameter that it has.
pub fn of_circumference(length: f64) -> Option<f64> {
    Some(length / PI).filter(|diameter| !is_a_bead(length) && is_a_bead(*diameter))
}

#[cfg(test)]
mod tests {
    #![allow(clippy::panic)]
    use super::*;
    use hoopwright_case::units::MM;

    fn unit(symbol: &str) -> Unit {
        *UNITS.iter().find(|u| u.symbol == symbol).unwrap_or(&MM)
    }

    #[test]
    fn what_it_probably_is() {
        let near = |found: Likely, diameter: f64| match found {
            Likely::Unit(symbol, d) => format!("{symbol} {}", (d - diameter).abs() < 0.1),
            Likely::Circumference(symbol, d) => format!("pi {symbol} {}", (d - diameter).abs() < 0.1),
            other => format!("{other:?}"),
        };
        for (inner, head, told, diameter) in [
            (0.622228, "mm", "m true", 622.228),
            (24.5, "mm", "in true", 622.3),
            (62.2, "mm", "cm true", 622.0),
            (622_228.0, "mm", "um true", 622.228),
            (622_228.0, "m", "mm true", 622.228),
            (1949.4, "mm", "pi mm true", 620.51),
            (1.9494, "mm", "pi m true", 620.51),
            (-622.3, "mm", "Negative", 0.0),
            (-3.0, "mm", "Unknown", 0.0),
            (0.0, "mm", "Unknown", 0.0),
        ] {
            assert_eq!(near(likely(inner, &unit(head)), diameter), told, "{inner} {head}");
        }
        assert!(of_circumference(1949.4).is_some_and(|d| (d - 620.51).abs() < 0.01) && of_circumference(620.0).is_none());
    }
}
