//! Friction and knock-down factor from tested tyres: text, JSON, table of data, block of a case.

use std::fmt::Write;

use hoopwright_case::Case;
use hoopwright_case::units::number as plain;
use hoopwright_study::calibrate::{Both, FRICTIONS, Factor, Pair, Ranged, root_mean_square};
use hoopwright_study::column::Number;
use hoopwright_study::column::deciding;
use hoopwright_study::rows::Row;
use serde_json::{Value, json};

use crate::data::{Columns, Table};
use crate::lines::number;
use crate::words;

/// What was found of the tested tyres.
#[derive(Clone, Debug)]
pub struct Calibration {
    /// Tyres with a test and a prediction at every friction.
    pub pairs: Vec<Pair>,
    /// Tyres left out, with the reason.
    pub left_out: Vec<(String, String)>,
    /// The factor at the case's friction.
    pub factor: Factor,
    /// Friction and factor together.
    pub both: Both,
}

impl Calibration {
    /// Factor times prediction at the case's friction, of a tyre by its number, bar.
    pub(crate) fn fitted(&self, i: usize) -> f64 {
        self.factor.factor.value * self.pairs[i].at(self.factor.friction)
    }

    /// The same with friction and factor fitted together.
    pub(crate) fn both_fitted(&self, i: usize) -> f64 {
        self.both.factor.value * self.pairs[i].at(self.both.friction.value)
    }
}

/// Predicted pressures of a tyre from its rows, one at each friction, bar.
///
/// # Errors
/// Why there is none: no equilibrium, or a pressure that was only bounded.
pub fn predicted(case: &Case, rows: &[Row]) -> Result<[f64; 5], String> {
    let mut found = [f64::NAN; 5];
    for ((value, row), friction) in found.iter_mut().zip(rows).zip(FRICTIONS) {
        let at = format!("at friction {}", plain(friction));
        *value = match row.number(deciding(case)) {
            _ if !row.is_answered() => return Err(format!("no answer {at}: {}", words::ends(&row.ends)[0])),
            Some(Number::Found(p)) if p > 0.0 => p,
            Some(Number::Above(p)) => {
                let [end, _] = words::ends(&row.ends);
                return Err(format!(
                    "the release is only known to lie above {} bar {at}: {end}; raise pressure.cap if that ended the path",
                    number(p)
                ));
            }
            _ => return Err(format!("no release pressure {at}")),
        };
    }
    Ok(found)
}

pub(crate) fn ranged(r: &Ranged) -> String {
    format!("{:.3} ({:.3} to {:.3})", r.value, r.ends[0], r.ends[1])
}

/// What the numbers are good for.
pub(crate) const REMARKS: [&str; 2] = [
    "The factor takes in all that the model leaves out and these tests have alike; it is of no use for other rims, sealants or ways of testing. Tests are done with water, not air, behind a shield.",
    "Nobody releases a tyre on the strength of a fitted factor: local codes, standards and licensed practice decide.",
];

/// The answer in words and a table.
pub fn text(case: &Case, c: &Calibration) -> String {
    let (factor, both) = (&c.factor, &c.both);
    let mut text = format!("{}\n{} tyres with a test and a prediction\n\n", case.title, c.pairs.len());
    let _ = writeln!(
        text,
        "Knock-down factor (tested over predicted) at friction {}: {}",
        plain(factor.friction),
        ranged(&factor.factor)
    );
    if case.friction > factor.friction {
        let _ = writeln!(
            text,
            "  the case's friction of {} lies beyond the frictions that are solved: {} is used in its place",
            plain(case.friction),
            plain(factor.friction)
        );
    }
    let _ =
        writeln!(text, "  scatter of a tyre {:.1} %; 95 of 100 further tyres exceed {:.3}", 100.0 * factor.scatter, factor.lower);
    let _ = writeln!(text, "  each tyre from the others: off by {:.1} % rms", 100.0 * root_mean_square(&factor.left_out));
    let _ = writeln!(
        text,
        "Friction and factor fitted together: friction {}, factor {}",
        ranged(&both.friction),
        ranged(&both.factor)
    );
    let _ = writeln!(text, "  scatter of a tyre {:.1} %", 100.0 * both.scatter);
    let _ = writeln!(text, "  each tyre from the others: off by {:.1} % rms", 100.0 * root_mean_square(&both.left_out));
    let _ = writeln!(text, "{}\n", verdict(both));
    text.push_str("(in brackets: 95 % intervals)\n");
    text.extend(open(both).map(|sentence| sentence + "\n"));
    text.push('\n');
    text.push_str(&table(c));
    for (id, reason) in &c.left_out {
        let _ = writeln!(text, "{id} left out: {reason}");
    }
    for remark in REMARKS {
        let _ = writeln!(text, "{remark}");
    }
    text
}

/// That an end of the friction's interval is none of the tests', as a sentence.
pub(crate) fn open(both: &Both) -> Option<String> {
    let [first, last] = [FRICTIONS[0], FRICTIONS[FRICTIONS.len() - 1]].map(plain);
    let open =
        || format!("The interval of the friction is open: it ends where no further friction was solved, at {first} or {last}.");
    both.is_open().then(open)
}

/// Whether the data tell friction and factor apart, as a sentence.
pub(crate) fn verdict(both: &Both) -> &'static str {
    if both.told_apart {
        "These tests tell friction and factor apart."
    } else {
        "These tests cannot tell friction and factor apart: measure the friction, or test tyres without it (soaped beads); use the factor at a known friction."
    }
}

fn table(c: &Calibration) -> String {
    let width = c.pairs.iter().map(|pair| pair.id.chars().count()).max().unwrap_or(0).max(4);
    let mut text = format!(
        "{:<width$}  tested  factor x prediction  from the others\n{:<width$}     bar                  bar                %\n",
        "tyre", ""
    );
    for (i, (pair, left_out)) in c.pairs.iter().zip(&c.factor.left_out).enumerate() {
        let fitted = c.fitted(i);
        let _ = writeln!(text, "{:<width$}  {:>6.2}  {fitted:>19.2}  {:>+15.1}", pair.id, pair.tested, 100.0 * left_out);
    }
    text
}

/// A line for a case: the test factor that asks of the prediction what the tests leave of it.
pub fn block(case: &Case, c: &Calibration) -> String {
    format!(
        "# From `hoopwright calibrate`: {} tested tyres on this rim; factor {:.3} at friction {}, 95 of 100 further tyres exceed {:.3}.\n\
         # {} over that factor, so that the required pressure is held against what tests leave of the prediction. It approves no tyre.\n\
         [pressure]\ntest_factor = {:.3}\n",
        c.pairs.len(),
        c.factor.factor.value,
        plain(c.factor.friction),
        c.factor.lower,
        plain(case.pressure.test_factor),
        case.pressure.test_factor / c.factor.lower
    )
}

/// As a table of data: one row a tyre.
pub fn data(c: &Calibration) -> Table {
    let mut columns = Columns::new()
        .text("id", |i: &usize| c.pairs[*i].id.clone())
        .number("tested", "bar", plain, |i| Some(c.pairs[*i].tested));
    for (k, friction) in FRICTIONS.into_iter().enumerate() {
        let name = format!("predicted_at_friction_{}", plain(friction));
        columns = columns.number(name, "bar", plain, move |i| Some(c.pairs[*i].predicted[k]));
    }
    columns
        .number("fitted", "bar", plain, |i| Some(c.fitted(*i)))
        .number("test_over_others_less_one", "-", plain, |i| Some(c.factor.left_out[*i]))
        .number("both_fitted", "bar", plain, |i| Some(c.both_fitted(*i)))
        .number("both_test_over_others_less_one", "-", plain, |i| Some(c.both.left_out[*i]))
        .of(0..c.pairs.len())
}

/// As JSON: schema `hoopwright/calibrate/1.0`; pressures in bar, shares as numbers, `ends` of 95 % intervals.
pub fn document(case: &Case, c: &Calibration) -> String {
    let ranged = |r: &Ranged| json!({ "value": r.value, "ends": r.ends });
    let tyres: Vec<Value> = c
        .pairs
        .iter()
        .enumerate()
        .map(|(i, pair)| {
            json!({
                "id": pair.id,
                "tested_bar": pair.tested,
                "predicted_bar": pair.predicted,
                "test_over_others_less_one": c.factor.left_out[i],
                "both_test_over_others_less_one": c.both.left_out[i],
            })
        })
        .collect();
    let document = json!({
        "schema": "hoopwright/calibrate/1.0",
        "program": "hoopwright",
        "version": env!("CARGO_PKG_VERSION"),
        "held_against": deciding(case),
        "frictions": FRICTIONS,
        "factor_at_friction": {
            "friction": c.factor.friction,
            "factor": ranged(&c.factor.factor),
            "scatter": c.factor.scatter,
            "exceeded_by_95_of_100": c.factor.lower,
            "left_out_rms": root_mean_square(&c.factor.left_out),
        },
        "both": {
            "friction": ranged(&c.both.friction),
            "factor": ranged(&c.both.factor),
            "scatter": c.both.scatter,
            "left_out_rms": root_mean_square(&c.both.left_out),
            "told_apart": c.both.told_apart,
        },
        "tyres": tyres,
        "left_out": c.left_out.iter().map(|(id, reason)| json!({ "id": id, "reason": reason })).collect::<Vec<_>>(),
        "remarks": REMARKS,
        "cautions": words::cautions(),
    });
    format!("{document:#}\n")
}
