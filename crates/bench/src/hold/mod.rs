//! An inflation test: pressure against time. Was the required pressure reached, and held for the required time within what may leak?
//!
//! 1. [`series`]: readings, thinned to five a second by their medians; what is below a vacuum is left out.
//! 2. [`signal`]: readings that are no pressure: frozen, at the gauge's end, spikes, away and at once back.
//! 3. [`gaps`]: times without a pressure, and how much of them a hold may have.
//! 4. [`events`]: sudden falls, told apart by what follows. A fall to another level that stays is a burp; one that goes on to nearly nothing is
//!    a release if it is fast, a let-down or a leak if slow.
//! 5. `judge`: the first crossing of the floor decides; then the leak, and what is to be said.

pub mod events;
pub mod gaps;
mod judge;
pub mod series;
pub mod signal;
mod units;
mod words;

use events::{Event, Kind};
use gaps::{Gap, Kept};
use nalgebra::Vector2;
use series::Series;

use super::measured::Measured;
use super::regression;

/// Fewest rows that a leak is told from.
const FEWEST_FOR_LEAK: usize = 12;
/// A signal that goes away so many times is worth a word.
const OFTEN: usize = 5;

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
    HeldBurped,
    /// The required pressure was not reached.
    NotReached,
    /// The pressure fell below the floor too early, and slowly.
    Leaked,
    /// It fell below the floor at once, to another level.
    Burped,
    /// The tyre came off, or the casing burst.
    Released,
    /// From above the floor the pressure fell to nearly nothing as through an open valve.
    LetDown,
    /// Readings that are no pressure leave open whether it was held.
    SignalLost,
    /// So does a time without readings.
    NotShown,
    /// The log ends too early.
    Ended,
}

/// Why a log gives no answer.
#[derive(Clone, Debug, PartialEq)]
pub enum Fault {
    /// Too few rows.
    TooFewRows(usize),
    /// So many readings, nearly all, are below -1 bar.
    NoPressure(usize),
    /// All readings are the same.
    NoChange,
    /// No tyre holds as much: the unit in the head is wrong.
    Unit {
        /// Highest pressure, MPa.
        highest: f64,
        /// Required pressure, MPa.
        required: f64,
        /// The highest in the head's unit.
        logged: String,
        /// The likely one, and the highest pressure with it, MPa.
        likely: Option<(&'static str, f64)>,
    },
}

impl Fault {
    /// Whether the log's head is wrong, and not what was logged.
    pub fn is_of_head(&self) -> bool {
        matches!(self, Self::Unit { .. })
    }
}

/// What is to be said of a log that gives an answer.
#[derive(Clone, Debug, PartialEq)]
pub enum Note {
    /// Rows without a reading.
    Missing(usize),
    /// Readings that are no pressure: from when on after the first row, s, and for how long, s.
    NoPressure(signal::Why, f64, f64),
    /// So often the signal went away and came back at once.
    OftenAway(usize),
    /// Air was put in during the hold, MPa in all.
    ToppedUp(f64),
    /// The gauge scatters by more than half of what may leak, MPa.
    Noisy(f64),
    /// So many readings in a row are the largest one.
    Stuck(usize),
    /// It fell after it had been held.
    AfterHold(Kind, f64),
    /// All went at once after the crossing that decides, from a pressure, MPa.
    ReleasedLater(f64),
    /// Held as long as required after the crossing that decides, s.
    HeldLater(f64),
    /// With another unit the highest pressure, MPa, would be near the required one.
    OtherUnit(&'static str, f64),
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
    /// Pressure before a release, MPa.
    pub released: Option<f64>,
    /// The gap that leaves open whether it was held, and the time in which a loss in it could be made up, s.
    pub unseen: Option<(Gap, f64)>,
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

    /// Burps and fast leaks until the required time was over.
    pub fn burps(&self) -> usize {
        self.events.iter().filter(|event| event.kind.is_partial() && !self.is_after(event)).count()
    }

    /// Whether it was held, burps or not.
    fn is_held(&self) -> bool {
        matches!(self.verdict, Verdict::Held | Verdict::HeldBurped)
    }

    /// Whether a fall began after the required time.
    fn is_after(&self, fall: &Event) -> bool {
        self.held.is_some_and(|[from, _]| fall.time[0] >= from + self.question.hold - 0.5 * self.series.step)
    }

    /// The fall that a verdict names: the first of its kind.
    pub fn fall(&self, kind: Kind) -> Option<&Event> {
        self.events.iter().find(|event| event.kind == kind && !self.is_after(event))
    }
}

/// What a test tells.
///
/// # Errors
/// Why there is no answer.
pub fn analyse(series: Series, question: &Question) -> Result<Hold, Fault> {
    series.check()?;
    let mut why = signal::plainly_wrong(&series, question.required());
    let noise = series.noise(&why);
    let sudden = events::threshold(&series, question, noise);
    signal::mark_away(&series, &mut why, question.required(), sudden);
    let kept = gaps::find(&series, &why, question);
    let events = events::find(&series, &kept, question, sudden);
    let smooth = judge::smoothed(&series, &kept);
    let fastest = gaps::fastest_rise(&series, &kept, sudden);
    let falls = events.iter().filter(|event| event.kind.is_fall()).map(|event| event.before);
    let highest = smooth.iter().copied().chain(falls).fold(0.0, f64::max);
    units::check(&series, question, highest)?;
    let test = judge::Test { question, series: &series, kept: &kept, smooth: &smooth, events: &events, fastest };
    let judged = test.judge();
    let time = |k: usize| series.time[kept.rows[k]];
    let rows = judged.held.map_or(&[][..], |(from, to)| &kept.rows[from..=to]);
    let mut hold = Hold {
        question: *question,
        verdict: judged.verdict,
        highest,
        reached: smooth.iter().position(|p| *p >= question.reached_at()).map(time),
        held: judged.held.map(|(from, to)| [time(from), time(to)]),
        leak: leak(&series, rows, &events, sudden),
        released: events.iter().find(|event| event.kind == Kind::Release).map(|event| event.before),
        unseen: judged.unseen.map(|gap| (gap, gaps::made_up(&gap, fastest, question.floor()))),
        events,
        noise,
        notes: Vec::new(),
        series,
    };
    hold.notes = notes(&hold, &kept, rows, (sudden, judged.again));
    Ok(hold)
}

/// Rate at which the pressure falls, from the longest run of rows without a burp before the tyre is emptied, once no more is pumped: within a second the pressure
/// rises by no more than `sudden`, MPa.
fn leak(series: &Series, rows: &[usize], events: &[Event], sudden: f64) -> Option<Measured> {
    let w = series.rows_of_a_second();
    let pumped = rows.windows(w + 1).position(|p| series.pressure[p[w]] - series.pressure[p[0]] <= sudden);
    let rows = &rows[pumped.unwrap_or(0)..];
    let emptied = events.iter().find(|e| matches!(e.kind, Kind::Release | Kind::LetDown)).map_or(f64::INFINITY, |e| e.time[0]);
    let rows = &rows[..rows.partition_point(|row| series.time[*row] <= emptied)];
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

/// Pressure put in within the hold, MPa: rises of more than what is `sudden` within a second, but for the rise that it begins with.
fn topped_up(hold: &Hold, rows: &[usize], sudden: f64) -> f64 {
    let w = hold.series.rows_of_a_second();
    let rise = |k: usize| hold.series.pressure[rows[k + w]] - hold.series.pressure[rows[k]];
    let rises: Vec<usize> = (0..rows.len().saturating_sub(w)).filter(|k| rise(*k) > sudden).collect();
    let runs = rises.chunk_by(|a, b| b - a <= w).filter(|run| run[0] > w);
    runs.map(|run| hold.series.pressure[rows[run[run.len() - 1] + w]] - hold.series.pressure[rows[run[0]]]).sum()
}

/// `rows` are those of the hold; `again` is how long it was held after the crossing that decides, s.
fn notes(hold: &Hold, kept: &Kept, rows: &[usize], (sudden, again): (f64, f64)) -> Vec<Note> {
    let mut notes = Vec::new();
    notes.extend((hold.series.missing > 0).then_some(Note::Missing(hold.series.missing)));
    notes.extend(no_pressure(hold, kept));
    let away = kept.gaps().filter(|gap| gap.why == signal::Why::Away).count();
    notes.extend((away >= OFTEN).then_some(Note::OftenAway(away)));
    notes.extend(hold.series.is_stuck(&kept.rows).map(Note::Stuck));
    let topped = topped_up(hold, rows, sudden);
    notes.extend((topped > 0.0).then_some(Note::ToppedUp(topped)));
    let allowed = hold.question.allowance * hold.question.required();
    notes.extend((hold.noise > 0.5 * allowed).then_some(Note::Noisy(hold.noise)));
    let later = hold.events.iter().find(|e| e.kind.is_fall() && hold.is_after(e));
    notes.extend(later.filter(|_| hold.is_held()).map(|event| Note::AfterHold(event.kind, event.before)));
    let is_told = hold.is_held() || hold.verdict == Verdict::Released;
    notes.extend(hold.released.filter(|_| !is_told).map(Note::ReleasedLater));
    notes.extend((again >= hold.question.hold).then_some(Note::HeldLater(again)));
    notes.extend(units::note(hold));
    notes
}

/// The longest time of readings that are no pressure, but for those that are at once back, which the events tell.
fn no_pressure(hold: &Hold, kept: &Kept) -> Option<Note> {
    use signal::Why::{Away, NoReadings};
    let odd = kept.gaps().filter(|gap| !matches!(gap.why, Away | NoReadings));
    let gap = odd.max_by(|a, b| a.length().total_cmp(&b.length()))?;
    Some(Note::NoPressure(gap.why, gap.from - hold.series.start, gap.time[1] - gap.from))
}
