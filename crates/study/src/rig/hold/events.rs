//! Sudden changes of the pressure.

use std::collections::VecDeque;

use super::series::Series;
use crate::rig::measured::median;

/// A fall is sudden if within a second it is larger than so many standard deviations of a reading, and than such a share of the
/// required pressure.
const SUDDEN: (f64, f64) = (8.0, 0.005);
/// Falls before it that tell what is usual.
const USUAL: usize = 15;
/// A fall that is back within so many rows was a lost signal; a deep one also if it is back within so many seconds.
const BRIEF: usize = 2;
const DEEP: (f64, f64) = (0.5, 120.0);
/// The tyre is empty below such a share of the pressure before.
const EMPTY: f64 = 0.2;
/// A fall to empty is a release if half of the pressure is gone within so many seconds.
const FAST: f64 = 2.0;
/// A step in time longer than so many usual ones, and so many seconds, is a lost signal.
const GAP: (f64, f64) = (5.0, 2.0);

/// What happened.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// No reading, or a wrong one, and back as if nothing had been.
    Lost,
    /// Some of the pressure went at once.
    Burp,
    /// Nearly all went at once.
    Release,
    /// Nearly all went, but slowly.
    LetDown,
}

/// A sudden change.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Event {
    /// What happened.
    pub kind: Kind,
    /// From when to when, s.
    pub time: [f64; 2],
    /// Pressure before, MPa.
    pub before: f64,
    /// Pressure after, MPa.
    pub after: f64,
}

/// What was found.
pub(super) struct Events {
    /// In the order of time.
    pub(super) events: Vec<Event>,
    /// Which rows were read while the signal was lost.
    pub(super) lost: Vec<bool>,
    /// Rows up to the fall that ends the test.
    pub(super) until: usize,
}

/// A fall larger than this within a second is sudden, MPa.
pub(super) fn threshold(required: f64, noise: f64) -> f64 {
    (SUDDEN.0 * noise).max(SUDDEN.1 * required)
}

/// Finds what is sudden.
pub(super) fn find(series: &Series, required: f64, noise: f64) -> Events {
    let limit = threshold(required, noise);
    let (time, p) = (&series.time, &series.pressure);
    let w = series.rows_of_a_second();
    let mut found = Events { events: Vec::new(), lost: vec![false; p.len()], until: p.len() };
    // The last rows that count, and the falls that are usual.
    let mut good: VecDeque<usize> = VecDeque::with_capacity(w + 1);
    let mut usual: VecDeque<f64> = VecDeque::with_capacity(USUAL);
    let mut i = 0;
    while i < p.len() {
        if let Some(last) = good.back()
            && time[i] - time[*last] > (GAP.0 * series.step).max(GAP.1)
            && i == last + 1
        {
            found.events.push(Event { kind: Kind::Lost, time: [time[*last], time[i]], before: p[*last], after: p[i] });
        }
        let from = good.front().copied().unwrap_or(i);
        let expected = median(&mut usual.iter().copied().collect::<Vec<_>>()).max(0.0);
        let (fall, rise) = (p[from] - p[i] - expected, p[i] - p[from]);
        if fall > limit || (rise > 10.0 * limit && back(series, from, i, limit).is_some()) {
            if let Some(j) = back(series, from, i, limit) {
                let first = (from + 1..=i).find(|k| (p[from] - p[*k]).abs() > limit).unwrap_or(i);
                found.lost[first..j].fill(true);
                found.events.push(Event { kind: Kind::Lost, time: [time[first], time[j]], before: p[from], after: p[j] });
                good.clear();
                good.push_back(j);
                i = j + 1;
                continue;
            }
            let settled = settle(series, i, w, limit, expected);
            // The last row before the fall: the highest of the second that it began in.
            let from = (from..=i).max_by(|a, b| p[*a].total_cmp(&p[*b])).unwrap_or(from);
            let event = fallen(series, from, settled, w);
            found.events.push(event);
            if event.kind != Kind::Burp {
                found.until = from + 1;
                break;
            }
            good.clear();
            usual.clear();
            good.push_back(settled);
            i = settled + 1;
            continue;
        }
        if good.len() == w {
            usual.push_back(p[from] - p[i]);
            if usual.len() > USUAL {
                usual.pop_front();
            }
            good.pop_front();
        }
        good.push_back(i);
        i += 1;
    }
    found
}

/// The row at which the pressure is at once back where it was before row `i`; none where it is not.
fn back(series: &Series, from: usize, i: usize, limit: f64) -> Option<usize> {
    let (time, p) = (&series.time, &series.pressure);
    let mut deepest: f64 = 0.0;
    for j in i..p.len() {
        deepest = deepest.max((p[from] - p[j]).abs());
        let same = (p[j] - p[from]).abs() <= limit;
        let at_once = j > 0 && (p[j] - p[j - 1]).abs() > 0.5 * deepest;
        let deep = deepest > DEEP.0 * p[from].abs();
        if same && j > i {
            return (at_once && (j - i <= BRIEF || deep)).then_some(j);
        }
        let waited = time[j] - time[i];
        if j - i > BRIEF && (!deep || waited > DEEP.1) {
            return None;
        }
    }
    None
}

/// The row at which a fall has come to its end: over the next second no more than the usual is lost.
fn settle(series: &Series, i: usize, w: usize, limit: f64, expected: f64) -> usize {
    let p = &series.pressure;
    let mut s = i;
    while s + w < p.len() && p[s] - p[s + w] - expected > 0.25 * limit {
        s += 1;
    }
    s
}

/// What a fall from row `from` to row `settled` is.
fn fallen(series: &Series, from: usize, settled: usize, w: usize) -> Event {
    let (time, p) = (&series.time, &series.pressure);
    let before = p[from];
    let to = (settled + w).min(p.len() - 1);
    let middle = median(&mut p[settled..=to].to_vec());
    // Where pumping goes on the middle of the second behind lies too high.
    let after = if p[settled] >= EMPTY * before { middle.min(p[settled]) } else { middle };
    let half = (from..p.len()).find(|k| p[*k] < 0.5 * before).unwrap_or(settled);
    let kind = if after >= EMPTY * before {
        Kind::Burp
    } else if time[half] - time[from] <= FAST.max(2.0 * series.step) {
        Kind::Release
    } else {
        Kind::LetDown
    };
    Event { kind, time: [time[from], time[settled]], before, after }
}
