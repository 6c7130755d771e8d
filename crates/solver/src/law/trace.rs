//! Traces the law on the finite-element model of a case: at a pressure that stays, the bundle is held at one lift after the other, and
//! the hoop force that this takes is read off.

use super::{Branch, LawPoint};
use crate::case::Case;
use crate::model::Model;
use crate::observe;
use crate::stages::Ran;
use hoopwright_fem::continuation::{Equilibrium, Target};
use hoopwright_fem::error::SolveError;

/// Largest step of the lift, mm.
const STEP: f64 = 0.16;
/// Shortest step before a branch counts as ended, mm.
const SHORTEST: f64 = 0.01;

/// Traces branches of the law from the states of a path.
pub struct Tracer<'a> {
    case: &'a Case,
    model: &'a mut Model,
    origin: f64,
}

impl<'a> Tracer<'a> {
    /// A tracer on the model of a path.
    pub fn new(case: &'a Case, ran: &'a mut Ran) -> (Self, &'a [Equilibrium]) {
        (Self { case, model: &mut ran.model, origin: ran.origin }, &ran.states)
    }

    /// The equilibrium at a pressure of a bead on its way up a path, reached from the last state below it.
    ///
    /// # Errors
    /// Why none was found.
    pub fn seated(&mut self, states: &[Equilibrium], pressure: f64) -> Result<Equilibrium, SolveError> {
        let above = states.iter().position(|s| s.load.pressure >= pressure).unwrap_or(states.len());
        let below = above.checked_sub(1).ok_or(SolveError::Singular)?;
        let before = below.checked_sub(1).map(|i| &states[i]);
        self.model.path.step(before, &states[below], Target::Pressure(pressure), &mut |_, _, _| {})
    }

    /// Points from a state on to a lift since the fit, mm, by steps that are halved where none is found; ends where even short ones fail.
    /// The last state comes back with them.
    pub fn follow(&mut self, from: &Equilibrium, to: f64) -> (Vec<LawPoint>, Equilibrium) {
        let goal = to + self.origin;
        let sign = (goal - from.lift).signum();
        let (mut points, mut before, mut at) = (Vec::new(), None::<Equilibrium>, from.clone());
        let mut length = STEP;
        while sign * (goal - at.lift) > 1e-9 {
            let left = sign * (goal - at.lift);
            let next = if left < 1.3 * length { goal } else { at.lift + sign * length };
            match self.model.path.step(before.as_ref(), &at, Target::Held(next), &mut |_, _, _| {}) {
                Ok(found) => {
                    points.push(self.point(&found));
                    before = Some(std::mem::replace(&mut at, found));
                    length = (1.5 * length).min(STEP);
                }
                Err(_) => {
                    length *= 0.4;
                    if length < SHORTEST {
                        break;
                    }
                }
            }
        }
        (points, at)
    }

    /// What the law tells of a state.
    pub fn point(&self, at: &Equilibrium) -> LawPoint {
        let (own, strain) = self.model.hoop.tension(&at.state, &at.load);
        let loads = observe::contact_loads(self.case, self.model, &at.state, at.load.pressure);
        LawPoint {
            lift: at.lift - self.origin,
            hoop_force: own + at.load.hoop_force,
            strain,
            seat_load: loads.seat,
            wall_load: loads.flange,
            pressing: loads.pressing,
        }
    }
}

/// A branch: down from a state to the lowest lift, then up to the highest, at its pressure. Without friction both ways are one.
pub fn branch(tracer: &mut Tracer<'_>, from: &Equilibrium, [lowest, highest]: [f64; 2], friction: bool) -> Branch {
    let start = tracer.point(from);
    let (mut sinking, bottom) = tracer.follow(from, lowest);
    let rising = if friction {
        tracer.follow(&bottom, highest).0
    } else {
        sinking.reverse();
        sinking.push(start.clone());
        sinking.extend(tracer.follow(from, highest).0);
        std::mem::take(&mut sinking)
    };
    Branch { pressure: from.load.pressure, start, sinking, rising }
}
