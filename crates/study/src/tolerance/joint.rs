//! How several inputs scatter together: a Gaussian copula. Each input follows its own distribution; correlation is carried by standard
//! normal coordinates behind them (A. Nataf, 1962; P.-L. Liu and A. Der Kiureghian, Probabilistic Engineering Mechanics 1 (1986) 105).

use nalgebra::{Cholesky, DMatrix, DVector};

use super::marginal::Marginal;
use hoopwright_statistics::normal::density;

/// Half range of normal coordinates that correlations are integrated over, and points along it: the trapezoidal rule converges faster
/// than any power for smooth integrands on a normal density.
const FAR: f64 = 8.0;
const NODES: usize = 97;
/// Largest correlation of the coordinates that is looked for.
const LARGEST: f64 = 0.999;

/// The joint distribution of some inputs.
#[derive(Clone, Debug)]
pub struct Joint {
    marginals: Vec<Marginal>,
    /// Correlation of the normal coordinates.
    correlation: DMatrix<f64>,
    /// Its Cholesky factor.
    factor: DMatrix<f64>,
}

/// Why inputs cannot scatter together as asked.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum JointError {
    /// No normal coordinates give two inputs, by their numbers from 0, this correlation.
    #[error("inputs {0} and {1} (counted from 0) cannot have a correlation of {2}: their distributions are too unlike")]
    Pair(usize, usize, f64),
    /// The coordinates' correlations are not positive definite.
    #[error("the correlations cannot all hold at once for these distributions")]
    Matrix,
}

impl Joint {
    /// From the distributions and the correlation (Pearson's, of the values) of some pairs.
    ///
    /// # Errors
    /// [`JointError`] where there is no such joint distribution.
    pub fn new(marginals: Vec<Marginal>, pairs: &[(usize, usize, f64)]) -> Result<Self, JointError> {
        let n = marginals.len();
        let mut correlation = DMatrix::identity(n, n);
        for &(i, j, rho) in pairs {
            let z = behind(&marginals[i], &marginals[j], rho).ok_or(JointError::Pair(i, j, rho))?;
            correlation[(i, j)] = z;
            correlation[(j, i)] = z;
        }
        let factor = Cholesky::new(correlation.clone()).ok_or(JointError::Matrix)?.l();
        Ok(Self { marginals, correlation, factor })
    }

    /// The inputs' own distributions.
    pub fn marginals(&self) -> &[Marginal] {
        &self.marginals
    }

    /// Number of inputs.
    pub fn dimensions(&self) -> usize {
        self.marginals.len()
    }

    /// Whether any two inputs go together.
    pub fn is_correlated(&self) -> bool {
        let n = self.dimensions();
        (0..n).any(|i| (0..i).any(|j| self.correlation[(i, j)].abs() > 0.0))
    }

    /// Correlated standard normal coordinates of independent ones.
    pub fn coordinates(&self, u: &[f64]) -> Vec<f64> {
        (&self.factor * DVector::from_column_slice(u)).as_slice().to_vec()
    }

    /// Values of the inputs at independent standard normal coordinates.
    pub fn at(&self, u: &[f64]) -> Vec<f64> {
        self.values(&self.coordinates(u))
    }

    /// Values of the inputs at correlated standard normal coordinates.
    pub fn values(&self, z: &[f64]) -> Vec<f64> {
        self.marginals.iter().zip(z).map(|(marginal, z)| marginal.at(*z)).collect()
    }

    /// Independent coordinates that belong to correlated ones.
    pub fn independent(&self, z: &[f64]) -> Vec<f64> {
        let z = DVector::from_column_slice(z);
        self.factor.solve_lower_triangular(&z).map_or_else(|| z.as_slice().to_vec(), |u| u.as_slice().to_vec())
    }

    /// The same with input `i` stretched about its centre: correlations are not touched by that.
    #[must_use]
    pub fn stretched(&self, i: usize, factor: f64) -> Self {
        let mut marginals = self.marginals.clone();
        marginals[i] = marginals[i].stretched(factor);
        Self { marginals, ..self.clone() }
    }

    /// Cholesky factor of the coordinates' correlation with input `i` in the first (or last) place, and the order of the inputs: what
    /// is drawn first is what the others are drawn under.
    pub(super) fn ordered(&self, i: usize, first: bool) -> (DMatrix<f64>, Vec<usize>) {
        let others = (0..self.dimensions()).filter(|k| *k != i);
        let order: Vec<usize> = if first { std::iter::once(i).chain(others).collect() } else { others.chain([i]).collect() };
        let n = order.len();
        let permuted = DMatrix::from_fn(n, n, |a, b| self.correlation[(order[a], order[b])]);
        let factor = Cholesky::new(permuted).map_or_else(|| DMatrix::identity(n, n), |c| c.l());
        (factor, order)
    }

    /// Importance of each input at a design point from its unit direction: the share of the input's normal coordinate in the linearised
    /// limit's variance, correlations let be; adds up to one (A. Der Kiureghian, Structural and System Reliability, ch. 6; from memory).
    pub fn importance(&self, direction: &[f64]) -> Vec<f64> {
        // Against correlated coordinates the gradient is direction . L^-1, and each has unit variance.
        let alpha = DVector::from_column_slice(direction);
        let gamma = self.factor.tr_solve_lower_triangular(&alpha).unwrap_or(alpha);
        let whole = gamma.norm_squared().max(f64::MIN_POSITIVE);
        gamma.iter().map(|g| g * g / whole).collect()
    }
}

/// The correlation of the normal coordinates behind two distributions that have the correlation `rho`.
fn behind(a: &Marginal, b: &Marginal, rho: f64) -> Option<f64> {
    let grid: Vec<f64> = (0..NODES).map(|k| FAR * (2.0 * k as f64 / (NODES - 1) as f64 - 1.0)).collect();
    let weight: Vec<f64> = grid.iter().map(|z| density(*z)).collect();
    let whole: f64 = weight.iter().sum();
    let ([ma, da], [mb, db]) = (a.moments(), b.moments());
    let first: Vec<f64> = grid.iter().map(|z| (a.at(*z) - ma) / da).collect();
    let correlation = |r: f64| {
        let rest = (1.0 - r * r).sqrt();
        let inner = |i: usize| grid.iter().zip(&weight).map(|(z, w)| w * (b.at(r * grid[i] + rest * z) - mb) / db).sum::<f64>();
        (0..NODES).map(|i| weight[i] * first[i] * inner(i)).sum::<f64>() / (whole * whole)
    };
    let (mut low, mut high) = (-LARGEST, LARGEST);
    if rho.abs() <= f64::EPSILON {
        return Some(0.0);
    }
    if correlation(low) > rho || correlation(high) < rho {
        return None;
    }
    for _ in 0..50 {
        let middle = 0.5 * (low + high);
        if correlation(middle) < rho { low = middle } else { high = middle }
    }
    Some(0.5 * (low + high))
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use crate::tolerance::sequence::normal_points;
    use std::f64::consts::PI;

    #[test]
    fn coordinates_behind_normal_and_uniform_inputs_have_their_closed_forms() {
        let (normal, uniform) = (Marginal::normal(5.0, 2.0), Marginal::uniform([1.0, 4.0]));
        for rho in [-0.8, -0.3, 0.5, 0.9] {
            assert!((behind(&normal, &normal, rho).unwrap() - rho).abs() < 1e-9);
            // Two uniform inputs: 2 sin(pi rho / 6); normal and uniform: rho sqrt(pi / 3) (Liu and Der Kiureghian 1986, tables 4 and 2).
            assert!((behind(&uniform, &uniform, rho).unwrap() - 2.0 * (PI * rho / 6.0).sin()).abs() < 1e-6);
            assert!((behind(&normal, &uniform, rho).unwrap() - rho * (PI / 3.0).sqrt()).abs() < 1e-6);
        }
        assert_eq!(Joint::new(vec![normal, uniform], &[(0, 1, 0.99)]).err(), Some(JointError::Pair(0, 1, 0.99)));
    }

    #[test]
    fn drawn_values_have_the_correlation_asked_for() {
        let marginals = vec![Marginal::triangular([0.0, 3.0], 0.5), Marginal::uniform([1.0, 4.0]), Marginal::normal(0.0, 1.0)];
        let joint = Joint::new(marginals, &[(0, 1, 0.6), (1, 2, -0.4)]).unwrap();
        let drawn: Vec<Vec<f64>> = normal_points(1 << 14, 3, 3).iter().map(|u| joint.at(u)).collect();
        let n = drawn.len() as f64;
        let mean = |i: usize| drawn.iter().map(|x| x[i]).sum::<f64>() / n;
        let product = |i: usize, j: usize| drawn.iter().map(|x| (x[i] - mean(i)) * (x[j] - mean(j))).sum::<f64>() / n;
        for (i, j, rho) in [(0, 1, 0.6), (1, 2, -0.4), (0, 2, 0.0)] {
            let found = product(i, j) / (product(i, i) * product(j, j)).sqrt();
            assert!((found - rho).abs() < 3e-3, "{i} {j}: {found} for {rho}");
        }
        let u = [0.3, -1.2, 0.7];
        let back = joint.independent(&joint.coordinates(&u));
        assert!(back.iter().zip(u).all(|(a, b)| (a - b).abs() < 1e-12));
    }

    #[test]
    fn importance_is_the_squared_direction_without_correlation_and_adds_up_to_one() {
        let marginals = || vec![Marginal::normal(0.0, 1.0); 2];
        let free = Joint::new(marginals(), &[]).unwrap();
        assert!((free.importance(&[0.6, -0.8])[0] - 0.36).abs() < 1e-12);
        // z = L u with rho: the limit 3 z1 + 4 z2 has its direction L' (3, 4); what is told is 9 / 25 whatever rho.
        let tied = Joint::new(marginals(), &[(0, 1, 0.5)]).unwrap();
        let l = &tied.factor;
        let alpha = [3.0 * l[(0, 0)] + 4.0 * l[(1, 0)], 4.0 * l[(1, 1)]];
        assert!((tied.importance(&alpha)[0] - 0.36).abs() < 1e-12);
    }
}
