//! The standard normal distribution, to nine digits also far out in its tails.

use std::f64::consts::{PI, SQRT_2};

use statrs::distribution::{ContinuousCDF, StudentsT};
use statrs::function::erf::{erfc, erfc_inv};

/// Probability below `z`.
pub fn below(z: f64) -> f64 {
    0.5 * erfc(-z / SQRT_2)
}

/// The value with probability `p` below it; infinite at 0 and 1.
pub fn quantile(p: f64) -> f64 {
    -SQRT_2 * erfc_inv(2.0 * p)
}

/// Density at `z`.
pub fn density(z: f64) -> f64 {
    (-0.5 * z * z).exp() / (2.0 * PI).sqrt()
}

/// Half width of a 95 % interval in standard errors, for a standard error that is itself told with `freedom` degrees of freedom
/// (Student's t).
pub fn half_width_95(freedom: f64) -> f64 {
    let freedom = freedom.max(1.0);
    StudentsT::new(0.0, 1.0, freedom).map_or(f64::INFINITY, |t| t.inverse_cdf(0.975))
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    /// Values of `scipy.stats.norm` and `scipy.stats.t` 1.17.
    #[test]
    fn tails_are_those_of_another_library() {
        for (z, p) in [(-8.0, 6.220_960_574_271_74e-16), (-5.0, 2.866_515_718_791_933e-7), (-1.0, 0.158_655_253_931_457_05)] {
            assert_relative_eq!(below(z), p, max_relative = 1e-9);
            assert_relative_eq!(quantile(p), z, max_relative = 1e-9);
        }
        assert_relative_eq!(half_width_95(47.0), 2.011_740_513_729_765_5, max_relative = 1e-9);
    }
}
