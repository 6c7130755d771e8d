//! A pool of places round the design points, drawn evenly and weighted so that sums over it are probabilities (importance sampling from
//! a mixture of normal densities; A. Owen, Monte Carlo Theory, Methods and Examples, 2013, ch. 9; J. Dick, F. Kuo and I. Sloan, Acta
//! Numerica 22 (2013) 133, for independent scramblings).

use nalgebra::{Cholesky, DMatrix, DVector};

use super::design_point::{dot, norm};
use super::sequence::{normal_points, seed_for};

/// Independent scramblings, whose spread tells the error of a sum.
pub const REPLICATES: usize = 8;
/// Shares of the places that are drawn where the inputs usually are, and evenly in all directions as far out as the nearest centre:
/// there is found what no centre lies near.
const USUAL: f64 = 0.15;
const ALL_ROUND: f64 = 0.15;
/// Share drawn from the densities fitted to what a first pool found, and what widens them.
const FITTED: f64 = 0.5;
const WIDER: f64 = 1.2;
const LEAST: f64 = 0.1;
/// The rarest of several values, as a share of all, that gets a density of its own, and its least share of the places before all are
/// scaled to their sum.
const RAREST: f64 = 1e-5;
const LEAST_PART: f64 = 0.4;

/// Places in independent standard normal coordinates with their weights.
#[derive(Clone, Debug)]
pub struct Pool {
    /// The places, one replicate after the other.
    pub places: Vec<Vec<f64>>,
    /// Density of the inputs over that of the pool.
    pub weights: Vec<f64>,
    /// Places of one replicate.
    each: usize,
    centres: Vec<Vec<f64>>,
}

/// Mean and Cholesky factor of the covariance of a normal density.
type Fitted = (Vec<f64>, DMatrix<f64>);

impl Pool {
    /// About `size` places, most of them round the `centres`.
    pub fn new(centres: &[Vec<f64>], dimensions: usize, size: usize, seed: u32) -> Self {
        Self::of(centres, &[], dimensions, size, seed)
    }

    /// A pool that knows more: about half its places are drawn from normal densities with the mean and covariance of what this one holds,
    /// weighted by each list of `values` (cross-entropy; R. Rubinstein and D. Kroese, The Cross-Entropy Method, 2004).
    #[must_use]
    pub fn refined(&self, values: &[Vec<f64>], size: usize, seed: u32) -> Self {
        let dimensions = self.places.first().map_or(0, Vec::len);
        let sums: Vec<f64> = values.iter().map(|v| self.weights.iter().zip(v).map(|(w, v)| w * v).sum()).collect();
        let all: f64 = sums.iter().sum();
        let parts = values.iter().zip(&sums).filter(|(_, sum)| **sum > RAREST * all && all > 0.0);
        let parts: Vec<(Fitted, f64)> =
            parts.filter_map(|(values, sum)| Some((self.fitted(values)?, (sum / all).sqrt().max(LEAST_PART)))).collect();
        Self::of(&self.centres, &parts, dimensions, size, seed)
    }

    /// Mean and Cholesky factor of the covariance of the places, weighted by some values too.
    fn fitted(&self, values: &[f64]) -> Option<Fitted> {
        let weights: Vec<f64> = self.weights.iter().zip(values).map(|(w, v)| w * v).collect();
        let whole: f64 = weights.iter().sum();
        let n = self.places.first()?.len();
        let mean: Vec<f64> =
            (0..n).map(|k| self.places.iter().zip(&weights).map(|(u, w)| w * u[k]).sum::<f64>() / whole).collect();
        let mut covariance = DMatrix::identity(n, n) * LEAST;
        for (u, w) in self.places.iter().zip(&weights) {
            let aside = DVector::from_iterator(n, u.iter().zip(&mean).map(|(x, m)| x - m));
            covariance += &aside * aside.transpose() * (WIDER * w / whole);
        }
        Some((mean, Cholesky::new(covariance)?.l()))
    }

    fn of(centres: &[Vec<f64>], fitted: &[(Fitted, f64)], dimensions: usize, size: usize, seed: u32) -> Self {
        let nearest = centres.iter().map(|c| norm(c)).fold(f64::INFINITY, f64::min);
        let wide = if nearest.is_finite() { (nearest / (dimensions as f64).sqrt()).max(1.0) } else { 2.0 };
        let each = (size / REPLICATES).max(4);
        let share = |share: f64| (share * each as f64) as usize;
        let (origin, one) = (vec![0.0; dimensions], DMatrix::identity(dimensions, dimensions));
        let mut parts = vec![Part::new(&origin, one.clone(), share(USUAL)), Part::new(&origin, &one * wide, share(ALL_ROUND))];
        let whole: f64 = fitted.iter().map(|(_, part)| part).sum();
        parts.extend(fitted.iter().map(|((mean, factor), part)| Part::new(mean, factor.clone(), share(FITTED * part / whole))));
        let others = each.saturating_sub(parts.iter().map(|part| part.count).sum());
        parts.extend(centres.iter().map(|centre| Part::new(centre, one.clone(), others.div_ceil(centres.len()))));
        let each: usize = parts.iter().map(|part| part.count).sum();
        let mut places = Vec::new();
        for replicate in 0..REPLICATES {
            for (k, part) in parts.iter().enumerate() {
                let points = normal_points(part.count, dimensions, seed_for(seed, (1 + k * REPLICATES + replicate) as u64));
                places.extend(points.into_iter().map(|point| part.place(point)));
            }
        }
        let share = |part: &Part, u: &[f64]| part.count as f64 / each as f64 * part.over_inputs(u);
        let weights = places.iter().map(|u: &Vec<f64>| 1.0 / parts.iter().map(|part| share(part, u)).sum::<f64>()).collect();
        Self { places, weights, each, centres: centres.to_vec() }
    }

    /// Number of places.
    pub fn len(&self) -> usize {
        self.places.len()
    }

    /// Whether there is no place.
    pub fn is_empty(&self) -> bool {
        self.places.is_empty()
    }

    /// Mean over the inputs of what has these values at the places, and its standard error.
    pub fn mean(&self, values: &[f64]) -> (f64, f64) {
        let weighted: Vec<f64> = self.weights.iter().zip(values).map(|(w, v)| w * v).collect();
        let means: Vec<f64> = weighted.chunks(self.each).map(|part| part.iter().sum::<f64>() / part.len() as f64).collect();
        let n = means.len() as f64;
        let mean = means.iter().sum::<f64>() / n;
        let squares: f64 = means.iter().map(|m| (m - mean).powi(2)).sum();
        (mean, (squares / (n * (n - 1.0))).sqrt())
    }
}

/// Places drawn from a normal density.
struct Part {
    mean: DVector<f64>,
    /// Cholesky factor of its covariance, and the logarithm of its determinant.
    factor: DMatrix<f64>,
    log_size: f64,
    count: usize,
}

impl Part {
    fn new(mean: &[f64], factor: DMatrix<f64>, count: usize) -> Self {
        let log_size = factor.diagonal().iter().map(|d| d.ln()).sum();
        Self { mean: DVector::from_column_slice(mean), factor, log_size, count }
    }

    fn place(&self, point: Vec<f64>) -> Vec<f64> {
        (&self.mean + &self.factor * DVector::from_vec(point)).as_slice().to_vec()
    }

    /// Its density over that of the inputs.
    fn over_inputs(&self, u: &[f64]) -> f64 {
        let mut aside = DVector::from_column_slice(u) - &self.mean;
        self.factor.solve_lower_triangular_mut(&mut aside);
        (0.5 * (dot(u, u) - aside.norm_squared()) - self.log_size).exp()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use hoopwright_statistics::normal::below;

    #[test]
    fn weights_make_probabilities_of_sums() {
        // One limit at a distance of 4.5 along (0.6, 0.8): exactly the normal tail.
        let centre = vec![2.7, 3.6];
        let pool = Pool::new(std::slice::from_ref(&centre), 2, 1 << 14, 1);
        let fails: Vec<f64> = pool.places.iter().map(|u| f64::from(u8::from(0.6 * u[0] + 0.8 * u[1] > 4.5))).collect();
        let (found, error) = pool.mean(&fails);
        let exact = below(-4.5);
        assert!((found - exact).abs() < 4.0 * error && error < 0.02 * exact, "{found:e} {error:e} {exact:e}");
        let (whole, _) = pool.mean(&vec![1.0; pool.len()]);
        assert!((whole - 1.0).abs() < 0.02, "{whole}");
    }
}
