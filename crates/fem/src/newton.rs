//! Newton's method on an assembled system, at a given load or with a part of the load (the pressure, or the added hoop force)
//! as an unknown. `dp` and `by_pressure` stand for that part, whichever it is.

use crate::assembly::System;
use crate::clock::Watch;
use crate::error::SolveError;
use crate::state::{Load, State};
use std::time::Duration;

/// Relative residual below which the state after an iteration mostly needs no tangent of its own: its residual is assembled first, in a
/// third of the time.
const RESIDUAL_FIRST: f64 = 3e-2;
/// Share of the residual that an iteration may leave if the next is to do with an earlier tangent, at a fifth of the cost (chord method:
/// Kelley, Iterative Methods for Linear and Nonlinear Equations, section 5.4, from memory). Past a kink none is left so small.
const CHORD: f64 = 0.1;
/// Share of the tolerance down to which iterations go on while an earlier tangent does: such ones end just below the tolerance, others far
/// below, and they cost little.
const POLISHED: f64 = 0.1;
/// Share that kept factors may leave of the right-hand side in such an iteration, which is not exact anyway.
const CHORD_SOLVED: f64 = 0.3;
/// Share of the residual that an iteration near the answer leaves at least where round-off keeps it from falling.
const STAGNANT: f64 = 0.5;
/// Times that an increment is halved while an element turns inside out.
const MOST_HALVINGS: usize = 5;
/// Relative residual above which the next state counts as far from equilibrium, as an extrapolated one always does.
const UNBALANCED: f64 = 0.5;

/// What Newton's iterations hold, moved where it belongs at states near equilibrium.
pub trait Adjust {
    /// A new solve begins.
    fn begin(&mut self);
    /// Moves it at a state near equilibrium; whether anything moved.
    fn adjust(&mut self, state: &mut State, load: &Load) -> bool;
}

/// Nothing to adjust.
pub struct Held;

impl Adjust for Held {
    fn begin(&mut self) {}

    fn adjust(&mut self, _state: &mut State, _load: &Load) -> bool {
        false
    }
}

/// A linear functional of the unknowns: (unknown, coefficient).
pub type Functional = Vec<(usize, f64)>;

/// What is prescribed.
#[derive(Clone, Copy, Debug)]
pub enum Control<'a> {
    /// The load is given.
    Load,
    /// The functional takes the value; the part of the load that [`Load::unknown`] names is an unknown.
    Functional(&'a Functional, f64),
}

/// Settings.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Settings {
    /// Relative residual at which a state counts as an equilibrium.
    pub tolerance: f64,
    /// Force below which residuals are compared with it instead of the items' forces, N: the size of a force worth resolving.
    pub force_floor: f64,
    /// Largest number of iterations with a tangent of their own.
    pub max_iterations: usize,
    /// Longest change of an unknown in one iteration, mm; longer increments are shortened.
    pub max_change: f64,
    /// Relative residual below which tangent and factors hardly change any more, so that earlier ones may do; 0 for none but the state's.
    pub near: f64,
    /// Relative residual below which what the iterations hold (wetting) may be adjusted.
    pub loose: f64,
    /// Stiffness of the anchors of [`relax`], N/mm for each unknown; 0 to do without.
    pub anchor: f64,
}

impl Default for Settings {
    fn default() -> Self {
        Self {
            tolerance: 1e-9,
            force_floor: f64::MIN_POSITIVE,
            max_iterations: 16,
            max_change: 1.0,
            near: 1e-3,
            loose: 3e-2,
            anchor: 0.0,
        }
    }
}

/// What a solve cost.
#[derive(Clone, Debug, Default)]
pub struct Cost {
    /// Iterations (linear solves).
    pub iterations: usize,
    /// Iterations with a tangent of their own, the dear ones.
    pub tangents: usize,
    /// Time in assembly.
    pub assembly: Duration,
    /// Time in factorisation and solve.
    pub solve: Duration,
    /// Relative residual before each iteration and at the end.
    pub residuals: Vec<f64>,
}

impl Cost {
    /// Adds another solve's cost; the residuals stay those of the last one.
    pub fn add(&mut self, other: Self) {
        self.iterations += other.iterations;
        self.tangents += other.tangents;
        self.assembly += other.assembly;
        self.solve += other.solve;
        self.residuals = other.residuals;
    }
}

/// Value of a functional.
pub fn functional(f: &Functional, u: &[f64]) -> f64 {
    f.iter().map(|(dof, c)| c * u[*dof]).sum()
}

/// Finds the equilibrium near `state`, which is changed, and with [`Control::Functional`] the unknown part of `load`.
/// `cost` is added to whether the solve succeeds or not.
///
/// # Errors
/// The reason for which there is no equilibrium; state and load are then of no use.
pub fn solve(
    system: &mut System,
    state: &mut State,
    load: &mut Load,
    control: Control<'_>,
    settings: &Settings,
    cost: &mut Cost,
) -> Result<(), SolveError> {
    solve_adjusting(system, state, load, control, settings, &mut Held, cost)
}

/// As [`solve`]; `adjust` is called whenever the residual is below the loose tolerance, and the equilibrium found is one at which it
/// has nothing left to move. Adjusting on the way costs an iteration or two instead of a solve each.
///
/// # Errors
/// As [`solve`].
pub fn solve_adjusting(
    system: &mut System,
    state: &mut State,
    load: &mut Load,
    control: Control<'_>,
    settings: &Settings,
    adjust: &mut dyn Adjust,
    cost: &mut Cost,
) -> Result<(), SolveError> {
    let mut own = Cost::default();
    let mut problem = Problem { system, control, settings, anchor: None, current: false, by_pressure: None };
    let outcome = iterate(&mut problem, state, load, adjust, &mut own);
    cost.add(own);
    outcome
}

/// Softest anchors, as a share of [`Settings::anchor`], with which a relaxation may end.
const SOFT: f64 = 0.03;
/// Hardest anchors worth trying.
const HARD: f64 = 1e4;
/// Largest number of anchored solves in one relaxation.
const MAX_ANCHORED: usize = 60;
/// Largest number of iterations of an anchored solve: what takes longer mostly goes in circles, and harder anchors serve better.
const MAX_ANCHORED_ITERATIONS: usize = 10;

/// Finds an equilibrium where plain Newton fails because a part of the body snaps: springs anchor every unknown where it is, the
/// equilibrium with springs is found, the springs are moved there, and the next solve has softer ones, or harder ones if that
/// failed; the last is without any.
/// This is the proximal-point iteration, a gradient flow in steps of adapted length (Rockafellar, SIAM J. Control Optim. 14 (1976) 877;
/// step lengths after Kelley and Keyes, SIAM J. Numer. Anal. 35 (1998) 508; both from memory).
///
/// # Errors
/// The reason for which the last solve failed.
pub fn relax(
    system: &mut System,
    state: &mut State,
    load: &mut Load,
    control: Control<'_>,
    settings: &Settings,
    adjust: &mut dyn Adjust,
    cost: &mut Cost,
) -> Result<(), SolveError> {
    let coarse = Settings { tolerance: 1e-3, max_iterations: MAX_ANCHORED_ITERATIONS, ..*settings };
    let mut softness = Softness::default();
    loop {
        let (held, held_load) = (state.clone(), *load);
        let mut own = Cost::default();
        let anchor = Some((held.u.as_slice(), softness.share * settings.anchor));
        let mut problem = Problem { system, control, settings: &coarse, anchor, current: false, by_pressure: None };
        let outcome = iterate(&mut problem, state, load, adjust, &mut own);
        cost.add(own);
        if let Err(reason) = outcome {
            (*state, *load) = (held, held_load);
            softness.failed().ok_or(reason)?;
            continue;
        }
        let moved = state.u.iter().zip(&held.u).fold(0.0_f64, |m, (now, then)| m.max((now - then).abs()));
        if !softness.went_well(moved) {
            continue;
        }
        let (relaxed, relaxed_load) = (state.clone(), *load);
        match solve_adjusting(system, state, load, control, settings, adjust, cost) {
            Ok(()) => return Ok(()),
            Err(reason) => {
                (*state, *load) = (relaxed, relaxed_load);
                softness.failed().ok_or(reason)?;
            }
        }
    }
}

/// How soft the anchors of a relaxation are.
struct Softness {
    /// Share of [`Settings::anchor`].
    share: f64,
    solves: usize,
    /// Anchor force, as share times movement, at the last end that was tried.
    tried: f64,
}

impl Default for Softness {
    fn default() -> Self {
        Self { share: 10.0, solves: 0, tried: f64::INFINITY }
    }
}

impl Softness {
    /// Harder anchors after a failure; none where that has been tried enough.
    fn failed(&mut self) -> Option<()> {
        self.solves += 1;
        self.share *= 5.0;
        (self.solves < MAX_ANCHORED && self.share <= HARD).then_some(())
    }

    /// Softer anchors after a solve that succeeded; whether the end is near enough to try the solve without.
    fn went_well(&mut self, moved: f64) -> bool {
        self.solves += 1;
        let force = self.share * moved;
        self.share *= 0.4;
        let near = self.share <= SOFT && force < 0.3 * self.tried || self.solves >= MAX_ANCHORED;
        if near {
            self.tried = force;
        }
        near
    }
}

/// What Newton solves: a system under a control, with anchors if any (positions, stiffness).
struct Problem<'a> {
    system: &'a mut System,
    control: Control<'a>,
    settings: &'a Settings,
    anchor: Option<(&'a [f64], f64)>,
    /// Whether the assembled tangent is that of the state; if not, it is an earlier one.
    current: bool,
    /// du / dp by the last tangent.
    by_pressure: Option<Vec<f64>>,
}

impl Problem<'_> {
    fn assemble(&mut self, state: &State, load: &Load) -> Result<(), SolveError> {
        self.system.assemble(state, load)?;
        self.current = true;
        if let Some((held, stiffness)) = self.anchor {
            self.system.anchor(state, held, stiffness);
        }
        Ok(())
    }

    /// What the next iteration needs to begin with: the residual, and the tangent where it is not likely to do without.
    fn assemble_next(&mut self, state: &State, load: &Load, residual_first: bool) -> Result<(), SolveError> {
        if !residual_first || self.anchor.is_some() {
            return self.assemble(state, load);
        }
        self.current = false;
        self.system.assemble_residual(state, load)
    }

    fn residual(&self) -> f64 {
        self.system.relative_residual(self.settings.force_floor)
    }

    /// Whether round-off is all that is left: the residual no longer falls, and is no larger than what the last digits of the unknowns make.
    fn stagnates(&self, state: &State, residual: f64, before: f64) -> bool {
        residual > STAGNANT * before && residual <= self.system.round_off(state, self.settings.force_floor)
    }

    /// Whether an earlier tangent will do for the next iteration, at a residual that was `before` before the last.
    fn chord_does(&self, residual: f64, before: f64) -> bool {
        !self.current && residual < self.settings.near && residual < CHORD * before
    }

    /// Newton increment of unknowns and pressure: bordering with du = du_r + dp du_p and c . du = misfit.
    fn increment(&mut self, misfit: f64) -> Result<(Vec<f64>, f64), SolveError> {
        let residual = self.residual();
        let left = if self.current { (0.1 * self.settings.tolerance / residual).min(0.1) } else { CHORD_SOLVED };
        let kept = (residual < self.settings.near).then_some(left);
        let bordered = matches!(self.control, Control::Functional(..));
        // With an earlier tangent du_p is what it was.
        let (mut du, by_pressure) = self.system.solve(bordered && self.current, kept)?;
        self.by_pressure = by_pressure.or(self.by_pressure.take());
        let Control::Functional(f, _) = self.control else { return Ok((du, 0.0)) };
        let by_pressure = self.by_pressure.as_ref().ok_or(SolveError::Singular)?;
        let slope = functional(f, by_pressure);
        if slope == 0.0 {
            return Err(SolveError::Singular);
        }
        let dp = (misfit - functional(f, &du)) / slope;
        for (d, p) in du.iter_mut().zip(by_pressure) {
            *d += dp * p;
        }
        Ok((du, dp))
    }

    /// Takes the step, halving it while an element turns inside out.
    fn step(&mut self, state: &mut State, load: &mut Load, du: &[f64], dp: f64, factor: f64) -> Result<(), SolveError> {
        let (start, given, residual_first) = (state.clone(), *load, self.residual() < RESIDUAL_FIRST);
        let (mut factor, mut halvings) = (factor, 0);
        loop {
            self.system.update(state, du, factor);
            *load = given.driven_to(given.driving() + factor * dp);
            match self.assemble_next(state, load, residual_first) {
                Err(SolveError::Inverted { .. }) if halvings < MOST_HALVINGS => {
                    state.clone_from(&start);
                    (factor, halvings) = (0.5 * factor, halvings + 1);
                    // The recovery data of the last good state are gone: assemble it anew.
                    *load = given;
                    self.assemble(state, load)?;
                }
                outcome => return outcome,
            }
        }
    }
}

fn iterate(
    problem: &mut Problem<'_>,
    state: &mut State,
    load: &mut Load,
    adjust: &mut dyn Adjust,
    cost: &mut Cost,
) -> Result<(), SolveError> {
    let settings = problem.settings;
    adjust.begin();
    state.unbalanced = true;
    timed(&mut cost.assembly, || problem.assemble(state, load))?;
    let (mut last_change, mut before) = (f64::INFINITY, f64::INFINITY);
    // Residuals up to the last adjustment belong to another problem: limits and damping look at those since.
    let (mut since, mut tangents_before) = (0, 0);
    loop {
        cost.residuals.push(problem.residual());
        if problem.residual() <= settings.loose && adjust.adjust(state, load) {
            timed(&mut cost.assembly, || problem.assemble(state, load))?;
            (since, tangents_before) = (cost.residuals.len(), cost.tangents);
            cost.residuals.push(problem.residual());
        }
        let residual = problem.residual();
        let misfit = match problem.control {
            Control::Load => 0.0,
            Control::Functional(f, target) => target - functional(f, &state.u),
        };
        // A small residual alone would accept a drifting state of tiny forces: the last change must be small as well.
        let enough = residual <= settings.tolerance || problem.stagnates(state, residual, before);
        let small = enough && last_change <= 1e-3 || residual <= 1e-3 * settings.tolerance;
        let chord = problem.chord_does(residual, before);
        let polish = chord && residual > POLISHED * settings.tolerance;
        if small && misfit.abs() <= 1e-9 && !polish {
            state.unbalanced = false;
            return Ok(());
        }
        if !residual.is_finite() || cost.tangents - tangents_before >= settings.max_iterations {
            return Err(SolveError::NotConverged { iterations: cost.iterations, residual });
        }
        if !chord {
            cost.tangents += 1;
            if !problem.current {
                timed(&mut cost.assembly, || problem.assemble(state, load))?;
            }
        }
        before = residual;
        let (du, dp) = timed(&mut cost.solve, || problem.increment(misfit))?;
        cost.iterations += 1;
        last_change = du.iter().fold(0.0_f64, |m, v| m.max(v.abs()));
        let factor = (settings.max_change / last_change).min(1.0) * damping(&cost.residuals[since..]);
        state.unbalanced = residual > UNBALANCED;
        timed(&mut cost.assembly, || problem.step(state, load, &du, dp, factor))?;
    }
}

/// Full steps as a rule; a shorter one when the residual goes round in circles, as it does when a contact point or a cord
/// flickers between two states. The lengths alternate so that the circle is left.
fn damping(residuals: &[f64]) -> f64 {
    let n = residuals.len();
    if n < 6 || residuals[n - 1] < 0.3 * residuals[n - 3] || residuals[n - 1] < 0.3 * residuals[n - 4] {
        return 1.0;
    }
    [0.5, 0.7, 0.35][n % 3]
}

fn timed<T>(clock: &mut Duration, work: impl FnOnce() -> T) -> T {
    let start = Watch::start();
    let result = work();
    *clock += start.elapsed();
    result
}
