//! Traces the law on the finite-element model of a case: at a pressure that stays, the bundle is held at one lift after the other, and
//! the hoop force that this takes is read off.

use super::{Law, LawPoint};
use crate::model::Model;
use crate::observe;
use crate::path::{PathPoint, Release};
use crate::retention;
use crate::stages::Ran;
use hoopwright_case::Case;
use hoopwright_fem::continuation::{Equilibrium, Target};
use hoopwright_fem::error::SolveError;

/// Largest step of the lift, mm.
const STEP: f64 = 0.3;
/// Largest step where it decides on which lift the law begins to rise, mm, and up to what height over the seat, mm.
const LOW_STEP: f64 = 0.15;
const LOW_LIFT: f64 = 1.4;
/// Largest step where the bead rests on its seat, mm.
const SEATED_STEP: f64 = 0.06;
/// Lift above which it rests no more, mm.
const FLOATS: f64 = 0.15;
/// Distance below which two lifts are one, mm.
const LEAST: f64 = 1e-6;
/// Shortest step of the lift by plain Newton, mm: where one fails a grip slips, and no equilibrium lies nearby.
const SHORTEST: f64 = 0.03;
/// Steps over a slip that are tried, mm: now and then relaxation finds no end at one of them.
const SLIPS: [f64; 4] = [0.06, 0.03, 0.12, 0.24];
/// Shortest step of the pressure of a held bead, as a share of the usual one.
const LEAST_SHARE: f64 = 0.01;
/// Lift below the fitted place down to which the law is followed, mm: seat and rubber are stiff there.
const BELOW: f64 = 0.1;
/// Lift over the crest up to which it is followed, mm.
const ABOVE: f64 = 0.05;
/// Pressures at which the law is traced without friction, as shares of the highest that either path reaches.
const LOW: f64 = 0.12;
const MIDDLE: f64 = 0.5;
const HIGH: f64 = 0.999;
/// The lowest of them is no higher than this share of the highest on the path without friction, nor than where the seat is unloaded on it,
const LOW_OF_OWN: f64 = 0.25;
/// but no lower than this share of that, at which the casing hangs slack.
const LOWEST: f64 = 0.05;
/// Pressure at which the law is traced with friction, as a share of the highest of that path; the others where there is nothing there.
const WITH_FRICTION: [f64; 3] = [0.6, 0.45, 0.75];
/// Largest step of the pressure of a held bead, as a share of the highest.
const RAISE: f64 = 0.08;
/// Distance to a state of the path from which a line is followed further, where it could not be followed to it, mm.
const NEXT: f64 = 0.05;
/// Most states from which a line's first one is looked for.
const STARTS: usize = 6;
/// Relative residual of a point of the law: it is read off a curve through points 0.15 mm apart, and costs a third less than a point of the
/// path, whose balances are told.
const SETTLED: f64 = 1e-7;
/// Step down by which the grip of friction is known, mm.
const REVERSAL: f64 = 0.16;

/// Why there is no law.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum NoLaw {
    /// No equilibrium was found where a line begins.
    #[error("no equilibrium of the held bead was found: {0}")]
    Start(#[from] SolveError),
    /// A path is too short for the law to be read off.
    #[error("the path ends before the bead sits without guides")]
    ShortPath,
}

/// The law of a case from its two paths; `given` is the one with friction, if the case has any.
///
/// # Errors
/// [`NoLaw`] where a line was not found.
pub fn trace(case: &Case, given: Option<&mut Ran>, frictionless: &mut Ran) -> Result<Law, NoLaw> {
    let path = &frictionless.run.path;
    let own = highest(path);
    let top = given.as_ref().map_or(own, |ran| highest(&ran.run.path).max(own));
    let seat = -retention::gap(path);
    let reach = [seat - BELOW, retention::clearance(case, path) + ABOVE];
    let (Release::At(unloads) | Release::Above(unloads)) = frictionless.run.retention.first_lift;
    let low = (LOW * top).min(LOW_OF_OWN * own).min(unloads).max(LOWEST * own);
    let line = along_path(frictionless)?;
    let states = free(&frictionless.states);
    let mut tracer = Tracer::new(case, &mut frictionless.model, frictionless.origin, seat);
    let mut lines = Vec::new();
    for pressure in [low, MIDDLE * top, HIGH * top] {
        lines.push(tracer.line(states, pressure, reach, RAISE * top)?);
    }
    let mut law = Law { frictionless: lines, path: line, rising: Vec::new(), stick: 0.0 };
    if let Some(given) = given {
        add_friction(case, given, [seat, reach[1]], &mut law)?;
    }
    Ok(law)
}

/// The states of a path from the first on that no guide holds.
fn free(states: &[Equilibrium]) -> &[Equilibrium] {
    let first = states.iter().position(|s| s.load.support == 0.0 && s.load.pressure > 0.0).unwrap_or(states.len());
    &states[first..]
}

/// Adds lines with friction: along the path, and at one pressure from the even bead up, the first of some that reaches the crest, or else the
/// first of all. What friction takes grows with the lift, so that a line that ends early errs to the safe side. Where none is found the path
/// is all there is, and friction holds what it held without yielding: none on the arc.
fn add_friction(case: &Case, given: &mut Ran, [seat, crest]: [f64; 2], law: &mut Law) -> Result<(), NoLaw> {
    let path = along_path(given)?;
    let top = highest(&given.run.path);
    let mut tracer = Tracer::new(case, &mut given.model, given.origin, seat);
    law.rising = vec![path];
    let (mut whole, mut first) = (None, None);
    for pressure in WITH_FRICTION.map(|share| share * top) {
        let Some((line, stick)) = tracer.rising(&given.states, pressure, crest, law) else { continue };
        if line.last().is_some_and(|p| p.lift > crest - LEAST) {
            whole = Some((line, stick));
            break;
        }
        first = first.or(Some((line, stick)));
    }
    if let Some((line, stick)) = whole.or(first) {
        law.stick = stick;
        law.rising.insert(0, line);
    }
    Ok(())
}

fn highest(path: &[PathPoint]) -> f64 {
    path.iter().map(|p| p.pressure).fold(0.0, f64::max)
}

/// The path as a line of the law: where its bead is not guided, by rising lift.
fn along_path(ran: &Ran) -> Result<Vec<LawPoint>, NoLaw> {
    let mut line: Vec<LawPoint> = Vec::new();
    let free = ran.run.path.iter().zip(&ran.states).skip(ran.run.fit).filter(|(_, state)| state.load.support == 0.0);
    for (p, _) in free {
        if p.pressure > 0.0 && line.last().is_none_or(|last| p.lift > last.lift + 1e-3) {
            line.push(LawPoint {
                pressure: p.pressure,
                lift: p.lift,
                hoop_force: p.bead_tension,
                added: 0.0,
                strain: p.bead_strain,
                seat_load: p.seat_load,
                wall_load: p.flange_load,
                pressing: p.pressing,
            });
        }
    }
    if line.len() < 3 { Err(NoLaw::ShortPath) } else { Ok(line) }
}

/// Follows a model from its states.
struct Tracer<'a> {
    case: &'a Case,
    model: &'a mut Model,
    origin: f64,
    /// Lift at which the bundle lies on its seat, mm.
    seat: f64,
    /// Stiffness of the model's anchors, with which a slip is followed, N/mm.
    anchor: f64,
}

impl<'a> Tracer<'a> {
    /// On a model. Shorter steps serve a held bead better than relaxation, which costs a hundred times as much; only what slips is relaxed.
    fn new(case: &'a Case, model: &'a mut Model, origin: f64, seat: f64) -> Self {
        let newton = &mut model.path.settings.newton;
        newton.tolerance = SETTLED;
        let anchor = std::mem::take(&mut newton.anchor);
        Self { case, model, origin, seat, anchor }
    }

    /// The equilibrium at a pressure of a bead on its way up a path, reached from the last state below it that no guide holds.
    fn seated(&mut self, states: &[Equilibrium], pressure: f64) -> Result<Equilibrium, NoLaw> {
        let free = states.iter().position(|s| s.load.support == 0.0 && s.load.pressure > 0.0).ok_or(NoLaw::ShortPath)?;
        let above = states.iter().position(|s| s.load.pressure >= pressure).unwrap_or(states.len());
        let from = above.saturating_sub(1).max(free);
        let before = (from > free).then(|| &states[from - 1]);
        Ok(self.model.path.step(before, &states[from], Target::Pressure(pressure), &mut |_, _, _| {})?)
    }

    /// The line with friction at a pressure from the even bead up towards the crest, and the stiffness of the grip for each unit of pressure,
    /// N/mm/MPa, by one reversal.
    fn rising(&mut self, states: &[Equilibrium], pressure: f64, crest: f64, law: &Law) -> Option<(Vec<LawPoint>, f64)> {
        let even = self.seated(states, pressure).ok()?;
        let start = self.point(&even);
        // From where it floats, so that the seat has no part in it.
        let (rise, from) = self.follow(&even, start.lift.max(self.seat + FLOATS + REVERSAL));
        let high = rise.last().copied().unwrap_or(start);
        let low = self.follow(&from, high.lift - REVERSAL).0.last().copied()?;
        // The grip yields little by little: only over a distance that is always the same it is one number.
        if low.lift - (high.lift - REVERSAL) > LEAST {
            return None;
        }
        let mut line = vec![start];
        line.extend(rise);
        line.extend(self.follow(&from, crest).0);
        let without =
            law.at(pressure).map_or(0.0, |reading| reading.hoop_force.at(high.lift).0 - reading.hoop_force.at(low.lift).0);
        Some((line, ((without - (high.hoop_force - low.hoop_force)) / REVERSAL).max(0.0) / pressure))
    }

    /// A bead held at its lift while the pressure changes, by steps that are shortened where none is found.
    fn held(&mut self, from: &Equilibrium, pressure: f64, step: f64) -> Result<Equilibrium, SolveError> {
        let (mut at, mut length) = (from.clone(), step);
        while (pressure - at.load.pressure).abs() > 1e-9 * pressure {
            let mut from = at.clone();
            from.load.pressure += (pressure - at.load.pressure).clamp(-length, length);
            match self.model.path.step(None, &from, Target::Held(at.functional), &mut |_, _, _| {}) {
                Ok(found) => {
                    at = found;
                    length = (1.5 * length).min(step);
                }
                Err(reason) => {
                    length *= 0.4;
                    if length < LEAST_SHARE * step {
                        return Err(reason);
                    }
                }
            }
        }
        Ok(at)
    }

    /// The line of a pressure without friction, where the way plays no part: down and up from the state of the path whose pressure is
    /// nearest. Where it cannot be followed, it goes on from a state of the path further on, held while the pressure changes.
    fn line(
        &mut self,
        states: &[Equilibrium],
        pressure: f64,
        [lowest, highest]: [f64; 2],
        step: f64,
    ) -> Result<Vec<LawPoint>, NoLaw> {
        let start = self.start(states, pressure, highest, step)?;
        let mut line = self.onward(states, &start, lowest, step);
        line.reverse();
        line.push(self.point(&start));
        line.extend(self.onward(states, &start, highest, step));
        line.dedup_by(|later, earlier| later.lift - earlier.lift < LEAST);
        Ok(line)
    }

    /// A bead held at a pressure, from the state of the path whose pressure is nearest, or from others in that order.
    fn start(&mut self, states: &[Equilibrium], pressure: f64, highest: f64, step: f64) -> Result<Equilibrium, NoLaw> {
        let mut near: Vec<&Equilibrium> = states.iter().filter(|s| s.functional - self.origin < highest).collect();
        near.sort_by(|a, b| (a.load.pressure - pressure).abs().total_cmp(&(b.load.pressure - pressure).abs()));
        let (mut tried, mut failure): (Vec<f64>, _) = (Vec::new(), NoLaw::ShortPath);
        for state in near {
            if tried.len() == STARTS || tried.iter().any(|lift| (lift - state.functional).abs() < STEP) {
                continue;
            }
            tried.push(state.functional);
            match self.held(state, pressure, step) {
                Ok(found) => return Ok(found),
                Err(reason) => failure = reason.into(),
            }
        }
        Err(failure)
    }

    /// Points from a state on to a lift since the fit, mm.
    fn onward(&mut self, states: &[Equilibrium], from: &Equilibrium, to: f64, step: f64) -> Vec<LawPoint> {
        let (mut line, mut at) = self.follow(from, to);
        let goal = to + self.origin;
        let sign = (goal - from.functional).signum();
        let mut further: Vec<&Equilibrium> = states.iter().filter(|s| sign * (goal - s.functional) > 0.0).collect();
        further.sort_by(|a, b| (sign * a.functional).total_cmp(&(sign * b.functional)));
        for state in further {
            if sign * (goal - at.functional) <= 1e-9 {
                break;
            }
            if sign * (state.functional - at.functional) < NEXT {
                continue;
            }
            if let Ok(found) = self.held(state, from.load.pressure, step) {
                line.push(self.point(&found));
                let (more, end) = self.follow(&found, to);
                line.extend(more);
                at = end;
            }
        }
        line
    }

    /// Points from a state on to a lift since the fit, mm, by steps that are shortened where none is found, and by relaxation where a grip
    /// slips; ends where that fails too. The last state comes back with them.
    ///
    /// A line that ended at its first slip would leave what friction takes beyond it to where that slip happens to lie.
    fn follow(&mut self, from: &Equilibrium, to: f64) -> (Vec<LawPoint>, Equilibrium) {
        let goal = to + self.origin;
        let sign = (goal - from.functional).signum();
        let (mut points, mut before, mut at) = (Vec::new(), None::<Equilibrium>, from.clone());
        let mut share = 1.0;
        while sign * (goal - at.functional) > 1e-9 {
            let next = self.next(at.functional, goal, share);
            match self.model.path.step(before.as_ref(), &at, Target::Held(next), &mut |_, _, _| {}) {
                Ok(found) => {
                    before = Some(std::mem::replace(&mut at, found));
                    share = (1.5 * share).min(1.0);
                }
                Err(_) if (next - at.functional).abs() * 0.4 >= SHORTEST => {
                    share *= 0.4;
                    continue;
                }
                Err(_) => {
                    let Some(found) = self.slip(&at, goal) else { break };
                    (before, at) = (None, found);
                }
            }
            points.push(self.point(&at));
        }
        (points, at)
    }

    /// The equilibrium that a held bead slips to on its way to the lift `goal`.
    fn slip(&mut self, from: &Equilibrium, goal: f64) -> Option<Equilibrium> {
        self.model.path.settings.newton.anchor = self.anchor;
        let to = SLIPS.map(|step| Target::Held(Self::nearer(from.functional, goal, step)));
        let found = to.into_iter().find_map(|target| self.model.path.step(None, from, target, &mut |_, _, _| {}).ok());
        self.model.path.settings.newton.anchor = 0.0;
        found
    }

    /// A lift a step nearer to a goal; the goal where little more would be left.
    fn nearer(lift: f64, goal: f64, step: f64) -> f64 {
        let sign = (goal - lift).signum();
        if sign * (goal - lift) < 1.3 * step { goal } else { lift + sign * step }
    }

    /// The value of the lift a share of a whole step further on: short steps where the bead rests on its seat, up to where it floats.
    fn next(&self, lift: f64, goal: f64, share: f64) -> f64 {
        let (sign, floats) = ((goal - lift).signum(), self.origin + self.seat + FLOATS);
        let seated = lift < floats || sign < 0.0 && lift < floats + LEAST;
        let length = share
            * match lift - floats {
                _ if seated => SEATED_STEP,
                over if over < LOW_LIFT => LOW_STEP,
                _ => STEP,
            };
        let end = if sign < 0.0 && lift > floats + LEAST { goal.max(floats) } else { goal };
        Self::nearer(lift, end, length)
    }

    /// What the law tells of a state.
    fn point(&self, at: &Equilibrium) -> LawPoint {
        let (own, strain) = self.model.hoop.tension(&at.state, &at.load);
        let loads = observe::contact_loads(self.case, self.model, &at.state, at.load.pressure);
        LawPoint {
            pressure: at.load.pressure,
            lift: at.functional - self.origin,
            hoop_force: own + at.load.hoop_force,
            added: at.load.hoop_force,
            strain,
            seat_load: loads.seat,
            wall_load: loads.flange,
            pressing: loads.pressing,
        }
    }
}
