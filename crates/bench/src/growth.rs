//! A bead's growth under a tension held for hours: creep by decades of time.
//!
//! Beyond a reference time the strain is taken to grow by the same amount in every decade of time, as is read of para-aramid yarns
//! (Ericksen, Polymer 26 (1985), abstract), so the diameter is a line in the logarithm of time: `D = D_ref + s log10(t / t_ref)`, and the
//! creep per decade is `s / D_ref`. The line is fitted with errors that are correlated in time ([`super::regression`]).

use std::fmt;

use crate::fixture::Fixture;
use nalgebra::{Vector2, Vector3};

use super::log::{self, DIAMETER, LogError, TIME, TRAVEL};
use super::measured::{Measured, chance, quantile, robust_deviation};
use super::plausible::check_diameters;
use super::regression::{self, Fit};
use super::spikes::spikes;
use super::stretch::geometry::Geometry;
use crate::log::rows_of;

/// A head as it may be.
const EXAMPLE: &str = "time [h],diameter [mm]";
/// Fewest rows beyond the reference time.
const FEWEST: usize = 20;
/// Fewest decades of time: below the first nothing is told, below the second a word is said.
const DECADES: [f64; 2] = [0.5, 1.0];
/// Rows off the line by more than so many robust standard deviations are left out.
const OUTLIER: f64 = 6.0;
/// A line that bends is told of if chance alone bends it as much less often than this.
const BENDS: f64 = 0.01;

/// What is asked of a log.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Question {
    /// Time since the load from which on growth goes by decades, s.
    pub reference: f64,
    /// Time in the log when the load came on, s; the first row's if not given.
    pub start: Option<f64>,
    /// Time since the load that the growth is extrapolated to, s; ten times the log's if not given.
    pub until: Option<f64>,
    /// Growth from the end of the log to then that counts as settled, mm.
    pub limit: f64,
}

/// Why a log gives no answer.
#[derive(Clone, Debug, PartialEq)]
pub enum Fault {
    /// Too few rows beyond the reference time.
    TooFewRows {
        /// Rows there are.
        rows: usize,
    },
    /// Too short a time beyond it.
    TooShort {
        /// Decades of time.
        decades: f64,
    },
    /// The readings do not determine a line.
    NoLine,
    /// The time asked for comes before growth goes by decades.
    BeforeReference {
        /// Time from which on it does, s since the load.
        reference: f64,
    },
    /// The time asked for lies within the log.
    Until {
        /// End of the log, s since the load.
        end: f64,
    },
}

/// What is to be said of a log that gives an answer.
#[derive(Clone, Debug, PartialEq)]
pub enum Note {
    /// Rows without a reading.
    Missing(usize),
    /// Spikes and outliers left out.
    LeftOut(usize),
    /// Little more than half a decade.
    Short(f64),
    /// Growth in a decade rises (true) or falls with time; probability by chance.
    Bends(bool, f64),
    /// The diameter shrinks.
    Shrinks,
    /// Errors wander.
    Wandering,
    /// Extrapolated over more decades than the log has.
    Far(f64),
}

/// What a log tells.
#[derive(Clone, Debug, PartialEq)]
pub struct Growth {
    /// Diameter at the reference time, mm.
    pub start: Measured,
    /// Growth of the diameter in a decade of time, mm.
    pub per_decade: Measured,
    /// Creep: growth of the strain in a decade.
    pub creep: Measured,
    /// Reference time and end of the log, s since the load.
    pub times: [f64; 2],
    /// Diameter by the line at the end of the log, mm.
    pub end: Measured,
    /// Time extrapolated to, s since the load.
    pub until: f64,
    /// Diameter then, mm.
    pub predicted: Measured,
    /// Half the width of the interval that 95 % of single readings lie in then, mm.
    pub reading: f64,
    /// Growth from the end of the log to then, mm.
    pub further: Measured,
    /// Growth that counts as settled, mm.
    pub limit: f64,
    /// Whether the upper end of the further growth's interval keeps the limit.
    pub settled: bool,
    /// Standard deviation of a reading about the line, mm.
    pub deviation: f64,
    /// Time over which errors are correlated, s.
    pub memory: f64,
    /// What is to be said.
    pub notes: Vec<Note>,
    /// Times since the load, s, of the rows fitted.
    pub time: Vec<f64>,
    /// Their diameters, mm.
    pub diameter: Vec<f64>,
}

/// Time and diameter of a log.
#[derive(Clone, Debug, PartialEq)]
pub struct Readings {
    /// Time, s.
    pub time: Vec<f64>,
    /// Diameter, mm.
    pub diameter: Vec<f64>,
    /// Rows without a reading.
    pub missing: usize,
}

/// Reads a log of time and diameter, or of time and travel of a fixture.
///
/// # Errors
/// The log cannot be read.
pub fn read(bytes: &[u8], fixture: Option<&Fixture>) -> Result<Readings, LogError> {
    let way = if fixture.is_some() && log::has(bytes, &[DIAMETER, TRAVEL])? == Some(1) { TRAVEL } else { DIAMETER };
    let mut log = log::read(bytes, &[TIME, way], EXAMPLE)?;
    let mut diameter = log.columns[1].clone();
    if let (Some(fixture), true) = (fixture, way.names == TRAVEL.names) {
        let geometry = Geometry::of(fixture);
        let sign = if fixture.reverse_travel { -1.0 } else { 1.0 };
        diameter.iter_mut().for_each(|x| *x = geometry.diameter(geometry.length(fixture.gap + sign * *x)));
    }
    check_diameters(&log, 1, &way, &diameter)?;
    Ok(Readings { time: log.columns.swap_remove(0), diameter, missing: log.missing })
}

/// What a log tells.
///
/// # Errors
/// Why there is no answer.
pub fn analyse(readings: &Readings, question: &Question) -> Result<Growth, Fault> {
    if question.until.is_some_and(|until| until <= question.reference) {
        return Err(Fault::BeforeReference { reference: question.reference });
    }
    let load = question.start.or(readings.time.first().copied()).unwrap_or(0.0);
    let spiked = spikes(&readings.diameter);
    let kept = |k: &usize| readings.time[*k] - load >= question.reference && !spiked[*k];
    let mut rows: Vec<usize> = (0..readings.time.len()).filter(kept).collect();
    if rows.len() < FEWEST {
        return Err(Fault::TooFewRows { rows: rows.len() });
    }
    let spikes = spiked.iter().filter(|s| **s).count();
    let since = |k: usize| readings.time[k] - load;
    let end = rows.last().map_or(0.0, |k| since(*k));
    let decades = (end / since(rows[0])).log10();
    if decades < DECADES[0] {
        return Err(Fault::TooShort { decades });
    }
    let until = question.until.unwrap_or(10.0 * end);
    if until < end {
        return Err(Fault::Until { end });
    }
    let x = |k: usize| (since(k) / question.reference).log10();
    let outliers = drop_outliers(&mut rows, &x, &readings.diameter).ok_or(Fault::NoLine)?;
    let time: Vec<f64> = rows.iter().map(|k| since(*k)).collect();
    let diameter: Vec<f64> = rows.iter().map(|k| readings.diameter[*k]).collect();
    let middle = diameter.iter().sum::<f64>() / diameter.len() as f64;
    let off: Vec<f64> = diameter.iter().map(|d| d - middle).collect();
    let line = |k: &usize| Vector2::new(1.0, x(*k));
    let lines: Vec<Vector2<f64>> = rows.iter().map(line).collect();
    let fit = regression::fit(&time, &lines, &off).ok_or(Fault::NoLine)?;
    let mut notes = notes(&fit, readings.missing, spikes + outliers, decades);
    notes.extend(bends(&time, &rows.iter().map(|k| x(*k)).collect::<Vec<_>>(), &off));
    let span = (until / end).log10();
    if span > decades {
        notes.push(Note::Far(span));
    }
    Ok(told(question, &fit, middle, [end, until], notes, (time, diameter)))
}

/// Leaves out rows far off a first line; returns their number.
fn drop_outliers(rows: &mut Vec<usize>, x: &dyn Fn(usize) -> f64, diameter: &[f64]) -> Option<usize> {
    let before = rows.len();
    for _ in 0..3 {
        let lines: Vec<Vector2<f64>> = rows.iter().map(|k| Vector2::new(1.0, x(*k))).collect();
        let values: Vec<f64> = rows.iter().map(|k| diameter[*k] - diameter[rows[0]]).collect();
        let residuals = regression::plain(&lines, &values)?.residuals;
        let limit = OUTLIER * robust_deviation(residuals.iter().copied()).max(1e-9);
        let mut off = residuals.iter().map(|r| r.abs() > limit);
        rows.retain(|_| !off.next().unwrap_or(false));
    }
    Some(before - rows.len())
}

/// The numbers that follow from the line; `times` are the end of the log and the time extrapolated to.
fn told(
    question: &Question,
    fit: &Fit<2>,
    middle: f64,
    [end, until]: [f64; 2],
    notes: Vec<Note>,
    (time, diameter): (Vec<f64>, Vec<f64>),
) -> Growth {
    let of = |weights: Vector2<f64>, offset: f64| Measured {
        value: offset + weights.dot(&fit.coefficients),
        error: fit.error_of(&weights),
        freedom: fit.freedom,
        systematic: 0.0,
    };
    let x = |t: f64| (t / question.reference).log10();
    let start = of(Vector2::new(1.0, 0.0), middle);
    let per_decade = of(Vector2::new(0.0, 1.0), 0.0);
    let predicted = of(Vector2::new(1.0, x(until)), middle);
    let further = of(Vector2::new(0.0, x(until) - x(end)), 0.0);
    Growth {
        start,
        per_decade,
        creep: per_decade.scaled(1.0 / start.value),
        times: [question.reference, end],
        end: of(Vector2::new(1.0, x(end)), middle),
        until,
        predicted,
        reading: quantile(fit.freedom) * predicted.error.hypot(fit.deviation),
        further,
        limit: question.limit,
        settled: further.value + further.half_width() <= question.limit,
        deviation: fit.deviation,
        memory: fit.memory,
        notes,
        time,
        diameter,
    }
}

fn notes(fit: &Fit<2>, missing: usize, left_out: usize, decades: f64) -> Vec<Note> {
    let mut notes = Vec::new();
    notes.extend((missing > 0).then_some(Note::Missing(missing)));
    notes.extend((left_out > 0).then_some(Note::LeftOut(left_out)));
    notes.extend((decades < DECADES[1]).then_some(Note::Short(decades)));
    let slope = fit.coefficients[1];
    notes.extend((slope < -2.0 * fit.error_of(&Vector2::new(0.0, 1.0))).then_some(Note::Shrinks));
    notes.extend(fit.wandering.then_some(Note::Wandering));
    notes
}

/// Whether a parabola in the logarithm of time fits better than chance explains.
fn bends(time: &[f64], x: &[f64], off: &[f64]) -> Option<Note> {
    let middle = x.iter().sum::<f64>() / x.len() as f64;
    let rows: Vec<Vector3<f64>> = x.iter().map(|x| Vector3::new(1.0, x - middle, (x - middle).powi(2))).collect();
    let fit = regression::fit(time, &rows, off)?;
    let error = fit.error_of(&Vector3::new(0.0, 0.0, 1.0));
    let chance = chance(fit.coefficients[2], error, fit.freedom);
    (chance < BENDS).then_some(Note::Bends(fit.coefficients[2] > 0.0, chance))
}

impl fmt::Display for Fault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::TooFewRows { rows } => {
                write!(f, "it has {rows} rows beyond the reference time, {FEWEST} are needed; log longer or more often")
            }
            Self::TooShort { decades } => write!(
                f,
                "it covers {decades:.2} decades of time beyond the reference time, {} are needed; log longer, or give an earlier reference",
                DECADES[0]
            ),
            Self::NoLine => f.write_str("its readings do not determine a line"),
            Self::BeforeReference { reference } => {
                write!(f, "the time to extrapolate to is not behind the reference time of {:.4} h", reference / 3600.0)
            }
            Self::Until { end } => {
                write!(f, "the log goes on to {:.3} h, past the time to extrapolate to", end / 3600.0)
            }
        }
    }
}

impl Fault {
    /// Whether what is asked is at fault, and not the log.
    pub fn is_of_question(&self) -> bool {
        matches!(self, Self::BeforeReference { .. } | Self::Until { .. })
    }
}

impl std::error::Error for Fault {}

impl fmt::Display for Note {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Missing(rows) => write!(f, "left out: {} without a reading", rows_of(*rows)),
            Self::LeftOut(rows) => write!(f, "left out: {} far off the others", rows_of(*rows)),
            Self::Short(decades) => write!(f, "the log covers only {decades:.2} decades of time"),
            Self::Bends(rising, chance) => write!(
                f,
                "growth in a decade {} with time (chance alone: {:.2} %): the extrapolation is {}",
                if *rising { "rises" } else { "falls" },
                100.0 * chance,
                if *rising { "too small; the bead may not hold" } else { "on the safe side" }
            ),
            Self::Shrinks => f.write_str("the diameter shrinks: is the load held, or does the temperature change?"),
            Self::Wandering => f.write_str("the errors are correlated over much of the log, so the standard errors are doubtful"),
            Self::Far(decades) => write!(f, "extrapolated over {decades:.2} decades, more than the log covers"),
        }
    }
}
