//! Pressure against time, thinned to a few readings a second.

use hoopwright_case::units::{BAR, Unit};

use super::Fault;
use super::signal::VACUUM;
use crate::log::{self, LogError, PRESSURE, TIME};
use crate::measured::{median, robust_deviation};
use crate::spikes::range;

/// A head as it may be.
const EXAMPLE: &str = "time [s],pressure [bar]";
/// Shortest step between thinned readings, s.
const STEP: f64 = 0.2;
/// Fewest readings.
const FEWEST: usize = 20;
/// Readings in a row, as a share of all, that may all be the largest one.
const STUCK: f64 = 0.2;
/// So many falls and so many rises by one step of the gauge tell that it is coarse.
const COARSE: usize = 3;

/// Readings in the order of time.
#[derive(Clone, Debug, PartialEq)]
pub struct Series {
    /// Time, s.
    pub time: Vec<f64>,
    /// Gauge pressure, MPa.
    pub pressure: Vec<f64>,
    /// Usual step, s.
    pub step: f64,
    /// Rows of the log without a reading.
    pub missing: usize,
    /// Times of readings below -1 bar, s, which are no pressures and left out.
    pub vacuum: Vec<f64>,
    /// First and last time of the log, s.
    pub start: f64,
    /// The last.
    pub end: f64,
    /// Unit of the log's pressure.
    pub unit: Unit,
}

/// Reads a log of time and pressure.
///
/// # Errors
/// The log cannot be read.
pub fn read(bytes: &[u8]) -> Result<Series, LogError> {
    let mut log = log::read(bytes, &[TIME, PRESSURE], EXAMPLE)?;
    let pressure = log.columns.swap_remove(1);
    Ok(Series { unit: log.units[1], ..Series::new(&log.columns[0], &pressure, log.missing) })
}

impl Series {
    /// Leaves out what is below a vacuum and thins the rest by the medians of times and pressures over steps of a fifth of a second; the unit
    /// is bar.
    pub fn new(time: &[f64], pressure: &[f64], missing: usize) -> Self {
        let [start, end] = [time.first(), time.last()].map(|t| t.copied().unwrap_or(0.0));
        let bin = |t: f64| ((t - start) / STEP).floor();
        let (mut times, mut pressures) = (Vec::new(), Vec::new());
        let (rows, below): (Vec<usize>, Vec<usize>) = (0..time.len()).partition(|row| pressure[*row] >= VACUUM);
        for run in rows.chunk_by(|a, b| (bin(time[*b]) - bin(time[*a])).abs() < 0.5) {
            let middle = |values: &[f64]| median(&mut run.iter().map(|k| values[*k]).collect::<Vec<_>>());
            times.push(middle(time));
            pressures.push(middle(pressure));
        }
        let step = median(&mut times.windows(2).map(|pair| pair[1] - pair[0]).collect::<Vec<_>>());
        let vacuum = below.into_iter().map(|row| time[row]).collect();
        Self { time: times, pressure: pressures, step, missing, vacuum, start, end, unit: BAR }
    }

    /// Refuses what no test gives.
    pub(super) fn check(&self) -> Result<(), Fault> {
        let n = self.time.len();
        if n < FEWEST && self.vacuum.len() > n {
            return Err(Fault::NoPressure(self.vacuum.len()));
        }
        if n < FEWEST || self.step <= 0.0 {
            return Err(Fault::TooFewRows(n));
        }
        let [low, high] = range(&self.pressure);
        if high - low <= 0.0 { Err(Fault::NoChange) } else { Ok(()) }
    }

    /// Most readings in a row that are the largest one, where they are so many that the pressure may not have been read; of the rows that
    /// count.
    pub(super) fn is_stuck(&self, rows: &[usize]) -> Option<usize> {
        let pressure: Vec<f64> = rows.iter().map(|row| self.pressure[*row]).collect();
        let [_, high] = range(&pressure);
        let at_end = |p: &f64| (high - p).abs() <= 1e-9 * high.abs();
        let runs = pressure.chunk_by(|a, b| at_end(a) == at_end(b)).filter(|run| at_end(&run[0]));
        runs.map(<[f64]>::len).max().filter(|rows| *rows as f64 > STUCK * self.time.len() as f64)
    }

    /// The gauge's step, MPa: steps between neighbouring readings are multiples of it, and it is the smallest that two of them differ by.
    pub(super) fn resolution(&self) -> f64 {
        let [low, high] = range(&self.pressure);
        let size = high.abs().max(low.abs());
        let mut sorted: Vec<f64> = self.pressure.windows(2).map(|p| p[1] - p[0]).collect();
        sorted.sort_by(f64::total_cmp);
        let steps = sorted.windows(2).map(|p| p[1] - p[0]).filter(|step| *step > 1e-6 * size);
        steps.fold(size, f64::min)
    }

    /// The same where readings go up and down by it: the gauge is so coarse that single steps show.
    pub(super) fn coarse_step(&self) -> Option<f64> {
        let step = self.resolution();
        let count = |way: f64| self.pressure.windows(2).filter(|p| (p[1] - p[0] - way).abs() < 1e-3 * step).count();
        (count(step) >= COARSE && count(-step) >= COARSE).then_some(step)
    }

    /// Standard deviation of a reading, MPa, from second differences, so that no steady rise or fall counts; of three rows that are marked
    /// none.
    pub(super) fn noise<T>(&self, marked: &[Option<T>]) -> f64 {
        let whole = |k: &usize| marked[*k..*k + 3].iter().all(Option::is_none);
        let windows = (0..self.pressure.len().saturating_sub(2)).filter(whole);
        robust_deviation(windows.map(|k| second_difference(&self.pressure[k..k + 3])))
    }

    /// The same of readings that are not all equal.
    pub(super) fn scatter(&self) -> f64 {
        let same = |p: &&[f64]| (p[0] - p[1]).abs() + (p[1] - p[2]).abs() > 0.0;
        robust_deviation(self.pressure.windows(3).filter(same).map(second_difference))
    }

    /// Rows that span a second.
    pub(super) fn rows_of_a_second(&self) -> usize {
        (1.0 / self.step).ceil().clamp(1.0, 5.0) as usize
    }
}

/// Second difference of three readings, of the standard deviation of one.
fn second_difference(p: &[f64]) -> f64 {
    (p[0] - 2.0 * p[1] + p[2]) / 6.0_f64.sqrt()
}
