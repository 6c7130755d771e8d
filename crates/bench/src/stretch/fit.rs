//! One cycle: the line without friction, and the friction that parts the branches from it.
//!
//! The mean tension over the hoop is a line (or a parabola) in the bundle's length, the strands' tension is that over
//! [`Geometry::mean`]. Its coefficients and the friction's exponent are fitted together to the strands' tension of both branches by
//! Gauss and Newton's method. Rows are chosen by their length, never by their force, as a choice by what scatters would bias the fit: on
//! loading between the two stated shares of the largest tension, on unloading up to where all of the bead slides again if that is less.

use nalgebra::{SMatrix, SVector};

use super::geometry::{Branch, Geometry};
use super::{CycleFault, Data};
use crate::measured::{median, robust_deviation};
use crate::regression::inverse_of;
use crate::stretch::cycles::Cycle;

/// Rounds of choosing rows and fitting.
const ROUNDS: usize = 6;
/// Times that outliers are sieved out in a round.
const SIEVES: usize = 2;
/// Newton steps of a round.
const STEPS: usize = 30;
/// Fewest rows of a branch.
const FEWEST: usize = 12;
/// Rows off the fit by more than so many robust standard deviations are left out.
const OUTLIER: f64 = 6.0;
/// Shares by which the rows stay clear of where only part of the bead slides.
const CLEAR: f64 = 0.05;
/// The strand is slack below its length without tension less this share of the cycle's stretch; so many rows tell the force's zero.
const SLACK: (f64, usize) = (0.1, 12);
/// Length of a bead without tension over that of the closed parts, which it lies on.
const LENGTH: [f64; 2] = [0.8, 1.5];
/// Stiffness E A of a bead, N: the range of a case's `bead.stiffness`.
const STIFFNESS: [f64; 2] = [5e3, 5e6];
/// Largest exponent that is believed.
const LARGEST_EXPONENT: f64 = 1.6;

/// Coefficients of the mean tension, N, in the scaled length: constant, slope, curvature; and the friction's exponent.
pub(super) type Coefficients = SVector<f64, 4>;

/// The line of one cycle: mean tension over the hoop by the bundle's length.
#[derive(Clone, Debug, PartialEq)]
pub struct Line {
    /// Length at the middle of the scale, mm, and half its width.
    scale: [f64; 2],
    /// The coefficients.
    pub(super) at: Coefficients,
}

/// A fitted cycle.
#[derive(Clone, Debug)]
pub(super) struct Fitted {
    /// Straight line and friction.
    pub(super) line: Line,
    /// Parabola and friction on the same rows.
    pub(super) curve: Option<Line>,
    /// Rows used, in the order of time, with their branches.
    pub(super) rows: Vec<(usize, Branch)>,
    /// Rows left out as outliers.
    pub(super) outliers: usize,
    /// Tension read while the bead is slack, N; none where it never is.
    pub(super) zero: Option<f64>,
    /// Rows that it is the mean of, in the order of time.
    pub(super) slack: Vec<usize>,
    /// Largest tension of the strands, N.
    pub(super) peak: f64,
    /// Standard deviation of a row about the line, N.
    pub(super) deviation: f64,
    /// Lengths between which each branch is fitted, mm.
    pub(super) windows: [[f64; 2]; 2],
}

impl Line {
    fn z(&self, length: f64) -> f64 {
        (length - self.scale[0]) / self.scale[1]
    }

    /// Middle and half width of the scale of lengths, mm.
    pub(super) fn scale(&self) -> [f64; 2] {
        self.scale
    }

    /// Mean tension over the hoop, N, at a length, mm.
    pub fn mean(&self, length: f64) -> f64 {
        let z = self.z(length);
        self.at[0] + z * (self.at[1] + z * self.at[2])
    }

    /// Its derivative by the length, N/mm.
    pub fn slope(&self, length: f64) -> f64 {
        (self.at[1] + 2.0 * self.z(length) * self.at[2]) / self.scale[1]
    }

    /// Length, mm, at a mean tension, N: by Newton's method from the middle of the scale.
    pub fn length(&self, tension: f64) -> f64 {
        let mut length = self.scale[0] + self.scale[1] * (tension - self.at[0]) / self.at[1];
        for _ in 0..20 {
            let slope = self.slope(length);
            if slope <= 0.0 {
                break;
            }
            length -= (self.mean(length) - tension) / slope;
        }
        length
    }

    /// Whether it is that of a bead which lies on the fixture.
    fn is_bead(&self, geometry: &Geometry) -> bool {
        let length = self.length(0.0);
        let within = |value: f64, [least, most]: [f64; 2]| (least..=most).contains(&value);
        within(length / geometry.arcs, LENGTH) && within(self.slope(length) * length, STIFFNESS)
    }

    /// Tension of the strands, N, on a branch.
    pub fn strands(&self, geometry: &Geometry, length: f64, branch: Branch) -> f64 {
        let mean = geometry.mean(length, branch, self.at[3])[0];
        let first = self.mean(length) / mean;
        let stiffness = self.at[1] / self.scale[1] * self.scale[0];
        first * (1.0 + first * geometry.variance(length, branch, self.at[3]) / (mean * stiffness))
    }

    /// Row of the linearised problem: derivatives of the strands' tension by the coefficients, those of the small variance's term left
    /// out.
    pub(super) fn derivatives(&self, geometry: &Geometry, length: f64, branch: Branch) -> Coefficients {
        let z = self.z(length);
        let [mean, slope] = geometry.mean(length, branch, self.at[3]);
        Coefficients::new(1.0, z, z * z, -self.mean(length) * slope / mean) / mean
    }

    /// Length at which the strands of a branch carry a tension, mm, within the ends given; by halving.
    fn length_of_strands(&self, geometry: &Geometry, tension: f64, branch: Branch, ends: [f64; 2]) -> f64 {
        let [mut low, mut high] = ends;
        for _ in 0..60 {
            let middle = 0.5 * (low + high);
            if self.strands(geometry, middle, branch) < tension { low = middle } else { high = middle }
        }
        0.5 * (low + high)
    }
}

/// Fits a cycle.
///
/// # Errors
/// Why it cannot be fitted.
pub(super) fn cycle(data: &Data<'_>, cycle: &Cycle) -> Result<Fitted, CycleFault> {
    let loading: Vec<f64> = data.tension[cycle.loading.clone()].to_vec();
    let both = cycle.rows();
    let [shortest, longest] = crate::spikes::range(&data.length[both.clone()]);
    let scale = [0.5 * (shortest + longest), 0.5 * (longest - shortest)];
    let highest = loading.iter().copied().fold(0.0, f64::max);
    let mut zero = 0.0;
    let mut line = first_guess(data, cycle, highest, scale)?;
    let mut fitted = None;
    for _ in 0..ROUNDS {
        let windows = windows(data, cycle, &line, [shortest, longest])?;
        let chosen = chosen(data, cycle, windows);
        let enough = |branch: Branch| chosen.iter().filter(|(_, b)| *b == branch).count() >= FEWEST;
        if !enough(Branch::Loading) || (cycle.is_whole() && !enough(Branch::Unloading)) {
            return Err(CycleFault::TooFewRows);
        }
        let mut rows = chosen.clone();
        line = newton(data, &rows, zero, line, false)?;
        for _ in 0..SIEVES {
            let off = |row: &(usize, Branch)| data.tension[row.0] - zero - line.strands(data.geometry, data.length[row.0], row.1);
            let limit = OUTLIER * robust_deviation(rows.iter().map(off)).max(1e-6 * highest);
            rows = chosen.iter().filter(|row| off(row).abs() <= limit).copied().collect();
            line = newton(data, &rows, zero, line, false)?;
        }
        let off = |row: &(usize, Branch)| data.tension[row.0] - zero - line.strands(data.geometry, data.length[row.0], row.1);
        let squares: f64 = rows.iter().map(|row| off(row).powi(2)).sum();
        let deviation = (squares / (rows.len().saturating_sub(3).max(1)) as f64).sqrt();
        let slack = slack(data, both.clone(), &line, longest);
        let outliers = chosen.len() - rows.len();
        let read = slack.as_ref().map_or(0.0, |(mean, _)| *mean);
        fitted = Some((rows, outliers, slack, deviation, windows, zero));
        zero = read;
    }
    let (rows, outliers, slack, deviation, windows, zero) = fitted.ok_or(CycleFault::TooFewRows)?;
    if line.at[1] <= 0.0 || line.at[3].abs() > LARGEST_EXPONENT {
        return Err(CycleFault::NotRising);
    }
    if !line.is_bead(data.geometry) {
        return Err(CycleFault::NoBead);
    }
    let curve = newton(data, &rows, zero, line.clone(), true).ok();
    let peak = line.strands(data.geometry, longest, Branch::Loading);
    let (zero, slack) = slack.unzip();
    Ok(Fitted { line, curve, rows, outliers, zero, slack: slack.unwrap_or_default(), peak, deviation, windows })
}

/// A line through the tensions of the loading branch between a quarter and nine tenths of the largest.
fn first_guess(data: &Data<'_>, cycle: &Cycle, highest: f64, scale: [f64; 2]) -> Result<Line, CycleFault> {
    let between = |row: &usize| (0.25 * highest..=0.9 * highest).contains(&data.tension[*row]);
    let rows: Vec<(usize, Branch)> = cycle.loading.clone().filter(between).map(|row| (row, Branch::Loading)).collect();
    if rows.len() < FEWEST || highest <= 0.0 {
        return Err(CycleFault::TooFewRows);
    }
    let exponent = data.friction.map_or(0.1, |friction| data.geometry.exponent(friction));
    let start = Line { scale, at: Coefficients::new(0.5 * highest, 0.5 * highest, 0.0, exponent) };
    let held = Data { friction: Some(data.geometry.friction(exponent)), ..*data };
    newton(&held, &rows, 0.0, start, false)
}

/// Lengths between which each branch is fitted.
fn windows(data: &Data<'_>, cycle: &Cycle, line: &Line, ends: [f64; 2]) -> Result<[[f64; 2]; 2], CycleFault> {
    let g = data.geometry;
    let exponent = line.at[3].max(0.0);
    let peak = line.strands(g, ends[1], Branch::Loading);
    let started = line.strands(g, data.length[cycle.loading.start], Branch::Unloading).max(0.0);
    let again = Geometry::sliding_again(Branch::Loading, exponent, started) * (1.0 + CLEAR);
    let sliding = Geometry::sliding_again(Branch::Unloading, exponent, peak) * (1.0 - CLEAR);
    let [from, to] = data.range.map(|share| share * peak);
    let loading = [from.max(again), to];
    let unloading = [from, to.min(sliding)];
    let wide = |w: [f64; 2]| w[1] - w[0] > 0.1 * peak && peak > 0.0;
    if !wide(loading) || (cycle.is_whole() && !wide(unloading)) {
        return Err(CycleFault::NoRange);
    }
    let lengths = |window: [f64; 2], branch| window.map(|tension| line.length_of_strands(g, tension, branch, ends));
    Ok([lengths(loading, Branch::Loading), lengths(unloading, Branch::Unloading)])
}

/// Rows of both branches whose lengths lie in their windows.
fn chosen(data: &Data<'_>, cycle: &Cycle, windows: [[f64; 2]; 2]) -> Vec<(usize, Branch)> {
    let inside = |row: usize, w: [f64; 2]| (w[0]..=w[1]).contains(&data.length[row]);
    let loading = cycle.loading.clone().filter(|row| inside(*row, windows[0])).map(|row| (row, Branch::Loading));
    let unloading = cycle.unloading.clone().filter(|row| inside(*row, windows[1])).map(|row| (row, Branch::Unloading));
    loading.chain(unloading).collect()
}

/// Rows well below the bead's length without tension, none far off their middle one; and the mean tension they read. None of too few.
fn slack(data: &Data<'_>, rows: std::ops::Range<usize>, line: &Line, longest: f64) -> Option<(f64, Vec<usize>)> {
    let without = line.length(0.0);
    let limit = without - SLACK.0 * (longest - without);
    let mut read: Vec<usize> = rows.filter(|row| data.length[*row] < limit).collect();
    let middle = median(&mut read.iter().map(|row| data.tension[*row]).collect::<Vec<_>>());
    let spread = robust_deviation(read.iter().map(|row| data.tension[*row] - middle));
    if spread > 0.0 {
        read.retain(|row| (data.tension[*row] - middle).abs() <= OUTLIER * spread);
    }
    let mean = read.iter().map(|row| data.tension[*row]).sum::<f64>() / read.len() as f64;
    (read.len() >= SLACK.1).then_some((mean, read))
}

/// Least squares by Gauss and Newton; the curvature stays zero unless `curved`, the exponent as it is where the friction is given.
fn newton(data: &Data<'_>, rows: &[(usize, Branch)], zero: f64, start: Line, curved: bool) -> Result<Line, CycleFault> {
    let whole = rows.iter().any(|(_, branch)| *branch == Branch::Unloading);
    let active = [true, true, curved, data.friction.is_none() && whole];
    let mut line = start;
    for _ in 0..STEPS {
        let mut normal = SMatrix::<f64, 4, 4>::zeros();
        let mut right = Coefficients::zeros();
        for (row, branch) in rows {
            let length = data.length[*row];
            let mut d = line.derivatives(data.geometry, length, *branch);
            (0..4).filter(|k| !active[*k]).for_each(|k| d[k] = 0.0);
            normal += d * d.transpose();
            right += d * (data.tension[*row] - zero - line.strands(data.geometry, length, *branch));
        }
        (0..4).filter(|k| !active[*k]).for_each(|k| normal[(k, k)] = 1.0);
        let (inverse, _) = inverse_of(&normal).ok_or(CycleFault::NotRising)?;
        let mut step = inverse * right;
        // Far from the solution the exponent must not run away.
        step[3] = step[3].clamp(-0.3, 0.3);
        line.at += step;
        if !line.at.iter().all(|v| v.is_finite()) || line.at[3].abs() > 2.0 * LARGEST_EXPONENT {
            return Err(CycleFault::NotRising);
        }
        if step.amax() <= 1e-12 * (line.at[0].abs() + line.at[1].abs()) && step[3].abs() < 1e-12 {
            break;
        }
    }
    Ok(line)
}
