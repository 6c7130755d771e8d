//! Where a path ends: at a maximum of the pressure, which is bracketed, at a break, which is located, or past the crest.

use super::{Driver, LIFT_STEP, failed};
use crate::path::{End, PathPoint, Stage};
use crate::retention;
use hoopwright_fem::continuation::Target;
use hoopwright_fem::error::SolveError;

/// Lift over which a grip that slips may let the pressure fall before the next one takes it up, mm.
const GRIP: f64 = 0.3;
/// A bead whose core is past the crest is gone when the pressure has fallen to this share of its maximum: nothing holds it there, and
/// the fall need only show.
const FALLEN_PAST_CREST: f64 = 0.99;
/// Below this share of the clearance a fall of the pressure is a bead that snaps off seat or hump, not one that lets go.
const UNSEATED: f64 = 0.25;
/// The maximum counts as bracketed when its neighbours on both sides lie within this share of it and no further apart than a step of the
/// lift, a break when the last whole point does.
const BRACKET: f64 = 1e-3;
/// Lifts that differ by less count as one, mm. Steps are whole parts of [`LIFT_STEP`], so that their sums often meet it: round-off, which is
/// another on every machine, must not decide where the next point lies.
const SAME_LIFT: f64 = 1e-6;
/// Share of the maximum below which the pressure must lie, and fall, for a path that cannot be followed further to count as past it. A
/// smaller fall may be a grip that slipped, and what follows may hold more, as where the pressure rises again.
const PAST: f64 = 0.97;

impl Driver<'_, '_> {
    /// Why the path ends at its last point, if it does.
    pub(super) fn ended(&mut self) -> Option<End> {
        if let Some(end) = self.broken() {
            self.locate_break();
            return Some(end);
        }
        let (pressure, lift) = self.path.last().map(|p| (p.pressure, p.lift))?;
        let highest = self.path.iter().map(|p| p.pressure).fold(0.0, f64::max);
        let clearance = retention::clearance(self.case, &self.path);
        let gone = if lift > clearance { pressure < FALLEN_PAST_CREST * highest } else { self.falls_on(highest) };
        if gone && lift > UNSEATED * clearance {
            return Some(self.bracket_peak());
        }
        if pressure >= self.case.pressure.cap * (1.0 - 1e-9) {
            return Some(End::Cap);
        }
        if lift > clearance + 0.5 * self.case.bead.bundle_size {
            return Some(if self.peak().is_some() { self.bracket_peak() } else { End::CoreClearsCrest });
        }
        None
    }

    /// Whether the pressure has fallen below its maximum and goes on falling. A grip that slips lets it fall once, and the next one takes
    /// it up again: under gas the bead would jump to where the same pressure is met farther up.
    fn falls_on(&self, highest: f64) -> bool {
        let [.., before, last] = &self.path[..] else { return false };
        let peak = self.path.iter().rfind(|p| p.pressure >= highest).map_or(0.0, |p| p.lift);
        before.pressure < retention::GONE * highest && last.pressure < before.pressure && last.lift > peak + GRIP
    }

    pub(super) fn broken(&self) -> Option<End> {
        self.breaks_at(self.path.len().checked_sub(1)?)
    }

    /// What breaks at a point of the path.
    fn breaks_at(&self, point: usize) -> Option<End> {
        let last = self.path.get(point)?;
        let beyond = |value: f64, limit: Option<f64>| limit.is_some_and(|limit| value >= limit);
        if beyond(last.bead_tension, self.case.bead.breaking_force) {
            Some(End::BundleBreaks)
        } else if beyond(last.cord_force, self.case.casing.cord_breaking_force) {
            Some(End::CordBreaks)
        } else {
            None
        }
    }

    /// Brings the last point, where something breaks, down to where it does, then leaves it out: the path ends where all is whole.
    fn locate_break(&mut self) {
        for _ in 0..8 {
            let (Some(after), [.., whole, broken]) = (self.path.len().checked_sub(2), &self.points[..]) else { return };
            let (a, b) = (whole.load.pressure, broken.load.pressure);
            if (b - a).abs() <= BRACKET * a.max(b) {
                break;
            }
            let moved = (broken.functional - whole.functional).abs() > 1e-3 * LIFT_STEP;
            let half = if moved {
                Target::Functional(0.5 * (whole.functional + broken.functional))
            } else {
                Target::Pressure(0.5 * (a + b))
            };
            let stage = self.path[after + 1].stage;
            if self.insert(after, half, stage).is_err() {
                break;
            }
            if self.breaks_at(after + 1).is_some() {
                self.leave_out_last();
            }
        }
        self.leave_out_last();
    }

    fn leave_out_last(&mut self) {
        self.points.pop();
        self.path.pop();
    }

    /// Why the path ends where no step further was found: past a maximum from which the pressure has fallen, or in a failure.
    pub(super) fn stuck(&mut self, reason: &SolveError) -> End {
        match self.peak() {
            Some(i) if is_past(&self.path, self.path[i].pressure) => self.bracket_peak(),
            _ => failed("blow-off", reason),
        }
    }

    /// Index of an interior maximum of the pressure in the blow-off stage.
    pub(super) fn peak(&self) -> Option<usize> {
        let (index, _) = self.path.iter().enumerate().max_by(|a, b| a.1.pressure.total_cmp(&b.1.pressure))?;
        (index > 0 && index + 1 < self.path.len()).then_some(index)
    }

    /// Inserts points near the maximum until its neighbours lie within the bracket.
    pub(super) fn bracket_peak(&mut self) -> End {
        for _ in 0..8 {
            let Some(i) = self.peak() else { break };
            let p = |k: usize| self.path[k].pressure;
            let l = |k: usize| self.points[k + 1].functional;
            let near = p(i) - p(i - 1).min(p(i + 1)) <= BRACKET * p(i);
            if near && l(i + 1) - l(i - 1) <= LIFT_STEP + SAME_LIFT {
                break;
            }
            // The further of the two neighbours, by its pressure or else by its lift, is brought closer: to where a parabola through it and
            // the maximum falls by half the bracket, from the lower end so that the history runs forward.
            let before = if near { l(i) - l(i - 1) > l(i + 1) - l(i) + SAME_LIFT } else { p(i - 1) < p(i + 1) };
            let (from, other) = if before { (i - 1, i - 1) } else { (i, i + 1) };
            let share = (0.5 * BRACKET * p(i) / (p(i) - p(other))).sqrt().clamp(0.1, 0.5);
            let lift = l(i) + share * (l(other) - l(i));
            if self.insert(from, Target::Functional(lift), Stage::BlowOff).is_err() {
                break;
            }
        }
        End::LimitPoint
    }
}

/// Whether a path that cannot be followed further has passed its maximum, MPa.
fn is_past(path: &[PathPoint], highest: f64) -> bool {
    let [.., before, last] = path else { return false };
    last.pressure < PAST * highest && last.pressure < before.pressure
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::path::point;

    /// A grip slipped from 1.124 to 1.052 MPa, the next one takes the pressure up again, and there the solver sticks: what follows held 1.37 MPa.
    #[test]
    fn a_path_that_sticks_on_its_way_up_has_not_passed_its_maximum() {
        let path = |last: f64| [point(1.124, 1.29, 0.0), point(1.084, 1.53, 0.0), point(last, 1.55, 0.0)];
        assert!(!is_past(&path(1.087), 1.124), "it rises");
        assert!(is_past(&path(1.08), 1.124));
        let slipped = [point(1.124, 1.29, 0.0), point(1.1, 1.3, 0.0)];
        assert!(!is_past(&slipped, 1.124), "as little as a grip that slips lets it fall");
    }
}
