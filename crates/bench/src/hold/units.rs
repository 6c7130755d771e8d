//! A head's unit that cannot be right.

use hoopwright_case::units::{Dimension, UNITS, Unit};

use super::series::Series;
use super::{Fault, Hold, Note, Question, Verdict};

/// No bicycle tyre holds more, MPa (common practice, no source).
const MOST: f64 = 4.0;
/// Nor is one tested to so many times the required pressure; and one that gets less than that share of it was hardly pumped.
const TIMES: f64 = 5.0;
/// Highest over required pressure that a likely unit leads to.
const LIKELY: [f64; 2] = [0.5, 2.0];

/// Refuses a pressure that no tyre holds.
pub(super) fn check(series: &Series, question: &Question, highest: f64) -> Result<(), Fault> {
    let required = question.required();
    if highest <= MOST.min(TIMES * required).max(required) {
        return Ok(());
    }
    let widest = [1.0 / TIMES, TIMES];
    let likely = likely(&series.unit, highest, required, LIKELY).or_else(|| likely(&series.unit, highest, required, widest));
    Err(Fault::Unit { highest, required, logged: series.unit.format(highest), likely })
}

/// A tyre that was hardly pumped, or another unit.
pub(super) fn note(hold: &Hold) -> Option<Note> {
    let required = hold.question.required();
    let low = hold.verdict == Verdict::NotReached && hold.highest < required / TIMES;
    let (unit, highest) = low.then(|| likely(&hold.series.unit, hold.highest, required, LIKELY)).flatten()?;
    Some(Note::OtherUnit(unit, highest))
}

/// The unit with which the highest pressure lies nearest to the required one, and that pressure, MPa.
fn likely(unit: &Unit, highest: f64, required: f64, [least, most]: [f64; 2]) -> Option<(&'static str, f64)> {
    let others = UNITS.iter().filter(|u| u.dimension == Dimension::Pressure && u.symbol != unit.symbol);
    let with = others.map(|u| (u.symbol, u.inner_of(unit.value_of(highest))));
    let near = with.filter(|(_, p)| (least..=most).contains(&(p / required)));
    near.min_by(|a, b| (a.1 / required).ln().abs().total_cmp(&(b.1 / required).ln().abs()))
}
