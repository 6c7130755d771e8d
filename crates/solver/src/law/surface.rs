//! The law over lift and pressure, between the lines on which it was traced.

use super::LawPoint;
use super::interpolation::Curve;

/// Distance of the lifts at which lines are compared, mm.
const KNOT: f64 = 0.05;
/// Lines whose pressures at a lift lie nearer than this share of the higher one tell no two things.
const APART: f64 = 0.12;

/// The law, on lines of rising lift over the plane of lift and pressure: at one pressure, or along a path.
#[derive(Clone, Debug, PartialEq)]
pub struct Law {
    /// Lines without friction.
    pub frictionless: Vec<Vec<LawPoint>>,
    /// Lines with friction on the way up; none where the case has none.
    pub rising: Vec<Vec<LawPoint>>,
    /// Hoop force that friction takes up for each millimetre of reversal and each MPa, N; 0 without friction.
    pub stick: f64,
}

/// What is read off the law at a pressure: curves over the lift.
#[derive(Clone, Debug)]
pub struct Reading {
    /// Hoop force that holds the bead without friction, N.
    pub hoop_force: Curve,
    /// Strain of the bundle there.
    pub strain: Curve,
    /// Normal contact forces, N/mm of the seat's circumference.
    pub pressing: Curve,
    /// Friction, if the case has any and its lines reach far enough to tell it.
    pub friction: Option<Grip>,
}

/// What friction does to the bead on its way up.
#[derive(Clone, Debug)]
pub struct Grip {
    /// Hoop force that it takes off once it slips, N.
    pub most: Curve,
    /// Hoop force that a millimetre of reversal takes off it, N/mm.
    pub stiffness: f64,
}

impl Law {
    /// Pressures between which the law is known, MPa.
    pub fn range(&self) -> Option<[f64; 2]> {
        let pressures = || self.frictionless.iter().flatten().map(|p| p.pressure);
        let lowest = pressures().fold(f64::INFINITY, f64::min);
        let highest = pressures().fold(0.0, f64::max);
        (lowest < highest).then_some([lowest, highest])
    }

    /// Highest lift up to which the law is known at every pressure, mm.
    pub fn top(&self) -> f64 {
        let end = |lines: &[Vec<LawPoint>]| {
            let first_and_last = [lines.first(), lines.get(1)];
            first_and_last.into_iter().flatten().filter_map(|line| line.last()).map(|p| p.lift).fold(f64::INFINITY, f64::min)
        };
        end(&self.frictionless)
    }

    /// The law at a pressure within its range.
    pub fn at(&self, pressure: f64) -> Option<Reading> {
        let lowest = self.frictionless.first()?.first()?.lift;
        let lifts = knots(lowest, self.top())?;
        let over = |of: fn(&LawPoint) -> f64| {
            let lines = lines(&self.frictionless, of)?;
            let value = |lift: &f64| quadratic(&known(&lines, *lift), pressure);
            Curve::new(lifts.clone(), lifts.iter().map(value).collect::<Option<Vec<_>>>()?)
        };
        let hoop_force = over(|p| p.hoop_force)?;
        let friction = self.grip(pressure, &lifts);
        Some(Reading { hoop_force, strain: over(|p| p.strain)?, pressing: over(|p| p.pressing)?, friction })
    }

    /// Friction at a pressure. It goes by the pressure about in proportion, so that its share of it is what is taken between lines, and from
    /// the nearest beyond them; below the lift of a line's first point it is what it is there.
    fn grip(&self, pressure: f64, lifts: &[f64]) -> Option<Grip> {
        let without = lines(&self.frictionless, |p| p.hoop_force)?;
        let shares = self.rising.iter().filter_map(|line| {
            // Beyond the crest the law without friction is known on the path alone.
            let line: Vec<LawPoint> = line.iter().filter(|p| p.lift <= self.top()).copied().collect();
            let share = |p: &LawPoint| {
                let free = quadratic(&known(&without, p.lift), p.pressure)?;
                Some(((free - p.hoop_force) / p.pressure).max(0.0))
            };
            let at = Curve::new(line.iter().map(|p| p.lift).collect(), line.iter().map(|p| p.pressure).collect())?;
            Some((at, Curve::new(line.iter().map(|p| p.lift).collect(), line.iter().map(share).collect::<Option<Vec<_>>>()?)?))
        });
        let shares: Vec<(Curve, Curve)> = shares.collect();
        if shares.is_empty() {
            return None;
        }
        let most = |lift: &f64| {
            let mut known: Vec<(f64, f64)> = shares.iter().map(|(at, share)| (at.held(*lift).0, share.held(*lift).0)).collect();
            known.sort_by(|a, b| a.0.total_cmp(&b.0));
            pressure * straight(&known, pressure)
        };
        Some(Grip { most: Curve::new(lifts.to_vec(), lifts.iter().map(most).collect())?, stiffness: self.stick * pressure })
    }
}

/// Pressure and a number of each line, over the lift.
fn lines(lines: &[Vec<LawPoint>], of: fn(&LawPoint) -> f64) -> Option<Vec<(Curve, Curve)>> {
    let over = |line: &Vec<LawPoint>, of: fn(&LawPoint) -> f64| {
        Curve::new(line.iter().map(|p| p.lift).collect(), line.iter().map(of).collect())
    };
    lines.iter().map(|line| Some((over(line, |p| p.pressure)?, over(line, of)?))).collect()
}

/// Pressures and numbers that the lines have at a lift, by rising pressure.
fn known(lines: &[(Curve, Curve)], lift: f64) -> Vec<(f64, f64)> {
    let has = |line: &&(Curve, Curve)| {
        let [from, to] = line.0.range();
        (from - 1e-9..=to + 1e-9).contains(&lift)
    };
    let mut known: Vec<(f64, f64)> = Vec::new();
    // Those that were traced on purpose come first: a path that is near one of them says the same less exactly.
    for (pressure, value) in lines.iter().filter(has) {
        let (pressure, value) = (pressure.at(lift).0, value.at(lift).0);
        if known.iter().all(|(other, _)| (other - pressure).abs() > APART * other.max(pressure)) {
            known.push((pressure, value));
        }
    }
    known.sort_by(|a, b| a.0.total_cmp(&b.0));
    known
}

/// Through the three points nearest to a place by a parabola, as casing and gas make the law nearly one; a straight line through two.
fn quadratic(known: &[(f64, f64)], at: f64) -> Option<f64> {
    let mut near: Vec<(f64, f64)> = known.to_vec();
    near.sort_by(|a, b| (a.0 - at).abs().total_cmp(&(b.0 - at).abs()));
    near.truncate(3);
    if near.is_empty() {
        return None;
    }
    let weight = |i: usize| {
        let others = near.iter().enumerate().filter(|(j, _)| *j != i);
        others.map(|(_, (x, _))| (at - x) / (near[i].0 - x)).product::<f64>()
    };
    Some(near.iter().enumerate().map(|(i, (_, y))| weight(i) * y).sum())
}

/// Straight between points, the end's value beyond.
fn straight(known: &[(f64, f64)], at: f64) -> f64 {
    let above = known.iter().position(|(x, _)| *x >= at);
    match above {
        None => known.last().map_or(0.0, |p| p.1),
        Some(0) => known[0].1,
        Some(i) => {
            let ((a, low), (b, high)) = (known[i - 1], known[i]);
            low + (high - low) * (at - a) / (b - a)
        }
    }
}

/// Lifts at which lines are compared.
fn knots(from: f64, to: f64) -> Option<Vec<f64>> {
    let n = ((to - from) / KNOT).ceil();
    (n >= 2.0 && n.is_finite()).then(|| (0..=n as usize).map(|k| from + (to - from) * k as f64 / n).collect())
}
