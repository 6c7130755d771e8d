//! Traces the law on the finite-element model of a case: at a pressure that stays, the bundle is held at one lift after the other, and
//! the hoop force that this takes is read off.

use super::{Law, LawPoint};
use crate::case::Case;
use crate::model::Model;
use crate::observe;
use crate::result::PathPoint;
use crate::retention;
use crate::stages::Ran;
use hoopwright_fem::continuation::{Equilibrium, Target};
use hoopwright_fem::error::SolveError;

/// Largest step of the lift, mm.
const STEP: f64 = 0.3;
/// Largest step where the bead rests on its seat, mm.
const SEATED_STEP: f64 = 0.06;
/// Lift above which it rests no more, mm.
const FLOATS: f64 = 0.15;
/// Shortest step before a line counts as ended, mm.
const SHORTEST: f64 = 0.01;
/// Lift below the fitted place down to which the law is followed, mm: seat and rubber are stiff there.
const BELOW: f64 = 0.1;
/// Lift over the crest up to which it is followed, mm.
const ABOVE: f64 = 0.05;
/// Pressures at which the law is traced without friction, as shares of the highest that either path reaches.
const LOW: f64 = 0.12;
const MIDDLE: f64 = 0.5;
const HIGH: f64 = 0.999;
/// Lift up to which the middle one is traced, mm: above it the path without friction is a line of its own.
const MIDDLE_LIFT: f64 = 0.6;
/// Pressure at which the law is traced with friction, as a share of the highest of that path.
const WITH_FRICTION: f64 = 0.6;
/// Lift at which a bead is held while its pressure is raised, mm over the even bead.
const HELD: f64 = 0.3;
/// Largest step of the pressure of a held bead, as a share of the highest.
const RAISE: f64 = 0.08;
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
    let own = highest(&frictionless.run.path);
    let top = given.as_ref().map_or(own, |ran| highest(&ran.run.path).max(own));
    let crest = retention::clearance(case, &frictionless.run.path) + ABOVE;
    let path = along_path(frictionless)?;
    let mut tracer = Tracer::new(case, &mut frictionless.model, frictionless.origin);
    let states = &frictionless.states;
    let low = tracer.seated(states, LOW * top)?;
    let first = tracer.both_ways(&low, [-BELOW, crest]);
    let middle = if MIDDLE * top < 0.995 * own {
        tracer.seated(states, MIDDLE * top)?
    } else {
        tracer.raised(&low, MIDDLE * top, RAISE * top)?
    };
    let second = tracer.both_ways(&middle, [-BELOW, MIDDLE_LIFT.max(middle.lift - tracer.origin)]);
    let high = tracer.raised(&middle, HIGH * top, RAISE * top)?;
    let last = tracer.both_ways(&high, [-BELOW, crest]);
    let mut law = Law { frictionless: vec![first, last, second, path], rising: Vec::new(), stick: 0.0 };
    if let Some(given) = given {
        add_friction(case, given, crest, &mut law)?;
    }
    Ok(law)
}

/// Adds lines with friction: along the path, and at one pressure from the even bead up.
fn add_friction(case: &Case, given: &mut Ran, crest: f64, law: &mut Law) -> Result<(), NoLaw> {
    let path = along_path(given)?;
    let pressure = WITH_FRICTION * highest(&given.run.path);
    let mut tracer = Tracer::new(case, &mut given.model, given.origin);
    let even = tracer.seated(&given.states, pressure)?;
    let start = tracer.point(&even);
    let mut line = vec![start];
    line.extend(tracer.follow(&even, crest).0);
    let below = tracer.follow(&even, start.lift - REVERSAL).0.first().copied();
    let slope = law.at(pressure).map_or(0.0, |reading| reading.hoop_force.at(start.lift).1);
    let reversal = |below: LawPoint| (start.hoop_force - below.hoop_force) / (start.lift - below.lift);
    law.stick = below.map_or(0.0, |below| (slope - reversal(below)).max(0.0) / pressure);
    law.rising = vec![line, path];
    Ok(())
}

fn highest(path: &[PathPoint]) -> f64 {
    path.iter().map(|p| p.pressure).fold(0.0, f64::max)
}

/// The path as a line of the law: where its bead is not guided, by rising lift.
fn along_path(ran: &Ran) -> Result<Vec<LawPoint>, NoLaw> {
    let mut line: Vec<LawPoint> = Vec::new();
    let free = ran.run.path.iter().zip(&ran.states).skip(ran.run.fit).filter(|(_, state)| state.load.guide == 0.0);
    for (p, _) in free {
        if p.pressure > 0.0 && line.last().is_none_or(|last| p.lift > last.lift + 1e-3) {
            line.push(LawPoint {
                pressure: p.pressure,
                lift: p.lift,
                hoop_force: p.bead_tension,
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
}

impl<'a> Tracer<'a> {
    /// On a model. Shorter steps serve a held bead better than relaxation, which costs a hundred times as much.
    fn new(case: &'a Case, model: &'a mut Model, origin: f64) -> Self {
        model.path.settings.newton.anchor = 0.0;
        Self { case, model, origin }
    }

    /// The equilibrium at a pressure of a bead on its way up a path, reached from the last state below it that no guide holds.
    fn seated(&mut self, states: &[Equilibrium], pressure: f64) -> Result<Equilibrium, NoLaw> {
        let free = states.iter().position(|s| s.load.guide == 0.0 && s.load.pressure > 0.0).ok_or(NoLaw::ShortPath)?;
        let above = states.iter().position(|s| s.load.pressure >= pressure).unwrap_or(states.len());
        let from = above.saturating_sub(1).max(free);
        let before = (from > free).then(|| &states[from - 1]);
        Ok(self.model.path.step(before, &states[from], Target::Pressure(pressure), &mut |_, _, _| {})?)
    }

    /// A bead held a little over where it is, at a higher pressure, by steps that are shortened where none is found.
    fn raised(&mut self, from: &Equilibrium, pressure: f64, step: f64) -> Result<Equilibrium, NoLaw> {
        let mut at = self.follow(from, from.lift - self.origin + HELD).1;
        let mut length = step;
        while pressure - at.load.pressure > 1e-9 * pressure {
            let mut from = at.clone();
            from.load.pressure = (at.load.pressure + length).min(pressure);
            match self.model.path.step(None, &from, Target::Held(at.lift), &mut |_, _, _| {}) {
                Ok(found) => {
                    at = found;
                    length = (1.5 * length).min(step);
                }
                Err(reason) => {
                    length *= 0.4;
                    if length < SHORTEST * step {
                        return Err(reason.into());
                    }
                }
            }
        }
        Ok(at)
    }

    /// Down from a state to the lowest lift and up from it to the highest: one line, as without friction the way plays no part.
    fn both_ways(&mut self, from: &Equilibrium, [lowest, highest]: [f64; 2]) -> Vec<LawPoint> {
        let mut line = self.follow(from, lowest).0;
        line.reverse();
        line.push(self.point(from));
        line.extend(self.follow(from, highest).0);
        line
    }

    /// Points from a state on to a lift since the fit, mm, by steps that are shortened where none is found; ends where even short ones fail.
    /// The last state comes back with them.
    fn follow(&mut self, from: &Equilibrium, to: f64) -> (Vec<LawPoint>, Equilibrium) {
        let goal = to + self.origin;
        let sign = (goal - from.lift).signum();
        let (mut points, mut before, mut at) = (Vec::new(), None::<Equilibrium>, from.clone());
        let mut share = 1.0;
        while sign * (goal - at.lift) > 1e-9 {
            let left = sign * (goal - at.lift);
            let length = share
                * if at.lift - self.origin < FLOATS + if sign < 0.0 { SEATED_STEP } else { 0.0 } { SEATED_STEP } else { STEP };
            let next = if left < 1.3 * length { goal } else { at.lift + sign * length };
            match self.model.path.step(before.as_ref(), &at, Target::Held(next), &mut |_, _, _| {}) {
                Ok(found) => {
                    points.push(self.point(&found));
                    before = Some(std::mem::replace(&mut at, found));
                    share = (1.5 * share).min(1.0);
                }
                Err(_) => {
                    share *= 0.4;
                    if share * length < SHORTEST {
                        break;
                    }
                }
            }
        }
        (points, at)
    }

    /// What the law tells of a state.
    fn point(&self, at: &Equilibrium) -> LawPoint {
        let (own, strain) = self.model.hoop.tension(&at.state, &at.load);
        let loads = observe::contact_loads(self.case, self.model, &at.state, at.load.pressure);
        LawPoint {
            pressure: at.load.pressure,
            lift: at.lift - self.origin,
            hoop_force: own + at.load.hoop_force,
            strain,
            seat_load: loads.seat,
            wall_load: loads.flange,
            pressing: loads.pressing,
        }
    }
}
