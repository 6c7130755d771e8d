//! What a map says in a few numbers.

use std::fmt::Write;

use hoopwright_case::Vary;
use hoopwright_study::map::standing::Standing;
use hoopwright_study::map::statistics::{Comparison, spread};
use hoopwright_study::map::tyres::{Placed, against_tests};
use hoopwright_study::map::{Finished, Origin, State};

use super::{error, standing};
use crate::words;

/// The numbers.
#[derive(Clone, Debug, PartialEq)]
pub struct Summary {
    /// Points in all, and those solved by finite elements.
    pub points: [usize; 2],
    /// Points where every limit is kept.
    pub holding: usize,
    /// For each limit the points where it fails first.
    pub failing: Vec<usize>,
    /// Points without an answer.
    pub unanswered: usize,
    /// For each field: held-out points, root mean square and largest difference of interpolated and solved number.
    pub held_out: Vec<Option<(usize, f64, f64)>>,
    /// Finite elements over closed form for the deciding retention pressure: smallest, middle, largest, over the solved points.
    pub over_estimate: Option<[f64; 3]>,
    /// Measured tyres: all, on the map, on it with a test.
    pub tyres: [usize; 3],
    /// Tyres on the map by what they are found to be, in the order of the limits, those near a limit last.
    pub tyre_findings: Vec<(&'static str, usize)>,
    /// Their tests.
    pub tested: Option<Comparison>,
}

impl Summary {
    /// Of a finished map with tyres on it.
    pub fn of(map: &Finished, tyres: &[Placed]) -> Self {
        let count = |state: State| map.points.iter().filter(|point| point.state() == state).count();
        let held_out = (0..map.fields.len()).map(|field| {
            let found = map.held_out.iter().filter(|held| held.field == field);
            let errors: Vec<f64> = found.map(|held| (held.interpolated - held.solved).abs()).collect();
            let squares: f64 = errors.iter().map(|e| e * e).sum();
            let largest = errors.iter().copied().max_by(f64::total_cmp)?;
            Some((errors.len(), (squares / errors.len() as f64).sqrt(), largest))
        });
        Self {
            points: [map.points.len(), map.points.iter().filter(|point| point.origin == Origin::Solved).count()],
            holding: count(State::Holds),
            failing: (0..map.limits.len()).map(|k| count(State::Fails(k))).collect(),
            unanswered: count(State::NoAnswer),
            held_out: held_out.collect(),
            over_estimate: spread(&ratios(map)),
            tyres: [
                tyres.len(),
                tyres.iter().filter(|tyre| tyre.standing.is_some()).count(),
                tyres.iter().filter(|tyre| tyre.predicted.is_some() && tyre.tested.is_some()).count(),
            ],
            tyre_findings: findings(map, tyres),
            tested: against_tests(tyres),
        }
    }
}

/// Tyres on the map by what they are found to be; what none is found to be is left out.
fn findings(map: &Finished, tyres: &[Placed]) -> Vec<(&'static str, usize)> {
    let fails = (0..map.limits.len()).map(Standing::Fails);
    let all = std::iter::once(Standing::Holds).chain(fails).chain([Standing::NoAnswer, Standing::Near(0)]);
    let word = |found: Standing| standing(&map.limits, found);
    let count = |name: &str| tyres.iter().filter(|tyre| tyre.standing.is_some_and(|found| word(found) == name)).count();
    all.map(|found| (word(found), count(word(found)))).filter(|(_, n)| *n > 0).collect()
}

/// Finite elements over closed form for what decides at every solved point that has both.
fn ratios(map: &Finished) -> Vec<f64> {
    let field = map.deciding();
    let each = map.points.iter().zip(&map.estimates).filter(|(point, _)| point.origin == Origin::Solved && point.answered);
    each.filter_map(|(point, estimates)| Some(point.numbers[field]?.value() / estimates[field].filter(|e| *e > 1e-6)?)).collect()
}

/// The summary for a terminal.
pub fn text(vary: &Vary, map: &Finished, summary: &Summary) -> String {
    let mut out = String::new();
    let [all, solved] = summary.points;
    let axes: Vec<String> = vary.inputs.iter().map(|varied| varied.input.path()).collect();
    // Writing to a String cannot fail.
    let _ = writeln!(out, "map of {}: {all} points, {solved} solved, {} interpolated", axes.join(" x "), all - solved);
    let share = |n: usize| format!("{n:>6} points, {:>5.1} %", 100.0 * n as f64 / all as f64);
    let _ = writeln!(out, "{}  every stated limit is kept", share(summary.holding));
    for (limit, n) in map.limits.iter().zip(&summary.failing) {
        let column = map.fields[limit.field].column;
        let _ = writeln!(out, "{}  {}: fails first by {}", share(*n), words::finding(limit.finding), column.meaning);
    }
    if summary.unanswered > 0 {
        let _ = writeln!(out, "{}  no answer", share(summary.unanswered));
    }
    for (limit, sharp) in map.limits.iter().zip(&map.sharpness) {
        let Some(sharp) = sharp else { continue };
        let known = format!("known within {:.2} % of the map's range", 100.0 * sharp);
        let _ = writeln!(out, "limit line of {}: {known}", map.fields[limit.field].column.meaning);
    }
    for (field, held) in map.fields.iter().zip(&summary.held_out) {
        let Some((n, rms, largest)) = held else { continue };
        let (name, unit) = (field.column.meaning, field.column.unit);
        let _ =
            writeln!(out, "held out, {name}: error {} {unit} rms, {} {unit} at most, {n} points", error(*rms), error(*largest));
    }
    if let Some([low, middle, high]) = summary.over_estimate {
        let _ = writeln!(out, "finite elements over closed form, what decides: {low:.2} to {high:.2}, middle {middle:.2}");
    }
    out.push_str(&tyres(summary));
    out
}

fn tyres(summary: &Summary) -> String {
    let [all, on, tested] = summary.tyres;
    if all == 0 {
        return String::new();
    }
    let mut out = format!("tyres: {all} measured, {on} on the map, {tested} of them tested\n");
    if !summary.tyre_findings.is_empty() {
        let each: Vec<String> = summary.tyre_findings.iter().map(|(word, n)| format!("{n} {word}")).collect();
        let _ = writeln!(out, "tyres by the map: {}", each.join("; "));
    }
    if let Some(c) = &summary.tested {
        let or = |value: Option<f64>| value.map_or("-".to_owned(), |v| format!("{v:.3}"));
        let (scatter, rank) = (or(c.scatter), or(c.rank_correlation));
        let _ = writeln!(out, "prediction less test: bias {:.3} bar, scatter {scatter} bar, rank correlation {rank}", c.bias);
    }
    out
}
