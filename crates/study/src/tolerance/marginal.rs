//! How one input scatters: values as a function of a standard normal coordinate, and moments.

use hoopwright_case::Spread;

use hoopwright_statistics::normal::{below, density, quantile};

/// The distribution of one input, in the input's unit. It may be stretched about its centre, which sizes a tolerance.
#[derive(Clone, Debug, PartialEq)]
pub struct Marginal {
    shape: Shape,
    centre: f64,
    stretch: f64,
}

#[derive(Clone, Debug, PartialEq)]
enum Shape {
    Normal { mean: f64, deviation: f64 },
    Truncated { mean: f64, deviation: f64, ends: [f64; 2] },
    Uniform([f64; 2]),
    Triangular { ends: [f64; 2], mode: f64 },
    Measured(Vec<f64>),
}

impl Marginal {
    /// Normal with a mean and a standard deviation.
    pub fn normal(mean: f64, deviation: f64) -> Self {
        Self { shape: Shape::Normal { mean, deviation }, centre: mean, stretch: 1.0 }
    }

    /// Normal, cut off at two ends; mean and deviation are those before the cut.
    pub fn truncated(mean: f64, deviation: f64, ends: [f64; 2]) -> Self {
        Self { shape: Shape::Truncated { mean, deviation, ends }, centre: mean, stretch: 1.0 }
    }

    /// Uniform between two ends.
    pub fn uniform(ends: [f64; 2]) -> Self {
        Self { shape: Shape::Uniform(ends), centre: 0.5 * (ends[0] + ends[1]), stretch: 1.0 }
    }

    /// Triangular between two ends.
    pub fn triangular(ends: [f64; 2], mode: f64) -> Self {
        Self { shape: Shape::Triangular { ends, mode }, centre: mode, stretch: 1.0 }
    }

    /// As measured: straight between the values in their order, the smallest at probability 0, the largest at 1. None of less than two
    /// different values.
    pub fn measured(values: &[f64]) -> Option<Self> {
        let mut sorted = values.to_vec();
        sorted.sort_by(f64::total_cmp);
        let (first, last) = (*sorted.first()?, *sorted.last()?);
        let centre = sorted.iter().sum::<f64>() / sorted.len() as f64;
        (last > first).then_some(Self { shape: Shape::Measured(sorted), centre, stretch: 1.0 })
    }

    /// Of a spread as typed; measured values are given beside it.
    pub fn of(spread: &Spread, measured: &[f64]) -> Option<Self> {
        Some(match spread {
            Spread::Normal { mean, deviation, within: None } => Self::normal(*mean, *deviation),
            Spread::Normal { mean, deviation, within: Some(ends) } => Self::truncated(*mean, *deviation, *ends),
            Spread::Uniform(ends) => Self::uniform(*ends),
            Spread::Triangular { ends, mode } => Self::triangular(*ends, *mode),
            Spread::Measured { .. } => return Self::measured(measured),
        })
    }

    /// The same, every distance from the centre being `factor` times as large.
    #[must_use]
    pub fn stretched(&self, factor: f64) -> Self {
        Self { stretch: self.stretch * factor, ..self.clone() }
    }

    /// Mean of a normal or of measured values, middle of a uniform, mode of a triangular distribution: what it is stretched about.
    pub fn centre(&self) -> f64 {
        self.centre
    }

    /// The value that lies at a standard normal coordinate: both have the same probability below them.
    pub fn at(&self, z: f64) -> f64 {
        self.centre + self.stretch * (self.unstretched(z) - self.centre)
    }

    fn unstretched(&self, z: f64) -> f64 {
        match &self.shape {
            Shape::Normal { mean, deviation } => mean + deviation * z,
            Shape::Truncated { mean, deviation, ends } => {
                let [a, b] = ends.map(|end| (end - mean) / deviation);
                // Each tail is counted from its own side, where its probability has all its digits.
                let t = if z <= 0.0 {
                    quantile(below(a) + below(z) * (below(b) - below(a)))
                } else {
                    -quantile(below(-b) + below(-z) * (below(-a) - below(-b)))
                };
                (mean + deviation * t).clamp(ends[0], ends[1])
            }
            Shape::Uniform([a, b]) => a + (b - a) * below(z),
            Shape::Triangular { ends: [a, b], mode } => {
                if below(z) * (b - a) < mode - a {
                    a + (below(z) * (b - a) * (mode - a)).sqrt()
                } else {
                    b - (below(-z) * (b - a) * (b - mode)).sqrt()
                }
            }
            Shape::Measured(values) => {
                let place = below(z) * (values.len() - 1) as f64;
                let k = (place as usize).min(values.len() - 2);
                values[k] + (place - k as f64) * (values[k + 1] - values[k])
            }
        }
    }

    /// Smallest and largest value, where there are such.
    pub fn ends(&self) -> Option<[f64; 2]> {
        let ends = match &self.shape {
            Shape::Normal { .. } => return None,
            Shape::Truncated { ends, .. } | Shape::Uniform(ends) | Shape::Triangular { ends, .. } => *ends,
            Shape::Measured(values) => [values[0], values[values.len() - 1]],
        };
        Some(ends.map(|end| self.centre + self.stretch * (end - self.centre)))
    }

    /// Mean and standard deviation.
    pub fn moments(&self) -> [f64; 2] {
        let [mean, deviation] = self.unstretched_moments();
        [self.centre + self.stretch * (mean - self.centre), self.stretch * deviation]
    }

    fn unstretched_moments(&self) -> [f64; 2] {
        match &self.shape {
            Shape::Normal { mean, deviation } => [*mean, *deviation],
            // Johnson, Kotz and Balakrishnan, Continuous Univariate Distributions 1, ch. 13.10.1; from memory.
            Shape::Truncated { mean, deviation, ends } => {
                let [a, b] = ends.map(|end| (end - mean) / deviation);
                let kept = below(b) - below(a);
                let shift = (density(a) - density(b)) / kept;
                let variance = 1.0 + (a * density(a) - b * density(b)) / kept - shift * shift;
                [mean + deviation * shift, deviation * variance.max(0.0).sqrt()]
            }
            Shape::Uniform([a, b]) => [0.5 * (a + b), (b - a) / 12.0_f64.sqrt()],
            Shape::Triangular { ends: [a, b], mode: m } => {
                let variance = (a * a + b * b + m * m - a * b - a * m - b * m) / 18.0;
                [(a + b + m) / 3.0, variance.max(0.0).sqrt()]
            }
            Shape::Measured(values) => {
                let pieces = (values.len() - 1) as f64;
                let mean = values.windows(2).map(|w| 0.5 * (w[0] + w[1])).sum::<f64>() / pieces;
                let square = |w: &[f64]| {
                    let (a, b) = (w[0] - mean, w[1] - mean);
                    (a * a + a * b + b * b) / 3.0
                };
                [mean, (values.windows(2).map(square).sum::<f64>() / pieces).sqrt()]
            }
        }
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use approx::assert_relative_eq;

    /// Mean, standard deviation and the 1 %, 50 % and 99.999 % quantiles of `scipy.stats` 1.17 (`truncnorm`, `triang`, `uniform`) and of
    /// `numpy.quantile` 2.4 (its default, straight between the values).
    #[test]
    fn moments_and_quantiles_are_those_of_another_library() {
        let measured = Marginal::measured(&[0.31, 0.22, 0.27, 0.25, 0.24, 0.29]).unwrap();
        let cases = [
            (Marginal::truncated(620.4, 0.1, [620.1, 620.7]), TRUNCATED),
            (Marginal::truncated(620.4, 0.2, [620.35, 621.0]), ONE_SIDED),
            (Marginal::triangular([5.0, 6.0], 5.5), TRIANGULAR),
            (Marginal::triangular([5.0, 6.0], 6.0), AT_THE_END),
            (Marginal::uniform([621.45, 622.45]), UNIFORM),
        ];
        for (marginal, [mean, deviation, low, middle, high]) in cases {
            let found = marginal.moments();
            assert_relative_eq!(found[0], mean, max_relative = 1e-10);
            assert_relative_eq!(found[1], deviation, max_relative = 1e-8);
            for (p, value) in [(0.01, low), (0.5, middle), (0.99999, high)] {
                assert_relative_eq!(marginal.at(quantile(p)), value, max_relative = 1e-9);
            }
        }
        for (p, value) in [(0.01, 0.221), (0.5, 0.26), (0.9, 0.3)] {
            assert_relative_eq!(measured.at(quantile(p)), value, max_relative = 1e-9);
        }
    }

    const TRUNCATED: [f64; 5] = [620.4, 0.09865783925581127, 620.1720642122896, 620.4, 620.6997757256846];
    const ONE_SIDED: [f64; 5] = [620.527975945582, 0.1275103006888428, 620.3530839337966, 620.5048639323613, 620.9997309690866];
    const TRIANGULAR: [f64; 5] = [5.5, 0.2041241452319315, 5.070710678118655, 5.5, 5.997763932022505];
    const AT_THE_END: [f64; 5] = [5.666666666666667, 0.23570226039551584, 5.1, 5.707106781186548, 5.9999949999875];
    const UNIFORM: [f64; 5] = [621.95, 0.28867513459481287, 621.46, 621.95, 622.4499900000001];

    /// The moments of measured values are those of the values drawn, by the trapezoidal rule over probability.
    #[test]
    fn measured_values_are_drawn_with_their_own_moments() {
        let measured = Marginal::measured(&[1.0, 2.0, 4.0, 4.5]).unwrap();
        let drawn: Vec<f64> = (0..30_000).map(|k| measured.at(quantile((f64::from(k) + 0.5) / 30_000.0))).collect();
        let mean = drawn.iter().sum::<f64>() / 3e4;
        let deviation = (drawn.iter().map(|x| (x - mean).powi(2)).sum::<f64>() / 3e4).sqrt();
        let [m, d] = measured.moments();
        assert!((m - mean).abs() < 1e-4 && (d - deviation).abs() < 1e-4, "{m} {mean} {d} {deviation}");
        assert_eq!((Marginal::measured(&[3.0, 3.0]), measured.ends()), (None, Some([1.0, 4.5])));
    }

    #[test]
    fn stretching_keeps_the_centre_and_scales_the_rest() {
        let marginal = Marginal::triangular([5.0, 6.0], 5.2).stretched(2.0);
        assert_eq!(marginal.ends(), Some([4.8, 6.8]));
        assert_relative_eq!(
            marginal.moments()[1],
            2.0 * Marginal::triangular([5.0, 6.0], 5.2).moments()[1],
            max_relative = 1e-12
        );
    }
}
