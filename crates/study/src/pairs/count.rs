//! How many pairs have which finding.

use super::judge::Finding;

/// Findings of the pairs of a rim, or of all.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Count {
    /// At the listed pressure.
    pub fits: usize,
    /// Up to a lower one.
    pub fits_up_to: usize,
    /// To be tested first.
    pub test_first: usize,
    /// At no pressure of use.
    pub does_not_fit: usize,
    /// Without an answer.
    pub no_answer: usize,
    /// Of sizes that do not go together.
    pub apart: usize,
}

impl Count {
    /// Of some findings; none stands for sizes that do not go together.
    pub fn of(findings: impl IntoIterator<Item = Option<Finding>>) -> Self {
        let mut count = Self::default();
        for finding in findings {
            *match finding {
                Some(Finding::Fits) => &mut count.fits,
                Some(Finding::FitsUpTo(_)) => &mut count.fits_up_to,
                Some(Finding::TestFirst) => &mut count.test_first,
                Some(Finding::DoesNotFit) => &mut count.does_not_fit,
                Some(Finding::NoAnswer) => &mut count.no_answer,
                None => &mut count.apart,
            } += 1;
        }
        count
    }
}

/// How many tyres fit every rim at the listed pressure. `findings` has the rims of each tyre one after the other.
pub fn fit_all(findings: &[Option<Finding>], rims: usize) -> usize {
    findings.chunks(rims.max(1)).filter(|tyre| tyre.iter().all(|finding| *finding == Some(Finding::Fits))).count()
}
