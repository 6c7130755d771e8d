//! What a rider's load on a patch of the tread does to a bead, by the waves of the load round the wheel.
//!
//! Linear about the even states of the path without friction: the tyre's stiffness is that without the load, so that a load that presses the
//! tread in far is answered too stiffly. How far that is goes with the answer.

use crate::law::trace::NoLaw;
use crate::law::tread::{Direction, Passed, Tread};
use crate::path::{PathPoint, Release};
use crate::result::Loaded;
use crate::ring::basis::WAVES;
use crate::ring::local::{Found, Question, Unknown};
use crate::ring::outside::{Amplitudes, Outside};
use crate::stages::Ran;
use hoopwright_case::{Case, Patch, RiderLoad, patch};
use std::f64::consts::{PI, TAU};

/// Places along the path without friction at which it is found out what reaches the bead, as shares of its highest pressure.
const PLACES: [f64; 3] = [0.2, 0.5, 0.95];

/// Share of the lowest release so far at which a bead that stays is asked no further.
const CLOSE: f64 = 0.997;
/// Angle beside the place of most harm by the first order at which the load is tried too, rad: half a wave of the ring's shortest.
const BESIDE: f64 = PI / WAVES as f64;

/// What reaches a bead of unit waves of a radial and of a lateral load, from no wave on.
type Shares = Vec<[Passed; 2]>;

/// A load with what reaches the bead of its waves, at pressures, by rising pressure.
pub struct Rider {
    load: RiderLoad,
    /// The patch of the tread that it stands on.
    pub patch: Patch,
    shares: Vec<(f64, Shares)>,
}

impl Rider {
    /// For a case, from its path without friction; none without a load.
    ///
    /// # Errors
    /// [`NoLaw`] where the tyre is not held.
    pub fn new(case: &Case, ran: &Ran) -> Result<Option<Self>, NoLaw> {
        let (Some(load), Some(patch)) = (case.local.rider, patch(case)) else { return Ok(None) };
        let mut tread = Tread::new(&ran.model, 0.5 * patch.width)?;
        let highest = ran.run.path.iter().map(|p| p.pressure).fold(0.0, f64::max);
        let mut shares = Vec::new();
        for share in PLACES {
            let reached = |(_, p): &(usize, &PathPoint)| p.pressure >= share * highest;
            let Some((place, point)) = ran.run.path.iter().enumerate().find(reached) else { continue };
            let mut of = |n: usize, direction| tread.passed(&ran.states[place], n, direction);
            let waves = (0..=WAVES).map(|n| Ok([of(n, Direction::Radial)?, of(n, Direction::Lateral)?]));
            shares.push((point.pressure, waves.collect::<Result<Shares, NoLaw>>()?));
        }
        Ok(Some(Self { load, patch, shares }))
    }

    /// Another load on the same patch.
    #[cfg(test)]
    pub fn with(&self, radial: f64, lateral: f64, station: Option<f64>) -> Self {
        Self { load: RiderLoad { radial, lateral, station, ..self.load }, patch: self.patch, shares: self.shares.clone() }
    }

    /// The load as the bead feels it to which it leans (`side` 1) or the other one (-1), its middle where the bead stands highest.
    pub fn outside(&self, side: f64) -> Outside {
        let of = |(n, [radial, lateral]): (usize, &[Passed; 2])| -> Amplitudes {
            let (r, l) = (self.wave(self.load.radial, n), side * self.wave(self.load.lateral, n));
            let sum = |of: fn(&Passed) -> f64| r * of(radial) + l * of(lateral);
            [sum(|p| p.outward), sum(|p| p.along), sum(|p| p.wall)]
        };
        let waves = self.shares.iter().map(|(pressure, shares)| (*pressure, shares.iter().enumerate().map(of).collect()));
        Outside { waves: waves.collect(), at: 0.0 }
    }

    /// Sides of the load that differ.
    pub fn sides(&self) -> &[f64] {
        if self.load.lateral > 0.0 { &[1.0, -1.0] } else { &[1.0] }
    }

    /// The lowest release with the load: of both ways of asking the ring, with what it answered without the load and whether one bead moves
    /// alone, of both sides to which the load may lean, and of the place given, or of some: where the load does most harm by the first order,
    /// close to that, and every 15 degrees. Where the bead stays just below the lowest release so far, none is looked for. Places are counted
    /// from `highest`, rad.
    ///
    /// # Errors
    /// [`Unknown`] where there is no answer.
    pub fn lowest(
        &self,
        asked: [(&Question<'_>, &Found, bool); 2],
        highest: f64,
        release: impl Fn(&Found) -> Release,
    ) -> Result<UnderLoad, Unknown> {
        let mut lowest: Option<UnderLoad> = None;
        for (question, without, one_bead) in asked {
            for load in self.sides().iter().map(|side| self.outside(*side)) {
                for at in self.places(question, without, &load, highest)? {
                    let question = Question { load: Some(load.moved(at)), ..question.clone() };
                    let so_far = lowest.as_ref().map(|low| pressure(low.loaded.with));
                    if so_far.is_some_and(|so_far| question.attempt_stays(CLOSE * so_far)) {
                        continue;
                    }
                    let found = question.answer()?;
                    let with = release(&found);
                    if lowest.as_ref().is_none_or(|low| pressure(with) < pressure(low.loaded.with)) {
                        let (place, sinking) = ((at + highest).rem_euclid(TAU), self.sinking(pressure(with)));
                        let loaded = Loaded { without: with, with, place, length: self.patch.length, sinking };
                        lowest = Some(UnderLoad { loaded, found, one_bead });
                    }
                }
            }
        }
        lowest.ok_or(Unknown::NoLaw)
    }

    /// Places to be tried, counted from where the bead stands highest, rad.
    fn places(&self, question: &Question<'_>, without: &Found, load: &Outside, highest: f64) -> Result<Vec<f64>, Unknown> {
        if let Some(station) = self.load.station {
            return Ok(vec![station - highest]);
        }
        let mut places: Vec<f64> = Vec::new();
        if let Some(worst) = question.worst_place(load, without)? {
            places.extend([0.0, -BESIDE, BESIDE].map(|by| worst + by));
        }
        // Half the wheel where the other half is alike.
        let round = if question.is_symmetric() { WAVES / 2 } else { WAVES - 1 };
        places.extend((0..=round).map(|k| TAU * k as f64 / WAVES as f64));
        Ok(places)
    }

    /// How far the radial load presses the tread in at a pressure, as a share of the crown's height over the wall. Below the lowest place of
    /// the path the tyre is as much softer as the pressure is lower.
    fn sinking(&self, at: f64) -> f64 {
        let deep = |(p, shares): &(f64, Shares)| {
            let waves = shares.iter().enumerate();
            (*p, waves.map(|(n, [radial, _])| self.wave(self.load.radial, n) * radial.yielding).sum::<f64>() * p)
        };
        let known: Vec<(f64, f64)> = self.shares.iter().map(deep).collect();
        crate::law::surface::straight(&known, at) / at / self.patch.height
    }

    /// Amplitude of a wave of a load, N for each radian, that is spread evenly over the patch.
    pub(super) fn wave(&self, load: f64, n: usize) -> f64 {
        if n == 0 {
            return load / (2.0 * PI);
        }
        let half = 0.5 * n as f64 * self.patch.length / self.patch.crown;
        load / PI * half.sin() / half
    }
}

/// The lowest answer with a load.
pub struct UnderLoad {
    /// What is told of it; the release without the load is not known here, that with it stands in its place.
    pub loaded: Loaded,
    /// The ring's answer.
    pub found: Found,
    /// Whether one bead alone goes.
    pub one_bead: bool,
}

fn pressure(release: Release) -> f64 {
    match release {
        Release::At(p) | Release::Above(p) => p,
    }
}
