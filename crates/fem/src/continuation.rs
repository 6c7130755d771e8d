//! Follows an equilibrium path: by the load where that is stable, by a displacement functional near and past a limit point.

use crate::assembly::System;
use crate::contact::{sealing, unilateral::Contact};
use crate::error::SolveError;
use crate::newton::{self, Adjust, Control, Cost, Functional, Settings};
use crate::state::{Load, State, Unknown};
use std::sync::Arc;

/// A converged state. The contact history in `state` is that before the step was accepted; [`Self::accepted`] holds the next one's.
#[derive(Clone, Debug)]
pub struct Equilibrium {
    /// Unknowns and the history that the step started from.
    pub state: State,
    /// Contact history for the next step.
    pub accepted: State,
    /// Load.
    pub load: Load,
    /// Value of the path's functional, mm.
    pub functional: f64,
}

/// What a step aims at.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Target {
    /// Share of the eigenstrain.
    Eigenstrain(f64),
    /// Gas pressure, MPa.
    Pressure(f64),
    /// Value of the functional, mm; the pressure follows.
    Functional(f64),
    /// Value of the functional, mm, at the pressure that is; the hoop force added to the hoops follows.
    Held(f64),
    /// Share of the temporary springs.
    Support(f64),
}

/// Settings of the path.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PathSettings {
    /// Newton.
    pub newton: Settings,
    /// Largest number of moves of the seal in one step.
    pub max_reseals: usize,
}

impl Default for PathSettings {
    fn default() -> Self {
        Self { newton: Settings::default(), max_reseals: 10 }
    }
}

/// Counters of a path.
#[derive(Clone, Debug, Default)]
pub struct Effort {
    /// Cost of all Newton solves.
    pub cost: Cost,
    /// Accepted steps.
    pub steps: usize,
    /// Solves that plain Newton left and relaxation took on.
    pub relaxations: usize,
    /// Steps that failed and were tried again shorter.
    pub cuts: usize,
}

/// A report on each Newton solve, for a log: target, relative residuals, and why it failed if it did.
pub type Log<'a> = &'a mut dyn FnMut(Target, &[f64], Option<&SolveError>);

/// A system with its contact and the functional that may be prescribed.
pub struct Path {
    /// The assembled system.
    pub system: System,
    /// The contact, if any, which is also one of the system's contributions.
    pub contact: Option<Arc<Contact>>,
    /// The functional of the displacements whose value may be prescribed, mm.
    pub functional: Functional,
    /// Settings.
    pub settings: PathSettings,
    /// Counters.
    pub effort: Effort,
}

impl Path {
    /// The equilibrium at rest.
    pub fn rest(&self) -> Equilibrium {
        let mut state = self.system.rest();
        if let Some(contact) = &self.contact {
            contact.begin(&mut state);
        }
        Equilibrium { accepted: state.clone(), state, load: Load::default(), functional: 0.0 }
    }

    /// One step from `from` to `target`; `before` is the equilibrium before it, from which a guess is extrapolated.
    ///
    /// # Errors
    /// Why no equilibrium was found at the target.
    pub fn step(
        &mut self,
        before: Option<&Equilibrium>,
        from: &Equilibrium,
        target: Target,
        log: Log<'_>,
    ) -> Result<Equilibrium, SolveError> {
        let (state, mut load) = (&from.accepted, from.load);
        match target {
            Target::Eigenstrain(share) => load.eigenstrain = share,
            Target::Pressure(pressure) => load.pressure = pressure,
            Target::Support(share) => load.support = share,
            Target::Functional(_) => load.unknown = Unknown::Pressure,
            Target::Held(_) => load.unknown = Unknown::HoopForce,
        }
        let guess = before.and_then(|before| extrapolated(state, &load, before, from, target));
        let (state, load) = match guess.and_then(|(guess, load)| self.find(&guess, &load, target, false, log).ok()) {
            Some(found) => found,
            // Where the path bends or breaks off, what was before tells nothing of what follows: from the last equilibrium it goes where
            // the body would go.
            None => self.settle(state, &load, target, log)?,
        };
        self.effort.steps += 1;
        let mut accepted = state.clone();
        if let Some(contact) = &self.contact {
            contact.accept(&mut accepted, load.pressure);
        }
        let functional = newton::functional(&self.functional, &state.u);
        Ok(Equilibrium { state, accepted, load, functional })
    }

    /// Newton, with the seal moved until it stays where it is.
    fn settle(&mut self, state: &State, load: &Load, target: Target, log: Log<'_>) -> Result<(State, Load), SolveError> {
        let attempt = self.find(state, load, target, false, log);
        if attempt.is_err() && self.settings.newton.anchor > 0.0 {
            self.effort.relaxations += 1;
            return self.find(state, load, target, true, log);
        }
        attempt
    }

    /// One Newton solve from a start, or an anchored relaxation.
    fn find(
        &mut self,
        start: &State,
        start_load: &Load,
        target: Target,
        anchored: bool,
        log: Log<'_>,
    ) -> Result<(State, Load), SolveError> {
        let (mut state, mut load) = (start.clone(), *start_load);
        let mut adjust =
            Reseal { contact: self.contact.clone(), moves: Moves { most: self.settings.max_reseals, left: Vec::new() } };
        let control = match target {
            Target::Functional(value) | Target::Held(value) => Control::Functional(&self.functional, value),
            _ => Control::Load,
        };
        let run = if anchored { newton::relax } else { newton::solve_adjusting };
        let cost = &mut self.effort.cost;
        let outcome = run(&mut self.system, &mut state, &mut load, control, &self.settings.newton, &mut adjust, cost);
        log(target, &cost.residuals, outcome.as_ref().err());
        outcome.map(|()| (state, load))
    }

    /// One step from the last of `points`, appended on success.
    ///
    /// # Errors
    /// Why the step failed; `points` is unchanged then.
    pub fn extend(&mut self, points: &mut Vec<Equilibrium>, target: Target, log: Log<'_>) -> Result<(), SolveError> {
        let n = points.len();
        let Some(from) = points.last() else {
            return Ok(());
        };
        let before = n.checked_sub(2).map(|i| &points[i]);
        let next = self.step(before, from, target, log)?;
        points.push(next);
        Ok(())
    }
}

/// Times that the seal may come back to the same place in one solve.
const RETURNS: usize = 2;

/// Moves the seal.
struct Reseal {
    contact: Option<Arc<Contact>>,
    moves: Moves,
}

impl Adjust for Reseal {
    fn begin(&mut self) {
        self.moves.left.clear();
    }

    fn adjust(&mut self, state: &mut State, load: &Load) -> bool {
        let Some(contact) = &self.contact else { return false };
        let (now, next) = (sealing::wetted(state), sealing::reach(contact, state, load.pressure));
        let may = next != now && self.moves.take(now, next);
        if may {
            sealing::wet(state, next);
        }
        may
    }
}

/// The moves of a seal in one solve. One that comes back again and again, or still moves after so many moves, flickers between
/// neighbouring points of nearly the gas pressure, where wetted or dry makes no difference to the force.
struct Moves {
    most: usize,
    /// Numbers of wetted points that it has moved on from.
    left: Vec<usize>,
}

impl Moves {
    /// Notes a move, unless the seal flickers: whether it may be made.
    fn take(&mut self, from: usize, to: usize) -> bool {
        let returns = self.left.iter().filter(|left| **left == to).count();
        let may = self.left.len() < self.most && returns < RETURNS;
        if may {
            self.left.push(from);
        }
        may
    }
}

impl Target {
    /// The value aimed at.
    pub fn value(self) -> f64 {
        match self {
            Self::Eigenstrain(v) | Self::Pressure(v) | Self::Functional(v) | Self::Held(v) | Self::Support(v) => v,
        }
    }

    /// Where an equilibrium stands on the target's scale.
    pub fn of(self, at: &Equilibrium) -> f64 {
        match self {
            Self::Eigenstrain(_) => at.load.eigenstrain,
            Self::Pressure(_) => at.load.pressure,
            Self::Functional(_) | Self::Held(_) => at.functional,
            Self::Support(_) => at.load.support,
        }
    }
}

/// Secant extrapolation of unknowns, element pressures and (for a target of the functional) what follows of the load, at most doubling the last step;
/// none where the last step does not point to the target.
fn extrapolated(state: &State, load: &Load, before: &Equilibrium, from: &Equilibrium, target: Target) -> Option<(State, Load)> {
    let span = target.of(from) - target.of(before);
    // What moved while the temporary springs changed tells nothing of a path on which they stay.
    let support_changed = (from.load.support - before.load.support).abs() > 0.0 && !matches!(target, Target::Support(_));
    if span == 0.0 || support_changed {
        return None;
    }
    let factor = ((target.value() - target.of(from)) / span).clamp(-2.0, 2.0);
    if !factor.is_finite() || factor < 0.0 {
        return None;
    }
    let (mut state, mut load) = (state.clone(), *load);
    let shift = |x: &mut Vec<f64>, a: &[f64], b: &[f64]| {
        for ((x, a), b) in x.iter_mut().zip(a).zip(b) {
            *x += factor * (b - a);
        }
    };
    shift(&mut state.u, &before.state.u, &from.state.u);
    shift(&mut state.internal, &before.state.internal, &from.state.internal);
    if matches!(target, Target::Functional(_) | Target::Held(_)) {
        let then = Load { unknown: load.unknown, ..before.load }.driving();
        load = load.driven_to(load.driving() + factor * (load.driving() - then));
    }
    Some((state, load))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_seal_that_comes_back_for_the_second_time_stays() {
        let mut moves = Moves { most: 10, left: Vec::new() };
        assert!(moves.take(3, 5) && moves.take(5, 3) && moves.take(3, 5), "there and back once");
        assert!(!moves.take(5, 3), "and not again");
        assert!(moves.take(5, 6), "elsewhere it may go");
    }

    #[test]
    fn a_seal_that_keeps_moving_stays_after_the_most_moves() {
        let mut moves = Moves { most: 10, left: Vec::new() };
        assert_eq!((0..20).filter(|i| moves.take(*i, i + 1)).count(), 10);
    }
}
