//! Pressures of a log in bar, and beside it in the log's own unit.

use hoopwright_bench::hold::Hold;
use hoopwright_case::units::{BAR, Dimension, Unit};
use serde_json::{Value, json};

const fn rate(symbol: &'static str, factor: f64) -> Unit {
    Unit { symbol, aliases: &[], dimension: Dimension::Pressure, factor: factor / 60.0, offset: 0.0 }
}

/// Bar in a minute, from MPa in a second.
pub(super) const BAR_PER_MINUTE: Unit = rate("bar/min", 0.1);
/// The same of the other units that logs come in; 1 psi = 4.4482216152605 N / (25.4 mm)^2, exact.
static OTHERS: [(&str, Unit); 4] = [
    ("psi", rate("psi/min", 4.448_221_615_260_5 / (25.4 * 25.4))),
    ("kPa", rate("kPa/min", 1e-3)),
    ("MPa", rate("MPa/min", 1.0)),
    ("Pa", rate("Pa/min", 1e-6)),
];

/// A unit in a minute; none of bar.
pub(super) fn per_minute(unit: &Unit) -> Option<&'static Unit> {
    OTHERS.iter().find(|(symbol, _)| *symbol == unit.symbol).map(|(_, rate)| rate)
}

/// How pressures are shown.
pub(crate) struct Both {
    other: Option<Unit>,
}

impl Both {
    /// As a log has them.
    pub(crate) fn of(hold: &Hold) -> Self {
        Self { other: Some(hold.series.unit).filter(|unit| unit.symbol != BAR.symbol) }
    }

    /// A pressure, MPa, with so many decimals of a bar.
    pub(crate) fn show(&self, pressure: f64, decimals: usize) -> String {
        format!("{} bar{}", super::bar(pressure, decimals), self.also(&[pressure], decimals))
    }

    /// A pressure, MPa, as typed by a user.
    pub(crate) fn format(&self, pressure: f64) -> String {
        BAR.format(pressure) + &self.also(&[pressure], 3)
    }

    /// Pressures in the other unit, in round brackets; nothing where the log is in bar.
    pub(crate) fn also(&self, pressures: &[f64], decimals: usize) -> String {
        let Some(unit) = &self.other else { return String::new() };
        let fewer = (BAR.factor / unit.factor).log10().floor() as i32;
        let decimals = usize::try_from(decimals as i32 - fewer).unwrap_or(0);
        let list: Vec<String> = pressures.iter().map(|p| format!("{:.decimals$}", unit.value_of(*p))).collect();
        format!(" ({} {})", list.join(" to "), unit.symbol)
    }

    /// The main pressures in the other unit, for JSON; null where the log is in bar.
    pub(super) fn document(&self, hold: &Hold) -> Option<Value> {
        let unit = self.other?;
        let value = |pressure: f64| unit.value_of(pressure);
        Some(json!({
            "unit": unit.symbol,
            "rated": value(hold.question.rated),
            "required": value(hold.question.required()),
            "floor": value(hold.question.floor()),
            "highest": value(hold.highest),
            "released_at": hold.released.map(value),
        }))
    }
}
