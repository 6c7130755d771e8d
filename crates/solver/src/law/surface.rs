//! The law over lift and pressure, between the lines on which it was traced.

use super::LawPoint;
use super::interpolation::Curve;

/// Distance of the lifts at which lines are compared, mm.
const KNOT: f64 = 0.05;
/// Distance from the path over which the law follows it, as a share of the pressures between which the law is known.
const NEAR_PATH: f64 = 0.12;

/// The law, on lines of rising lift.
#[derive(Clone, Debug, PartialEq)]
pub struct Law {
    /// Lines without friction, each at one pressure.
    pub frictionless: Vec<Vec<LawPoint>>,
    /// The path without friction, which the law follows closely where it passes; it may be empty.
    pub path: Vec<LawPoint>,
    /// Lines with friction on the way up, at one pressure or along a path; none where the case has none.
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

    /// Highest lift up to which the law is known, mm: two lines reach it.
    pub fn top(&self) -> f64 {
        second(self.frictionless.iter().filter_map(|line| line.last()).map(|p| -p.lift)).map_or(f64::NEG_INFINITY, |lift| -lift)
    }

    /// Lowest lift down to which the law is known, mm: two lines reach it.
    fn bottom(&self) -> Option<f64> {
        second(self.frictionless.iter().filter_map(|line| line.first()).map(|p| p.lift))
    }

    /// Lifts at which lines are compared, mm.
    pub(super) fn knots(&self) -> Option<Vec<f64>> {
        knots(self.bottom()?, self.top())
    }

    /// The law at a pressure within its range.
    pub fn at(&self, pressure: f64) -> Option<Reading> {
        let lifts = self.knots()?;
        let over = |of: fn(&LawPoint) -> f64| {
            let free = Free::new(self, of)?;
            Curve::new(lifts.clone(), lifts.iter().map(|lift| free.at(*lift, pressure)).collect())
        };
        let hoop_force = over(|p| p.hoop_force)?;
        let friction = self.grip(pressure, &lifts);
        Some(Reading { hoop_force, strain: over(|p| p.strain)?, pressing: over(|p| p.pressing)?, friction })
    }

    /// Friction at a pressure: what it takes off the hoop force that has to be added to hold the bead. It is about in proportion to the
    /// pressure, so that its share of it is what is taken between lines, and from the nearest beyond them; below the lift of a line's first
    /// point it is what it is there.
    fn grip(&self, pressure: f64, lifts: &[f64]) -> Option<Grip> {
        let without = Free::new(self, |p| p.added)?;
        let shares = self.rising.iter().filter_map(|line| {
            let line: Vec<LawPoint> = line.iter().filter(|p| p.lift <= self.top()).copied().collect();
            let share = |p: &LawPoint| ((without.at(p.lift, p.pressure) - p.added) / p.pressure).max(0.0);
            let at = Curve::new(line.iter().map(|p| p.lift).collect(), line.iter().map(|p| p.pressure).collect())?;
            Some((at, Curve::new(line.iter().map(|p| p.lift).collect(), line.iter().map(share).collect())?))
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

/// A number of the law without friction over lift and pressure: a parabola in the pressure through the lines, and near the path what the
/// path has over that, the less the farther from its pressure.
struct Free {
    lines: Vec<(f64, Curve)>,
    /// Pressure of the path and what it has over the parabola, over the lift.
    path: Option<[Curve; 2]>,
    /// Distance in pressure over which that dies away, MPa.
    near: f64,
}

impl Free {
    fn new(law: &Law, of: fn(&LawPoint) -> f64) -> Option<Self> {
        let lines = lines(&law.frictionless, of)?;
        let over = |p: &LawPoint| of(p) - parabola(&known(&lines, p.lift), p.pressure);
        let lifts = || law.path.iter().map(|p| p.lift).collect::<Vec<_>>();
        let pressures = Curve::new(lifts(), law.path.iter().map(|p| p.pressure).collect());
        let path = pressures.zip(Curve::new(lifts(), law.path.iter().map(over).collect())).map(|(p, over)| [p, over]);
        let near = NEAR_PATH * (lines.last()?.0 - lines.first()?.0);
        Some(Self { lines, path, near })
    }

    fn at(&self, lift: f64, pressure: f64) -> f64 {
        let over = self.path.as_ref().map_or(0.0, |[at, over]| {
            let away = (pressure - at.held(lift).0) / self.near;
            over.held(lift).0 * (-away * away).exp()
        });
        parabola(&known(&self.lines, lift), pressure) + over
    }
}

/// The second lowest.
fn second(values: impl Iterator<Item = f64>) -> Option<f64> {
    let mut values: Vec<f64> = values.collect();
    values.sort_by(f64::total_cmp);
    values.get(1).copied()
}

/// Pressure of each line, by rising pressure, and a number over the lift.
fn lines(lines: &[Vec<LawPoint>], of: fn(&LawPoint) -> f64) -> Option<Vec<(f64, Curve)>> {
    let over = |line: &Vec<LawPoint>| {
        let curve = Curve::new(line.iter().map(|p| p.lift).collect(), line.iter().map(of).collect())?;
        Some((line.first()?.pressure, curve))
    };
    let mut lines: Vec<(f64, Curve)> = lines.iter().filter_map(over).collect();
    lines.sort_by(|a, b| a.0.total_cmp(&b.0));
    (lines.len() >= 2).then_some(lines)
}

/// Pressures and numbers of the lines at a lift. A line that does not reach it goes on from its end as the one nearest in pressure does that
/// reaches it.
fn known(lines: &[(f64, Curve)], lift: f64) -> Vec<(f64, f64)> {
    let reaches = |curve: &Curve| {
        let [from, to] = curve.range();
        (from - 1e-9..=to + 1e-9).contains(&lift)
    };
    let value = |(pressure, curve): &(f64, Curve)| {
        let end = curve.held(lift).0;
        let away = |other: &&(f64, Curve)| (other.0 - pressure).abs();
        let guide = lines.iter().filter(|(_, other)| reaches(other)).min_by(|a, b| away(a).total_cmp(&away(b)));
        match guide {
            Some((_, guide)) if !reaches(curve) => {
                let [from, to] = curve.range();
                end + guide.at(lift).0 - guide.at(lift.clamp(from, to)).0
            }
            _ => end,
        }
    };
    lines.iter().map(|line| (line.0, value(line))).collect()
}

/// Through points, all of them, as casing and gas make the law nearly a parabola in the pressure (Lagrange).
fn parabola(known: &[(f64, f64)], at: f64) -> f64 {
    let weight = |i: usize| {
        let others = known.iter().enumerate().filter(|(j, _)| *j != i);
        others.map(|(_, (x, _))| (at - x) / (known[i].0 - x)).product::<f64>()
    };
    known.iter().enumerate().map(|(i, (_, y))| weight(i) * y).sum()
}

/// Straight between points, the end's value beyond.
pub(crate) fn straight(known: &[(f64, f64)], at: f64) -> f64 {
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
