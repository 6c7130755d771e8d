//! Least squares for readings whose errors are correlated in time.
//!
//! Neighbouring readings of a log err alike, so the textbook error of a fitted line is too small, often by a factor of several. Here the
//! errors are taken to be correlated as `exp(-dt / tau)`, which is an autoregression of first order for even steps and holds for uneven
//! ones too; `tau` is found by restricted maximum likelihood, and the rows are whitened with it. The covariance of what is then fitted is
//! the mean over the memories that the readings leave likely, as the likeliest alone comes out too short where few rows decide; widened
//! for each coefficient to the variance of Newey and West where that is larger, as it is where the exponential leaves something over.
//! Theirs alone is too small by a few parts in a hundred where few rows decide, and scatters.
//!
//! Sources, from memory: P. J. Diggle, Time Series (1990), section 4.8 (exponential correlation); W. K. Newey and K. D. West,
//! Econometrica 55 (1987) 703 (covariance with Bartlett's weights).

use nalgebra::{SMatrix, SVector};

/// Values of `tau` that are tried before the best is refined, and rounds of refinement.
const TRIED: usize = 14;
const ROUNDS: usize = 24;
/// Largest `tau` as a share of the whole time.
const LONGEST: f64 = 0.2;
/// Memories over which the covariance is averaged: from so many deviations of the logarithm below the likeliest to so many above it, where
/// the likelihood falls more slowly; and the distance of neighbours.
const LIKELY: [f64; 2] = [-4.0, 9.0];
const APART: f64 = 0.75;
/// Largest such deviation.
const WIDEST: f64 = 0.5;

/// A fit of `P` coefficients.
#[derive(Clone, Debug, PartialEq)]
pub struct Fit<const P: usize> {
    /// The coefficients.
    pub coefficients: SVector<f64, P>,
    /// Their covariance.
    pub covariance: SMatrix<f64, P, P>,
    /// Degrees of freedom, as the scatter of the variances leaves them: of as many independent readings as tell as much, fewer where the
    /// memory is open.
    pub freedom: f64,
    /// Standard deviation of a reading about the fit.
    pub deviation: f64,
    /// Time over which errors are correlated, in the unit of `time`; 0 if they do not.
    pub memory: f64,
    /// Whether that time is as long as was tried: the errors wander and the covariance is doubtful.
    pub wandering: bool,
}

impl<const P: usize> Fit<P> {
    /// Standard error of a combination of the coefficients.
    pub fn error_of(&self, weights: &SVector<f64, P>) -> f64 {
        (weights.transpose() * self.covariance * weights)[0].max(0.0).sqrt()
    }
}

/// Ordinary least squares.
#[derive(Clone, Debug)]
pub struct Plain<const P: usize> {
    /// The coefficients.
    pub coefficients: SVector<f64, P>,
    /// Inverse of the normal matrix.
    pub inverse: SMatrix<f64, P, P>,
    /// Logarithm of the normal matrix's determinant.
    log_determinant: f64,
    /// Readings less fit.
    pub residuals: Vec<f64>,
}

/// Ordinary least squares; none where the rows do not determine the coefficients.
pub fn plain<const P: usize>(rows: &[SVector<f64, P>], readings: &[f64]) -> Option<Plain<P>> {
    if rows.len() <= P {
        return None;
    }
    let mut normal = SMatrix::<f64, P, P>::zeros();
    let mut right = SVector::<f64, P>::zeros();
    for (row, y) in rows.iter().zip(readings) {
        normal += row * row.transpose();
        right += row * *y;
    }
    let (inverse, log_determinant) = inverse_of(&normal)?;
    let coefficients = inverse * right;
    let residuals = rows.iter().zip(readings).map(|(row, y)| y - row.dot(&coefficients)).collect();
    Some(Plain { coefficients, inverse, log_determinant, residuals })
}

/// Inverse of a positive matrix, scaled to unit diagonal first, and the logarithm of its determinant; none if it is singular to working
/// accuracy.
pub(crate) fn inverse_of<const P: usize>(matrix: &SMatrix<f64, P, P>) -> Option<(SMatrix<f64, P, P>, f64)> {
    let scale = matrix.diagonal().map(|d| if d > 0.0 { d.sqrt().recip() } else { 0.0 });
    let scaled = SMatrix::<f64, P, P>::from_fn(|i, j| matrix[(i, j)] * scale[i] * scale[j]);
    let factor = scaled.cholesky()?;
    let logs = |values: SVector<f64, P>| 2.0 * values.iter().map(|v| v.ln()).sum::<f64>();
    let log_determinant = logs(factor.l_dirty().diagonal()) - logs(scale);
    let sound = factor.l_dirty().diagonal().iter().all(|d| *d > 1e-7);
    let inverse = factor.inverse();
    let whole = inverse.iter().all(|v| v.is_finite());
    (sound && whole).then(|| (SMatrix::from_fn(|i, j| inverse[(i, j)] * scale[i] * scale[j]), log_determinant))
}

impl<const P: usize> Plain<P> {
    /// Covariance of the coefficients after Newey and West: Bartlett's weights over `lags` neighbours, times n / (n - P).
    pub fn newey_west(&self, rows: &[SVector<f64, P>], lags: usize) -> SMatrix<f64, P, P> {
        let scores: Vec<SVector<f64, P>> = rows.iter().zip(&self.residuals).map(|(row, e)| row * *e).collect();
        let mut middle = SMatrix::<f64, P, P>::zeros();
        for score in &scores {
            middle += score * score.transpose();
        }
        for lag in 1..=lags.min(scores.len().saturating_sub(1)) {
            let weight = 1.0 - lag as f64 / (lags + 1) as f64;
            let mut sum = SMatrix::<f64, P, P>::zeros();
            for (a, b) in scores.iter().zip(&scores[lag..]) {
                sum += b * a.transpose();
            }
            middle += (sum + sum.transpose()) * weight;
        }
        let n = scores.len() as f64;
        self.inverse * middle * self.inverse * (n / (n - P as f64))
    }

    /// Covariance of the coefficients for independent errors of one size.
    pub fn independent(&self) -> SMatrix<f64, P, P> {
        let squares: f64 = self.residuals.iter().map(|e| e * e).sum();
        self.inverse * (squares / (self.residuals.len() as f64 - P as f64))
    }
}

/// Neighbours that Newey and West's covariance looks at: their rule of thumb, 4 (n / 100)^(2/9).
pub fn usual_lags(n: usize) -> usize {
    (4.0 * (n as f64 / 100.0).powf(2.0 / 9.0)).floor() as usize
}

/// Steps between readings; none is zero.
fn steps(time: &[f64]) -> Vec<f64> {
    let mut all: Vec<f64> = time.windows(2).map(|pair| pair[1] - pair[0]).collect();
    let usual = super::measured::median(&mut all.clone());
    let mean = all.iter().sum::<f64>() / all.len().max(1) as f64;
    let least = 1e-3 * if usual > 0.0 { usual } else { mean };
    let least = if least > 0.0 { least } else { 1.0 };
    all.iter_mut().for_each(|step| *step = step.max(least));
    all
}

/// Rows and readings with the correlation of memory `tau` taken out, and the sum of the logarithms of their variances.
fn whiten<const P: usize>(
    rows: &[SVector<f64, P>],
    readings: &[f64],
    steps: &[f64],
    tau: f64,
) -> (Vec<SVector<f64, P>>, Vec<f64>, f64) {
    let (mut white, mut values, mut logs) = (Vec::with_capacity(rows.len()), Vec::with_capacity(rows.len()), 0.0);
    white.extend(rows.first().copied());
    values.extend(readings.first().copied());
    for (k, step) in steps.iter().enumerate() {
        let phi = if tau > 0.0 { (-step / tau).exp() } else { 0.0 };
        let variance = 1.0 - phi * phi;
        let scale = variance.sqrt().recip();
        logs += variance.ln();
        white.push((rows[k + 1] - rows[k] * phi) * scale);
        values.push((readings[k + 1] - readings[k] * phi) * scale);
    }
    (white, values, logs)
}

/// The fit at a memory, and twice the negative logarithm of its restricted likelihood but for a constant; smaller is likelier.
fn tried<const P: usize>(rows: &[SVector<f64, P>], readings: &[f64], steps: &[f64], tau: f64) -> Option<(Plain<P>, f64)> {
    let (white, values, logs) = whiten(rows, readings, steps, tau);
    let fit = plain(&white, &values)?;
    let squares: f64 = fit.residuals.iter().map(|e| e * e).sum();
    let value = (rows.len() - P) as f64 * squares.max(f64::MIN_POSITIVE).ln() + logs + fit.log_determinant;
    value.is_finite().then_some((fit, value))
}

/// The latter alone; infinite where there is no fit.
fn unlikelihood<const P: usize>(rows: &[SVector<f64, P>], readings: &[f64], steps: &[f64], tau: f64) -> f64 {
    tried(rows, readings, steps, tau).map_or(f64::INFINITY, |(_, value)| value)
}

/// Logarithms of the shortest and longest memory that is reckoned with.
fn range(steps: &[f64]) -> (f64, f64) {
    let usual = super::measured::median(&mut steps.to_vec());
    let whole: f64 = steps.iter().sum();
    ((0.15 * usual).ln(), (LONGEST * whole).max(0.3 * usual).ln())
}

/// The likeliest memory, and whether it is the longest tried.
fn memory<const P: usize>(rows: &[SVector<f64, P>], readings: &[f64], steps: &[f64]) -> (f64, bool) {
    let (low, high) = range(steps);
    let at = |x: f64| unlikelihood(rows, readings, steps, x.exp());
    let place = |k: usize| low + (high - low) * k as f64 / (TRIED - 1) as f64;
    let values: Vec<f64> = (0..TRIED).map(|k| at(place(k))).collect();
    let best = (0..TRIED).min_by(|a, b| values[*a].total_cmp(&values[*b])).unwrap_or(0);
    let (mut a, mut b) = (place(best.saturating_sub(1)), place((best + 1).min(TRIED - 1)));
    let golden = 0.5 * (5.0_f64.sqrt() - 1.0);
    let (mut c, mut d) = (b - golden * (b - a), a + golden * (b - a));
    let (mut fc, mut fd) = (at(c), at(d));
    for _ in 0..ROUNDS {
        if (b - a).abs() < 1e-3 {
            break;
        }
        if fc < fd {
            (b, d, fd) = (d, c, fc);
            c = b - golden * (b - a);
            fc = at(c);
        } else {
            (a, c, fc) = (c, d, fd);
            d = a + golden * (b - a);
            fd = at(d);
        }
    }
    let found = 0.5 * (a + b);
    (found.exp(), found > high - 0.05 * (high - low))
}

/// Independent readings that tell as much: each tells (1 - phi) / (1 + phi) of one (Bayley and Hammersley 1946, from memory).
fn telling(steps: &[f64], tau: f64) -> f64 {
    steps.iter().map(|step| (0.5 * step / tau).tanh()).sum::<f64>() + 1.0
}

/// What the memories that the readings leave likely say together.
struct Averaged<const P: usize> {
    covariance: SMatrix<f64, P, P>,
    freedom: f64,
}

/// Logarithms of memories round the likeliest, as far as their likelihood goes.
fn likely<const P: usize>(rows: &[SVector<f64, P>], readings: &[f64], steps: &[f64], likeliest: f64) -> Vec<f64> {
    let (low, high) = range(steps);
    let (at, delta) = (likeliest.ln(), 0.1);
    let [left, least, right] = [at - delta, at, at + delta].map(|x| unlikelihood(rows, readings, steps, x.exp()));
    let bend = (left + right - 2.0 * least) / (delta * delta);
    // Twice the logarithm bends by twice the inverse of the variance.
    let deviation = if bend > 0.0 { (2.0 / bend).sqrt().min(WIDEST) } else { WIDEST };
    let count = ((LIKELY[1] - LIKELY[0]) / APART) as usize;
    let places = (0..=count).map(|k| at + deviation * (LIKELY[0] + APART * k as f64));
    places.filter(|x| (low.min(at)..=high.max(at)).contains(x)).collect()
}

/// Covariance and degrees of freedom over memories weighted by their restricted likelihood, each logarithm as likely before: the mean
/// covariance and the scatter of the coefficients from memory to memory; as many degrees as the variances' scatter leaves, that for one
/// memory and that from memory to memory together (Satterthwaite, Biometrics Bulletin 2 (1946) 110, as Kenward and Roger, Biometrics 53
/// (1997) 983, use it; both from memory).
fn averaged<const P: usize>(rows: &[SVector<f64, P>], readings: &[f64], steps: &[f64], likeliest: f64) -> Option<Averaged<P>> {
    let least = unlikelihood(rows, readings, steps, likeliest);
    let (mut sum, mut free, mut origin) = (0.0, 0.0, None);
    let [mut covariance, mut square] = [SMatrix::<f64, P, P>::zeros(); 2];
    let [mut mean, mut variance, mut variance_square] = [SVector::<f64, P>::zeros(); 3];
    for tau in likely(rows, readings, steps, likeliest).into_iter().map(f64::exp) {
        let Some((found, value)) = tried(rows, readings, steps, tau) else { continue };
        let weight = (0.5 * (least - value)).exp();
        // Counted from those of one memory: the scatter would drown in the size of the coefficients.
        let (own, at) = (found.independent(), found.coefficients - *origin.get_or_insert(found.coefficients));
        sum += weight;
        free += (telling(steps, tau) - P as f64) * weight;
        covariance += own * weight;
        variance += own.diagonal() * weight;
        variance_square += own.diagonal().map(|v| v * v) * weight;
        mean += at * weight;
        square += at * at.transpose() * weight;
    }
    if !(sum > 0.0 && sum.is_finite()) {
        return None;
    }
    let mean = mean / sum;
    let scatter = |k: usize| variance_square[k] * sum / (variance[k] * variance[k]) - 1.0;
    let scatter = (0..P).map(scatter).fold(0.0, f64::max);
    Some(Averaged {
        covariance: (covariance + square) / sum - mean * mean.transpose(),
        freedom: 2.0 / (2.0 / (free / sum).max(1.0) + scatter),
    })
}

/// A covariance with its variances raised to those of another where they are larger, its correlations as they are.
fn widened<const P: usize>(covariance: &SMatrix<f64, P, P>, other: &SMatrix<f64, P, P>) -> SMatrix<f64, P, P> {
    let ratio = |k: usize| if covariance[(k, k)] > 0.0 { (other[(k, k)] / covariance[(k, k)]).max(1.0) } else { 1.0 };
    let scale = SVector::<f64, P>::from_fn(|k, _| ratio(k).sqrt());
    SMatrix::from_fn(|i, j| covariance[(i, j)] * scale[i] * scale[j])
}

/// Fits readings at times that do not run backwards; none where the rows do not determine the coefficients.
pub fn fit<const P: usize>(time: &[f64], rows: &[SVector<f64, P>], readings: &[f64]) -> Option<Fit<P>> {
    let first = plain(rows, readings)?;
    let steps = steps(time);
    let size: f64 = readings.iter().map(|y| y * y).sum();
    let squares: f64 = first.residuals.iter().map(|e| e * e).sum();
    if squares <= 1e-26 * size.max(f64::MIN_POSITIVE) {
        // Readings without error: nothing hangs together.
        let freedom = (rows.len() - P) as f64;
        let covariance = first.independent();
        return Some(Fit {
            coefficients: first.coefficients,
            covariance,
            freedom,
            deviation: 0.0,
            memory: 0.0,
            wandering: false,
        });
    }
    let (tau, wandering) = memory(rows, readings, &steps);
    let (white, values, _) = whiten(rows, readings, &steps, tau);
    let found = plain(&white, &values)?;
    let likely = averaged(rows, readings, &steps, tau)?;
    let covariance = widened(&likely.covariance, &found.newey_west(&white, usual_lags(rows.len())));
    let squares: f64 = found.residuals.iter().map(|e| e * e).sum();
    let n = rows.len() as f64;
    Some(Fit {
        coefficients: found.coefficients,
        covariance,
        freedom: likely.freedom.max(1.0),
        deviation: (squares / (n - P as f64)).sqrt(),
        memory: tau,
        wandering,
    })
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use std::collections::BTreeMap;

    use nalgebra::{Matrix2, Vector2};

    use super::*;
    use crate::growth;
    use crate::measured::quantile;

    const READINGS: &[u8] = include_bytes!("../../../validation/rig_logs/readings.csv");
    const REFERENCES: &str = include_str!("../../../validation/rig_logs/regression.csv");

    fn references() -> BTreeMap<&'static str, f64> {
        let rows = REFERENCES.lines().skip(1).map(|line| line.split(',').collect::<Vec<_>>());
        rows.map(|cells| (cells[0], cells[1].parse().unwrap())).collect()
    }

    fn line() -> (Vec<f64>, Vec<Vector2<f64>>, Vec<f64>) {
        let log = growth::read(READINGS, None).unwrap();
        let rows = log.time.iter().map(|t| Vector2::new(1.0, (t / 300.0).log10())).collect();
        let off = log.diameter.iter().map(|d| d - 618.0).collect();
        (log.time, rows, off)
    }

    /// statsmodels (ordinary, Newey and West's, generalised least squares); its versions stand in the file.
    #[test]
    fn errors_of_a_line_as_an_outside_library_has_them() {
        let (time, rows, off) = line();
        let compare = |name: &str, coefficients: &Vector2<f64>, covariance: &Matrix2<f64>| {
            for (k, part) in ["constant", "slope"].into_iter().enumerate() {
                for (found, name) in [
                    (coefficients[k], format!("{name} {part}")),
                    (covariance[(k, k)].sqrt(), format!("{name} {part} standard error")),
                ] {
                    let expected = references()[name.as_str()];
                    assert!((found / expected - 1.0).abs() < 1e-8, "{name}: {found} {expected}");
                }
            }
        };
        let ordinary = plain(&rows, &off).unwrap();
        compare("plain", &ordinary.coefficients, &ordinary.independent());
        compare("newey_west", &ordinary.coefficients, &ordinary.newey_west(&rows, 4));
        let (white, values, _) = whiten(&rows, &off, &steps(&time), 700.0);
        let correlated = plain(&white, &values).unwrap();
        compare("correlated", &correlated.coefficients, &correlated.independent());
    }

    /// The likeliest memory by dense matrices and scipy; the search here stops at a thousandth.
    #[test]
    fn the_likeliest_memory() {
        let (time, rows, off) = line();
        let found = fit(&time, &rows, &off).unwrap();
        let expected = references()["restricted maximum likelihood memory"];
        assert!((found.memory / expected - 1.0).abs() < 1e-3, "{} {expected}", found.memory);
        assert!(!found.wandering);
    }

    /// Over all memories on a fine grid, by dense matrices; here some of them stand for all. A constant added to the readings changes
    /// nothing.
    #[test]
    fn errors_take_in_what_is_open_of_the_memory() {
        let (time, rows, off) = line();
        let steps = steps(&time);
        for shift in [0.0, 1e5] {
            let off: Vec<f64> = off.iter().map(|value| value + shift).collect();
            let found = averaged(&rows, &off, &steps, memory(&rows, &off, &steps).0).unwrap();
            let (error, freedom) = (found.covariance[(1, 1)].sqrt(), found.freedom);
            for (found, name) in [(error, "averaged slope standard error"), (freedom, "averaged freedom")] {
                assert!((found / references()[name] - 1.0).abs() < 5e-3, "{name}: {found} {}", references()[name]);
            }
        }
    }

    #[test]
    fn students_quantiles_as_scipy_has_them() {
        for freedom in [1.0, 2.5, 7.0, 60.0] {
            let expected = references()[format!("student 0.975 of {freedom}").as_str()];
            assert!((quantile(freedom) / expected - 1.0).abs() < 1e-8, "{freedom}: {} {expected}", quantile(freedom));
        }
    }

    /// No variance falls, those that rise are the other's, and the correlation stays.
    #[test]
    fn widening() {
        let (a, b) = (Matrix2::new(4.0, 1.0, 1.0, 9.0), Matrix2::new(16.0, 0.0, 0.0, 1.0));
        let wide = widened(&a, &b);
        assert!((wide - Matrix2::new(16.0, 2.0, 2.0, 9.0)).amax() < 1e-12, "{wide}");
    }

    #[test]
    fn rows_that_tell_nothing_give_no_fit() {
        let rows = vec![Vector2::new(1.0, 2.0); 30];
        assert!(plain(&rows, &[1.0; 30]).is_none());
        assert!(plain(&rows[..2], &[1.0; 2]).is_none());
        let time: Vec<f64> = (0..30).map(f64::from).collect();
        assert!(fit(&time, &rows, &[1.0; 30]).is_none());
    }

    /// A line without error keeps its coefficients, and its errors are next to nothing.
    #[test]
    fn readings_without_error() {
        let time: Vec<f64> = (0..30).map(f64::from).collect();
        let rows: Vec<Vector2<f64>> = time.iter().map(|t| Vector2::new(1.0, *t)).collect();
        let off: Vec<f64> = time.iter().map(|t| 2.0 + 0.5 * t).collect();
        let found = fit(&time, &rows, &off).unwrap();
        assert!((found.coefficients - Vector2::new(2.0, 0.5)).amax() < 1e-12 && found.memory.abs() < 1e-12);
        assert!(found.error_of(&Vector2::new(0.0, 1.0)) < 1e-12 && found.freedom > 27.9);
    }
}
