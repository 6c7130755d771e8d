//! Lets a ring go from where it is: to a place where it stays, or over the crest.

use super::{Ring, State};
use nalgebra::{Cholesky, DMatrix, DVector, SymmetricEigen};

/// Longest change of a station's lift in one step, mm.
const STEP: f64 = 0.1;
/// Most steps.
const MOST: usize = 600;
/// Share of the largest force that counts as none.
const TOLERANCE: f64 = 1e-6;
/// Softest damping that is tried where the tangent is not stable, N/mm for each radian; it grows fourfold until the step is.
const DAMPING: f64 = 20.0;
/// Kick off an equilibrium that is not stable, mm.
const KICK: f64 = 0.02;

/// What becomes of a ring that is let go.
#[derive(Clone, Debug)]
pub enum Outcome {
    /// It stays, stable, here.
    Settled(State),
    /// A station reaches the crest; the state then.
    Released(State),
    /// Neither within the most steps.
    Undecided,
}

/// Follows a ring from a state. `crest` is the lift of each station at which it is level with the crest, mm.
///
/// Steps are Newton's where the tangent is positive definite, and shorter ones, of a flow damped by so much that it is, elsewhere: a
/// gradient flow, which keeps off equilibria that are not stable.
pub fn settle(ring: &Ring<'_>, mut state: State, crest: &[f64]) -> Outcome {
    let mass = mass(ring);
    for _ in 0..MOST {
        if ring.lift(&state).iter().zip(crest).any(|(w, top)| w >= top) {
            return Outcome::Released(state);
        }
        let balance = ring.balance(&state);
        let symmetric = (&balance.tangent + balance.tangent.transpose()) * 0.5;
        let stable = Cholesky::new(symmetric.clone()).is_some();
        let size: f64 = ring.tension(&state.x).into_iter().fold(1.0, |m, t| m.max(t.abs()));
        if balance.residual.amax() <= TOLERANCE * 2.0 * std::f64::consts::PI * size {
            if stable {
                return Outcome::Settled(state);
            }
            kick(ring, &mut state, &symmetric);
            continue;
        }
        let Some(mut step) = increment(&balance.tangent, &symmetric, &mass, &balance.residual, stable) else {
            return Outcome::Undecided;
        };
        let longest = (&ring.basis.lift * &step).amax();
        if longest > STEP {
            step *= STEP / longest;
        }
        state.x += step;
        ring.accept(&mut state);
    }
    Outcome::Undecided
}

/// int (dw w + dv v) dt.
fn mass(ring: &Ring<'_>) -> DMatrix<f64> {
    let b = ring.basis;
    let weights = DMatrix::from_diagonal(&b.weights);
    b.lift.transpose() * &weights * &b.lift + b.shift.transpose() * &weights * &b.shift
}

fn increment(
    tangent: &DMatrix<f64>,
    symmetric: &DMatrix<f64>,
    mass: &DMatrix<f64>,
    residual: &DVector<f64>,
    stable: bool,
) -> Option<DVector<f64>> {
    if stable {
        return tangent.clone().lu().solve(&-residual);
    }
    let mut damping = DAMPING;
    while Cholesky::new(symmetric + mass * damping).is_none() {
        damping *= 4.0;
        if !damping.is_finite() {
            return None;
        }
    }
    // Twice what just suffices, so that the flow does not run ahead of itself.
    (tangent + mass * (2.0 * damping)).lu().solve(&-residual)
}

/// Off an equilibrium that is not stable along the way that falls fastest, up where the ring stands highest.
fn kick(ring: &Ring<'_>, state: &mut State, symmetric: &DMatrix<f64>) {
    let eigen = SymmetricEigen::new(symmetric.clone());
    let lowest = eigen.eigenvalues.imin();
    let way = eigen.eigenvectors.column(lowest).into_owned();
    let (lift, motion) = (ring.lift(state), &ring.basis.lift * &way);
    let size = motion.amax();
    if size > 0.0 {
        state.x += way * (KICK / size * motion[lift.imax()].signum());
    }
}
