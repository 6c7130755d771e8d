//! Where a ring is when it is let go.

use super::basis::Shape;
use super::local::Question;
use super::{Ring, Section, State};
use crate::roots::bracket;
use nalgebra::{DMatrix, DVector};
use std::f64::consts::PI;

/// Newton steps to the shift that takes no friction; it is nearly linear.
const STEPS: usize = 6;
/// Farthest that an even ring is looked for over the path's lift, mm.
const RAISED: f64 = 0.3;

impl Question<'_> {
    /// A bead that was left uneven in mounting, at a pressure at which the even bead has a lift: every station as much higher as it stands over
    /// the lowest one, which was on its seat. The even part is in equilibrium, which friction's share there makes up; where the bead stands
    /// highest friction is at rest, as what is left there of mounting is not known.
    pub(super) fn attempt(&self, ring: &Ring<'_>, lift: f64) -> State {
        let heights: Vec<f64> = ring.basis.angles.iter().map(|t| self.unevenness.at(*t)).collect();
        let stands: Vec<f64> = heights.iter().map(|height| lift + height).collect();
        let x = ring.basis.amplitudes(&stands);
        let even = ring.section.law.at(lift).0 - self.hoop.force(ring.section.strain.at(lift).0).0;
        let tallest = self.unevenness.tallest().max(f64::MIN_POSITIVE);
        let friction = heights.iter().map(|height| [even * (1.0 - height / tallest), 0.0]).collect();
        held(ring, x, friction)
    }

    /// A bead as it was seen at a pressure, at which the even bead has a lift. What was seen is an equilibrium, so friction is what balances
    /// it, as far as friction goes. The mean of the heights is the even lift, for which the tension of the whole bundle stands, and only what
    /// differs from it is unevenness; but no station lies deeper than its fitted place, on the seat. The shift is not seen: it is taken as the
    /// one that asks no friction along the circumference, by which the tension is nearly even.
    pub(super) fn seen(&self, ring: &Ring<'_>, lift: f64) -> State {
        let b = ring.basis;
        let heights: Vec<f64> = b.angles.iter().map(|t| self.unevenness.at(*t)).collect();
        let mean = heights.iter().zip(b.weights.iter()).map(|(h, w)| h * w).sum::<f64>() / (2.0 * PI);
        let even = self.even_in_ring(ring, lift);
        let stands: Vec<f64> = heights.iter().map(|height| height + (even - mean).max(0.0)).collect();
        let without = Section { friction: None, ..ring.section.clone() };
        let bare = Ring { section: &without, ..ring.clone() };
        let state = free_shift(&bare, b.amplitudes(&stands));
        let left = bare.balance(&state).residual;
        // Friction by stations from its work on each lift: products of two harmonics are exact on the stations.
        let lifts = b.shapes.iter().enumerate().filter(|(_, shape)| matches!(shape, Shape::LiftCos(_) | Shape::LiftSin(_)));
        let mut radial = DVector::zeros(b.angles.len());
        for (j, shape) in lifts {
            let norm = if *shape == Shape::LiftCos(0) { 2.0 * PI } else { PI };
            radial -= b.lift.column(j) * (left[j] / norm);
        }
        held(ring, state.x, radial.iter().map(|f| [*f, 0.0]).collect())
    }
}

impl Question<'_> {
    /// Lift of the even ring with the friction that the law gives it, from that of the path, mm. The path counts its lift from its own fit, in
    /// which friction has part, the law from the one without friction: some hundredths of a millimetre, which would be asked of friction.
    fn even_in_ring(&self, ring: &Ring<'_>, lift: f64) -> f64 {
        let Some(friction) = &ring.section.friction else { return lift };
        let asks = |w: f64| ring.section.law.at(w).0 - self.hoop.force(ring.section.strain.at(w).0).0 - friction.radial.at(w).0;
        let between = [lift, lift + RAISED];
        if asks(between[0]) <= 0.0 || asks(between[1]) > 0.0 { lift } else { bracket(between, |w| asks(w) > 0.0)[1] }
    }
}

/// A state whose friction was such where it is.
fn held(ring: &Ring<'_>, x: DVector<f64>, friction: Vec<[f64; 2]>) -> State {
    let (w, v) = (&ring.basis.lift * &x, &ring.basis.shift * &x);
    let held = (0..friction.len()).map(|i| [w[i], v[i]]).collect();
    State { x, friction, held }
}

/// The shift that is in equilibrium at a lift.
fn free_shift(ring: &Ring<'_>, x: DVector<f64>) -> State {
    let shapes = ring.basis.shapes.iter().enumerate();
    let shifts: Vec<usize> =
        shapes.filter(|(_, s)| matches!(s, Shape::ShiftSin(_) | Shape::ShiftCos(_))).map(|(j, _)| j).collect();
    let none = vec![[0.0; 2]; ring.basis.angles.len()];
    let mut state = held(ring, x, none);
    for _ in 0..STEPS {
        let balance = ring.balance(&state);
        let m = shifts.len();
        let tangent = DMatrix::from_fn(m, m, |i, j| balance.tangent[(shifts[i], shifts[j])]);
        let residual = DVector::from_fn(m, |i, _| -balance.residual[shifts[i]]);
        let Some(step) = tangent.lu().solve(&residual) else { break };
        shifts.iter().zip(step.iter()).for_each(|(j, s)| state.x[*j] += s);
    }
    state
}
