//! How far the mesh and the steps of the path may put a number from the model's own: a share of each number.
//!
//! The shares are measured, not derived: random plausible cases on the usual mesh against one with twice as many elements in each direction
//! (`validation/notebook/error.md` has the cases, the numbers and what they do not cover). Each holds for 19 of 20 cases. They say nothing of
//! how well the model tells what a tyre does.

use crate::path::Release;
use crate::result::Run;
use hoopwright_case::{Case, Criterion};

/// Shares of the retention pressures of a path.
struct Shares {
    first_lift: f64,
    local: f64,
    off_centre: f64,
    uniform: f64,
}

const WITHOUT_FRICTION: Shares = Shares { first_lift: 0.03, local: 0.025, off_centre: 0.005, uniform: 0.03 };
const WITH_FRICTION: Shares = Shares { first_lift: 0.025, local: 0.02, off_centre: 0.012, uniform: 0.025 };
const STICKING: Shares = Shares { first_lift: 0.045, local: 0.06, off_centre: 0.02, uniform: 0.045 };
/// Friction above which a bead that sticks and slips may have several equilibria on its way: other lengths of steps moved the off-centre
/// release by 2 to 90 % in four of 20 random cases above it, by less than 1 % in all of 18 below it.
pub(crate) const STICKY: f64 = 0.38;
/// Of the local release where grips slip on the way: another mesh slips elsewhere.
const SLIPPING: f64 = 0.07;

/// Share of the mean loss of spoke tension at the rated pressure, and of the bead's tension there.
const LOAD: f64 = 0.02;

/// Share of a retention pressure, at a friction, of a path on which no grip slips. Of the lower one of two it is the larger share.
pub fn share(of: Criterion, friction: f64) -> f64 {
    let shares = match friction {
        f if f > STICKY => &STICKING,
        f if f > 0.0 => &WITH_FRICTION,
        _ => &WITHOUT_FRICTION,
    };
    match of {
        Criterion::FirstLift => shares.first_lift,
        Criterion::Local => shares.local,
        Criterion::OffCentre => shares.off_centre,
        Criterion::Lower => shares.local.max(shares.off_centre),
        Criterion::Uniform => shares.uniform,
    }
}

/// Share of a retention pressure of a path.
pub fn share_of(of: Criterion, run: &Run) -> f64 {
    let usual = share(of, run.friction);
    match of {
        Criterion::Local | Criterion::Lower if run.slip.is_some() => usual.max(SLIPPING),
        _ => usual,
    }
}

/// Numerical error of a retention pressure, MPa; none where it was not reached.
pub fn error(of: Criterion, release: Release, run: &Run) -> Option<f64> {
    match release {
        Release::At(pressure) => Some(share_of(of, run) * pressure),
        Release::Above(_) => None,
    }
}

/// What a retention pressure that was found on a path is at least, MPa.
pub fn at_least(of: Criterion, pressure: f64, run: &Run) -> f64 {
    (1.0 - share_of(of, run)) * pressure
}

/// Numerical error of a loss of spoke tension, in its own unit.
pub fn load_error(loss: f64) -> f64 {
    LOAD * loss.abs()
}

/// What a loss of spoke tension may be found to be, in the unit of its limit, so that the limit is kept whatever its numerical error.
pub fn load_allowed(limit: f64) -> f64 {
    limit / (1.0 + LOAD)
}

/// What a retention pressure must be found to be, MPa, so that the required one is kept whatever its numerical error: on a path on which no
/// grip slips.
pub fn asked(case: &Case, of: Criterion, friction: f64) -> f64 {
    case.required_pressure() / (1.0 - share(of, friction))
}

#[cfg(test)]
#[allow(clippy::float_cmp)]
mod tests {
    use super::*;
    use crate::path::alike;
    use crate::result::ran;
    use crate::slip::Slip;

    #[test]
    fn more_friction_and_a_slip_make_the_local_release_less_sure() {
        let run = |friction| ran(friction, Vec::new(), alike(Release::At(0.8)));
        let slips = Run { slip: Some(Slip { before: 0.6, after: 0.5, lift: 1.0 }), ..run(0.3) };
        let shares =
            [share_of(Criterion::Local, &run(0.3)), share_of(Criterion::Local, &run(0.5)), share_of(Criterion::Local, &slips)];
        assert!(shares.windows(2).all(|w| w[0] < w[1]), "{shares:?}");
        assert_eq!(share_of(Criterion::OffCentre, &slips), share(Criterion::OffCentre, 0.3));
        assert_eq!(error(Criterion::Local, Release::Above(0.8), &slips), None, "a bound has no error of its own");
    }

    /// What is asked of a number is what it is at least, seen from the other side.
    #[test]
    fn a_number_that_is_just_as_asked_just_keeps_its_limit() {
        let (case, _) = hoopwright_case::read(&hoopwright_case::starter()).unwrap_or_else(|faults| unreachable!("{faults:?}"));
        let run = ran(case.friction, Vec::new(), alike(Release::At(0.8)));
        for of in [Criterion::FirstLift, Criterion::Local, Criterion::Lower, Criterion::OffCentre, Criterion::Uniform] {
            let kept = at_least(of, asked(&case, of, case.friction), &run);
            assert!((kept / case.required_pressure() - 1.0).abs() < 1e-12, "{of:?}");
        }
        let most = load_allowed(250.0);
        assert!((most + load_error(most) - 250.0).abs() < 1e-9);
    }
}
