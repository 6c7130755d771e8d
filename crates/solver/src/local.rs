//! The local release of a case: law of the bead, stiffness against unevenness, ring.
//!
//! An axisymmetric path flatters: once the casing rides on the crest its pull on the bead rises with the lift, so that one arc runs away
//! long before the whole bead does. The ring asks at every pressure whether an arc that stands higher than the rest comes down again.

mod answer;
#[cfg(test)]
mod ridden_tests;
mod rider;
#[cfg(test)]
mod tests;

use crate::law::Law;
use crate::law::interpolation::Curve;
use crate::law::trace::{self, NoLaw};
use crate::law::uneven::{Pair, Uneven};
use crate::path::{PathPoint, Release};
use crate::result::{Evenness, Local};
use crate::retention;
use crate::ring::Joining;
use crate::ring::basis::WAVES;
use crate::stages::Ran;
use hoopwright_case::Case;
use hoopwright_case::geometry::bundle_radius;
use hoopwright_fem::continuation::Equilibrium;
use hoopwright_fem::error::SolveError;
use hoopwright_fem::harmonic::Middle;
use std::sync::Arc;

pub use rider::Rider;

/// Numbers of waves for which the stiffness is solved; between them it is interpolated.
const SOLVED: [usize; 5] = [1, 2, 4, 8, WAVES];
/// Waves up to which it is told, for rings finer than usual too.
const FINEST: usize = 2 * WAVES;
/// Places along the path without friction at which it is, as shares of its highest pressure.
const PLACES: [f64; 2] = [0.5, 0.95];
/// Waves for which the stability of the even ring is looked at; more are stiffer.
const LOOKED_AT: [usize; 3] = [1, 2, 4];

/// Finds the local release of both paths of a case and writes it to them. `given` is the path with friction, if the case has any.
pub(crate) fn add(case: &Case, mut given: Option<&mut Ran>, frictionless: &mut Ran) {
    let whole = |ran: &Ran| ran.run.fit > 0 && ran.run.path.len() > ran.run.fit + 3;
    if !whole(frictionless) || given.as_ref().is_some_and(|ran| !whole(ran)) {
        return;
    }
    let prepared = prepare(case, given.as_deref_mut(), frictionless);
    let evenness = evenness(case, frictionless).map_err(|reason| reason.to_string());
    let runs = given.map(|ran| &mut ran.run).into_iter().chain(std::iter::once(&mut frictionless.run));
    for run in runs {
        let answer = prepared.as_ref().map_err(ToString::to_string).and_then(|prepared| prepared.answer(case, run));
        let (release, mut local) = answer.unwrap_or_else(|failure| (Release::Above(0.0), unknown(failure)));
        if run.friction == 0.0 {
            local.evenness = evenness.as_ref().ok().copied().flatten();
            local.evenness_failure = evenness.as_ref().err().cloned();
        }
        local.law = prepared.as_ref().ok().map(|prepared| prepared.law.clone());
        run.retention.local_release = release;
        run.local = Some(local);
    }
}

fn unknown(failure: String) -> Local {
    Local { failure: Some(failure), ..Local::default() }
}

/// Stiffness that joins the stations at pressures, by rising pressure; each from no wave on.
pub type ByPressure = Vec<(f64, Vec<Joining>)>;

/// What the ring of a case needs.
pub struct Prepared {
    /// Law of the bead.
    pub law: Arc<Law>,
    /// Stiffness that joins the stations at pressures: both beads alike, one alone.
    pub joining: [ByPressure; 2],
    /// Lift at which the bundle is level with the crest, mm.
    pub clearance: f64,
    /// What a rider's load does to a bead that keeps its place; none without one.
    pub rider: Option<Rider>,
}

/// Finds out what the ring of a case needs, from its two paths; `given` is the one with friction, if the case has any.
///
/// # Errors
/// [`NoLaw`] where law or stiffness were not found.
pub fn prepare(case: &Case, given: Option<&mut Ran>, frictionless: &mut Ran) -> Result<Prepared, NoLaw> {
    let joining = joining(frictionless)?;
    let clearance = retention::clearance(case, &frictionless.run.path);
    let rider = Rider::new(case, frictionless)?;
    Ok(Prepared { rider, law: Arc::new(trace::trace(case, given, frictionless)?), joining, clearance })
}

/// Stiffness that joins the stations, from states on the way up: both beads alike, and one alone, whose stiffness is the mean of mirror and
/// anti-mirror. That against an even lift, which the law has, is taken off.
fn joining(ran: &Ran) -> Result<[ByPressure; 2], NoLaw> {
    let mut uneven = Uneven::new(&ran.model)?;
    let highest = ran.run.path.iter().map(|p| p.pressure).fold(0.0, f64::max);
    let mut joining = [Vec::new(), Vec::new()];
    for share in PLACES {
        let reached = |(_, p): &(usize, &PathPoint)| p.pressure >= share * highest;
        let Some((place, point)) = ran.run.path.iter().enumerate().find(reached) else { continue };
        let mut at = uneven.at(&ran.states[place])?;
        let [even, opposite] = [at.stiffness(0, Middle::Mirror)?[0][0], at.stiffness(0, Middle::AntiMirror)?[0][0]];
        let (mut both, mut one) = (Vec::new(), Vec::new());
        for n in SOLVED {
            let [a, b] = [at.stiffness(n, Middle::Mirror)?, at.stiffness(n, Middle::AntiMirror)?];
            both.push(less(a, even));
            one.push(less(mean(a, b), even));
        }
        joining[0].push((point.pressure, over_waves([0.0; 3], &both)));
        joining[1].push((point.pressure, over_waves([0.5 * (opposite - even), 0.0, 0.0], &one)));
    }
    Ok(joining)
}

fn mean(a: Pair, b: Pair) -> Pair {
    std::array::from_fn(|i| std::array::from_fn(|j| 0.5 * (a[i][j] + b[i][j])))
}

fn less(k: Pair, even: f64) -> Joining {
    [k[0][0] - even, 0.5 * (k[0][1] + k[1][0]), k[1][1]]
}

/// For every number of waves, from those solved.
fn over_waves(even: Joining, solved: &[Joining]) -> Vec<Joining> {
    let waves: Vec<f64> = SOLVED.iter().map(|n| *n as f64).collect();
    let curve = |c: usize| Curve::new(waves.clone(), solved.iter().map(|k| k[c]).collect());
    let curves: Vec<Option<Curve>> = (0..3).map(curve).collect();
    let value = |n: usize| std::array::from_fn(|c| curves[c].as_ref().map_or(0.0, |curve| curve.at(n as f64).0));
    std::iter::once(even).chain((1..=FINEST).map(value)).collect()
}

/// Where the even ring without friction stops being stable by itself, by the stiffness at the states of its path: string, casing, rubber
/// and contact.
fn evenness(case: &Case, ran: &Ran) -> Result<Option<Evenness>, SolveError> {
    let mut uneven = Uneven::new(&ran.model)?;
    let path = &ran.run.path;
    let highest = path.iter().map(|p| p.pressure).fold(0.0, f64::max);
    let peak = path.iter().position(|p| p.pressure >= highest).unwrap_or(0);
    let rising = (ran.run.fit..=peak).filter(|i| ran.states[*i].load.support == 0.0 && path[*i].lift > FLOATING);
    let mut stable = None;
    // One after the other: the stiffness saws as contact points come and go, and a search by halves may step over the first loss.
    for i in rising {
        if let Some(waves) = falls(case, &mut uneven, &ran.states[i], &path[i])? {
            // The lower side: the state there is the last one known to be stable.
            return Ok(Some(Evenness { pressure: path[stable.unwrap_or(i)].pressure, waves }));
        }
        stable = Some(i);
    }
    Ok(None)
}

/// Lift from which on the seat holds the ring no more, mm.
const FLOATING: f64 = 0.2;

/// The number of waves into which the even ring of a state falls; none if it is stable.
fn falls(case: &Case, uneven: &mut Uneven, at: &Equilibrium, point: &PathPoint) -> Result<Option<usize>, SolveError> {
    let radius = bundle_radius(case) + point.lift;
    let (tension, stiffness) = case.bead.law.force(point.bead_strain);
    let mut at = uneven.at(at)?;
    for waves in LOOKED_AT {
        for middle in [Middle::Mirror, Middle::AntiMirror] {
            let k = at.stiffness(waves, middle)?;
            if determinant(k, waves as f64, [tension / radius, stiffness / radius]) <= 0.0 {
                return Ok(Some(waves));
            }
        }
    }
    Ok(None)
}

/// Determinant of the stiffness for n waves with the string's: E A / r (w + v')^2 and T / r (w' - v)^2.
fn determinant(k: Pair, n: f64, [tension, stiffness]: [f64; 2]) -> f64 {
    let radial = k[0][0] + stiffness + tension * n * n;
    let mixed = 0.5 * (k[0][1] + k[1][0]) + n * (stiffness + tension);
    let along = k[1][1] + n * n * stiffness + tension;
    radial * along - mixed * mixed
}

#[cfg(test)]
mod strings {
    use super::*;

    /// A string alone: T/R (n^2-1)^2/n^2 once the shift follows, by the design's numbers for T/R^2 = 0.01274 (R = 1 here).
    #[test]
    fn a_floating_ring_resists_by_its_tension_only() {
        let tension = 0.01274;
        for (n, expected) in [(1.0, 0.0), (2.0, 0.02867), (3.0, 0.0906), (5.0, 0.2936)] {
            let stiff = 1e6;
            let along = n * n * stiff + tension;
            let found = determinant([[0.0; 2]; 2], n, [tension, stiff]) / along;
            assert!((found - expected).abs() < 1e-4, "{n}: {found}");
        }
    }
}
