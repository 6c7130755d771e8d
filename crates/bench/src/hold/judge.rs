//! The verdict: what the first crossing of the floor was, once the required pressure was reached.
//!
//! Whatever comes later changes nothing: a tyre that leaked below the floor and was let down afterwards has leaked. Gaps in which a loss could
//! hide end a hold where they take more than their share ([`super::gaps`]); it may begin anew behind them where the required pressure is still
//! shown.

use super::events::{Event, Kind};
use super::gaps::{ALLOWED, BRIEF, Gap, Kept, made_up};
use super::series::Series;
use super::signal::Why;
use super::{Question, Verdict};
use crate::measured::median;

/// Rows by which the middle of five may show a crossing earlier or later than it is.
const MIDDLE: f64 = 3.0;
/// Pressure before or behind a gap, over the required one, with which the tyre may have been pumped up in it.
const INFLATED: f64 = 0.2;

/// What was found.
pub(super) struct Judged {
    pub(super) verdict: Verdict,
    /// Places among the kept rows between which it was held, or held longest.
    pub(super) held: Option<(usize, usize)>,
    /// The gap that leaves it open.
    pub(super) unseen: Option<Gap>,
    /// Longest time held after the first crossing, s.
    pub(super) again: f64,
}

/// What is judged.
pub(super) struct Test<'a> {
    pub(super) question: &'a Question,
    pub(super) series: &'a Series,
    pub(super) kept: &'a Kept,
    /// Middle ones of five rows, none across a gap.
    pub(super) smooth: &'a [f64],
    pub(super) events: &'a [Event],
    /// Fastest rise, MPa/s.
    pub(super) fastest: Option<f64>,
}

/// A time above the floor under way.
struct Run {
    start: usize,
    /// Time of gaps in which a loss could hide, s, and the longest of them.
    unseen: f64,
    longest: Option<Gap>,
}

/// Middle ones of five rows, none across a gap.
pub(super) fn smoothed(series: &Series, kept: &Kept) -> Vec<f64> {
    let of = |piece: std::ops::Range<usize>| {
        let at = move |k: usize| {
            let (from, to) = (k.saturating_sub(2).max(piece.start), (k + 3).min(piece.end));
            median(&mut kept.rows[from..to].iter().map(|row| series.pressure[*row]).collect::<Vec<_>>())
        };
        piece.clone().map(at)
    };
    kept.pieces().into_iter().flat_map(of).collect()
}

impl Test<'_> {
    fn time(&self, k: usize) -> f64 {
        self.series.time[self.kept.rows[k]]
    }

    fn long_enough(&self, start: usize, end: usize) -> bool {
        self.time(end) - self.time(start) >= self.question.hold - 0.5 * self.series.step
    }

    /// Judges the test.
    pub(super) fn judge(&self) -> Judged {
        let (mut run, mut first): (Option<Run>, Option<usize>) = (None, None);
        let (mut best, mut broken): (Option<(usize, usize)>, Option<Gap>) = (None, None);
        for k in 0..self.smooth.len() {
            if let Some(gap) = self.kept.before(k).copied()
                && let Some(under_way) = &mut run
                && !self.long_enough(under_way.start, k.saturating_sub(1))
                && self.breaks(under_way, gap)
            {
                broken = under_way.longest.filter(|gap| broken.is_none_or(|b| gap.length() > b.length())).or(broken);
                run = None;
            }
            let below = self.smooth[k] < self.question.floor();
            if below && let Some(first) = first {
                return self.crossed(first, k, best, broken);
            }
            if run.is_none() && self.smooth[k] >= self.question.reached_at() {
                first = first.or(Some(k));
                run = Some(Run { start: k, unseen: 0.0, longest: None });
            }
            if let Some(Run { start, .. }) = run {
                best = self.longer(best, (start, k));
            }
        }
        self.ended(first, best, broken)
    }

    /// The longer of two times held; the first that is long enough stays.
    fn longer(&self, best: Option<(usize, usize)>, run: (usize, usize)) -> Option<(usize, usize)> {
        let span = |(from, to): (usize, usize)| self.time(to) - self.time(from);
        let stays = |best: &(usize, usize)| best.0 != run.0 && (self.long_enough(best.0, best.1) || span(*best) >= span(run));
        best.filter(stays).or(Some(run))
    }

    /// Adds a gap to a run; whether it ends the run.
    fn breaks(&self, run: &mut Run, gap: Gap) -> bool {
        if gap.length() <= made_up(&gap, self.fastest, self.question.floor()) {
            return false;
        }
        run.unseen += gap.length();
        run.longest = run.longest.filter(|longest| longest.length() >= gap.length()).or(Some(gap));
        run.unseen > ALLOWED * self.question.hold
    }

    /// The pressure crosses the floor at `k`, for the first time since it was reached at `first`.
    fn crossed(&self, first: usize, k: usize, held: Option<(usize, usize)>, broken: Option<Gap>) -> Judged {
        let judged = |verdict, unseen| Judged { verdict, held, unseen, again: self.again(k) };
        if held.is_some_and(|(from, to)| self.long_enough(from, to)) {
            return judged(self.held(held), None);
        }
        let across = self.kept.before(k).copied().filter(|gap| gap.length() > BRIEF);
        if let Some(gap) = across.or(broken.filter(|_| self.long_enough(first, k))) {
            return judged(lost(&gap), Some(gap));
        }
        judged(self.what_crossed(self.time(k)), None)
    }

    /// The verdict on a crossing at a time.
    fn what_crossed(&self, time: f64) -> Verdict {
        let about = MIDDLE * self.series.step;
        let is_it = |event: &&Event| event.kind.is_fall() && (event.time[0] - about..=event.time[1] + about).contains(&time);
        match self.events.iter().find(is_it).map(|event| event.kind) {
            Some(Kind::Release) => Verdict::Released,
            Some(Kind::Burp) => Verdict::Burped,
            Some(Kind::LetDown) => Verdict::LetDown,
            _ => Verdict::Leaked,
        }
    }

    fn held(&self, held: Option<(usize, usize)>) -> Verdict {
        let until = held.map_or(0.0, |(from, _)| self.time(from) + self.question.hold);
        let burp = |event: &Event| event.kind.is_partial() && event.time[0] < until - 0.5 * self.series.step;
        if self.events.iter().any(burp) { Verdict::HeldBurped } else { Verdict::Held }
    }

    /// The pressure never crosses the floor once it was reached, or is not reached.
    fn ended(&self, first: Option<usize>, held: Option<(usize, usize)>, broken: Option<Gap>) -> Judged {
        let judged = |verdict, unseen| Judged { verdict, held, unseen, again: 0.0 };
        if held.is_some_and(|(from, to)| self.long_enough(from, to)) {
            return judged(self.held(held), None);
        }
        let released = self.events.iter().any(|event| event.kind == Kind::Release);
        let unseen =
            if first.is_some() { broken.or(self.kept.before(self.smooth.len()).copied()) } else { self.reached_unseen() };
        match unseen {
            _ if first.is_none() && released => judged(Verdict::Released, None),
            Some(gap) => judged(lost(&gap), Some(gap)),
            None if first.is_some() => judged(Verdict::Ended, None),
            None => judged(Verdict::NotReached, None),
        }
    }

    /// A gap in which the required pressure may have been reached.
    fn reached_unseen(&self) -> Option<Gap> {
        let may = |gap: &&Gap| {
            let known: Vec<f64> = [gap.before, gap.after].into_iter().flatten().collect();
            let inflated = known.iter().any(|p| *p > INFLATED * self.question.required());
            let way = self.question.reached_at() - gap.before.unwrap_or(0.0);
            inflated && self.fastest.is_none_or(|rate| way < rate * gap.length())
        };
        self.kept.gaps().find(may).copied()
    }

    /// Longest time above the floor after a crossing at `k`, s.
    fn again(&self, k: usize) -> f64 {
        let (mut start, mut longest) = (None, 0.0_f64);
        for j in k..self.smooth.len() {
            if self.smooth[j] < self.question.floor() {
                start = None;
            } else if start.is_none() && self.smooth[j] >= self.question.reached_at() {
                start = Some(j);
            }
            longest = start.map_or(longest, |start| longest.max(self.time(j) - self.time(start)));
        }
        longest
    }
}

/// What a gap leaves open.
fn lost(gap: &Gap) -> Verdict {
    if gap.why == Why::NoReadings { Verdict::NotShown } else { Verdict::SignalLost }
}
