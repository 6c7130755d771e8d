//! Errors of one cycle from its residuals, for logs without enough repeats.

use nalgebra::{SMatrix, SVector};

use super::Data;
use super::fit::{Coefficients, Fitted};
use crate::rig::regression;

/// Most rows that the correlation is told from; more are averaged in runs.
const MOST_ROWS: usize = 20_000;

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

/// From the linearised fit of the rows in the order of time.
pub(super) fn of(data: &Data<'_>, fitted: &Fitted, friction: bool) -> Option<Spread> {
    let stride = fitted.rows.len().div_ceil(MOST_ROWS).max(1);
    let zero = fitted.zero.unwrap_or(0.0);
    let (mut time, mut rows, mut off) = (Vec::new(), Vec::new(), Vec::new());
    for run in fitted.rows.chunks(stride).filter(|run| run.len() == stride) {
        let n = run.len() as f64;
        let mean = |of: &dyn Fn(usize) -> f64| run.iter().map(|(row, _)| of(*row)).sum::<f64>() / n;
        time.push(mean(&|row| data.time[row]));
        rows.push(
            run.iter().map(|(row, b)| fitted.line.derivatives(data.geometry, data.length[*row], *b)).sum::<Coefficients>() / n,
        );
        let residual =
            |(row, b): &(usize, _)| data.tension[*row] - zero - fitted.line.strands(data.geometry, data.length[*row], *b);
        off.push(run.iter().map(residual).sum::<f64>() / n);
    }
    if friction { embedded::<3>(&time, &rows, &off, [0, 1, 3]) } else { embedded::<2>(&time, &rows, &off, [0, 1]) }
}

/// Fits the residuals by some of the derivatives and puts the covariance back in their places.
fn embedded<const P: usize>(time: &[f64], rows: &[Coefficients], off: &[f64], places: [usize; P]) -> Option<Spread> {
    let few: Vec<SVector<f64, P>> = rows.iter().map(|row| SVector::from_fn(|k, _| row[places[k]])).collect();
    let fit = regression::fit(time, &few, off)?;
    let mut covariance = SMatrix::<f64, 4, 4>::zeros();
    for (i, row) in places.iter().enumerate() {
        for (j, column) in places.iter().enumerate() {
            covariance[(*row, *column)] = fit.covariance[(i, j)];
        }
    }
    Some(Spread { covariance, freedom: fit.freedom, wandering: fit.wandering })
}
