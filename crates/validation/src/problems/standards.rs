//! Presets and warnings against standards and law: where the program's notes begin.

use super::value;
use crate::error::{ValidationError, Value};
use hoopwright_case as case;
use std::f64::consts::PI;

/// Preset values, and the limits at which a note appears.
pub(super) fn rim_standard() -> Result<Vec<Value>, ValidationError> {
    let starter = case::read(&case::starter()).map_err(|e| ValidationError::Case(e.to_string()))?.0;
    let seat = |d: f64| noted("diameter = \"621.95 mm\"", &format!("diameter = \"{d:.6} mm\""), "seat diameter");
    let flange = |h: f64| noted("flange_height = \"5.5 mm\"", &format!("flange_height = \"{h:.6} mm\""), "flange height");
    let pressure = |p: f64| noted("rated = \"5 bar\"", &format!("rated = \"{p:.6} bar\""), "rated pressure");
    let factor = |f: f64| noted("rated = \"5 bar\"", &format!("rated = \"5 bar\"\ntest_factor = {f:.6}"), "test factor");
    let wide = |w: f64| {
        noted_in(
            &[
                ("bead_to_bead = \"70 mm\"", "size = \"28-622\""),
                ("inner_width = \"21 mm\"", &format!("inner_width = \"{w:.6} mm\"")),
            ],
            "labelled width",
        )
    };
    Ok(vec![
        value("622 seat diameter", starter.rim.seat_diameter),
        value("622 seat circumference by tape", PI * starter.rim.seat_diameter),
        value("smallest 622 seat without a note", edge(621.95, 620.5, seat)),
        value("largest 622 seat without a note", edge(621.95, 623.4, seat)),
        value("flange height", starter.rim.flange_height),
        value("lowest flange without a note", edge(5.5, 4.0, flange)),
        value("highest flange without a note", edge(5.5, 7.0, flange)),
        value("highest rated pressure without a note", edge(5.0, 7.0, pressure)),
        value("widest rim for a 28 mm tyre without a note", edge(21.0, 26.0, wide)),
        value("smallest test factor without a note", edge(1.5, 1.0, factor)),
    ])
}

/// Whether the starter case with one text replaced gets the note with `word`; a case that does not read has none.
fn noted(line: &str, replacement: &str, word: &str) -> bool {
    noted_in(&[(line, replacement)], word)
}

fn noted_in(replacements: &[(&str, &str)], word: &str) -> bool {
    let text = replacements.iter().fold(case::starter(), |text, (line, new)| text.replacen(line, new, 1));
    case::read(&text).is_ok_and(|(_, notes)| notes.iter().any(|note| note.contains(word)))
}

/// Where a note appears between a `good` value and a `bad` one, by bisection; not a number where it does not.
fn edge(good: f64, bad: f64, noted: impl Fn(f64) -> bool) -> f64 {
    if noted(good) || !noted(bad) {
        return f64::NAN;
    }
    let (mut good, mut bad) = (good, bad);
    for _ in 0..24 {
        let middle = 0.5 * (good + bad);
        if noted(middle) { bad = middle } else { good = middle }
    }
    0.5 * (good + bad)
}
