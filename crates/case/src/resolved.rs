//! A case as text again: every value with its unit, defaults filled in.

use crate::case::{Case, Criterion};
use crate::inputs::{Input, Kind};
use crate::settled::{Value, settled};
use crate::units::{KN, MM, MPA, PERCENT, number};

/// Table, key and value with its unit, of one input.
pub type Row = (&'static str, &'static str, String);

/// Every input of [`settled`] as text.
pub fn resolved(case: &Case) -> Vec<Row> {
    settled(case).into_iter().map(|(input, value)| (input.section, input.key, shown(input, value))).collect()
}

fn shown(input: &Input, value: Value<'_>) -> String {
    match value {
        Value::Number(inner) => quantity(input, inner),
        Value::NotStated => "not stated".to_owned(),
        Value::Whole(count) => count.to_string(),
        Value::Flag(flag) => flag.to_string(),
        Value::Word(word) => word.to_owned(),
        Value::Curve(points) => curve(points),
        Value::Stations(_, heights) => heights.iter().map(|h| MM.format(*h)).collect::<Vec<_>>().join(", "),
        Value::Drawing(drawing) => drawing.name.clone(),
    }
}

fn quantity(input: &Input, inner: f64) -> String {
    match input.kind {
        Kind::Quantity { unit, .. } | Kind::WordOr { unit, .. } => unit.format(inner),
        Kind::Modulus { .. } => MPA.format(inner),
        Kind::Count { .. } | Kind::Flag | Kind::Text | Kind::Choice(_) | Kind::Curve | Kind::Quantities { .. } | Kind::Size => {
            number(inner)
        }
    }
}

fn curve(points: &[(f64, f64)]) -> String {
    let shown: Vec<String> =
        points.iter().map(|(strain, force)| format!("{} {}", PERCENT.format(*strain), KN.format(*force))).collect();
    shown.join(", ")
}

impl Criterion {
    /// The word for it in a case file.
    pub fn name(self) -> &'static str {
        match self {
            Self::FirstLift => "first lift",
            Self::Lower => "lower release",
            Self::Local => "local release",
            Self::OffCentre => "off-centre release",
            Self::Uniform => "uniform blow-off",
        }
    }
}
