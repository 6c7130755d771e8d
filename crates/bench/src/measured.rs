//! A measured number with its errors, and means of repeats.

use statrs::distribution::{ContinuousCDF, StudentsT};

use hoopwright_statistics::normal::half_width_95;

/// A number with its errors, all in the same unit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Measured {
    /// The number.
    pub value: f64,
    /// Standard error by the scatter of the log.
    pub error: f64,
    /// Degrees of freedom of that error.
    pub freedom: f64,
    /// Standard uncertainty from what calibrations leave open; 0 where none is stated.
    pub systematic: f64,
}

impl Measured {
    /// Both errors together (root of the squares' sum; JCGM 100, 5.1.2).
    pub fn total(&self) -> f64 {
        self.error.hypot(self.systematic)
    }

    /// Half the width of the 95 % interval: Student's quantile times the standard error, and 1.96 times the systematic one, as squares.
    pub fn half_width(&self) -> f64 {
        (quantile(self.freedom) * self.error).hypot(1.96 * self.systematic)
    }

    /// The same number times a factor.
    pub fn scaled(self, factor: f64) -> Self {
        let size = factor.abs();
        Self { value: self.value * factor, error: self.error * size, systematic: self.systematic * size, ..self }
    }

    /// With a systematic uncertainty beside what there is.
    pub fn and(self, systematic: f64) -> Self {
        Self { systematic: self.systematic.hypot(systematic), ..self }
    }

    /// Of repeats: mean, and scatter of the mean; none of fewer than two.
    pub fn of_repeats(values: &[f64]) -> Option<Self> {
        let n = values.len() as f64;
        let value = values.iter().sum::<f64>() / n;
        let squares: f64 = values.iter().map(|v| (v - value).powi(2)).sum();
        let freedom = n - 1.0;
        (values.len() > 1).then(|| Self { value, error: (squares / freedom / n).sqrt(), freedom, systematic: 0.0 })
    }
}

/// Student's two-sided 95 % quantile for some degrees of freedom, 1 at least.
pub fn quantile(freedom: f64) -> f64 {
    half_width_95(freedom)
}

/// Probability that a number's scatter alone takes it as far from zero as it lies, either way.
pub fn chance(value: f64, error: f64, freedom: f64) -> f64 {
    if error <= 0.0 {
        return if value.abs() > 0.0 { 0.0 } else { 1.0 };
    }
    let t = StudentsT::new(0.0, 1.0, freedom.clamp(1.0, 1e6));
    t.map_or(1.0, |t| 2.0 * t.cdf(-(value / error).abs()))
}

/// The middle of some numbers (mean of the two middle ones); zero of none.
pub(crate) fn median(values: &mut [f64]) -> f64 {
    let n = values.len();
    if n == 0 {
        return 0.0;
    }
    let half = n / 2;
    let (low, middle, _) = values.select_nth_unstable_by(half, f64::total_cmp);
    if n % 2 == 1 { *middle } else { 0.5 * (*middle + low.iter().copied().fold(f64::NEG_INFINITY, f64::max)) }
}

/// Standard deviation by the median of the sizes of some deviations, as for a normal distribution.
pub(crate) fn robust_deviation(deviations: impl Iterator<Item = f64>) -> f64 {
    1.4826 * median(&mut deviations.map(f64::abs).collect::<Vec<_>>())
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    /// Quantiles as tabulated: Fisher and Yates, Statistical Tables (from memory), 12.706, 4.303, 2.228, 1.960.
    #[test]
    fn students_quantile_as_tabulated() {
        for (freedom, tabulated) in [(1.0, 12.706), (2.0, 4.303), (10.0, 2.228), (1e6, 1.960)] {
            assert!((quantile(freedom) - tabulated).abs() < 6e-4, "{freedom}: {}", quantile(freedom));
        }
        assert!((chance(2.228, 1.0, 10.0) - 0.05).abs() < 1e-4);
    }

    #[test]
    fn repeats_and_both_kinds_of_error() {
        let m = Measured::of_repeats(&[1.0, 2.0, 3.0, 6.0]).unwrap();
        // Variance (4 + 1 + 0 + 9) / 3.
        assert!((m.value - 3.0).abs() < 1e-15 && (m.error - (14.0_f64 / 3.0 / 4.0).sqrt()).abs() < 1e-15);
        assert!((m.and(0.3).and(0.4).total() - m.error.hypot(0.5)).abs() < 1e-15);
        assert_eq!(Measured::of_repeats(&[1.0]), None);
    }

    #[test]
    fn middles() {
        assert!((median(&mut [3.0, 1.0, 2.0]) - 2.0).abs() < 1e-15);
        assert!((median(&mut [4.0, 1.0, 2.0, 9.0]) - 3.0).abs() < 1e-15);
        assert!((robust_deviation([-1.0, 0.0, 1.0, 100.0, -1.0].into_iter()) - 1.4826).abs() < 1e-12);
    }
}
