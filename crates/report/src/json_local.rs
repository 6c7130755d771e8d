//! The block `local` of a path's retention pressures in `result.json`.
//!
//! | key | holds |
//! |---|---|
//! | `one_bead_alone`, `arc_deg` | whether one bead alone goes first or both alike; length of the arc that goes (null where none does) |
//! | `cause` | `evenness_lost`, `reaches_crest`, `whole_bead` (no arc goes before the whole bead), `load` (a load on the tread, without which it would stay longer), null where it stays as far as was looked |
//! | `station_deg`, `station` | where it goes, as measured heights are counted or from the middle of a typed arc; the nearest station from 1 on (null without heights) |
//! | `bead`, `left_mpa`, `left_above_mpa`, `right_mpa`, `right_above_mpa` | the bead that counts, and both by themselves (null without heights) |
//! | `held_where_seen` | share of the heights' unevenness that friction holds at the pressure at which they were seen, else null |
//! | `failure` | why there is no number, else null |
//! | `evenness_lost_mpa`, `evenness_lost_waves` | pressure at which an even ring without friction stops being stable, and into how many waves it falls; null where it stays stable, or where `evenness_failure` says why it is not known |
//! | `evenness_failure` | why it is not known whether it does, else null |
//! | `with_load` | there only where the case states a load on the tread: `radial_n`, `lateral_n`, `patch_length_mm`, `patch_deg` (middle of the patch, as `station_deg`), `local_release_mpa`, `local_release_above_mpa` with the load, `without_load_mpa`, `without_load_above_mpa`; the lower of both counts; `tread_sinks` by the load there, as a share of the crown's height over the wall |
//! | `last_stable` | the ring at the highest pressure at which it was found to stay (null where at none): arrays over the stations of the calculation, `angle_deg` as `station_deg`; `lift_before_mm` as it was let go, or seen, `lift_mm`, `crest_mm` (lift that clears the crest there), `tension_n`, `friction_share` of the largest friction; amplitudes of both lifts by the number of waves from 0 on; the difference of highest and lowest place before and after; the mean share of friction |

use hoopwright_case::{Case, RiderLoad, Stands};
use hoopwright_solver::result::{Cause, Loaded, Local, Release, Side};
use hoopwright_solver::ring::RingProfile;
use serde::Serialize;

#[derive(Serialize)]
pub(crate) struct LocalBlock {
    one_bead_alone: bool,
    arc_deg: Option<f64>,
    cause: Option<&'static str>,
    station_deg: Option<f64>,
    station: Option<usize>,
    bead: Option<&'static str>,
    left_mpa: Option<f64>,
    left_above_mpa: Option<f64>,
    right_mpa: Option<f64>,
    right_above_mpa: Option<f64>,
    held_where_seen: Option<f64>,
    failure: Option<String>,
    evenness_lost_mpa: Option<f64>,
    evenness_lost_waves: Option<usize>,
    evenness_failure: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    with_load: Option<LoadBlock>,
    last_stable: Option<LastBlock>,
}

#[derive(Serialize)]
struct LoadBlock {
    radial_n: f64,
    lateral_n: f64,
    patch_length_mm: f64,
    patch_deg: f64,
    local_release_mpa: Option<f64>,
    local_release_above_mpa: Option<f64>,
    without_load_mpa: Option<f64>,
    without_load_above_mpa: Option<f64>,
    tread_sinks: f64,
}

#[derive(Serialize)]
struct LastBlock {
    pressure_mpa: f64,
    angle_deg: Vec<f64>,
    lift_before_mm: Vec<f64>,
    lift_mm: Vec<f64>,
    crest_mm: Vec<f64>,
    tension_n: Vec<f64>,
    friction_share: Vec<f64>,
    harmonics_before_mm: Vec<f64>,
    harmonics_mm: Vec<f64>,
    unevenness_before_mm: f64,
    unevenness_mm: f64,
    friction_used: f64,
}

/// Whether all its numbers are finite.
pub(crate) fn is_finite(local: &Local) -> bool {
    let last = local.last.iter();
    let lists = last.flat_map(|l| [&l.angles, &l.before, &l.lift, &l.crest, &l.tension, &l.friction]);
    let loaded = local.loaded.iter().flat_map(|l| [&l.place, &l.length, &l.sinking]);
    lists.flatten().chain(loaded).chain(&local.arc).chain(&local.station).chain(&local.held).all(|x| x.is_finite())
}

pub(crate) fn block(case: &Case, local: &Local) -> LocalBlock {
    let [left, right] = local.beads.map_or([(None, None); 2], |beads| beads.map(split));
    LocalBlock {
        one_bead_alone: local.one_bead,
        arc_deg: local.arc.map(f64::to_degrees),
        cause: local.cause.map(|cause| match cause {
            Cause::EvennessLost => "evenness_lost",
            Cause::ReachesCrest => "reaches_crest",
            Cause::WholeBead => "whole_bead",
            Cause::Load => "load",
        }),
        station_deg: local.station.map(f64::to_degrees),
        station: local.station.and_then(|angle| station(case, angle)),
        bead: local.side.map(side),
        left_mpa: left.0,
        left_above_mpa: left.1,
        right_mpa: right.0,
        right_above_mpa: right.1,
        held_where_seen: local.held,
        failure: local.failure.clone(),
        evenness_lost_mpa: local.evenness.map(|e| e.pressure),
        evenness_lost_waves: local.evenness.map(|e| e.waves),
        evenness_failure: local.evenness_failure.clone(),
        with_load: case.local.rider.zip(local.loaded).map(|(load, loaded)| with_load(&load, &loaded)),
        last_stable: local.last.as_ref().map(last),
    }
}

fn with_load(load: &RiderLoad, loaded: &Loaded) -> LoadBlock {
    let [(local_release_mpa, local_release_above_mpa), (without_load_mpa, without_load_above_mpa)] =
        [loaded.with, loaded.without].map(split);
    LoadBlock {
        radial_n: load.radial,
        lateral_n: load.lateral,
        patch_length_mm: loaded.length,
        patch_deg: loaded.place.to_degrees(),
        local_release_mpa,
        local_release_above_mpa,
        without_load_mpa,
        without_load_above_mpa,
        tread_sinks: loaded.sinking,
    }
}

fn last(last: &RingProfile) -> LastBlock {
    let [unevenness_before_mm, unevenness_mm] = last.unevenness();
    LastBlock {
        pressure_mpa: last.pressure,
        angle_deg: last.angles.iter().map(|angle| angle.to_degrees()).collect(),
        lift_before_mm: last.before.clone(),
        lift_mm: last.lift.clone(),
        crest_mm: last.crest.clone(),
        tension_n: last.tension.clone(),
        friction_share: last.friction.clone(),
        harmonics_before_mm: last.harmonics(&last.before),
        harmonics_mm: last.harmonics(&last.lift),
        unevenness_before_mm,
        unevenness_mm,
        friction_used: last.friction_used(),
    }
}

/// A pressure that was found, or the one up to which it was looked for.
fn split(release: Release) -> (Option<f64>, Option<f64>) {
    match release.known() {
        Some((p, false)) => (Some(p), None),
        Some((p, true)) => (None, Some(p)),
        None => (None, None),
    }
}

/// A bead's name.
pub(crate) fn side(side: Side) -> &'static str {
    match side {
        Side::Left => "left",
        Side::Right => "right",
    }
}

/// The measured station nearest to an angle, rad, from 1 on; none where none were measured.
pub(crate) fn station(case: &Case, angle: f64) -> Option<usize> {
    let Stands::Measured(heights) = &case.local.stands else { return None };
    let n = heights.left.len();
    let place = ((angle - heights.first) / std::f64::consts::TAU).rem_euclid(1.0) * n as f64;
    Some(place.round() as usize % n + 1)
}
