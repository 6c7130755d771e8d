//! The load history: fit, inflate, blow-off.

mod ends;

use crate::model::{Model, ModelError};
use crate::observe::{fields, observe};
use crate::path::{Effort, End, PathPoint, Stage};
use crate::result::Run;
use crate::retention;
use crate::rim::RimModel;
use hoopwright_case::Case;
use hoopwright_fem::clock::Watch;
use hoopwright_fem::continuation::{Equilibrium, Target};
use hoopwright_fem::error::SolveError;
use std::f64::consts::PI;
use std::sync::Arc;

/// Largest lift step, mm.
const LIFT_STEP: f64 = 0.08;
/// Largest pressure step as a share of the rated pressure.
const PRESSURE_STEP: f64 = 0.1;
/// Pressure from which on the guides of the fit may be taken away, as a share of the rated pressure.
const SEATING: f64 = 0.05;
/// Pressure steps that fail before the path is followed by the lift to its end: where a grip slips there is no equilibrium at a higher
/// pressure nearby, to find none costs a hundred steps, and the next grip slips too.
const MOST_REFUSED: usize = 2;
/// Pressure interval, as a share of the rated pressure, to which the first lift is located.
const FIRST_LIFT: f64 = 0.01;

/// News from a run, for progress and logs.
#[derive(Clone, Debug)]
pub enum News<'a> {
    /// A Newton solve ended: the target, the relative residuals and the reason if it failed.
    Newton(Target, &'a [f64], Option<&'a SolveError>),
    /// A point of the path was reached.
    Point(&'a PathPoint),
}

/// Receiver of news.
pub type Listener<'a> = &'a mut dyn FnMut(News<'_>);

/// What is kept with the path points.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Keep {
    /// Fields on every point.
    Fields,
    /// Numbers only.
    Numbers,
}

/// Runs one tyre on one rim at a friction coefficient from the fit to the release.
///
/// # Errors
/// [`ModelError`] when the model cannot be built; a solve that fails later ends the run with [`End::Failed`].
pub fn run(case: &Case, rim: &Arc<RimModel>, friction: f64, keep: Keep, listener: Listener<'_>) -> Result<Ran, ModelError> {
    let start = Watch::start();
    let model = Model::new(case, rim, friction)?;
    let mut driver = Driver::new(case, model, keep, listener);
    let end = driver.history();
    driver.refine_first_lift();
    let effort = effort(&driver, start);
    let Driver { model, path, marks, mut points, origin, .. } = driver;
    // The state at rest is no path point.
    points.remove(0);
    let retention = retention::retention(case, &path, marks.fit, &end);
    Ok(Ran {
        run: Run { friction, path, fit: marks.fit, rated: marks.rated, retention, slip: None, end, effort, local: None },
        model,
        states: points,
        origin,
    })
}

/// A path with what is needed to go on from any of its points.
pub struct Ran {
    /// The path.
    pub run: Run,
    /// The model that it was found with.
    pub model: Model,
    /// The equilibrium of each path point.
    pub states: Vec<Equilibrium>,
    /// Value of the model's lift at the end of the fit, from which lifts are counted, mm.
    pub origin: f64,
}

/// A tyre inflated and no further.
#[derive(Clone, Debug)]
pub struct Inflation {
    /// The equilibrium at each pressure, in their order, as far as they were reached.
    pub points: Vec<PathPoint>,
    /// Why the last pressures were not reached, if they were not.
    pub end: Option<End>,
}

/// Fits one tyre on one rim at the case's friction and inflates it to some pressures, MPa, rising.
///
/// # Errors
/// [`ModelError`] when the model cannot be built; a solve that fails later ends the inflation.
pub fn inflate(case: &Case, rim: &Arc<RimModel>, pressures: &[f64], listener: Listener<'_>) -> Result<Inflation, ModelError> {
    let model = Model::new(case, rim, case.friction)?;
    let mut driver = Driver::new(case, model, Keep::Numbers, listener);
    let (mut points, mut end) = (Vec::new(), driver.begin().err());
    if let (None, Some(first)) = (&end, pressures.first()) {
        end = driver.seat((0.5 * first).min(SEATING * case.pressure.rated)).err().map(unreached);
    }
    for pressure in pressures {
        if end.is_some() {
            break;
        }
        end = driver.rise(*pressure).err().map(unreached);
        let here = |p: &&PathPoint| end.is_none() && (p.pressure - pressure).abs() <= 1e-9 * pressure;
        points.extend(driver.path.iter().rfind(here).cloned());
    }
    Ok(Inflation { points, end })
}

/// An inflation that ended for no other reason found no equilibrium further on by pressure: the bead is going, or the solver stuck.
fn unreached(end: Option<End>) -> End {
    end.unwrap_or_else(|| End::Failed("no equilibrium was found at the next pressure: the bead may let go below it".to_owned()))
}

fn effort(driver: &Driver<'_, '_>, start: Watch) -> Effort {
    let e = &driver.model.path.effort;
    Effort {
        dofs: driver.model.path.system.n_equations(),
        steps: e.steps,
        iterations: e.cost.iterations,
        tangents: e.cost.tangents,
        cuts: e.cuts,
        assembly_s: e.cost.assembly.as_secs_f64(),
        solve_s: e.cost.solve.as_secs_f64(),
        total_s: start.elapsed().as_secs_f64(),
    }
}

/// Indices of the points that results are quoted at.
#[derive(Clone, Copy, Debug, Default)]
struct Marks {
    fit: usize,
    rated: Option<usize>,
}

struct Driver<'a, 'l> {
    case: &'a Case,
    model: Model,
    points: Vec<Equilibrium>,
    path: Vec<PathPoint>,
    marks: Marks,
    keep: Keep,
    origin: f64,
    listener: Listener<'l>,
}

impl<'a, 'l> Driver<'a, 'l> {
    fn new(case: &'a Case, model: Model, keep: Keep, listener: Listener<'l>) -> Self {
        Self { case, model, points: Vec::new(), path: Vec::new(), marks: Marks::default(), keep, origin: 0.0, listener }
    }

    fn history(&mut self) -> End {
        if let Err(end) = self.begin() {
            return end;
        }
        self.marks.fit = self.path.len() - 1;
        if let Some(end) = self.broken() {
            return end;
        }
        let rated = self.case.pressure.rated;
        match self.seat(SEATING * rated).and_then(|()| self.rise(rated)) {
            Ok(()) => self.marks.rated = self.path.iter().rposition(|p| p.pressure <= self.case.pressure.rated * (1.0 + 1e-12)),
            Err(Some(end)) => {
                // The step that ended the path may have gone past it.
                self.marks.rated = self.passed(rated).filter(|i| self.reach_within(*i, rated).is_ok()).map(|i| i + 1);
                return end;
            }
            // Released or nearly so before the rated pressure: the blow-off stage finds the maximum.
            Err(None) => {}
        }
        self.blow_off()
    }

    /// The tyre as drawn, then fitted.
    fn begin(&mut self) -> Result<(), End> {
        let mut rest = self.model.path.rest();
        rest.load.support = 1.0;
        self.points.push(rest);
        self.fit()
    }

    fn fit(&mut self) -> Result<(), End> {
        let mut goal = 0.0;
        let mut length = 0.34;
        // The state at rest is itself an equilibrium without contact; solve it so that its residual is at hand.
        self.go(Target::Eigenstrain(0.0), Stage::Fit).map_err(|e| failed("at rest", &e))?;
        while goal < 1.0 {
            let next = if goal + length > 0.999 { 1.0 } else { goal + length };
            match self.go(Target::Eigenstrain(next), Stage::Fit) {
                Ok(()) => goal = next,
                Err(reason) => {
                    self.model.path.effort.cuts += 1;
                    length *= 0.4;
                    if length < 1e-3 {
                        return Err(failed("fitting the bead", &reason));
                    }
                }
            }
        }
        self.origin = self.points.last().map_or(0.0, |p| p.functional);
        for (point, at) in self.path.iter_mut().zip(&self.points[1..]) {
            point.lift = at.functional - self.origin;
        }
        Ok(())
    }

    /// To a pressure. `Err(Some)` ends the path, `Err(None)` finds no equilibrium by pressure and leaves it to the blow-off stage.
    fn rise(&mut self, to: f64) -> Result<(), Option<End>> {
        if let Some(i) = self.passed(to) {
            // A step by lift to a lower pressure went past this one too, or it is reached.
            return self.reach_within(i, to).map_err(|_| None);
        }
        let mut length = 0.2;
        loop {
            self.release_guides()?;
            let target = self.next_target(length, to);
            match self.go(target, Stage::Inflate) {
                Ok(()) => length = (1.6_f64 * length).min(1.0),
                Err(_) => {
                    self.model.path.effort.cuts += 1;
                    length *= 0.4;
                    if length < 2e-3 {
                        return Err(None);
                    }
                    continue;
                }
            }
            if let Some(end) = self.ended() {
                return Err(Some(end));
            }
            let n = self.path.len();
            let pressure = self.path[n - 1].pressure;
            if pressure > to {
                // A step by lift went past it.
                self.reach_within(n - 2, to).map_err(|_| None)?;
            }
            if pressure >= to {
                return Ok(());
            }
        }
    }

    /// The last point below a pressure whose next one reaches it.
    fn passed(&self, to: f64) -> Option<usize> {
        self.path.windows(2).rposition(|w| w[0].pressure < to && to <= w[1].pressure)
    }

    /// Makes the point after `i` one at a pressure between those of the two.
    fn reach_within(&mut self, i: usize, to: f64) -> Result<(), SolveError> {
        if self.path[i + 1].pressure <= to { Ok(()) } else { self.insert(i, Target::Pressure(to), Stage::Inflate) }
    }

    /// Raises a seating pressure, in short steps where the slack casing swings far.
    fn seat(&mut self, seating: f64) -> Result<(), Option<End>> {
        let (mut now, mut length) = (0.0, 0.3 * seating);
        while now < seating {
            let goal = if now + 1.2 * length > seating { seating } else { now + length };
            match self.go(Target::Pressure(goal), Stage::Inflate) {
                Ok(()) => {
                    length = 1.6 * (goal - now);
                    now = goal;
                }
                Err(reason) => {
                    self.model.path.effort.cuts += 1;
                    length = 0.4 * (goal - now);
                    if length < 1e-3 * seating {
                        return Err(Some(failed("seating the bead", &reason)));
                    }
                }
            }
        }
        Ok(())
    }

    /// Takes the guides away once the gas holds the bead where they did: once they push it outward by less than the wall pushes back.
    /// Without friction a tight bead on a tapered seat would slide inward before. Where the bead finds no place of its own yet, they are
    /// slackened and taken away at a higher pressure, at the latest when the bead no longer sits.
    fn release_guides(&mut self) -> Result<(), Option<End>> {
        let (Some(at), Some(point)) = (self.points.last(), self.path.last()) else { return Ok(()) };
        let push: f64 = self.model.guides.iter().map(|g| g.force(&at.state, &at.load)).sum();
        let wall = PI * self.case.rim.seat_diameter * point.flange_load;
        let (held, seated) = (at.load.support, point.lift < LIFT_STEP);
        if held == 0.0 || seated && push > 0.5 * wall {
            return Ok(());
        }
        if !seated {
            return self.slacken_guides(held).map_err(|reason| Some(failed("seating the bead", &reason)));
        }
        if self.go(Target::Support(0.0), Stage::Inflate).is_err() {
            self.model.path.effort.cuts += 1;
            // Not reached either is no harm: the next point tries again.
            let _ = self.go(Target::Support(0.3 * held), Stage::Inflate);
        }
        Ok(())
    }

    /// Takes the guides away from the share they have, in short steps where the bundle swings far.
    fn slacken_guides(&mut self, held: f64) -> Result<(), SolveError> {
        let (mut now, mut length) = (held, held);
        while now > 0.0 {
            let goal = if length > 0.99 * now { 0.0 } else { now - length };
            match self.go(Target::Support(goal), Stage::Inflate) {
                Ok(()) => {
                    length = 1.5 * (now - goal);
                    now = goal;
                }
                Err(reason) => {
                    self.model.path.effort.cuts += 1;
                    length = 0.35 * (now - goal);
                    if length < 0.02 {
                        return Err(reason);
                    }
                }
            }
        }
        Ok(())
    }

    /// Raises the pressure, then the lift, until something ends the path.
    fn blow_off(&mut self) -> End {
        let (mut length, mut refused) = (1.0, 0);
        loop {
            if let Some(end) = self.ended() {
                return end;
            }
            if let Err(Some(end)) = self.release_guides() {
                return end;
            }
            let by_lift = refused >= MOST_REFUSED;
            let target = if by_lift { self.lifted(length) } else { self.next_target(length, self.case.pressure.cap) };
            match self.go(target, Stage::BlowOff) {
                Ok(()) => {
                    length = (1.5_f64 * length).min(1.0);
                }
                Err(reason) => {
                    self.model.path.effort.cuts += 1;
                    refused += usize::from(matches!(target, Target::Pressure(_)));
                    // By the lift from a whole step on: a grip that slips is passed in one step or not at all.
                    length = if !by_lift && refused >= MOST_REFUSED { 1.0 } else { 0.4 * length };
                    if length < 2e-3 {
                        return self.stuck(&reason);
                    }
                }
            }
        }
    }

    /// Pressure while it moves the path more than the lift does, lift otherwise and always past a maximum; the pressure `limit` itself
    /// where the path would pass it.
    fn next_target(&self, length: f64, limit: f64) -> Target {
        let Some(b) = self.points.last() else { return Target::Pressure(limit) };
        // Taking the guides away moves the path at one pressure.
        let a = self.points.iter().rev().find(|a| (a.load.pressure - b.load.pressure).abs() > 0.0).unwrap_or(b);
        let (rise, lift) = (b.load.pressure - a.load.pressure, b.functional - a.functional);
        let step = PRESSURE_STEP * self.case.pressure.rated;
        let stiff = rise > 0.0 && rise / step > lift.abs() / LIFT_STEP;
        // Share of the last step that leads to the limit, by the secant.
        let to_limit = if rise > 0.0 && b.load.pressure < limit { (limit - b.load.pressure) / rise } else { f64::INFINITY };
        let ahead = if stiff { length * step / rise } else { length * LIFT_STEP / lift.abs() };
        if to_limit <= ahead {
            Target::Pressure(limit)
        } else if stiff {
            Target::Pressure(b.load.pressure + length * step)
        } else {
            self.lifted(length)
        }
    }

    /// A share of the largest lift step further on.
    fn lifted(&self, length: f64) -> Target {
        Target::Functional(self.points.last().map_or(0.0, |at| at.functional) + length * LIFT_STEP)
    }

    /// Inserts points where the seat load vanishes until the pressure there is known to a hundredth of the rated one: first on both sides
    /// of where a straight line puts it, then by halves.
    fn refine_first_lift(&mut self) {
        let width = FIRST_LIFT * self.case.pressure.rated;
        for attempt in 0..8 {
            let Some(i) = retention::unloading(&self.path, self.marks.fit) else { return };
            let (a, b) = (self.path[i].pressure, self.path[i + 1].pressure);
            if (b - a).abs() < width {
                return;
            }
            let crossing = retention::unloading_pressure(&self.path, self.marks.fit, i);
            let goal = match attempt {
                0 if crossing - 0.4 * width > a => crossing - 0.4 * width,
                0 | 1 if crossing + 0.4 * width < b => crossing + 0.4 * width,
                _ => 0.5 * (a + b),
            };
            let stage = self.path[i + 1].stage;
            if self.insert(i, Target::Pressure(goal), stage).is_err() {
                return;
            }
        }
    }

    /// Solves at a target between path points `after` and `after + 1` and inserts the result; the marks stay at their points.
    fn insert(&mut self, after: usize, target: Target, stage: Stage) -> Result<(), SolveError> {
        // `points` starts with the state at rest, which is no path point.
        let (before, from) = (self.points[after].clone(), self.points[after + 1].clone());
        let listener = &mut *self.listener;
        let next = self.model.path.step(Some(&before), &from, target, &mut |t, r, e| listener(News::Newton(t, r, e)))?;
        let point = self.observed(&next, stage);
        self.points.insert(after + 2, next);
        self.path.insert(after + 1, point);
        self.marks.rated = self.marks.rated.map(|rated| if rated > after { rated + 1 } else { rated });
        Ok(())
    }

    fn observed(&self, at: &Equilibrium, stage: Stage) -> PathPoint {
        let mut point = observe(self.case, &self.model, at, stage, self.origin);
        if self.keep == Keep::Fields {
            point.fields = Some(Box::new(fields(&self.model, at)));
        }
        point
    }

    /// One step; on success the equilibrium and its outputs are appended.
    fn go(&mut self, target: Target, stage: Stage) -> Result<(), SolveError> {
        let listener = &mut *self.listener;
        self.model.path.extend(&mut self.points, target, &mut |t, r, e| listener(News::Newton(t, r, e)))?;
        if let Some(at) = self.points.last() {
            let point = self.observed(at, stage);
            (self.listener)(News::Point(&point));
            self.path.push(point);
        }
        Ok(())
    }
}

fn failed(during: &str, reason: &SolveError) -> End {
    End::Failed(format!("{during}: {reason}"))
}
