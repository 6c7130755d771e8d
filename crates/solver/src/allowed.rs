//! The allowed pressure: the highest rated pressure at which every limit is kept that the verdict judges.
//!
//! It is read off the paths that were solved for the verdict. The retention pressure does not depend on the rated one but for the steps of
//! the path, so the release allows it over the test factor. Spoke loss is a number of each path over pressure. Mounting knows no pressure.

use crate::deciding::{SPOKES, counted, deciding, deciding_release, maximum_name, mounts, release_name};
use crate::law::interpolation::Curve;
use crate::numerical;
use crate::path::End;
use crate::result::Run;
use crate::roots::bracket;
use hoopwright_case::Case;
use hoopwright_case::inputs::{Kind, PRESSURE_RATED};
use hoopwright_case::units::{BAR, NEWTON};

pub use crate::judgement::{Allowed, UpTo};

/// Share of the pressure found that is kept back: other lengths of steps, which go with the rated pressure, move a release by 0.35 % (local
/// release) or less on the examples.
pub const KEPT_BACK: f64 = 0.005;

/// Rated pressures at which one limit is kept, MPa.
struct Range {
    from: f64,
    to: f64,
    /// Whether the end was found on a path, of which a share is kept back; it is stated otherwise.
    found: bool,
    lower_bound: bool,
    what: String,
}

impl Range {
    /// The highest pressure that may be told. A limit that is just kept at the rated pressure is kept there.
    fn told(&self, rated: f64) -> f64 {
        match self.found {
            true if self.to >= rated => ((1.0 - KEPT_BACK) * self.to).max(rated),
            true => (1.0 - KEPT_BACK) * self.to,
            false => self.to,
        }
    }
}

/// The allowed pressure of a case by its two runs. `mounting_force` is the hoop force that mounting asks of the bead, N, if it was
/// estimated.
pub(crate) fn allowed(case: &Case, given: &Run, frictionless: &Run, mounting_force: Option<f64>) -> Allowed {
    let ranges = match ranges(case, given, frictionless, mounting_force) {
        Ok(ranges) => ranges,
        Err(none) => return none,
    };
    let told = |range: &Range| range.told(case.pressure.rated);
    let Some(first) = ranges.iter().min_by(|a, b| told(a).total_cmp(&told(b))) else { return Allowed::Never(String::new()) };
    let latest = ranges.iter().map(|range| range.from).fold(least(), f64::max);
    let pressure = round_down(told(first));
    if pressure < latest {
        return Allowed::Never(format!("the {} allows {} at most", first.what, shown(first.to)));
    }
    Allowed::UpTo(UpTo { pressure, lower_bound: first.lower_bound, decides: first.what.clone() })
}

fn ranges(case: &Case, given: &Run, frictionless: &Run, mounting_force: Option<f64>) -> Result<Vec<Range>, Allowed> {
    if let (Some(force), Some(limit)) = (mounting_force, case.limits.mounting_force)
        && !mounts(force, limit)
    {
        let [force, limit] = [force, limit].map(|f| NEWTON.show(f.round()));
        return Err(Allowed::Never(format!("mounting takes a hoop force of {force} at any pressure, {limit} are allowed")));
    }
    let mut ranges = vec![most(case), by_release(case, deciding(case, given, frictionless))?];
    ranges.extend(by_spokes(case, given, "")?);
    if let Some(run) = counted(case, given, Some(frictionless)) {
        ranges.extend(by_spokes(case, run, " without friction")?);
    }
    Ok(ranges)
}

/// The release: kept while the required pressure lies below it.
fn by_release(case: &Case, run: &Run) -> Result<Range, Allowed> {
    // Against no required pressure: a measure that is not known stays so.
    let (of, release) = deciding_release(case.limits.criterion, run, 0.0);
    let what = release_name(of, run);
    let Some((pressure, lower_bound)) = release.known() else {
        let failed = run.local.as_ref().and_then(|local| local.failure.clone());
        let reason = match (&run.end, failed) {
            (_, Some(failure)) => format!("the {what} was not found: {failure}"),
            (End::Failed(failure), None) => format!("no equilibrium was found ({failure})"),
            _ => format!("the {what} was not found"),
        };
        return Err(Allowed::Unknown(reason));
    };
    Ok(Range {
        from: 0.0,
        to: numerical::at_least(of, pressure, run) / case.pressure.test_factor,
        found: true,
        lower_bound,
        what,
    })
}

/// Spoke loss along a path: the first pressures on the way up at which it is kept; none where it is kept as far as the path goes.
fn by_spokes(case: &Case, run: &Run, without: &str) -> Result<Option<Range>, Allowed> {
    let at_most = |loss: f64| loss + numerical::load_error(loss);
    let (pressures, losses): (Vec<f64>, Vec<f64>) = run.rising().map(|p| (p.pressure, at_most(p.spoke_loss))).unzip();
    let limit = case.limits.spoke_loss * case.spokes.pretension;
    let share = |loss: f64| 100.0 * loss / case.spokes.pretension;
    let least = run.rising().map(|p| p.spoke_loss).fold(f64::INFINITY, f64::min);
    let Some(curve) = Curve::new(pressures.clone(), losses.clone()) else { return Ok(None) };
    let Some(first) = losses.iter().position(|loss| *loss <= limit) else {
        let sentence =
            format!("{SPOKES}{without} is {:.1} % or more at every pressure, {:.1} % are allowed", share(least), share(limit));
        return Err(Allowed::Never(sentence));
    };
    let from = if first == 0 { 0.0 } else { crossing(&curve, limit, [pressures[first - 1], pressures[first]]) };
    let past = losses[first..].iter().position(|loss| *loss > limit).map(|k| first + k);
    let to = past.map(|i| crossing(&curve, limit, [pressures[i - 1], pressures[i]]));
    let range = |to: f64, lower_bound: bool| Range { from, to, found: true, lower_bound, what: format!("{SPOKES}{without}") };
    Ok(to.map(|to| range(to, false)).or_else(|| (first > 0).then(|| range(f64::INFINITY, true))))
}

/// Where a curve crosses a limit between two points on either side of it: the side that is kept.
fn crossing(curve: &Curve, limit: f64, between: [f64; 2]) -> f64 {
    let above = |x: f64| curve.at(x).0 > limit;
    let [a, b] = bracket(between, above);
    if above(a) { b } else { a }
}

/// Least rated pressure of a case, MPa.
fn least() -> f64 {
    if let Kind::Quantity { unit, min, .. } = PRESSURE_RATED.kind { unit.inner_of(min) } else { 0.0 }
}

/// What bounds the pressure by a number that is stated: the lowest maximum pressure, or else the largest rated pressure of a case.
fn most(case: &Case) -> Range {
    if let Some((of, to)) = case.limits.maxima.lowest() {
        let what = maximum_name(of).trim_start_matches("the ").to_owned();
        return Range { from: 0.0, to, found: false, lower_bound: false, what };
    }
    let to = if let Kind::Quantity { unit, max, .. } = PRESSURE_RATED.kind { unit.inner_of(max) } else { f64::INFINITY };
    let what = "largest rated pressure that a case may state".to_owned();
    Range { from: 0.0, to, found: false, lower_bound: true, what }
}

/// Rounded down to three digits or so, MPa: a gauge shows no more.
pub fn round_down(pressure: f64) -> f64 {
    let bar = BAR.value_of(pressure);
    let steps = if bar < 1.0 {
        1000.0
    } else if bar < 10.0 {
        100.0
    } else {
        10.0
    };
    // What a pressure in bar leaves of a round number does not count.
    (bar * steps + 1e-6).floor() / (10.0 * steps)
}

fn shown(pressure: f64) -> String {
    BAR.show((1e3 * BAR.value_of(pressure)).floor() / 1e3)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::float_cmp)]
    use super::*;
    use crate::path::{Release, Retention, alike, point};
    use crate::result::{Local, ran};
    use hoopwright_case as case;
    use hoopwright_case::{Criterion, Maxima};

    /// Inflated in steps of 0.1 MPa, with these spoke losses, N, from no pressure on; released at 0.9 MPa by every measure but a shift.
    fn run(friction: f64, losses: &[f64]) -> Run {
        let retention = Retention { off_centre_release: Release::At(0.95), ..alike(Release::At(0.9)) };
        let mut path = vec![point(0.0, 0.0, 0.0)];
        path.extend(losses.iter().enumerate().map(|(k, loss)| {
            let mut at = point(0.1 * k as f64, 0.0, 2.0);
            at.spoke_loss = *loss;
            at
        }));
        Run { rated: Some(5), ..ran(friction, path, retention) }
    }

    fn starter() -> Case {
        case::read(&case::starter()).unwrap().0
    }

    fn up_to(allowed: Allowed) -> UpTo {
        match allowed {
            Allowed::UpTo(found) => found,
            other => unreachable!("{other:?}"),
        }
    }

    const EASY: [f64; 10] = [50.0, 60.0, 70.0, 80.0, 90.0, 100.0, 110.0, 120.0, 130.0, 140.0];

    /// 0.9 MPa over 1.5 are 6 bar; less the numerical error, and half a percent of what is left.
    fn by_release() -> f64 {
        round_down(0.995 * (1.0 - numerical::share(Criterion::Local, 0.3)) * 0.6)
    }

    #[test]
    fn the_release_allows_its_pressure_over_the_test_factor() {
        let case = starter();
        let found = up_to(allowed(&case, &run(0.3, &EASY), &run(0.0, &EASY), None));
        assert_eq!(
            (found.pressure, found.lower_bound, found.decides.as_str()),
            (by_release(), false, "local release at friction 0.3")
        );
        let mut path = run(0.3, &EASY);
        path.retention.local_release = Release::Above(0.9);
        assert!(up_to(allowed(&case, &path, &path, None)).lower_bound);
    }

    /// Pretension 1000 N, 25 % of it may be lost, a fiftieth of it less with the numerical error: passed on a straight line near 4.40 bar.
    #[test]
    fn spokes_allow_the_pressure_at_which_the_path_passes_their_limit() {
        let mut case = starter();
        let losses = [25.0, 75.0, 125.0, 175.0, 225.0, 275.0, 325.0, 375.0];
        let found = up_to(allowed(&case, &run(0.3, &losses), &run(0.0, &EASY), None));
        assert_eq!(found.decides, SPOKES);
        assert!((0.433..=0.4403).contains(&found.pressure), "{found:?}");
        case.limits.without_friction = true;
        let found = up_to(allowed(&case, &run(0.3, &EASY), &run(0.0, &losses), None));
        assert!(found.decides.ends_with("without friction") && found.pressure < 0.45, "{found:?}");
    }

    /// A limit passed at 2.5 bar and kept again from 4.5 bar on: inflation does not go on beyond the first passing.
    #[test]
    fn a_limit_that_is_passed_on_the_way_up_ends_what_is_allowed() {
        let found =
            up_to(allowed(&starter(), &run(0.3, &[100.0, 200.0, 240.0, 260.0, 260.0, 240.0, 200.0]), &run(0.0, &EASY), None));
        assert!((0.2..0.3).contains(&found.pressure), "{found:?}");
        let found =
            up_to(allowed(&starter(), &run(0.3, &[300.0, 280.0, 260.0, 240.0, 200.0, 180.0, 170.0]), &run(0.0, &EASY), None));
        assert_eq!(found.pressure, by_release(), "kept from 2.5 bar on");
    }

    #[test]
    fn no_pressure_is_told_with_its_reason() {
        let mut case = starter();
        let (good, heavy) = (run(0.3, &EASY), run(0.3, &[300.0, 310.0, 320.0]));
        let never = |case: &Case, given: &Run, force: Option<f64>| match allowed(case, given, given, force) {
            Allowed::Never(reason) => reason,
            other => unreachable!("{other:?}"),
        };
        assert_eq!(never(&case, &heavy, None), format!("{SPOKES} is 30.0 % or more at every pressure, 25.0 % are allowed"));
        case.limits.mounting_force = Some(900.0);
        assert!(never(&case, &good, Some(1200.0)).contains("1200 N at any pressure, 900 N are allowed"));
        let mut loose = good.clone();
        loose.retention.local_release = Release::At(0.01);
        case.limits.mounting_force = None;
        assert!(never(&case, &loose, None).contains("the local release at friction 0.3 allows 0.065 bar at most"));
        loose.retention.local_release = Release::Above(0.0);
        loose.local = Some(Local { failure: Some("no law".to_owned()), ..Local::default() });
        let unknown = allowed(&case, &loose, &loose, None);
        assert_eq!(unknown, Allowed::Unknown("the local release at friction 0.3 was not found: no law".to_owned()));
        assert_eq!(unknown.pressure(), None);
    }

    /// More by the release. A stated maximum is no number found, of which something would be kept back.
    #[test]
    fn no_more_is_allowed_than_the_lowest_maximum_that_is_stated() {
        let mut case = starter();
        case.limits.maxima = Maxima { tyre: Some(0.55), rim: Some(0.5), law: Some(0.7) };
        let found = up_to(allowed(&case, &run(0.3, &EASY), &run(0.0, &EASY), None));
        assert_eq!((found.pressure, found.lower_bound, found.decides.as_str()), (0.5, false, "rim's maximum pressure"));
        case.limits.maxima = Maxima { law: Some(0.7), ..Maxima::default() };
        assert_eq!(up_to(allowed(&case, &run(0.3, &EASY), &run(0.0, &EASY), None)).pressure, by_release());
    }

    /// Required 7.5 bar: a release at 7.51 bar and its numerical error keeps it, and half a percent less would not.
    #[test]
    fn what_is_kept_at_the_rated_pressure_is_allowed_there() {
        let (mut run, sure) = (run(0.3, &EASY), 1.0 - numerical::share(Criterion::Local, 0.3));
        run.retention.local_release = Release::At(0.751 / sure);
        assert_eq!(up_to(allowed(&starter(), &run, &run, None)).pressure, 0.5);
        run.retention.local_release = Release::At(0.749 / sure);
        assert_eq!(up_to(allowed(&starter(), &run, &run, None)).pressure, 0.496);
    }

    #[test]
    fn pressures_are_rounded_down() {
        assert_eq!([0.523_99, 0.52, 0.098_76, 1.2789, 0.7].map(round_down), [0.523, 0.52, 0.0987, 1.27, 0.7]);
    }
}
