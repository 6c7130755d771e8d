//! Stand-ins for the margins to all limits, fitted to solved samples.

use super::joint::Joint;
use super::kriging::Kriging;
use super::sample::Solved;
use hoopwright_statistics::normal::below;

/// A margin that the data show to be the same everywhere, or of which they show nothing, is told with so many deviations.
const CERTAIN: f64 = 40.0;

/// Margins as functions of the inputs.
#[derive(Clone, Debug)]
pub struct Surrogate {
    /// Mean and standard deviation of each input, which make places of order one.
    scale: Vec<[f64; 2]>,
    limits: Vec<Margin>,
}

#[derive(Clone, Debug)]
enum Margin {
    Fitted(Box<Kriging>),
    /// The limit is kept, or not kept, by every sample, and its margin does not vary.
    Fixed(f64),
}

impl Surrogate {
    /// Fits the margins to all limits. `before` is an earlier fit to begin from.
    pub fn fit(joint: &Joint, solved: &[Solved], limits: usize, before: Option<&Self>) -> Self {
        let scale: Vec<[f64; 2]> = joint.marginals().iter().map(|m| m.moments()).collect();
        let margin = |limit: usize| {
            let known = solved.iter().filter_map(|s| Some((place(&scale, &s.x), s.sample.margins[limit]?)));
            let (points, values): (Vec<Vec<f64>>, Vec<f64>) = known.unzip();
            let earlier = before.and_then(|b| match &b.limits[limit] {
                Margin::Fitted(fit) => Some(&**fit),
                Margin::Fixed(_) => None,
            });
            let usual = || Margin::Fixed(values.iter().copied().fold(f64::INFINITY, f64::min));
            Kriging::fit(&points, &values, earlier).map_or_else(usual, |fit| Margin::Fitted(Box::new(fit)))
        };
        let limits = (0..limits).map(margin).collect();
        Self { scale, limits }
    }

    /// Margin to a limit at values of the inputs.
    pub fn margin(&self, limit: usize, x: &[f64]) -> f64 {
        match &self.limits[limit] {
            Margin::Fitted(fit) => fit.mean(&place(&self.scale, x)),
            Margin::Fixed(value) => *value,
        }
    }

    /// Margin to each limit at several values of the inputs, and the standard deviation of the answer about it.
    pub fn margins(&self, x: &[Vec<f64>]) -> Vec<Vec<(f64, f64)>> {
        let places: Vec<Vec<f64>> = x.iter().map(|x| place(&self.scale, x)).collect();
        let mut rows = vec![Vec::with_capacity(self.limits.len()); x.len()];
        for limit in &self.limits {
            let column = match limit {
                Margin::Fitted(fit) => fit.at(&places),
                Margin::Fixed(value) => vec![(*value, (value.abs() / CERTAIN).max(f64::MIN_POSITIVE)); x.len()],
            };
            rows.iter_mut().zip(column).for_each(|(row, margin)| row.push(margin));
        }
        rows
    }

    /// Root mean square of what is missed at the samples by fits without them, for each limit; none where nothing is fitted.
    pub fn left_out(&self) -> Vec<Option<f64>> {
        let each = self.limits.iter().map(|limit| match limit {
            Margin::Fitted(fit) => Some(fit.left_out()),
            Margin::Fixed(_) => None,
        });
        each.collect()
    }
}

fn place(scale: &[[f64; 2]], x: &[f64]) -> Vec<f64> {
    x.iter().zip(scale).map(|(x, [mean, deviation])| (x - mean) / deviation).collect()
}

/// Probabilities that each limit is not kept, then that any is not, from margins and deviations widened by `factor`.
pub fn chances(margins: &[(f64, f64)], factor: f64) -> Vec<f64> {
    let mut chances: Vec<f64> = margins.iter().map(|(mean, deviation)| below(-mean / (factor * deviation))).collect();
    // From the smallest digits up: one less a product of complements has none left for tiny chances.
    let any = chances.iter().fold(0.0, |any: f64, p| any + p - any * p);
    chances.push(any);
    chances
}
