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
pub const LOAD: f64 = 0.02;

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

/// What a retention pressure must be found to be, MPa, so that the required one is kept whatever its numerical error: on a path on which no
/// grip slips.
pub fn asked(case: &Case, of: Criterion, friction: f64) -> f64 {
    case.required_pressure() / (1.0 - share(of, friction))
}
