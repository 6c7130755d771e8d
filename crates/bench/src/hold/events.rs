//! Sudden changes of the pressure.

use std::collections::VecDeque;

use super::Question;
use super::gaps::{BRIEF, Gap, Kept};
use super::series::Series;
use super::signal::Why;
use crate::measured::median;

/// A fall is sudden if within a second it is larger than so many standard deviations of a reading, than such a share of the required
/// pressure, and than so many steps of a coarse gauge.
const SUDDEN: (f64, f64, f64) = (8.0, 0.005, 1.5);
/// Falls before it that tell what is usual.
const USUAL: usize = 15;
/// A burp is over within so many seconds (common practice, no source); what goes on for longer is a leak.
const BURP: f64 = 10.0;
/// The tyre is empty below such a share of the pressure before.
const EMPTY: f64 = 0.2;
/// A fall to empty is a release if half of the pressure is gone within so many seconds, and the tyre is let down if it is within so many:
/// common practice, no source.
const FAST: f64 = 2.0;
const LET_DOWN: f64 = 30.0;

/// What happened.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// Readings that are no pressure.
    Lost,
    /// No readings.
    Gap,
    /// Some of the pressure went at once.
    Burp,
    /// Nearly all went at once.
    Release,
    /// Nearly all went, but slowly, as through an open valve.
    LetDown,
    /// Much went, more slowly than a burp, and than a tyre is let down.
    Leak,
}

impl Kind {
    /// Whether the bead let some of the pressure past, at once or in a while.
    pub fn is_partial(self) -> bool {
        matches!(self, Self::Burp | Self::Leak)
    }

    /// Whether it is a fall of the pressure.
    pub fn is_fall(self) -> bool {
        !matches!(self, Self::Lost | Self::Gap)
    }
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

impl Event {
    /// Of a gap between readings.
    fn of(gap: &Gap) -> Self {
        let kind = if gap.why == Why::NoReadings { Kind::Gap } else { Kind::Lost };
        let [before, after] = [gap.before.or(gap.after), gap.after.or(gap.before)].map(Option::unwrap_or_default);
        Self { kind, time: [gap.from, gap.time[1]], before, after }
    }
}

/// A fall larger than this within a second is sudden, MPa.
pub(super) fn threshold(series: &Series, question: &Question, noise: f64) -> f64 {
    let coarse = series.coarse_step().map_or(0.0, |step| SUDDEN.2 * step);
    (SUDDEN.0 * noise).max(SUDDEN.1 * question.required()).max(coarse)
}

/// The rows that count, as times and pressures.
struct Path {
    time: Vec<f64>,
    pressure: Vec<f64>,
    /// Rows of a second.
    w: usize,
    step: f64,
    limit: f64,
}

/// Finds what is sudden, in the order of time; falls up to the one that empties the tyre.
pub(super) fn find(series: &Series, kept: &Kept, question: &Question, limit: f64) -> Vec<Event> {
    let path = Path {
        time: kept.rows.iter().map(|row| series.time[*row]).collect(),
        pressure: kept.rows.iter().map(|row| series.pressure[*row]).collect(),
        w: series.rows_of_a_second(),
        step: series.step,
        limit,
    };
    let mut events: Vec<Event> = path.falls(kept, question);
    events.extend(kept.gaps().map(Event::of));
    events.sort_by(|a, b| a.time[0].total_cmp(&b.time[0]));
    events
}

/// The last rows, up to a second of them, and the falls that are usual.
#[derive(Default)]
struct Recent {
    rows: VecDeque<usize>,
    falls: VecDeque<f64>,
}

impl Recent {
    /// What usually falls within a second, MPa.
    fn expected(&self) -> f64 {
        median(&mut self.falls.iter().copied().collect::<Vec<_>>()).max(0.0)
    }

    /// Goes on to a row.
    fn pass(&mut self, path: &Path, i: usize) {
        if self.rows.len() == path.w {
            let first = self.rows.pop_front().unwrap_or(i);
            self.falls.push_back(path.pressure[first] - path.pressure[i]);
            if self.falls.len() > USUAL {
                self.falls.pop_front();
            }
        }
        self.rows.push_back(i);
    }
}

impl Path {
    fn falls(&self, kept: &Kept, question: &Question) -> Vec<Event> {
        let p = &self.pressure;
        let (mut found, mut recent) = (Vec::new(), Recent::default());
        let mut i = 0;
        while i < p.len() {
            let expected = recent.expected();
            let gap = kept.before(i).filter(|_| i > 0);
            let (mut from, mut allowed) = (recent.rows.front().copied().unwrap_or(i), expected);
            if let Some(gap) = gap {
                from = i - 1;
                // What the tyre leaks in the gap, or may leak, is not sudden.
                allowed = expected.max(question.allowance * question.required() / question.hold) * gap.length().max(1.0);
                recent.rows.clear();
            }
            if p[from] - p[i] - allowed <= self.limit {
                recent.pass(self, i);
                i += 1;
                continue;
            }
            let (event, settled) = self.fallen(from, i, expected);
            let is_emptied = event.after < EMPTY * event.before;
            found.extend(if is_emptied { emptied(event, gap, p[i] < 0.5 * p[from]) } else { Some(event) });
            if is_emptied {
                break;
            }
            recent = Recent { rows: VecDeque::from([settled]), falls: VecDeque::new() };
            i = settled + 1;
        }
        found
    }

    /// The row at which a fall has come to its end: over the next second no more than the usual is lost.
    fn settle(&self, i: usize, expected: f64) -> usize {
        let (p, w) = (&self.pressure, self.w);
        let mut s = i;
        while s + w < p.len() && p[s] - p[s + w] - expected > 0.25 * self.limit {
            s += 1;
        }
        s
    }

    /// What a fall between the rows `from` and `i` is, and the row at which it has come to its end.
    fn fallen(&self, from: usize, i: usize, expected: f64) -> (Event, usize) {
        let (time, p) = (&self.time, &self.pressure);
        let settled = self.settle(i, expected);
        // The last row before the fall: the highest of the second that it began in.
        let from = (from..=i).max_by(|a, b| p[*a].total_cmp(&p[*b])).unwrap_or(from);
        let before = p[from];
        let to = (settled + self.w).min(p.len() - 1);
        let middle = median(&mut p[settled..=to].to_vec());
        // Where pumping goes on the middle of the second behind lies too high.
        let after = if p[settled] >= EMPTY * before { middle.min(p[settled]) } else { middle };
        let half = (from..p.len()).find(|k| p[*k] < 0.5 * before).unwrap_or(settled);
        let half = time[half] - time[from];
        let kind = if after >= EMPTY * before && time[settled] - time[from] <= BURP.max(3.0 * self.step) {
            Kind::Burp
        } else if after >= EMPTY * before {
            Kind::Leak
        } else if half <= FAST.max(2.0 * self.step) {
            Kind::Release
        } else if half <= LET_DOWN {
            Kind::LetDown
        } else {
            Kind::Leak
        };
        (Event { kind, time: [time[from], time[settled]], before, after }, settled)
    }
}

/// A fall that empties the tyre, perhaps across a gap; `half`: by more than half. Within a gap it is at once for all that is known, and what
/// emptied the tyre in a long one is not known.
fn emptied(event: Event, gap: Option<&Gap>, half: bool) -> Option<Event> {
    match gap {
        Some(gap) if gap.length() > BRIEF => None,
        Some(_) if half => Some(Event { kind: Kind::Release, ..event }),
        _ => Some(event),
    }
}
