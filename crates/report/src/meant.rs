//! Numbers with their numerical error: as many digits as are meant.
//!
//! The error is told with two digits where it begins with 1 or 2 and with one otherwise, the number to the same place (JCGM 100:2008, Guide to
//! the expression of uncertainty in measurement, 7.2.6: at most two significant digits).

use hoopwright_case::Criterion;
use hoopwright_solver::numerical;
use hoopwright_solver::result::{Release, Run};

/// Between a number and its error.
pub(crate) const SIGN: &str = "+-";

/// A number and its error, both positive, in words: `8.49+-0.21`.
pub(crate) fn with_error(value: f64, error: f64) -> String {
    let decimals = decimals(error);
    format!("{value:.decimals$}{SIGN}{error:.decimals$}")
}

/// Decimals to which an error is told.
fn decimals(error: f64) -> usize {
    let place = error.abs().log10().floor();
    if !place.is_finite() {
        return 0;
    }
    // What rounds up to the next power of ten or to 3 has that many digits.
    let leading = error.abs() / 10_f64.powf(place);
    let digits = if leading < 2.95 { 2.0 } else { 1.0 };
    (digits - 1.0 - place).clamp(0.0, 9.0) as usize
}

/// The four retention pressures of a path from the lowest kind up, MPa, each with its numerical error; none where it was not reached.
pub(crate) fn errors(run: &Run) -> [Option<f64>; 4] {
    let r = &run.retention;
    let of = |(of, release): (Criterion, Release)| numerical::error(of, release, run);
    [
        (Criterion::FirstLift, r.first_lift),
        (Criterion::Local, r.local_release),
        (Criterion::OffCentre, r.off_centre_release),
        (Criterion::Uniform, r.uniform_blow_off),
    ]
    .map(of)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_error_that_begins_with_1_or_2_has_two_digits_others_one() {
        assert_eq!(with_error(8.4893, 0.2122), "8.49+-0.21");
        assert_eq!(with_error(12.557, 0.3767), "12.6+-0.4");
        assert_eq!(with_error(0.5472, 0.0164), "0.547+-0.016");
        assert_eq!(with_error(1360.9, 13.6), "1361+-14");
        assert_eq!(with_error(98765.0, 987.0), "98765+-987", "no more is rounded away than the point");
        assert_eq!(with_error(2.0, 0.0299), "2.00+-0.03");
        assert_eq!(with_error(5.0, 0.0), "5+-0");
    }
}
