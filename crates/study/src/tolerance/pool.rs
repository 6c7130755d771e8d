//! A pool of places round the design points, drawn evenly and weighted so that sums over it are probabilities (importance sampling from
//! a mixture of normal densities; A. Owen, Monte Carlo Theory, Methods and Examples, 2013, ch. 9; J. Dick, F. Kuo and I. Sloan, Acta
//! Numerica 22 (2013) 133, for independent scramblings).

use super::design_point::{dot, norm};
use super::sequence::{normal_points, seed_for};

/// Independent scramblings, whose spread tells the error of a sum.
pub const REPLICATES: usize = 8;
/// Shares of the places that are drawn where the inputs usually are, and evenly in all directions as far out as the nearest centre:
/// there is found what no centre lies near.
const USUAL: f64 = 0.2;
const ALL_ROUND: f64 = 0.2;

/// Places in independent standard normal coordinates with their weights.
#[derive(Clone, Debug)]
pub struct Pool {
    /// The places, one replicate after the other.
    pub places: Vec<Vec<f64>>,
    /// Density of the inputs over that of the pool.
    pub weights: Vec<f64>,
    /// Places of one replicate.
    each: usize,
}

impl Pool {
    /// About `size` places, most of them round the `centres`.
    pub fn new(centres: &[Vec<f64>], dimensions: usize, size: usize, seed: u32) -> Self {
        let origin = vec![0.0; dimensions];
        let nearest = centres.iter().map(|c| norm(c)).fold(f64::INFINITY, f64::min);
        let wide = if nearest.is_finite() { (nearest / (dimensions as f64).sqrt()).max(1.0) } else { 2.0 };
        let each = (size / REPLICATES).max(4);
        let share = |share: f64| (share * each as f64) as usize;
        let mut parts = vec![Part::new(&origin, 1.0, share(USUAL)), Part::new(&origin, wide, share(ALL_ROUND))];
        let others = (each - share(USUAL) - share(ALL_ROUND)).div_ceil(centres.len().max(1));
        parts.extend(centres.iter().map(|centre| Part::new(centre, 1.0, others)));
        let each: usize = parts.iter().map(|part| part.count).sum();
        let mut places = Vec::new();
        for replicate in 0..REPLICATES {
            for (k, part) in parts.iter().enumerate() {
                let points = normal_points(part.count, dimensions, seed_for(seed, (1 + k * REPLICATES + replicate) as u64));
                places.extend(points.iter().map(|point| part.place(point)));
            }
        }
        let share = |part: &Part<'_>, u: &[f64]| part.count as f64 / each as f64 * part.over_inputs(u);
        let weights = places.iter().map(|u: &Vec<f64>| 1.0 / parts.iter().map(|part| share(part, u)).sum::<f64>()).collect();
        Self { places, weights, each }
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

/// Places drawn from a normal density about a centre.
struct Part<'a> {
    centre: &'a [f64],
    deviation: f64,
    count: usize,
}

impl<'a> Part<'a> {
    fn new(centre: &'a [f64], deviation: f64, count: usize) -> Self {
        Self { centre, deviation, count }
    }

    fn place(&self, point: &[f64]) -> Vec<f64> {
        point.iter().zip(self.centre).map(|(x, c)| c + self.deviation * x).collect()
    }

    /// Its density over that of the inputs.
    fn over_inputs(&self, u: &[f64]) -> f64 {
        let aside: f64 = u.iter().zip(self.centre).map(|(x, c)| ((x - c) / self.deviation).powi(2)).sum();
        (0.5 * (dot(u, u) - aside)).exp() / self.deviation.powi(u.len() as i32)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tolerance::normal::below;

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
