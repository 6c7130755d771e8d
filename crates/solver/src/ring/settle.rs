//! Lets a ring go from where it is: to a place where it stays, or over the crest.

use super::{Balance, Ring, State};
use nalgebra::{Cholesky, DMatrix, DVector, SymmetricEigen};

/// Longest change of a station's lift in one step, mm.
const STEP: f64 = 0.1;
/// Most steps.
const MOST: usize = 600;
/// Share of the largest force that counts as none.
const TOLERANCE: f64 = 1e-5;
/// Stiffness that an equilibrium may lack and still counts as stable, N/mm for each radian: the law's kinks are no finer.
const MARGIN: f64 = 0.5;
/// Softest damping of steps that made the residual grow, N/mm for each radian; it grows while they do.
const SOFTEST: f64 = 10.0;
const HARDEST: f64 = 1e3;
/// Growth of the residual that counts: less is a slow way off.
const GROWN: f64 = 1.01;
/// How many times as hard it begins the next time.
const HARDER: f64 = 1.3;
/// Steps after which what holds and slips by turns is taken as it comes.
const PATIENCE: usize = 300;
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
/// gradient flow, which keeps off equilibria that are not stable. Friction counts from where the ring was let go: what rises slips upward all
/// the way, and taking its history over in the midst of Newton's steps would add what their detours leave.
pub fn settle(ring: &Ring<'_>, mut state: State, crest: &[f64]) -> Outcome {
    let mass = mass(ring);
    let mut brake = Brake::default();
    for k in 0..MOST {
        if ring.lift(&state).iter().zip(crest).any(|(w, top)| w >= top) {
            return Outcome::Released(state);
        }
        let balance = ring.balance(&state);
        let symmetric = (&balance.tangent + balance.tangent.transpose()) * 0.5;
        let stable = Cholesky::new(&symmetric + &mass * MARGIN).is_some();
        let size: f64 = ring.tension(&state.x).into_iter().fold(1.0, |m, t| m.max(t.abs()));
        let residual = balance.residual.amax();
        if residual <= TOLERANCE * 2.0 * std::f64::consts::PI * size {
            if stable {
                ring.accept(&mut state);
                return Outcome::Settled(state);
            }
            kick(ring, &mut state, &symmetric);
            continue;
        }
        let Some(mut step) = increment(&balance, &symmetric, &mass, brake.at(residual, stable)) else {
            return Outcome::Undecided;
        };
        let longest = (&ring.basis.lift * &step).amax();
        if longest > STEP {
            step *= STEP / longest;
        }
        state.x += step;
        if k >= PATIENCE {
            ring.accept(&mut state);
        }
    }
    Outcome::Undecided
}

/// Damping that grows where the residual does near a place where the ring could stay, so that steps do not go to and fro over a kink for
/// ever: each time it begins anew it begins harder. Where it is not stable the residual grows by itself.
struct Brake {
    damping: f64,
    last: f64,
    /// Damping with which it begins.
    first: f64,
}

impl Default for Brake {
    fn default() -> Self {
        Self { damping: 0.0, last: 0.0, first: SOFTEST }
    }
}

impl Brake {
    /// Damping for the next step from a residual.
    fn at(&mut self, residual: f64, stable: bool) -> f64 {
        self.damping = match self.damping {
            _ if !stable => DAMPING,
            now if self.last > 0.0 && residual > GROWN * self.last => {
                let first = self.first;
                self.first = (HARDER * first).min(HARDEST);
                (3.0 * now).clamp(first, HARDEST)
            }
            now if now > SOFTEST => 0.6 * now,
            _ => 0.0,
        };
        self.last = residual;
        self.damping
    }
}

/// int (dw w + dv v) dt.
fn mass(ring: &Ring<'_>) -> DMatrix<f64> {
    let b = ring.basis;
    let weights = DMatrix::from_diagonal(&b.weights);
    b.lift.transpose() * &weights * &b.lift + b.shift.transpose() * &weights * &b.shift
}

fn increment(balance: &Balance, symmetric: &DMatrix<f64>, mass: &DMatrix<f64>, least: f64) -> Option<DVector<f64>> {
    let mut damping = least;
    while Cholesky::new(symmetric + mass * (damping + MARGIN)).is_none() {
        damping = (4.0 * damping).max(DAMPING);
        if !damping.is_finite() {
            return None;
        }
    }
    // Twice what just suffices, so that the flow does not run ahead of itself.
    (&balance.tangent + mass * (2.0 * damping)).lu().solve(&-&balance.residual)
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
