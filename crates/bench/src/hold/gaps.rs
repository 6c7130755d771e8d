//! Times without a pressure, and how much of them a hold may have.
//!
//! A gap hides a loss that matters if in it the pressure could fall below the floor and be pumped up again to where it is found. The fall may
//! take no time; the way up takes as long as the fastest rise that the log shows needs from the floor. Shorter gaps do not matter. Longer
//! ones may take [`ALLOWED`] of the required time in all: a loss at any moment of the hold then lies in one of them with no more chance than
//! that. With more the pressure is not shown to be held.

use super::Question;
use super::series::Series;
use super::signal::Why;

/// Share of the required time that gaps in which a loss could hide may take.
pub const ALLOWED: f64 = 0.05;
/// Across a gap of so many seconds a fall is still told: a burp is over in less (common practice, no source).
pub(super) const BRIEF: f64 = 5.0;
/// A step in time longer than so many usual ones, and so many seconds, is a gap.
const STEPS: (f64, f64) = (5.0, 2.0);

/// A time without a pressure.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Gap {
    /// Last reading before and first behind it, s; the end of the log where none follows.
    pub time: [f64; 2],
    /// First reading that is none, s; the last before it where there are no readings at all.
    pub from: f64,
    /// Pressure before, MPa; none where the log begins with it.
    pub before: Option<f64>,
    /// Pressure behind, MPa; none where the log ends with it.
    pub after: Option<f64>,
    /// Why.
    pub why: Why,
}

impl Gap {
    /// Its length, s.
    pub fn length(&self) -> f64 {
        self.time[1] - self.time[0]
    }
}

/// Rows that count, and what lies between them.
pub(super) struct Kept {
    /// Rows of the series.
    pub(super) rows: Vec<usize>,
    /// Gaps in the order of time, each with the place among the rows that it lies right before; one that the log ends with lies before none.
    gaps: Vec<(usize, Gap)>,
}

impl Kept {
    /// All gaps in the order of time.
    pub(super) fn gaps(&self) -> impl Iterator<Item = &Gap> {
        self.gaps.iter().map(|(_, gap)| gap)
    }

    /// The gap right before a place among the rows; the one that the log ends with behind the last of them.
    pub(super) fn before(&self, place: usize) -> Option<&Gap> {
        self.gaps.binary_search_by_key(&place, |(at, _)| *at).ok().map(|k| &self.gaps[k].1)
    }

    /// Pieces of rows without a gap between them.
    pub(super) fn pieces(&self) -> Vec<std::ops::Range<usize>> {
        let inside = self.gaps.iter().map(|(at, _)| *at).filter(|at| (1..self.rows.len()).contains(at));
        let ends: Vec<usize> = std::iter::once(0).chain(inside).chain([self.rows.len()]).collect();
        ends.windows(2).map(|pair| pair[0]..pair[1]).collect()
    }
}

/// Longest step in time that is none.
pub(super) fn longest_step(series: &Series, question: &Question) -> f64 {
    (STEPS.0 * series.step).clamp(STEPS.1, STEPS.1.max(ALLOWED * question.hold))
}

/// The rows that are pressures, and the gaps between them.
pub(super) fn find(series: &Series, why: &[Option<Why>], question: &Question) -> Kept {
    let rows: Vec<usize> = (0..why.len()).filter(|row| why[*row].is_none()).collect();
    let longest = longest_step(series, question);
    let between = |from: Option<usize>, to: Option<usize>| {
        let first = from.map_or(0, |row| row + 1);
        let start = from.map_or(series.start, |row| series.time[row]);
        let end = to.map_or(series.end, |row| series.time[row]);
        let marked = (first..to.unwrap_or(why.len())).find_map(|row| why[row].map(|why| (series.time[row], why)));
        let next = series.vacuum.get(series.vacuum.partition_point(|time| *time < start || (from.is_some() && *time <= start)));
        let vacuum = next.filter(|time| **time <= end).map(|time| (*time, Why::Vacuum));
        let none = (end - start > longest && to.is_some()).then_some((start, Why::NoReadings));
        let (begin, why) = [marked, vacuum].into_iter().flatten().min_by(|a, b| a.0.total_cmp(&b.0)).or(none)?;
        let pressure = |row: Option<usize>| row.map(|row| series.pressure[row]);
        Some(Gap { time: [start, end], from: begin, before: pressure(from), after: pressure(to), why })
    };
    let row = |place: Option<usize>| place.and_then(|place| rows.get(place)).copied();
    let gap = |place: usize| between(row(place.checked_sub(1)), row(Some(place))).map(|gap| (place, gap));
    let gaps = (0..=rows.len()).filter_map(gap).collect();
    Kept { rows, gaps }
}

/// Fastest rise within a second, MPa/s, without those that are no more than scatter; none where nothing was pumped.
pub(super) fn fastest_rise(series: &Series, kept: &Kept, sudden: f64) -> Option<f64> {
    let w = series.rows_of_a_second();
    let rate = |k: usize| {
        let (a, b) = (kept.rows[k], kept.rows[k + w]);
        let rise = series.pressure[b] - series.pressure[a];
        (rise > sudden).then(|| rise / (series.time[b] - series.time[a]))
    };
    let places = kept.pieces().into_iter().flat_map(|piece| piece.start..piece.end.saturating_sub(w).max(piece.start));
    places.filter_map(rate).filter(|rate| rate.is_finite()).reduce(f64::max)
}

/// Time in which a fall to the floor could be made up by the end of a gap, s: 0 where nothing tells how fast it is pumped.
pub(super) fn made_up(gap: &Gap, fastest: Option<f64>, floor: f64) -> f64 {
    let way = gap.after.map_or(0.0, |after| (after - floor).max(0.0));
    fastest.map_or(0.0, |rate| way / rate)
}
