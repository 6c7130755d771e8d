//! Local release: the pressure at which an arc that stands higher than the rest of the bead runs away over the crest.

use super::basis::Basis;
use super::{Friction, Joining, Outcome, Ring, RingProfile, Section, State, settle};
use crate::case::HoopLaw;
use crate::law::interpolation::Curve;
use crate::law::surface::{Law, Reading};
use std::f64::consts::PI;

/// Pressures that are tried on the way up, as shares of the way from the lowest to the highest.
const TRIED: usize = 16;
/// Share of the highest pressure to which the release is located.
const LOCATED: f64 = 1e-3;

/// What a ring is asked.
#[derive(Clone, Debug)]
pub struct Question<'a> {
    /// Hoop law of the bundle.
    pub hoop: &'a HoopLaw,
    /// Radius of the bundle on its seat, mm.
    pub radius: f64,
    /// Radius of the seat, mm.
    pub seat_radius: f64,
    /// Lift at which the bundle is level with the crest, mm.
    pub clearance: f64,
    /// Law of the bead.
    pub law: &'a Law,
    /// Coefficient of friction; 0 for none.
    pub friction: f64,
    /// Lift of the even bead over pressure, up to the highest pressure at which it stays.
    pub even: Curve,
    /// Stiffness that joins the stations, at pressures, by rising pressure; each from n = 0 on.
    pub joining: Vec<(f64, Vec<Joining>)>,
    /// How the bead stands unevenly.
    pub unevenness: &'a Unevenness,
}

/// How far the bead stands over its even place, round the wheel.
#[derive(Clone, Debug, PartialEq)]
pub struct Unevenness {
    /// Height of the arc, mm.
    pub height: f64,
    /// Length of the arc, rad.
    pub arc: f64,
}

impl Unevenness {
    /// Height at an angle from the middle of the arc, mm: a bell.
    pub fn at(&self, angle: f64) -> f64 {
        let away = (angle + PI).rem_euclid(2.0 * PI) - PI;
        if away.abs() < 0.5 * self.arc { self.height * 0.5 * (1.0 + (2.0 * PI * away / self.arc).cos()) } else { 0.0 }
    }
}

/// What was found.
#[derive(Clone, Debug, PartialEq)]
pub struct Found {
    /// Lowest pressure at which the arc runs away, MPa; none up to the highest at which the even bead stays.
    pub release: Option<f64>,
    /// Highest pressure at which it was found to stay, MPa; none if at none.
    pub stays: Option<f64>,
    /// Length of the arc that stands higher than half its peak as it reaches the crest, rad.
    pub arc: Option<f64>,
    /// Where the ring is at the highest pressure at which it was found to stay; none if at none.
    pub last: Option<RingProfile>,
}

/// What became of a ring that was let go at a pressure.
enum Fate {
    Stays(RingProfile),
    /// The length of the arc as it reaches the crest, rad.
    Leaves(f64),
}

/// Why there is no answer.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Unknown {
    /// The law is not known at a pressure.
    NoLaw,
    /// A ring that was let go neither stayed nor left.
    Undecided,
}

impl Found {
    fn take(&mut self, pressure: f64, fate: Fate) {
        match fate {
            Fate::Stays(profile) => (self.stays, self.last) = (Some(pressure), Some(profile)),
            Fate::Leaves(arc) => (self.release, self.arc) = (Some(pressure), Some(arc)),
        }
    }
}

impl Question<'_> {
    /// Finds the local release.
    ///
    /// # Errors
    /// [`Unknown`] where there is no answer.
    pub fn answer(&self) -> Result<Found, Unknown> {
        let basis = Basis::symmetric();
        let ([from, _], [_, stays]) = (self.law.range().ok_or(Unknown::NoLaw)?, self.even.range());
        let mut found = Found { release: None, stays: None, arc: None, last: None };
        for k in 0..=TRIED {
            let pressure = from + (stays - from) * k as f64 / TRIED as f64;
            found.take(pressure, self.fate(&basis, pressure)?);
            if found.release.is_some() {
                break;
            }
        }
        while let (Some(high), Some(low)) = (found.release, found.stays)
            && high - low > LOCATED * stays
        {
            let middle = 0.5 * (low + high);
            found.take(middle, self.fate(&basis, middle)?);
        }
        Ok(found)
    }

    /// What becomes of an arc that is lifted at a pressure.
    fn fate(&self, basis: &Basis, pressure: f64) -> Result<Fate, Unknown> {
        let (section, lift) = self.section(pressure)?;
        let ring = Ring { hoop: self.hoop, radius: self.radius, basis, section: &section };
        let crest = vec![self.clearance.min(self.law.top()); basis.angles.len()];
        let start = self.start(&ring, lift);
        let before = ring.lift(&start);
        match settle(&ring, start, &crest) {
            Outcome::Settled(state) => Ok(Fate::Stays(RingProfile::new(&ring, &state, pressure, before.as_slice(), &crest))),
            Outcome::Released(state) => Ok(Fate::Leaves(arc(&ring, &state))),
            Outcome::Undecided => Err(Unknown::Undecided),
        }
    }

    /// The ring before it is let go: the arc stands higher by the unevenness. The even part is in equilibrium, which friction's share there
    /// makes up; on the arc friction is at rest, as what is left there of mounting is not known.
    fn start(&self, ring: &Ring<'_>, lift: f64) -> State {
        let bell: Vec<f64> = ring.basis.angles.iter().map(|t| self.unevenness.at(*t)).collect();
        let stands: Vec<f64> = bell.iter().map(|height| lift + height).collect();
        let x = ring.basis.amplitudes(&stands);
        let even = ring.section.law.at(lift).0 - self.hoop.force(ring.section.strain.at(lift).0).0;
        let tallest = self.unevenness.height.max(f64::MIN_POSITIVE);
        let friction = bell.iter().map(|height| [even * (1.0 - height / tallest), 0.0]).collect();
        let (w, v) = (&ring.basis.lift * &x, &ring.basis.shift * &x);
        let held = (0..bell.len()).map(|i| [w[i], v[i]]).collect();
        State { x, friction, held }
    }

    /// What acts at a pressure, and the lift of the even bead.
    fn section(&self, pressure: f64) -> Result<(Section, f64), Unknown> {
        let Reading { hoop_force, strain, pressing, friction } = self.law.at(pressure).ok_or(Unknown::NoLaw)?;
        let friction = match friction.filter(|_| self.friction > 0.0) {
            None if self.friction > 0.0 => return Err(Unknown::NoLaw),
            None => None,
            Some(grip) => Some(Friction {
                circumferential: pressing.scaled(self.friction * self.seat_radius),
                radial: grip.most,
                stiffness: grip.stiffness,
            }),
        };
        let joining = joining_at(&self.joining, pressure);
        Ok((Section { law: hoop_force, strain, friction, joining }, self.even.at(pressure).0))
    }
}

/// Stiffness that joins the stations at a pressure, straight between those known and as at the nearest beyond them.
fn joining_at(known: &[(f64, Vec<Joining>)], pressure: f64) -> Vec<Joining> {
    let above = known.iter().position(|(p, _)| *p >= pressure);
    match above {
        None => known.last().map(|(_, k)| k.clone()).unwrap_or_default(),
        Some(0) => known[0].1.clone(),
        Some(i) => {
            let ((a, before), (b, after)) = (&known[i - 1], &known[i]);
            let share = (pressure - a) / (b - a);
            let mix = |x: &Joining, y: &Joining| std::array::from_fn(|c| x[c] + share * (y[c] - x[c]));
            before.iter().zip(after).map(|(x, y)| mix(x, y)).collect()
        }
    }
}

/// Length of the circumference on which the lift over the lowest one exceeds half of what it is at its highest, rad.
fn arc(ring: &Ring<'_>, state: &State) -> f64 {
    let lift = ring.lift(state);
    let half = 0.5 * (lift.min() + lift.max());
    lift.iter().zip(ring.basis.weights.iter()).filter(|(w, _)| **w > half).map(|(_, weight)| weight).sum()
}
