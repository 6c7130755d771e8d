//! An inflation test: pressure against time. Was the required pressure reached, and held for the required time within what may leak?
//!
//! 1. [`series`]: readings, thinned to five a second by their medians.
//! 2. [`events`]: sudden falls, told apart by what follows. A signal that is back at once was lost, as no pump fills a tyre in a moment; a
//!    fall to another level that stays is a burp; a fall that goes on to nearly nothing is a release if it is fast, a let-down if slow.
//! 3. [`analyse`]: the longest time above the floor, the leak in it, the verdict.

pub mod events;
pub mod series;
mod words;

use events::{Event, Kind};
use nalgebra::Vector2;
use series::Series;

use super::measured::Measured;
use super::regression;

/// Fewest rows that a leak is told from.
const FEWEST_FOR_LEAK: usize = 12;
/// A lost signal is told of as a fault of the test if it is longer than such a share of the hold.
const LONG_LOSS: f64 = 0.05;

/// What is asked of a test.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Question {
    /// Rated pressure, MPa.
    pub rated: f64,
    /// Required pressure over rated pressure.
    pub factor: f64,
    /// Time that it is to be held, s.
    pub hold: f64,
    /// Share of the required pressure that may leak in that time.
    pub allowance: f64,
    /// Largest error of the gauge, MPa: readings count as that much lower.
    pub gauge_error: f64,
}

impl Question {
    /// Required pressure, MPa.
    pub fn required(&self) -> f64 {
        self.factor * self.rated
    }

    /// Readings that show the required pressure reached, MPa.
    pub fn reached_at(&self) -> f64 {
        self.required() + self.gauge_error
    }

    /// Readings below which it is not held, MPa.
    pub fn floor(&self) -> f64 {
        (1.0 - self.allowance) * self.required() + self.gauge_error
    }
}

/// The verdict.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Verdict {
    /// Reached and held.
    Held,
    /// Reached and held, but the bead let air past.
    Burped,
    /// The required pressure was not reached.
    NotReached,
    /// The pressure fell below the floor too early.
    Leaked,
    /// The tyre came off, or the casing burst.
    Released,
    /// The pressure fell to nearly nothing, but slowly.
    LetDown,
    /// The log ends too early.
    Ended,
}

/// Why a log gives no answer.
#[derive(Clone, Debug, PartialEq)]
pub enum Fault {
    /// Too few rows.
    TooFewRows(usize),
    /// All readings are the same.
    NoChange,
    /// All readings are at the sensor's end from some time on.
    Saturated {
        /// Pressure, MPa.
        pressure: f64,
        /// Rows.
        rows: usize,
    },
}

/// What is to be said of a log that gives an answer.
#[derive(Clone, Debug, PartialEq)]
pub enum Note {
    /// Rows without a reading.
    Missing(usize),
    /// The signal was lost for long within the hold, s.
    LongLoss(f64),
    /// Air was put in during the hold, MPa in all.
    ToppedUp(f64),
    /// The gauge scatters by more than half of what may leak, MPa.
    Noisy(f64),
    /// So many readings in a row are the largest one.
    Stuck(usize),
    /// It fell after it had been held.
    AfterHold(Kind, f64),
}

/// What a test tells.
#[derive(Clone, Debug, PartialEq)]
pub struct Hold {
    /// The question.
    pub question: Question,
    /// The verdict.
    pub verdict: Verdict,
    /// Highest pressure, MPa.
    pub highest: f64,
    /// When the required pressure was first shown, s; none where it was not.
    pub reached: Option<f64>,
    /// Start and end of the longest time above the floor, s.
    pub held: Option<[f64; 2]>,
    /// Rate in it at which the pressure falls, MPa/s; none where too few rows tell.
    pub leak: Option<Measured>,
    /// Pressure before the fall that ended the test, MPa.
    pub released: Option<f64>,
    /// Everything sudden.
    pub events: Vec<Event>,
    /// Standard deviation of a reading, MPa.
    pub noise: f64,
    /// What is to be said.
    pub notes: Vec<Note>,
    /// The readings as thinned.
    pub series: Series,
}

impl Hold {
    /// How long the pressure was held, s.
    pub fn held_for(&self) -> f64 {
        self.held.map_or(0.0, |[from, to]| to - from)
    }

    /// Burps until the required time was over.
    pub fn burps(&self) -> usize {
        self.events.iter().filter(|event| event.kind == Kind::Burp && !self.is_after(event)).count()
    }

    /// Whether a fall began after the required time, or ended the hold, as where the tyre is let down in steps.
    fn is_after(&self, fall: &Event) -> bool {
        self.held.is_some_and(|[from, until]| fall.time[0] >= from + self.question.hold || fall.time[1] > until)
    }
}

/// What a test tells.
///
/// # Errors
/// Why there is no answer.
pub fn analyse(series: Series, question: &Question) -> Result<Hold, Fault> {
    series.check()?;
    let noise = series.noise();
    let found = events::find(&series, question.required(), noise);
    let kept: Vec<usize> = (0..found.until).filter(|k| !found.lost[*k]).collect();
    let smooth = smoothed(&series, &kept);
    let before = found.events.iter().filter(|event| event.kind != Kind::Lost).map(|event| event.before);
    let highest = smooth.iter().copied().chain(before).fold(0.0, f64::max);
    let reached = smooth.iter().position(|p| *p >= question.reached_at()).map(|k| series.time[kept[k]]);
    let held = longest(&series, &kept, &smooth, question);
    let fall = found.events.iter().find(|event| matches!(event.kind, Kind::Release | Kind::LetDown));
    let released = fall.map(|event| event.before);
    let mut hold = Hold {
        question: *question,
        verdict: Verdict::Held,
        highest,
        reached,
        held: held.map(|(from, to)| [series.time[kept[from]], series.time[kept[to]]]),
        leak: held
            .and_then(|(from, to)| leak(&series, &kept[from..=to], &found.events, events::threshold(question.required(), noise))),
        released,
        events: found.events.clone(),
        noise,
        notes: Vec::new(),
        series,
    };
    let below = held.is_some_and(|(_, to)| to + 1 < kept.len());
    hold.verdict = verdict(&hold, fall.map(|event| event.kind), below);
    hold.notes = notes(&hold, held.map_or(&[], |(from, to)| &kept[from..=to]));
    Ok(hold)
}

/// Middle ones of five rows.
fn smoothed(series: &Series, kept: &[usize]) -> Vec<f64> {
    let at = |k: usize| {
        let (from, to) = (k.saturating_sub(2), (k + 3).min(kept.len()));
        super::measured::median(&mut kept[from..to].iter().map(|row| series.pressure[*row]).collect::<Vec<_>>())
    };
    (0..kept.len()).map(at).collect()
}

/// First and last of the rows of the longest time from where the pressure is reached until it falls below the floor.
fn longest(series: &Series, kept: &[usize], smooth: &[f64], question: &Question) -> Option<(usize, usize)> {
    let mut best: Option<(usize, usize)> = None;
    let mut start = None;
    let span = |(from, to): (usize, usize)| series.time[kept[to]] - series.time[kept[from]];
    for (k, pressure) in smooth.iter().enumerate() {
        match start {
            None if *pressure >= question.reached_at() => start = Some(k),
            Some(_) if *pressure < question.floor() => start = None,
            _ => {}
        }
        if let Some(from) = start
            && best.is_none_or(|b| span((from, k)) > span(b))
        {
            best = Some((from, k));
        }
    }
    best
}

/// Rate at which the pressure falls, from the longest run of rows without a burp, once no more is pumped: within a second the pressure
/// rises by no more than `sudden`, MPa.
fn leak(series: &Series, rows: &[usize], events: &[Event], sudden: f64) -> Option<Measured> {
    let w = series.rows_of_a_second();
    let pumped = rows.windows(w + 1).position(|p| series.pressure[p[w]] - series.pressure[p[0]] <= sudden);
    let rows = &rows[pumped.unwrap_or(0)..];
    let burps: Vec<f64> = events.iter().filter(|e| e.kind == Kind::Burp).map(|e| e.time[1]).collect();
    let piece = |row: &usize| burps.iter().filter(|time| **time <= series.time[*row]).count();
    let run = rows.chunk_by(|a, b| piece(a) == piece(b)).max_by_key(|run| run.len())?;
    if run.len() < FEWEST_FOR_LEAK {
        return None;
    }
    let time: Vec<f64> = run.iter().map(|row| series.time[*row]).collect();
    let span = time[time.len() - 1] - time[0];
    let lines: Vec<Vector2<f64>> = time.iter().map(|t| Vector2::new(1.0, (t - time[0]) / span)).collect();
    let pressure: Vec<f64> = run.iter().map(|row| series.pressure[*row]).collect();
    let fit = regression::fit(&time, &lines, &pressure)?;
    let error = fit.error_of(&Vector2::new(0.0, 1.0)) / span;
    Some(Measured { value: -fit.coefficients[1] / span, error, freedom: fit.freedom, systematic: 0.0 })
}

/// `below`: the pressure fell below the floor and rows follow.
fn verdict(hold: &Hold, fall: Option<Kind>, below: bool) -> Verdict {
    let long_enough = hold.held_for() >= hold.question.hold - 0.5 * hold.series.step;
    match (hold.held, fall) {
        (Some(_), _) if long_enough && hold.burps() > 0 => Verdict::Burped,
        (Some(_), _) if long_enough => Verdict::Held,
        (_, Some(Kind::Release)) => Verdict::Released,
        (None, _) => Verdict::NotReached,
        (_, Some(Kind::LetDown)) => Verdict::LetDown,
        _ if below => Verdict::Leaked,
        _ => Verdict::Ended,
    }
}

/// Pressure put in within the hold, MPa: rises of more than what is sudden within a second, but for the rise that it begins with.
fn topped_up(hold: &Hold, rows: &[usize]) -> f64 {
    let w = hold.series.rows_of_a_second();
    let threshold = events::threshold(hold.question.required(), hold.noise);
    let rise = |k: usize| hold.series.pressure[rows[k + w]] - hold.series.pressure[rows[k]];
    let rises: Vec<usize> = (0..rows.len().saturating_sub(w)).filter(|k| rise(*k) > threshold).collect();
    let runs = rises.chunk_by(|a, b| b - a <= w).filter(|run| run[0] > w);
    runs.map(|run| hold.series.pressure[rows[run[run.len() - 1] + w]] - hold.series.pressure[rows[run[0]]]).sum()
}

/// `rows` are those of the hold.
fn notes(hold: &Hold, rows: &[usize]) -> Vec<Note> {
    let mut notes = Vec::new();
    notes.extend((hold.series.missing > 0).then_some(Note::Missing(hold.series.missing)));
    let inside = |time: f64| hold.held.is_some_and(|[from, to]| (from..=to).contains(&time));
    let lost = hold.events.iter().filter(|e| e.kind == Kind::Lost && inside(e.time[0])).map(|e| e.time[1] - e.time[0]);
    let longest = lost.fold(0.0, f64::max);
    notes.extend((longest > LONG_LOSS * hold.question.hold).then_some(Note::LongLoss(longest)));
    notes.extend(hold.series.is_stuck().map(Note::Stuck));
    let topped = topped_up(hold, rows);
    notes.extend((topped > 0.0).then_some(Note::ToppedUp(topped)));
    let allowed = hold.question.allowance * hold.question.required();
    notes.extend((hold.noise > 0.5 * allowed).then_some(Note::Noisy(hold.noise)));
    let held = matches!(hold.verdict, Verdict::Held | Verdict::Burped);
    let later = hold.events.iter().find(|e| e.kind != Kind::Lost && hold.is_after(e));
    notes.extend(later.filter(|_| held).map(|event| Note::AfterHold(event.kind, event.before)));
    notes
}
