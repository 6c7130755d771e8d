//! A load from outside on the ring, by waves round the wheel, and the place at which it does most harm.

use super::basis::Basis;
use super::local::{Found, Question, Unknown, by_pressure};
use super::{Push, Ring, State};
use nalgebra::DVector;
use std::f64::consts::{PI, TAU};

/// Share of the highest pressure at which a ring stays where the place of a load is chosen: near, but not at, the loss of its equilibrium.
const NEAR: f64 = 0.97;

/// Amplitudes for one number of waves, N for each radian: outward (cos), along the circumference (sin), press on the wall (cos).
pub type Amplitudes = [f64; 3];

/// A load that is symmetric about its middle.
#[derive(Clone, Debug, PartialEq)]
pub struct Outside {
    /// Amplitudes from no wave on, at pressures, by rising pressure.
    pub waves: Vec<(f64, Vec<Amplitudes>)>,
    /// Angle of its middle from where the bead stands highest, rad.
    pub at: f64,
}

impl Outside {
    /// The same load elsewhere.
    #[must_use]
    pub fn moved(&self, at: f64) -> Self {
        Self { at, ..self.clone() }
    }

    /// Whether it is symmetric about the place where the bead stands highest.
    pub fn is_symmetric(&self) -> bool {
        (self.at.rem_euclid(PI)).min(PI - self.at.rem_euclid(PI)) < 1e-9
    }

    /// What it does at the stations at a pressure, with a coefficient of friction.
    pub fn pushes(&self, basis: &Basis, pressure: f64, friction: f64) -> Vec<Push> {
        let waves = by_pressure(&self.waves, pressure);
        let push = |angle: &f64| {
            let sum = |c: usize, of: fn(f64) -> f64| {
                waves.iter().enumerate().map(|(n, a)| a[c] * of(n as f64 * (angle - self.at))).sum::<f64>()
            };
            Push { outward: sum(0, f64::cos), along: sum(1, f64::sin), friction: friction * sum(2, f64::cos) }
        };
        basis.angles.iter().map(push).collect()
    }
}

impl Question<'_> {
    /// The place at which a load lifts the station that goes without it the most, to the first order, from where the ring still stays without
    /// it: near a loss of equilibrium the ring moves in one way, whatever pushes it. None where it stays at no pressure.
    ///
    /// # Errors
    /// [`Unknown`] where there is no answer.
    pub fn worst_place(&self, load: &Outside, found: &Found) -> Result<Option<f64>, Unknown> {
        let (Some(pressure), basis) = (found.stays.map(|p| NEAR * p), Basis::full()) else { return Ok(None) };
        let Some(state) = self.resting(&basis, pressure)? else { return Ok(None) };
        self.on_ring(&basis, pressure, |ring, crest, _| {
            let lift = ring.lift(&state);
            let room = |i: &usize| crest[*i] - lift[*i];
            let goes = (0..crest.len()).min_by(|a, b| room(a).total_cmp(&room(b)))?;
            let by = ring.balance(&state).tangent.transpose().lu().solve(&basis.lift.row(goes).transpose())?;
            let lifts = |at: &f64| by.dot(&work(ring, &state, &load.moved(*at).pushes(&basis, pressure, self.friction)));
            let places: Vec<f64> = basis.angles.clone();
            places.into_iter().max_by(|a, b| lifts(a).total_cmp(&lifts(b))).map(|at| at.rem_euclid(TAU))
        })
    }
}

/// Virtual work of pushes by the amplitudes. Friction that slips against rising acts the less outward the less it may be.
fn work(ring: &Ring<'_>, state: &State, pushes: &[Push]) -> DVector<f64> {
    let b = ring.basis;
    let mut work = DVector::zeros(b.shapes.len());
    for (i, push) in pushes.iter().enumerate() {
        let outward = push.outward - push.friction * ring.rising_share(state, i);
        work += (b.lift.row(i).transpose() * outward + b.shift.row(i).transpose() * push.along) * b.weights[i];
    }
    work
}
