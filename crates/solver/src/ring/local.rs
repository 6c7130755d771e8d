//! Local release: the pressure at which an arc that stands higher than the rest of the bead runs away over the crest.

use super::basis::Basis;
use super::outside::Outside;
use super::standing::{self, Dip, Unevenness};
use super::{Friction, Joining, Outcome, Ring, RingProfile, Section, State, settle};
use crate::law::interpolation::Curve;
use crate::law::surface::{Law, Reading};
use hoopwright_case::HoopLaw;

/// How finely a release is looked for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Fineness {
    /// Steps of the pressure on the way up from the lowest to the highest.
    pub tried: usize,
    /// Share of the highest pressure to which the release is located.
    pub located: f64,
}

impl Default for Fineness {
    fn default() -> Self {
        Self { tried: 16, located: 1e-3 }
    }
}

/// Share of a seen unevenness that friction must hold for what was seen to be taken as its equilibrium.
pub const HELD: f64 = 0.95;
/// Room below the crest, as a share of the clearance, within which an arc that still stays is about to go over it quietly.
const CLOSE: f64 = 0.1;

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
    /// A dip of the crest.
    pub dip: Option<Dip>,
    /// A load from outside.
    pub load: Option<Outside>,
}

/// What was found.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Found {
    /// Lowest pressure at which an arc runs away, MPa; none up to the highest at which the even bead stays.
    pub release: Option<f64>,
    /// Highest pressure at which it was found to stay, MPa; none if at none.
    pub stays: Option<f64>,
    /// The arc that runs away.
    pub gone: Option<Gone>,
    /// Where the ring is at the highest pressure at which it was found to stay; none if at none.
    pub last: Option<RingProfile>,
    /// The ring on its way off, as it reaches the crest at the release pressure: no equilibrium.
    pub leaving: Option<RingProfile>,
    /// Share of a seen unevenness that friction holds at the pressure at which it was seen; none if it was not seen, or nothing is uneven.
    pub held: Option<f64>,
}

/// An arc that runs away.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Gone {
    /// Length of the arc that stands higher than half its peak as it reaches the crest, rad.
    pub arc: f64,
    /// Angle of the station that reaches the crest, rad, from where the bead stood highest.
    pub station: f64,
    /// Whether it reached the crest without a loss of equilibrium: it was let go over it, or came close to it before.
    pub reached: bool,
}

/// What became of a ring that was let go at a pressure.
enum Fate {
    Stays(Box<(State, RingProfile)>),
    Leaves(Gone, Box<RingProfile>),
}

/// What becomes of a ring at a pressure, from where it was at the last one at which it stayed.
type Go<'a> = dyn Fn(f64, Option<&State>) -> Result<Fate, Unknown> + 'a;

/// Where a ring is when it is let go.
#[derive(Clone, Copy)]
enum Start<'a> {
    /// Lifted as it stands unevenly.
    Attempt,
    /// As it was seen.
    Seen,
    /// Where it was.
    From(&'a State),
}

/// Why there is no answer.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Unknown {
    /// The law is not known at a pressure.
    NoLaw,
    /// A ring that was let go neither stayed nor left.
    Undecided,
    /// An arc leaves already at the lowest pressure at which the law is known: from which pressure on is not.
    Below,
    /// The heights were seen at a pressure at which not even the even bead stays.
    SeenBeyond,
}

impl Found {
    /// The state goes on from where it stays.
    fn take(&mut self, pressure: f64, fate: Fate) -> Option<State> {
        match fate {
            Fate::Stays(stayed) => {
                let (state, profile) = *stayed;
                (self.stays, self.last) = (Some(pressure), Some(profile));
                Some(state)
            }
            Fate::Leaves(gone, profile) => {
                (self.release, self.gone, self.leaving) = (Some(pressure), Some(gone), Some(*profile));
                None
            }
        }
    }

    /// Of two answers the one with the lower release.
    fn lower(self, other: Self) -> Self {
        let pressure = |found: &Self| found.release.unwrap_or(f64::INFINITY);
        if pressure(&other) < pressure(&self) { other } else { self }
    }

    /// An arc that stayed close below the crest before went over it without a loss of equilibrium.
    fn close(&mut self) {
        let room = |last: &RingProfile| last.crest.iter().zip(&last.lift).map(|(c, w)| c - w).fold(f64::INFINITY, f64::min);
        let all = |last: &RingProfile| last.crest.iter().copied().fold(0.0, f64::max);
        if let (Some(gone), Some(last)) = (&mut self.gone, &self.last) {
            gone.reached |= room(last) < CLOSE * all(last);
        }
    }
}

impl Question<'_> {
    /// Finds the local release. Heights that were seen under pressure are followed up from there, with the friction that balanced them; where
    /// friction does not balance them, the lower of that and of an attempt counts. Anything else is an attempt, made anew at every pressure:
    /// so are seen heights without friction, which nothing would hold.
    ///
    /// # Errors
    /// [`Unknown`] where there is no answer.
    pub fn answer(&self) -> Result<Found, Unknown> {
        self.answer_on(&self.basis(), Fineness::default())
    }

    /// Likewise on harmonics and stations of one's own.
    ///
    /// # Errors
    /// [`Unknown`] where there is no answer.
    pub fn answer_on(&self, basis: &Basis, fineness: Fineness) -> Result<Found, Unknown> {
        let seen = match self.unevenness {
            Unevenness::Measured(measured) if self.friction > 0.0 => measured.seen_at,
            _ => None,
        };
        let ([from, _], [_, stays]) = (self.law.range().ok_or(Unknown::NoLaw)?, self.even.range());
        let attempts = |from: f64, found: Found| {
            let attempt = |pressure: f64, _: Option<&State>| self.fate(basis, pressure, Start::Attempt);
            self.search([from, stays], fineness, found, None, &attempt)
        };
        let mut found = match seen {
            None => {
                let found = attempts(from, Found::default())?;
                if found.release.is_some() && found.stays.is_none() {
                    return Err(Unknown::Below);
                }
                found
            }
            Some(seen) => {
                let followed = self.follow(basis, [seen.max(from), stays], fineness)?;
                if followed.held.is_some_and(|share| share < HELD) {
                    // What was seen asks for more friction than there is to be counted on: something else holds it, up to nobody knows where.
                    let anew = attempts(seen.max(from), Found { held: followed.held, ..Found::default() })?;
                    followed.lower(anew)
                } else {
                    followed
                }
            }
        };
        found.close();
        Ok(found)
    }

    /// Follows what was seen at a pressure.
    fn follow(&self, basis: &Basis, [seen, stays]: [f64; 2], fineness: Fineness) -> Result<Found, Unknown> {
        if seen >= stays {
            return Err(Unknown::SeenBeyond);
        }
        let mut found = Found::default();
        let first = self.fate(basis, seen, Start::Seen)?;
        let Some(state) = found.take(seen, first) else { return Ok(found) };
        let before = found.last.as_ref().map(|last| last.before.clone()).unwrap_or_default();
        let [was, is] = found.last.as_ref().map_or([0.0; 2], RingProfile::unevenness);
        found.held = (was > 0.0).then(|| (is / was).min(1.0));
        let on = |pressure: f64, from: Option<&State>| {
            let mut fate = self.fate(basis, pressure, from.map_or(Start::Seen, Start::From))?;
            if let Fate::Stays(stayed) = &mut fate {
                stayed.1.before.clone_from(&before);
            }
            Ok(fate)
        };
        self.search([seen, stays], fineness, found, Some(state), &on)
    }

    /// Tries pressures on the way up, then halves between the last at which the ring stays and the first at which it leaves.
    fn search(
        &self,
        [from, stays]: [f64; 2],
        fineness: Fineness,
        mut found: Found,
        mut state: Option<State>,
        fate: &Go<'_>,
    ) -> Result<Found, Unknown> {
        for k in usize::from(state.is_some())..=fineness.tried {
            let pressure = from + (stays - from) * k as f64 / fineness.tried as f64;
            state = found.take(pressure, fate(pressure, state.as_ref())?).or(state);
            if found.release.is_some() {
                break;
            }
        }
        while let (Some(high), Some(low)) = (found.release, found.stays)
            && high - low > fineness.located * stays
        {
            let middle = 0.5 * (low + high);
            state = found.take(middle, fate(middle, state.as_ref())?).or(state);
        }
        Ok(found)
    }

    /// How a ring that stood unevenly stays at a pressure; none where it leaves.
    ///
    /// # Errors
    /// [`Unknown`] where there is no answer.
    pub fn stays(&self, basis: &Basis, pressure: f64) -> Result<Option<RingProfile>, Unknown> {
        Ok(match self.fate(basis, pressure, Start::Attempt)? {
            Fate::Stays(stayed) => Some(stayed.1),
            Fate::Leaves(..) => None,
        })
    }

    /// Whether a ring that stood unevenly stays at a pressure, where that tells: not where what was seen is followed up.
    pub fn attempt_stays(&self, pressure: f64) -> bool {
        let followed = self.friction > 0.0 && matches!(self.unevenness, Unevenness::Measured(m) if m.seen_at.is_some());
        !followed && matches!(self.stays(&self.basis(), pressure), Ok(Some(_)))
    }

    /// Whether all is symmetric about the place where the bead stands highest.
    pub fn is_symmetric(&self) -> bool {
        self.load.as_ref().is_none_or(Outside::is_symmetric) && standing::is_symmetric(self.unevenness, self.dip.as_ref())
    }

    /// Harmonics for it.
    fn basis(&self) -> Basis {
        if self.is_symmetric() { Basis::symmetric() } else { Basis::full() }
    }

    /// What becomes of a ring that is let go at a pressure.
    fn fate(&self, basis: &Basis, pressure: f64, start: Start<'_>) -> Result<Fate, Unknown> {
        self.on_ring(basis, pressure, |ring, crest, lift| {
            let start = match start {
                Start::From(state) => state.clone(),
                Start::Seen => self.seen(ring, lift),
                Start::Attempt => self.attempt(ring, lift),
            };
            let before = ring.lift(&start);
            let over = before.iter().zip(crest).any(|(w, top)| w >= top);
            let profile = |state: &State| RingProfile::new(ring, state, pressure, before.as_slice(), crest);
            match settle(ring, start, crest) {
                Outcome::Settled(state) => {
                    let profile = profile(&state);
                    Ok(Fate::Stays(Box::new((state, profile))))
                }
                Outcome::Released(state) => Ok(Fate::Leaves(gone(ring, &state, crest, over), Box::new(profile(&state)))),
                Outcome::Undecided => Err(Unknown::Undecided),
            }
        })?
    }

    /// Where an attempt at a pressure comes to rest; none where it leaves.
    pub(super) fn resting(&self, basis: &Basis, pressure: f64) -> Result<Option<State>, Unknown> {
        Ok(match self.fate(basis, pressure, Start::Attempt)? {
            Fate::Stays(stayed) => Some(stayed.0),
            Fate::Leaves(..) => None,
        })
    }

    /// Hands out the ring at a pressure, the lifts of its stations at which they are level with the crest, and the lift of the even bead.
    ///
    /// # Errors
    /// [`Unknown`] where the law is not known.
    pub(super) fn on_ring<T>(
        &self,
        basis: &Basis,
        pressure: f64,
        ask: impl FnOnce(&Ring<'_>, &[f64], f64) -> T,
    ) -> Result<T, Unknown> {
        let (section, lift) = self.section(pressure)?;
        let lowered = standing::lowered(self.dip.as_ref(), basis);
        let pushes = self.load.as_ref().map_or_else(Vec::new, |load| load.pushes(basis, pressure, self.friction));
        let ring = Ring { hoop: self.hoop, radius: self.radius, basis, section: &section, lowered: &lowered, pushes: &pushes };
        let crest: Vec<f64> = lowered.iter().map(|dip| self.clearance.min(self.law.top()) - dip).collect();
        Ok(ask(&ring, &crest, lift))
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
        let joining = by_pressure(&self.joining, pressure);
        Ok((Section { law: hoop_force, strain, friction, joining }, self.even.held(pressure).0))
    }
}

/// Triples by waves at a pressure, straight between those known and as at the nearest beyond them.
pub(super) fn by_pressure(known: &[(f64, Vec<Joining>)], pressure: f64) -> Vec<Joining> {
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

/// The arc of a state that goes: the length of the circumference on which the lift over the lowest one exceeds half of what it is at its
/// highest, and the station that is over the crest.
fn gone(ring: &Ring<'_>, state: &State, crest: &[f64], reached: bool) -> Gone {
    let lift = ring.lift(state);
    let half = 0.5 * (lift.min() + lift.max());
    let arc = lift.iter().zip(ring.basis.weights.iter()).filter(|(w, _)| **w > half).map(|(_, weight)| weight).sum();
    let over = |i: &usize| lift[*i] - crest[*i];
    let station = (0..crest.len()).max_by(|a, b| over(a).total_cmp(&over(b)).then(b.cmp(a))).unwrap_or(0);
    Gone { arc, station: ring.basis.angles[station], reached }
}
