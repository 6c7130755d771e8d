//! The values of one input at which every limit is just kept: a scan of its range, then each edge between what keeps the limits and what
//! does not is closed in on from both sides.
//!
//! No library searches here: an edge may have no margin on one side (no equilibrium), margins have kinks where another limit takes over,
//! and each value costs seconds, so that what an earlier run solved must be found again.

use hoopwright_case::Case;

use crate::map::field::{Field, Limit};
use crate::rows::{Outcome, Row};

/// How a value of the input stands to the limits.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Standing {
    /// Every limit is kept.
    Kept,
    /// Limits are not kept; the number of the one that is passed by the largest share of its value.
    NotKept(usize),
    /// No equilibrium was found.
    NoAnswer,
}

/// A value that was solved.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tried {
    /// In the input's unit.
    pub value: f64,
    /// How it stands.
    pub standing: Standing,
    /// Least of what is left to the limits, as a share of each; negative where one is not kept, none where that is not known.
    pub margin: Option<f64>,
}

impl Tried {
    /// How a value stands by the row of its case. `limits` and `fields` are those of the case.
    pub fn of(value: f64, case: &Case, row: &Row, (fields, limits): (&[Field], &[Limit])) -> Self {
        let margin = |limit: &Limit| {
            let number = row.numbers[fields[limit.field].index]?;
            Some(limit.margin(number.value(), limit.value(case)?))
        };
        let margins = limits.iter().enumerate().filter_map(|(k, limit)| Some((k, margin(limit)?)));
        let least = margins.min_by(|a, b| a.1.total_cmp(&b.1));
        let standing = match (row.outcome(), least) {
            (Outcome::Holds, _) => Standing::Kept,
            (Outcome::LimitNotKept, Some((k, _))) => Standing::NotKept(k),
            _ => Standing::NoAnswer,
        };
        // A margin whose sign says other than the verdict is that of a bound: it leads no secant.
        let sign = |m: &f64| (standing == Standing::Kept) == (*m >= 0.0);
        let margin = least.map(|(_, m)| m).filter(|m| sign(m) && standing != Standing::NoAnswer);
        Self { value, standing, margin }
    }
}

/// Where what keeps every limit ends.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Edge {
    /// The last value that keeps them.
    pub kept: f64,
    /// The value beyond that does not.
    pub beyond: f64,
    /// How that one stands.
    pub standing: Standing,
}

impl Edge {
    /// How far the value that just keeps the limits may lie from the one given, in the input's unit.
    pub fn error(&self) -> f64 {
        (self.beyond - self.kept).abs()
    }
}

/// What is searched.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Search {
    /// Ends of the range, rising.
    pub range: [f64; 2],
    /// Values of the scan, both ends among them; at least two.
    pub scan: usize,
    /// Width to which an edge is closed in on.
    pub within: f64,
    /// Whether the input takes whole numbers only.
    pub whole: bool,
}

/// What was found.
#[derive(Clone, Debug, PartialEq)]
pub struct Found {
    /// Every value tried, rising.
    pub tried: Vec<Tried>,
    /// The edges, rising.
    pub edges: Vec<Edge>,
}

impl Found {
    /// First and last value of each stretch of the values tried that keep every limit.
    pub fn windows(&self) -> Vec<[f64; 2]> {
        let runs = self.tried.chunk_by(|a, b| (a.standing == Standing::Kept) == (b.standing == Standing::Kept));
        let kept = runs.filter(|run| run[0].standing == Standing::Kept);
        kept.filter_map(|run| Some([run.first()?.value, run.last()?.value])).collect()
    }
}

/// Rounds that close in on one edge by the secant before the middle is taken once.
const SECANTS: usize = 3;
/// Share of a bracket by which a secant's value is moved towards the farther end, so that the root is likely to lie on the nearer side.
const OVERSHOOT: f64 = 0.05;
/// Most rounds; halving alone needs fewer.
const MOST_ROUNDS: usize = 120;

/// Answers the values of one round in their order.
pub type Solve<'a, E> = &'a mut dyn FnMut(&[f64]) -> Result<Vec<Tried>, E>;

/// Searches by rounds: `solve` answers the values of one round in their order.
///
/// # Errors
/// Those of `solve`.
pub fn search<E>(search: &Search, solve: Solve<'_, E>) -> Result<Found, E> {
    let mut tried = solve(&search.scanned())?;
    for round in 1..=MOST_ROUNDS {
        let next: Vec<f64> = open(&tried, search).filter_map(|pair| search.next(pair, round)).collect();
        if next.is_empty() {
            break;
        }
        tried.extend(solve(&next)?);
        tried.sort_by(|a, b| a.value.total_cmp(&b.value));
    }
    let edges = edges(&tried).map(|(kept, beyond)| Edge { kept: kept.value, beyond: beyond.value, standing: beyond.standing });
    Ok(Found { edges: edges.collect(), tried })
}

impl Search {
    /// The values of the scan.
    fn scanned(&self) -> Vec<f64> {
        let [a, b] = self.range;
        let last = (self.scan.max(2) - 1) as f64;
        let mut values: Vec<f64> = (0..self.scan.max(2)).map(|k| self.rounded(a + (b - a) * k as f64 / last)).collect();
        values.dedup();
        values
    }

    /// Rounded to a power of ten well below the width wanted, so that a value can be typed; the ends stay as they are.
    fn rounded(&self, value: f64) -> f64 {
        if self.range.contains(&value) {
            return value;
        }
        let decimals = if self.whole { 0.0 } else { -(0.25 * self.within).log10().floor() };
        let tens = 10_f64.powf(decimals.abs());
        if decimals < 0.0 { (value / tens).round() * tens } else { (value * tens).round() / tens }
    }

    /// The next value between two; none where none lies between them.
    fn next(&self, [a, b]: [&Tried; 2], round: usize) -> Option<f64> {
        let width = b.value - a.value;
        let share = match (a.margin, b.margin) {
            (Some(p), Some(q)) if p * q < 0.0 && !round.is_multiple_of(SECANTS + 1) => moved(p / (p - q), self.within / width),
            _ => 0.5,
        };
        let value = self.rounded(a.value + share * width);
        (a.value < value && value < b.value).then_some(value)
    }
}

/// A share of a bracket moved towards its farther end, `within` being the width wanted as a share of it.
fn moved(share: f64, within: f64) -> f64 {
    let by = OVERSHOOT.max(0.4 * within);
    let moved = if share < 0.5 { share + by } else { share - by };
    moved.clamp(0.02, 0.98)
}

/// Neighbours of which one keeps every limit and the other does not: that one, then the other.
fn edges(tried: &[Tried]) -> impl Iterator<Item = (&Tried, &Tried)> {
    tried.windows(2).filter_map(|pair| match [&pair[0], &pair[1]].map(|t| t.standing == Standing::Kept) {
        [true, false] => Some((&pair[0], &pair[1])),
        [false, true] => Some((&pair[1], &pair[0])),
        _ => None,
    })
}

/// Edges that are not closed in on yet, by rising value.
fn open<'t>(tried: &'t [Tried], search: &Search) -> impl Iterator<Item = [&'t Tried; 2]> {
    let within = if search.whole { 1.0 } else { search.within };
    edges(tried)
        .map(|(a, b)| if a.value < b.value { [a, b] } else { [b, a] })
        .filter(move |[a, b]| b.value - a.value > within * (1.0 + 1e-9))
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::convert::Infallible;

    /// Searches with a margin that is known, and counts the solves.
    fn with(asked: Search, margin: impl Fn(f64) -> Option<f64>) -> (Found, usize) {
        let mut solves = 0;
        let mut solve = |values: &[f64]| -> Result<Vec<Tried>, Infallible> {
            solves += values.len();
            let tried = |value: &f64| {
                let margin = margin(*value);
                let standing = match margin {
                    None => Standing::NoAnswer,
                    Some(m) if m >= 0.0 => Standing::Kept,
                    Some(_) => Standing::NotKept(usize::from(*value > 1.0)),
                };
                Tried { value: *value, standing, margin }
            };
            Ok(values.iter().map(tried).collect())
        };
        let Ok(found) = search(&asked, &mut solve);
        (found, solves)
    }

    const ASKED: Search = Search { range: [0.0, 4.0], scan: 5, within: 1e-3, whole: false };

    /// A window whose upper edge lies at the root of 2, on a bent margin, and whose lower one at 0.3: closed in on from both sides.
    #[test]
    fn both_edges_of_a_window_are_bracketed_in_few_solves() {
        let (found, solves) = with(ASKED, |x| Some((2.0 - x * x).min(x * x * x - 0.027)));
        let edges: Vec<(f64, f64)> = found.edges.iter().map(|e| (e.kept, e.beyond)).collect();
        assert!(edges.len() == 2 && edges[0].1 < 0.3 && 0.3 <= edges[0].0, "{edges:?}");
        assert!(edges[1].0 <= 2_f64.sqrt() && 2_f64.sqrt() < edges[1].1, "{edges:?}");
        assert!(found.edges.iter().all(|edge| edge.error() <= 1.001e-3), "{edges:?}");
        assert_eq!(found.edges[1].standing, Standing::NotKept(1));
        assert_eq!(found.windows(), [[edges[0].0, edges[1].0]]);
        assert!(found.tried.iter().all(|t| (1e4 * t.value - (1e4 * t.value).round()).abs() < 1e-9), "values can be typed");
        // Halving alone would take 5 + 2 x 10.
        assert!(solves <= 22, "{solves}");
    }

    /// No margin beyond 2.7: no equilibrium, which is bracketed all the same.
    #[test]
    fn an_edge_without_an_answer_beyond_is_halved() {
        let (found, _) = with(ASKED, |x| (x < 2.7).then_some(1.0));
        assert!(found.edges.len() == 1 && found.edges[0].standing == Standing::NoAnswer);
        assert!(found.edges[0].kept < 2.7 && 2.7 <= found.edges[0].beyond && found.edges[0].error() <= 1.001e-3);
    }

    #[test]
    fn a_range_without_an_edge_is_told_by_its_ends() {
        let (found, solves) = with(ASKED, |x| Some(-1.0 - x));
        assert!(found.edges.is_empty() && solves == 5);
        assert!(
            found.tried[0].value.total_cmp(&ASKED.range[0]).is_eq() && found.tried[4].value.total_cmp(&ASKED.range[1]).is_eq()
        );
    }

    #[test]
    fn whole_numbers_have_neighbours() {
        let asked = Search { range: [16.0, 36.0], scan: 3, within: 1.0, whole: true };
        let (found, _) = with(asked, |x| Some((x - 21.5) / 10.0));
        assert_eq!((found.edges[0].kept, found.edges[0].beyond), (22.0, 21.0));
        assert!(found.tried.iter().all(|t| t.value.fract() == 0.0));
    }

    /// A jump of the margin, which no secant knows, takes no more than a few solves above halving.
    #[test]
    fn a_jump_is_bracketed_too() {
        let (found, solves) = with(ASKED, |x| Some(if x < 3.151 { 1.0 } else { -1e-6 }));
        assert!(found.edges[0].kept < 3.151 && found.edges[0].beyond >= 3.151 && found.edges[0].error() <= 1.001e-3);
        assert!(solves < 60, "{solves}");
    }
}
