//! Pressure against time, thinned to a few readings a second.

use super::Fault;
use crate::rig::log::{self, LogError, PRESSURE, TIME};
use crate::rig::measured::{median, robust_deviation};

/// A head as it may be.
const EXAMPLE: &str = "time [s],pressure [bar]";
/// Shortest step between thinned readings, s.
const STEP: f64 = 0.2;
/// Fewest readings.
const FEWEST: usize = 20;
/// Readings in a row, as a share of all, that may all be the largest one.
const STUCK: f64 = 0.2;
/// Readings scatter if by so many of the gauge's steps.
const SCATTERS: f64 = 1.5;

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
}

/// Reads a log of time and pressure.
///
/// # Errors
/// The log cannot be read.
pub fn read(bytes: &[u8]) -> Result<Series, LogError> {
    let mut log = log::read(bytes, &[TIME, PRESSURE], EXAMPLE)?;
    let pressure = log.columns.swap_remove(1);
    Ok(Series::new(&log.columns[0], &pressure, log.missing))
}

impl Series {
    /// Thins readings by the medians of their times and pressures over steps of a fifth of a second.
    pub fn new(time: &[f64], pressure: &[f64], missing: usize) -> Self {
        let first = time.first().copied().unwrap_or(0.0);
        let bin = |t: f64| ((t - first) / STEP).floor();
        let (mut times, mut pressures) = (Vec::new(), Vec::new());
        let rows: Vec<usize> = (0..time.len()).collect();
        for run in rows.chunk_by(|a, b| (bin(time[*b]) - bin(time[*a])).abs() < 0.5) {
            let middle = |values: &[f64]| median(&mut run.iter().map(|k| values[*k]).collect::<Vec<_>>());
            times.push(middle(time));
            pressures.push(middle(pressure));
        }
        let step = median(&mut times.windows(2).map(|pair| pair[1] - pair[0]).collect::<Vec<_>>());
        Self { time: times, pressure: pressures, step, missing }
    }

    /// Refuses what no test gives.
    pub(super) fn check(&self) -> Result<(), Fault> {
        let n = self.time.len();
        if n < FEWEST || self.step <= 0.0 {
            return Err(Fault::TooFewRows(n));
        }
        let [low, high] = crate::rig::spikes::range(&self.pressure);
        if high - low <= 0.0 {
            return Err(Fault::NoChange);
        }
        let stuck = self.stuck(high);
        // The readings below scatter by more than the gauge's step, the highest do not: that is a sensor at its end.
        if stuck as f64 > STUCK * n as f64 && self.noise_below(high) > SCATTERS * self.resolution(high) {
            return Err(Fault::Saturated { pressure: high, rows: stuck });
        }
        Ok(())
    }

    /// Most readings in a row that are the largest one, MPa.
    pub(super) fn stuck(&self, high: f64) -> usize {
        let at_end = |p: &f64| (high - p).abs() <= 1e-9 * high.abs();
        let runs = self.pressure.chunk_by(|a, b| at_end(a) == at_end(b)).filter(|run| at_end(&run[0]));
        runs.map(<[f64]>::len).max().unwrap_or(0)
    }

    /// Whether so many readings in a row are the largest one that the pressure may not have been read.
    pub(super) fn is_stuck(&self) -> Option<usize> {
        let [_, high] = crate::rig::spikes::range(&self.pressure);
        Some(self.stuck(high)).filter(|rows| *rows as f64 > STUCK * self.time.len() as f64)
    }

    /// The gauge's step, MPa: steps between neighbouring readings are multiples of it, and it is the smallest that two of them differ by.
    fn resolution(&self, high: f64) -> f64 {
        let mut sorted: Vec<f64> = self.pressure.windows(2).map(|p| p[1] - p[0]).collect();
        sorted.sort_by(f64::total_cmp);
        let steps = sorted.windows(2).map(|p| p[1] - p[0]).filter(|step| *step > 1e-6 * high.abs());
        steps.fold(high.abs(), f64::min)
    }

    /// As [`Self::noise`], of the readings below the largest one.
    fn noise_below(&self, high: f64) -> f64 {
        let below = |p: &&[f64]| p.iter().all(|p| (high - p).abs() > 1e-9 * high.abs());
        robust_deviation(self.pressure.windows(3).filter(below).map(second_difference))
    }

    /// Standard deviation of a reading, MPa, from second differences, so that no steady rise or fall counts.
    pub(super) fn noise(&self) -> f64 {
        robust_deviation(self.pressure.windows(3).map(second_difference))
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
