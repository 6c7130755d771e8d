//! A smooth stand-in for an answer that is dear to compute: universal kriging, a polynomial trend and a Gaussian process about it, with a
//! nugget for the ripple of finite elements (C. Rasmussen and C. Williams, Gaussian Processes for Machine Learning, 2006, ch. 2.7 and 5.4;
//! T. Santner, B. Williams and W. Notz, The Design and Analysis of Computer Experiments, 2003, ch. 3).
//!
//! Covariance: Matern's with smoothness 5/2, a length for each input. Lengths and nugget are those of the greatest restricted likelihood,
//! with a weak prior on the lengths for inputs of which the data say nothing.

use nalgebra::{Cholesky, DMatrix, DVector, Dyn};

use super::simplex;

/// Length of the covariance, in the unit of the points, that is thought likely before anything is known, and the spread of its logarithm.
const LIKELY_LENGTH: f64 = 4.0;
const SPREAD_OF_LENGTHS: f64 = 1.5;
/// Bounds of the logarithm of a length and of the nugget.
const LOG_LENGTH: [f64; 2] = [-1.2, 4.0];
const LOG_NUGGET: [f64; 2] = [-18.0, 0.0];
/// The trend is quadratic once there are so many points for each of its terms.
const POINTS_A_TERM: usize = 2;
/// Most evaluations of the likelihood, at first and from the lengths of an earlier fit, and first steps of the logarithms.
const EVALUATIONS: [usize; 2] = [400, 120];
const STEPS: [f64; 2] = [0.7, 0.3];
/// Points that are looked at together.
const CHUNK: usize = 256;
/// How far left-out points may widen or narrow the told deviations.
const WIDENING: [f64; 2] = [0.7, 4.0];

/// A fitted stand-in.
#[derive(Clone, Debug)]
pub struct Kriging {
    points: Vec<Vec<f64>>,
    quadratic: bool,
    /// Logarithms of lengths and nugget.
    log: Vec<f64>,
    /// Inverse of the covariance's Cholesky factor: products are several times as fast as solutions.
    inverse: DMatrix<f64>,
    /// Trend's coefficients, and covariance^-1 (values - trend).
    trend: DVector<f64>,
    weights: DVector<f64>,
    /// Covariance^-1 times the trend's terms at the points, and the Cholesky factor of what the trend knows.
    solved_terms: DMatrix<f64>,
    information: Cholesky<f64, Dyn>,
    /// Standard deviation of the process, widened as left-out points ask.
    deviation: f64,
    /// Root mean square of what was missed at each point by a fit without it.
    left_out: f64,
}

impl Kriging {
    /// Fits values at points whose coordinates are of order one. `start` are the lengths of an earlier fit. None of fewer points than
    /// terms, of equal values, or where no covariance can be factorised.
    pub fn fit(points: &[Vec<f64>], values: &[f64], start: Option<&Kriging>) -> Option<Self> {
        let dimensions = points.first()?.len();
        let quadratic = points.len() >= POINTS_A_TERM * terms(&points[0], true).len();
        if points.len() < terms(&points[0], quadratic).len() + 2 {
            return None;
        }
        let data = Data::new(points, values, quadratic)?;
        let usual = || {
            let lengths = std::iter::repeat_n(LIKELY_LENGTH.ln(), dimensions);
            lengths.chain([-10.0]).collect::<Vec<f64>>()
        };
        let again = usize::from(start.is_some());
        let first = start.map_or_else(usual, |k| k.log.clone());
        let log = simplex::least(&|log| data.loss(&bounded(log)), &first, STEPS[again], EVALUATIONS[again]);
        data.fitted(bounded(&log))
    }

    /// Root mean square of what a fit without each point misses at it, in the unit of the values.
    pub fn left_out(&self) -> f64 {
        self.left_out
    }

    /// Value at a point.
    pub fn mean(&self, point: &[f64]) -> f64 {
        self.trend.dot(&terms(point, self.quadratic)) + self.weights.dot(&self.near(point))
    }

    /// Values at points and the standard deviations of the answer about them, ripple included.
    pub fn at(&self, points: &[Vec<f64>]) -> Vec<(f64, f64)> {
        points.chunks(CHUNK).flat_map(|chunk| self.at_some(chunk)).collect()
    }

    fn at_some(&self, points: &[Vec<f64>]) -> Vec<(f64, f64)> {
        let columns = |column: &dyn Fn(&[f64]) -> DVector<f64>| {
            DMatrix::from_columns(&points.iter().map(|point| column(point)).collect::<Vec<DVector<f64>>>())
        };
        let (near, terms) = (columns(&|point| self.near(point)), columns(&|point| terms(point, self.quadratic)));
        let solved = &self.inverse * &near;
        let mut rest = &terms - self.solved_terms.tr_mul(&near);
        self.information.l_dirty().solve_lower_triangular_mut(&mut rest);
        let each = (0..points.len()).map(|i| {
            let mean = self.trend.dot(&terms.column(i)) + self.weights.dot(&near.column(i));
            let share = 1.0 + self.nugget() - solved.column(i).norm_squared() + rest.column(i).norm_squared();
            (mean, self.deviation * share.max(self.nugget()).sqrt())
        });
        each.collect()
    }

    fn nugget(&self) -> f64 {
        self.log.last().map_or(0.0, |log| log.exp())
    }

    /// Covariance of a point with those of the fit, as a share of the variance.
    fn near(&self, point: &[f64]) -> DVector<f64> {
        let inverse: Vec<f64> = self.log.iter().map(|log| (-log).exp()).collect();
        DVector::from_iterator(self.points.len(), self.points.iter().map(|other| matern(point, other, &inverse)))
    }
}

/// Data of a fit, and what does not change with the lengths.
struct Data<'a> {
    points: &'a [Vec<f64>],
    values: DVector<f64>,
    terms: DMatrix<f64>,
    quadratic: bool,
}

/// What a set of lengths gives.
struct Solved {
    covariance: Cholesky<f64, Dyn>,
    information: Cholesky<f64, Dyn>,
    solved_terms: DMatrix<f64>,
    trend: DVector<f64>,
    weights: DVector<f64>,
    variance: f64,
}

impl<'a> Data<'a> {
    fn new(points: &'a [Vec<f64>], values: &[f64], quadratic: bool) -> Option<Self> {
        let rows: Vec<DVector<f64>> = points.iter().map(|p| terms(p, quadratic)).collect();
        let terms = DMatrix::from_fn(points.len(), rows.first()?.len(), |i, j| rows[i][j]);
        let values = DVector::from_column_slice(values);
        let equal = values.iter().all(|v| (v - values[0]).abs() <= f64::EPSILON * values[0].abs());
        (!equal && values.iter().all(|v| v.is_finite())).then_some(Self { points, values, terms, quadratic })
    }

    fn solve(&self, log: &[f64]) -> Option<Solved> {
        let n = self.points.len();
        let inverse: Vec<f64> = log.iter().map(|log| (-log).exp()).collect();
        let nugget = log.last()?.exp();
        let mut matrix = DMatrix::zeros(n, n);
        for i in 0..n {
            matrix[(i, i)] = 1.0 + nugget;
            for j in 0..i {
                let k = matern(&self.points[i], &self.points[j], &inverse);
                matrix[(i, j)] = k;
                matrix[(j, i)] = k;
            }
        }
        let covariance = Cholesky::new(matrix)?;
        let solved_terms = covariance.solve(&self.terms);
        let information = Cholesky::new(self.terms.tr_mul(&solved_terms))?;
        let trend = information.solve(&solved_terms.tr_mul(&self.values));
        let weights = covariance.solve(&(&self.values - &self.terms * &trend));
        let freedom = (n - self.terms.ncols()) as f64;
        let variance = weights.dot(&self.values).max(f64::MIN_POSITIVE) / freedom;
        Some(Solved { covariance, information, solved_terms, trend, weights, variance })
    }

    /// Minus twice the restricted log-likelihood, and the prior.
    fn loss(&self, log: &[f64]) -> f64 {
        let Some(solved) = self.solve(log) else { return f64::INFINITY };
        let determinant = |c: &Cholesky<f64, Dyn>| c.l_dirty().diagonal().iter().map(|d| 2.0 * d.ln()).sum::<f64>();
        let freedom = (self.points.len() - self.terms.ncols()) as f64;
        let lengths = &log[..log.len() - 1];
        let prior: f64 = lengths.iter().map(|l| ((l - LIKELY_LENGTH.ln()) / SPREAD_OF_LENGTHS).powi(2)).sum();
        freedom * solved.variance.ln() + determinant(&solved.covariance) + determinant(&solved.information) + prior
    }

    fn fitted(&self, log: Vec<f64>) -> Option<Kriging> {
        let Solved { covariance, information, solved_terms, trend, weights, variance } = self.solve(&log)?;
        // Left-out errors without a new fit (O. Dubrule, Mathematical Geology 15 (1983) 687): weight over precision.
        let n = self.points.len();
        let inverse = covariance.l_dirty().solve_lower_triangular(&DMatrix::identity(n, n))?;
        let known = information.l_dirty().solve_lower_triangular(&solved_terms.transpose())?;
        let precision: Vec<f64> =
            (0..n).map(|i| (inverse.column(i).norm_squared() - known.column(i).norm_squared()).max(1e-12)).collect();
        let n = n as f64;
        let squares: f64 = weights.iter().zip(&precision).map(|(w, q)| (w / q).powi(2)).sum();
        let scaled: f64 = weights.iter().zip(&precision).map(|(w, q)| w * w / (q * variance)).sum();
        let widening = (scaled / n).sqrt().clamp(WIDENING[0], WIDENING[1]);
        Some(Kriging {
            points: self.points.to_vec(),
            quadratic: self.quadratic,
            log,
            inverse,
            trend,
            weights,
            solved_terms,
            information,
            deviation: widening * variance.sqrt(),
            left_out: (squares / n).sqrt(),
        })
    }
}

fn bounded(log: &[f64]) -> Vec<f64> {
    let last = log.len() - 1;
    let bound = |(i, l): (usize, &f64)| {
        let [low, high] = if i == last { LOG_NUGGET } else { LOG_LENGTH };
        l.clamp(low, high)
    };
    log.iter().enumerate().map(bound).collect()
}

/// Matern's covariance with smoothness 5/2 over distances scaled by `inverse` lengths.
fn matern(a: &[f64], b: &[f64], inverse: &[f64]) -> f64 {
    let square: f64 = a.iter().zip(b).zip(inverse).map(|((x, y), l)| ((x - y) * l).powi(2)).sum();
    let r = (5.0 * square).sqrt();
    (1.0 + r + r * r / 3.0) * (-r).exp()
}

/// Terms of the trend at a point: one, the coordinates, and their products where it is quadratic.
fn terms(point: &[f64], quadratic: bool) -> DVector<f64> {
    let mut terms: Vec<f64> = std::iter::once(1.0).chain(point.iter().copied()).collect();
    if quadratic {
        for i in 0..point.len() {
            terms.extend((0..=i).map(|j| point[i] * point[j]));
        }
    }
    DVector::from_vec(terms)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use crate::tolerance::sequence::normal_points;

    fn curved(x: &[f64]) -> f64 {
        3.0 + x[0] - 0.5 * x[1] + 0.3 * x[0] * x[1] + (0.7 * x[0]).sin() + 0.1 * x[2].exp()
    }

    #[test]
    fn a_quadratic_is_met_by_the_trend_alone() {
        let f = |x: &[f64]| 2.0 - x[0] + 0.3 * x[0] * x[1] + 0.2 * x[1] * x[1];
        let points = normal_points(20, 2, 5);
        let values: Vec<f64> = points.iter().map(|p| f(p)).collect();
        let fit = Kriging::fit(&points, &values, None).unwrap();
        for far in [[4.0, -4.0], [-5.0, 1.0]] {
            assert!((fit.mean(&far) - f(&far)).abs() < 1e-4, "{} {}", fit.mean(&far), f(&far));
        }
    }

    #[test]
    fn left_out_errors_are_those_of_fits_without_each_point() {
        let points = normal_points(30, 3, 2);
        let values: Vec<f64> = points.iter().map(|p| curved(p)).collect();
        let fit = Kriging::fit(&points, &values, None).unwrap();
        let mut squares = 0.0;
        for i in 0..points.len() {
            let without = |list: &[f64]| list.iter().enumerate().filter(|(k, _)| *k != i).map(|(_, v)| *v).collect::<Vec<_>>();
            let others: Vec<Vec<f64>> = points.iter().enumerate().filter(|(k, _)| *k != i).map(|(_, p)| p.clone()).collect();
            let rest = without(&values);
            let data = Data::new(&others, &rest, fit.quadratic).unwrap();
            let refitted = data.fitted(fit.log.clone()).unwrap();
            squares += (refitted.mean(&points[i]) - values[i]).powi(2);
        }
        let expected = (squares / points.len() as f64).sqrt();
        assert!((fit.left_out() / expected - 1.0).abs() < 1e-6, "{} {expected}", fit.left_out());
    }

    #[test]
    fn told_deviations_cover_what_is_missed_and_ripple_is_found() {
        let points = normal_points(60, 3, 9);
        // A ripple that no smooth function follows.
        let ripple = |x: &[f64]| 0.02 * (400.0 * x[0]).sin();
        let values: Vec<f64> = points.iter().map(|p| curved(p) + ripple(p)).collect();
        let fit = Kriging::fit(&points, &values, None).unwrap();
        let fresh = normal_points(400, 3, 10);
        let missed = |p: &Vec<f64>| {
            let (mean, deviation) = fit.at(std::slice::from_ref(p))[0];
            assert!((mean - fit.mean(p)).abs() < 1e-9);
            ((curved(p) + ripple(p) - mean) / deviation).abs()
        };
        let within = fresh.iter().filter(|p| missed(p) < 2.0).count();
        assert!((340..=400).contains(&within), "{within} of 400 within two deviations");
        let at_home = fit.at(&points[..1])[0].1;
        assert!((0.005..0.1).contains(&at_home), "ripple of 0.014 rms told as {at_home}");
    }

    #[test]
    fn what_cannot_be_fitted_is_none() {
        let points = normal_points(20, 2, 1);
        assert!(Kriging::fit(&points, &[2.0; 20], None).is_none());
        assert!(Kriging::fit(&points[..3], &[1.0, 2.0, 3.0], None).is_none());
        assert!(Kriging::fit(&[], &[], None).is_none());
    }
}
