//! Errors of one cycle from its residuals, for logs without enough repeats.

use nalgebra::{SMatrix, SVector};

use super::Data;
use super::fit::{Coefficients, Fitted};
use super::geometry::Branch;
use crate::regression;

/// Most rows that the correlation is told from; more are averaged in runs.
const MOST_ROWS: usize = 20_000;

/// Largest ratio of the scatters of taut and slack rows that is reckoned with.
const WEIGHT: f64 = 10.0;

/// Covariance of a cycle's coefficients and its degrees of freedom.
pub(super) struct Spread {
    covariance: SMatrix<f64, 4, 4>,
    pub(super) freedom: f64,
    pub(super) wandering: bool,
}

impl Spread {
    /// Variance of a quantity with such derivatives by the coefficients.
    pub(super) fn variance(&self, by: &Coefficients) -> f64 {
        (by.transpose() * self.covariance * by)[0].max(0.0)
    }
}

/// A row of the linearised problem: the coefficients and the force's zero.
type Linear = SVector<f64, 5>;

/// From the linearised fit of the rows in the order of time, those read while the bead is slack among them, which tell the force's zero.
pub(super) fn of(data: &Data<'_>, fitted: &Fitted, friction: bool) -> Option<Spread> {
    let zero = fitted.zero.unwrap_or(0.0);
    let taut = |(row, b): &(usize, Branch)| {
        let (length, line) = (data.length[*row], &fitted.line);
        let d = line.derivatives(data.geometry, length, *b);
        // The zero moves the length too, by what the fixture gives.
        let by_zero = 1.0 + data.give * line.slope(length) * d[0];
        (*row, Linear::new(d[0], d[1], d[2], d[3], by_zero), data.tension[*row] - zero - line.strands(data.geometry, length, *b))
    };
    let mut all: Vec<(usize, Linear, f64)> = fitted.rows.iter().map(taut).collect();
    // Rows read while slack scatter less, as errors of the travel do not show in them: they weigh by their own scatter.
    let own =
        (fitted.slack.iter().map(|row| (data.tension[*row] - zero).powi(2)).sum::<f64>() / fitted.slack.len() as f64).sqrt();
    let weight = if own > 0.0 { (fitted.deviation / own).clamp(1.0 / WEIGHT, WEIGHT) } else { WEIGHT };
    let slack = |row: &usize| (*row, Linear::new(0.0, 0.0, 0.0, 0.0, weight), weight * (data.tension[*row] - zero));
    all.extend(fitted.slack.iter().map(slack));
    all.sort_by_key(|(row, _, _)| *row);
    let stride = all.len().div_ceil(MOST_ROWS).max(1);
    let (mut time, mut rows, mut off) = (Vec::new(), Vec::new(), Vec::new());
    for run in all.chunks_exact(stride) {
        let n = run.len() as f64;
        time.push(run.iter().map(|(row, _, _)| data.time[*row]).sum::<f64>() / n);
        rows.push(run.iter().map(|(_, row, _)| row).sum::<Linear>() / n);
        off.push(run.iter().map(|(_, _, off)| off).sum::<f64>() / n);
    }
    match (friction, fitted.slack.is_empty()) {
        (true, false) => embedded(&time, &rows, &off, [0, 1, 3, 4]),
        (true, true) => embedded(&time, &rows, &off, [0, 1, 3]),
        (false, false) => embedded(&time, &rows, &off, [0, 1, 4]),
        (false, true) => embedded(&time, &rows, &off, [0, 1]),
    }
}

/// Fits the residuals by some of the derivatives and puts the covariance of the coefficients back in their places.
fn embedded<const P: usize>(time: &[f64], rows: &[Linear], off: &[f64], places: [usize; P]) -> Option<Spread> {
    let few: Vec<SVector<f64, P>> = rows.iter().map(|row| SVector::from_fn(|k, _| row[places[k]])).collect();
    let fit = regression::fit(time, &few, off)?;
    let mut covariance = SMatrix::<f64, 4, 4>::zeros();
    for (i, row) in places.iter().enumerate() {
        for (j, column) in places.iter().enumerate().filter(|(_, column)| *row < 4 && **column < 4) {
            covariance[(*row, *column)] = fit.covariance[(i, j)];
        }
    }
    Some(Spread { covariance, freedom: fit.freedom, wandering: fit.wandering })
}
