//! How a margin is distributed.

use super::joint::Joint;
use super::pool::Pool;
use super::sequence::{normal_points, seed_for};

/// Points that moments, quantiles and the histogram are told from.
const POINTS: usize = 1 << 13;
/// Bars of the histogram.
pub const BARS: usize = 48;
/// Probabilities of the quantiles.
pub const QUANTILES: [f64; 5] = [0.01, 0.05, 0.5, 0.95, 0.99];
/// Points of the tail.
const TAIL: usize = 120;

/// How a margin is distributed, in the limit's unit.
#[derive(Clone, Debug, PartialEq)]
pub struct Distribution {
    /// Mean.
    pub mean: f64,
    /// Standard deviation.
    pub deviation: f64,
    /// Values at [`QUANTILES`].
    pub quantiles: [f64; 5],
    /// Ends of the histogram, and the share of all points in each bar.
    pub ends: [f64; 2],
    /// Share of the points in each of [`BARS`] equal bars.
    pub bars: Vec<f64>,
    /// (margin, probability of less), rising, from where it is rarest.
    pub tail: Vec<[f64; 2]>,
}

impl Distribution {
    /// Of a margin over the inputs; the tail is told by a pool that holds rare places. None where no sample told how large the margin is.
    pub fn of(joint: &Joint, pool: &Pool, margin: &dyn Fn(&[f64]) -> f64, seed: u32) -> Option<Self> {
        let mut values: Vec<f64> =
            normal_points(POINTS, joint.dimensions(), seed_for(seed, 600)).iter().map(|u| margin(&joint.at(u))).collect();
        values.sort_by(f64::total_cmp);
        let n = values.len() as f64;
        let mean = values.iter().sum::<f64>() / n;
        let deviation = (values.iter().map(|v| (v - mean).powi(2)).sum::<f64>() / n).sqrt();
        let ends = [values[0], values[values.len() - 1]];
        if !ends.iter().all(|end| end.is_finite()) {
            return None;
        }
        let size = (ends[1] - ends[0]).max(f64::MIN_POSITIVE);
        let mut bars = vec![0.0; BARS];
        for value in &values {
            bars[(((value - ends[0]) / size * BARS as f64) as usize).min(BARS - 1)] += 1.0 / n;
        }
        let quantiles = QUANTILES.map(|p| values[((p * n) as usize).min(values.len() - 1)]);
        Some(Self { mean, deviation, quantiles, ends, bars, tail: tail(joint, pool, margin) })
    }
}

/// Running sum of the pool's weights over the margin, thinned.
fn tail(joint: &Joint, pool: &Pool, margin: &dyn Fn(&[f64]) -> f64) -> Vec<[f64; 2]> {
    let mut weighted: Vec<(f64, f64)> =
        pool.places.iter().zip(&pool.weights).map(|(u, w)| (margin(&joint.at(u)), w / pool.len() as f64)).collect();
    weighted.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut running = 0.0;
    let mut all: Vec<[f64; 2]> = Vec::new();
    for (value, weight) in weighted {
        running += weight;
        all.push([value, running]);
    }
    let (Some(first), Some(last)) = (all.first(), all.last()) else { return Vec::new() };
    let (low, high) = (first[0], last[0]);
    let at = |k: usize| {
        let value = low + (high - low) * (k as f64 + 0.5) / TAIL as f64;
        let count = all.partition_point(|[v, _]| *v <= value);
        [value, all[count.saturating_sub(1)][1].min(1.0)]
    };
    (0..TAIL).map(at).collect()
}
