//! The allowed pressure in words and as JSON; rounded down wherever it is printed.

use hoopwright_solver::allowed::{Allowed, KEPT_BACK};
use serde::Serialize;

use crate::lines::{BAR, PSI};

/// In words, without a full stop.
pub(crate) fn words(allowed: &Allowed) -> String {
    match allowed {
        Allowed::UpTo(found) if found.lower_bound => {
            format!("at least {}; the {} was not reached up to there", pressure(found.pressure), found.decides)
        }
        Allowed::UpTo(found) => format!("{}; the {} decides", pressure(found.pressure), found.decides),
        Allowed::Never(reason) => format!("none: {reason}"),
        Allowed::Unknown(reason) => format!("not known: {reason}"),
    }
}

/// How it is found.
pub(crate) fn method() -> String {
    format!(
        "The allowed pressure is the highest rated pressure at which every limit above is kept. It is read off the paths at this rated pressure, \
         less the numerical error of the number found and {} % for what the steps of a path at another one change.",
        100.0 * KEPT_BACK
    )
}

/// A pressure in bar with MPa and psi, none of them larger than it is.
fn pressure(p: f64) -> String {
    format!("{} bar ({} MPa, {} psi)", bar(p), down(p, decimals(p) + 1), down(PSI * p, 1))
}

/// A pressure, MPa, in bar, not larger than it is.
pub(crate) fn bar(p: f64) -> String {
    down(BAR * p, decimals(p))
}

/// Decimals of a pressure, MPa, in bar.
fn decimals(p: f64) -> usize {
    if BAR * p < 1.0 { 3 } else { 2 }
}

/// A positive number with so many decimals, rounded down; what a change of units leaves of a round number does not count.
fn down(x: f64, decimals: usize) -> String {
    let tens = 10_f64.powi(decimals as i32);
    format!("{:.decimals$}", (x * tens + 1e-6).floor() / tens)
}

/// What stands beside `allowed_pressure_mpa`.
#[derive(Serialize)]
pub(crate) struct AllowedBlock {
    lower_bound: bool,
    decides: Option<String>,
    known: bool,
    reason: Option<String>,
    kept_back: f64,
}

/// As JSON: the pressure, MPa, and what stands beside it.
pub(crate) fn block(allowed: &Allowed) -> (Option<f64>, AllowedBlock) {
    let none = AllowedBlock { lower_bound: false, decides: None, known: true, reason: None, kept_back: KEPT_BACK };
    match allowed {
        Allowed::UpTo(found) => {
            let (lower_bound, decides) = (found.lower_bound, Some(found.decides.clone()));
            (Some(found.pressure), AllowedBlock { lower_bound, decides, ..none })
        }
        Allowed::Never(reason) => (None, AllowedBlock { reason: Some(reason.clone()), ..none }),
        Allowed::Unknown(reason) => (None, AllowedBlock { known: false, reason: Some(reason.clone()), ..none }),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 5.23 bar are 75.855 psi, 0.523 MPa; 0.987 bar are 14.315 psi.
    #[test]
    fn no_unit_shows_more_than_was_found() {
        assert_eq!(pressure(0.523), "5.23 bar (0.523 MPa, 75.8 psi)");
        assert_eq!(pressure(0.0987), "0.987 bar (0.0987 MPa, 14.3 psi)");
        assert_eq!(pressure(1.27), "12.70 bar (1.270 MPa, 184.1 psi)");
        assert_eq!([down(0.289_99, 2), down(0.3 - 1e-12, 1)], ["0.28", "0.3"]);
    }
}
