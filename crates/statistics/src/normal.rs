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

/// Beyond so many degrees of freedom Student's t is the normal distribution to four digits.
const NEARLY_NORMAL: f64 = 1e4;
/// Student's quantiles of at most 97.5 % lie between these for any freedom from one up; halvings that give all digits.
const QUANTILES: [f64; 2] = [0.0, 13.0];
const HALVINGS: usize = 52;

/// Half width of a 95 % interval in standard errors, for a standard error that is itself told with `freedom` degrees of freedom
/// (Student's t).
pub fn half_width_95(freedom: f64) -> f64 {
    student(freedom, 0.975)
}

/// Student's quantile, one degree of freedom at least, that a share `p` from 0.5 to 0.975 lies below. By halving: the library's own
/// inverse does not end for some freedoms.
pub fn student(freedom: f64, p: f64) -> f64 {
    let student = StudentsT::new(0.0, 1.0, freedom.max(1.0)).ok().filter(|_| freedom < NEARLY_NORMAL);
    let Some(student) = student else { return quantile(p) };
    let [mut low, mut high] = QUANTILES;
    for _ in 0..HALVINGS {
        let middle = 0.5 * (low + high);
        if student.cdf(middle) < p { low = middle } else { high = middle }
    }
    0.5 * (low + high)
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
        for (freedom, t) in STUDENT {
            assert_relative_eq!(half_width_95(freedom), t, max_relative = 1e-9);
        }
        // No freedom is too large or odd to have an answer.
        for k in -20..400 {
            let t = half_width_95((0.1 * f64::from(k)).exp());
            assert!((1.959..12.71).contains(&t), "{k}: {t}");
        }
        assert_relative_eq!(half_width_95(f64::MAX), quantile(0.975), max_relative = 1e-12);
    }

    const STUDENT: [(f64, f64); 5] = [
        (1.0, 12.706204736174694),
        (2.5, 3.5746548420036817),
        (7.0, 2.364624251592784),
        (47.0, 2.0117405137297655),
        (1000.0, 1.9623390808264083),
    ];
}
