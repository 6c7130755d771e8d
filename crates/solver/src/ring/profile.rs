//! A ring station by station, as plain numbers.

use super::{Ring, State};
use std::f64::consts::PI;

/// A ring at one pressure, station by station, at equal angles round the whole wheel.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct RingProfile {
    /// Gas pressure, MPa.
    pub pressure: f64,
    /// Angles of the stations, rad, from 0 on.
    pub angles: Vec<f64>,
    /// Lift since the fit at which the ring was let go, mm.
    pub before: Vec<f64>,
    /// Lift since the fit at which it stays, mm.
    pub lift: Vec<f64>,
    /// Lift at which the bundle is level with the crest of the wall, mm.
    pub crest: Vec<f64>,
    /// Tension of the bundle, N.
    pub tension: Vec<f64>,
    /// Friction as a share of the largest at the station, 0 to 1; 0 without friction.
    pub friction: Vec<f64>,
}

impl RingProfile {
    /// Of a ring in a state. `before` and `crest` are lifts at the stations of its basis, mm. A ring that is symmetric about angle 0 comes with
    /// the other half of the wheel.
    pub fn new(ring: &Ring<'_>, state: &State, pressure: f64, before: &[f64], crest: &[f64]) -> Self {
        let stations: Vec<usize> = (0..ring.basis.angles.len()).collect();
        let other: Vec<usize> =
            if ring.basis.is_symmetric() { stations[1..stations.len() - 1].iter().rev().copied().collect() } else { Vec::new() };
        let all: Vec<usize> = stations.iter().chain(&other).copied().collect();
        let of = |values: &[f64]| all.iter().map(|i| values[*i]).collect::<Vec<f64>>();
        let n = all.len();
        Self {
            pressure,
            angles: (0..n).map(|k| 2.0 * PI * k as f64 / n as f64).collect(),
            before: of(before),
            lift: of(ring.lift(state).as_slice()),
            crest: of(crest),
            tension: of(&ring.tension(&state.x)),
            friction: of(&ring.friction_shares(state)),
        }
    }

    /// The same with angles that are larger by an angle, rad, and begin with the lowest of them again.
    #[must_use]
    pub fn turned(mut self, by: f64) -> Self {
        let round = |angle: &f64| (angle + by).rem_euclid(2.0 * PI);
        self.angles = self.angles.iter().map(round).collect();
        let first = (0..self.angles.len()).min_by(|a, b| self.angles[*a].total_cmp(&self.angles[*b])).unwrap_or(0);
        for list in [&mut self.angles, &mut self.before, &mut self.lift, &mut self.crest, &mut self.tension, &mut self.friction] {
            let by = first.min(list.len());
            list.rotate_left(by);
        }
        self
    }

    /// Amplitudes of a lift of this profile by waves, from none (the mean) on, mm.
    pub fn harmonics(&self, lift: &[f64]) -> Vec<f64> {
        let part = |n: usize| {
            let norm = if n == 0 { 1.0 } else { 2.0 } / lift.len() as f64;
            let sum = |of: fn(f64) -> f64| self.angles.iter().zip(lift).map(|(t, w)| of(n as f64 * t) * w).sum::<f64>() * norm;
            sum(f64::cos).hypot(sum(f64::sin)) * if n == 0 { lift.iter().sum::<f64>().signum() } else { 1.0 }
        };
        (0..=super::basis::WAVES).map(part).collect()
    }

    /// How much higher the highest station stands than the lowest, before it was let go and after, mm.
    pub fn unevenness(&self) -> [f64; 2] {
        let range = |lift: &[f64]| {
            let (low, high) = lift.iter().fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), w| (low.min(*w), high.max(*w)));
            (high - low).max(0.0)
        };
        [range(&self.before), range(&self.lift)]
    }

    /// Mean share of friction round the wheel.
    pub fn friction_used(&self) -> f64 {
        self.friction.iter().sum::<f64>() / self.friction.len().max(1) as f64
    }
}
