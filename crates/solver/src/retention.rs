//! The retention pressures that are read off a path.

use crate::path::{End, PathPoint, Release, Retention};
use hoopwright_case::Case;
use hoopwright_case::geometry::bundle_radius;

/// Share of the highest pressure from which down a path holds less and less: below it nothing. A bead that the gas could still take up to
/// such a pressure is not gone; one threshold would make the answer jump on a path that stays near it.
pub const GONE: f64 = 0.94;
/// A seat load under this share of the one at the end of the fit counts as none.
const UNLOADED: f64 = 0.05;

/// Lift since the fit at which the bundle's centre is level with the crest, mm; `path` starts with the tyre as drawn.
pub fn clearance(case: &Case, path: &[PathPoint]) -> f64 {
    clearance_of(case, path.first().map_or(0.0, |p| p.lift))
}

/// The same by the lift of the tyre as drawn, mm.
pub(crate) fn clearance_of(case: &Case, drawn: f64) -> f64 {
    case.rim.crest_radius_from_axis() - bundle_radius(case) + drawn
}

/// Retention pressures of a path, but for the local release, which no path tells, and for the first lift of a path with friction
/// ([`crate::first_lift`]), which is left at the pressure at which the seat is unloaded. The path's point `fit` is the end of the fit; 0
/// where the fit was not reached, which tells nothing of them. A path that failed below the rated pressure bounds them only: the guides of
/// the fit may hold the bead where it would not stay by itself.
pub fn retention(case: &Case, path: &[PathPoint], fit: usize, end: &End) -> Retention {
    let highest = path.iter().map(|p| p.pressure).fold(0.0, f64::max);
    let uniform = match end {
        End::LimitPoint | End::CoreClearsCrest | End::BundleBreaks | End::CordBreaks => Release::At(highest),
        End::Cap | End::Failed(_) => Release::Above(highest),
    };
    if fit == 0 {
        let unknown = Release::Above(0.0);
        return Retention { first_lift: unknown, off_centre_release: unknown, local_release: unknown, uniform_blow_off: uniform };
    }
    let first_lift = unloaded(path, fit).map_or(uniform, |[pressure, _]| Release::At(pressure));
    let off_centre_release = off_centre(&path[fit..], [clearance(case, path), gap(path)], end).unwrap_or(uniform);
    let bound = guided(case, path, end);
    let read = |release| match release {
        Release::At(p) if bound => Release::Above(p),
        sure => sure,
    };
    Retention {
        first_lift: read(first_lift),
        off_centre_release: read(off_centre_release),
        local_release: Release::Above(0.0),
        uniform_blow_off: uniform,
    }
}

/// How far the bead floats above its seat at the end of the fit, mm: a bead larger than the seat; `path` starts with the tyre as drawn.
pub(crate) fn gap(path: &[PathPoint]) -> f64 {
    path.first().map_or(0.0, |drawn| -drawn.lift.min(0.0))
}

/// Pressure at which a shift sideways sets an arc free; none where the path does not get there. A bead shifted until one side lies on the
/// seat leaves it on the other by twice the mean height above the seat, of which the gap at the end of the fit is a part.
fn off_centre(path: &[PathPoint], [clearance, gap]: [f64; 2], end: &End) -> Option<Release> {
    // Lift since the fit at which twice the height above the seat clears what needs a lift of `clearing`.
    let free = |clearing: f64| 0.5 * (clearing - gap);
    let freed = |clearing: f64| crossing(path, move |p| p.lift - free(clearing));
    match end {
        // An arc that has passed the maximum is gone before it is level with the crest. The lift at the maximum itself would be a poor
        // measure, as the path is flat there: the lift up to which the pressure holds is taken.
        End::LimitPoint => freed(holds(path, clearance)).map(Release::At),
        // The maximum may lie anywhere past the last point, which is the least that clears.
        End::Failed(_) => {
            let reached = path.last().map_or(0.0, |p| p.lift);
            if reached >= clearance {
                freed(clearance).map(Release::At)
            } else {
                lowest_between(path, free(reached), free(clearance))
            }
        }
        End::Cap | End::CoreClearsCrest | End::BundleBreaks | End::CordBreaks => freed(clearance).map(Release::At),
    }
}

/// Lowest pressure at lifts from one to another, both ends included, as a lower bound.
fn lowest_between(path: &[PathPoint], from: f64, to: f64) -> Option<Release> {
    let first = crossing(path, |p| p.lift - from)?;
    let further = path.iter().skip_while(|p| p.lift < from).take_while(|p| p.lift < to).map(|p| p.pressure);
    let end = crossing(path, |p| p.lift - to);
    Some(Release::Above(further.chain(end).fold(first, f64::min)))
}

/// Lift up to which a path holds, mm, and up to the clearance: each piece counts by the highest pressure that is reached there or farther on,
/// whole at the highest of all, not at all below the share [`GONE`] of it. Where the pressure falls steeply that is the lift at which it
/// has fallen half way to [`GONE`].
fn holds(path: &[PathPoint], clearance: f64) -> f64 {
    let highest = path.iter().map(|p| p.pressure).fold(0.0, f64::max);
    let counts = |pressure: f64| ((pressure / highest - GONE) / (1.0 - GONE)).clamp(0.0, 1.0);
    let (mut held, mut further, mut end) = (0.0, 0.0_f64, None::<f64>);
    for p in path.iter().rev() {
        let (before, lift) = (further, p.lift.min(clearance));
        further = further.max(p.pressure);
        held += (end.unwrap_or(lift) - lift).max(0.0) * 0.5 * (counts(before) + counts(further));
        end = Some(lift.min(end.unwrap_or(lift)));
    }
    // Below the first point all holds.
    end.map_or(clearance, |first| first + held)
}

/// How far the seat load of a point lies below what counts as none, N/mm, for a path whose fit ends with a point.
fn below_none(fitted: &PathPoint) -> impl Fn(&PathPoint) -> f64 {
    let threshold = UNLOADED * fitted.seat_load;
    move |p| threshold - p.seat_load
}

/// Index of the last path point before the seat load vanishes.
pub fn unloading(path: &[PathPoint], fit: usize) -> Option<usize> {
    let fitted = path.get(fit)?;
    let loaded = |p: &PathPoint| below_none(fitted)(p) < 0.0;
    (fit..path.len() - 1).find(|i| !loaded(&path[i + 1])).filter(|_| loaded(fitted))
}

/// Pressure at which the seat load vanishes between path points `i` and `i + 1`, straight in between, MPa.
pub fn unloading_pressure(path: &[PathPoint], fit: usize, i: usize) -> f64 {
    crossing(&path[i..=i + 1], below_none(&path[fit])).unwrap_or(path[i + 1].pressure)
}

/// Whether a path failed below the rated pressure, where the guides of the fit may hold the bead.
pub(crate) fn guided(case: &Case, path: &[PathPoint], end: &End) -> bool {
    matches!(end, End::Failed(_)) && path.iter().all(|p| p.pressure < case.pressure.rated)
}

/// Pressure, MPa, and lift, mm, at which the seat load of a path vanishes.
pub(crate) fn unloaded(path: &[PathPoint], fit: usize) -> Option<[f64; 2]> {
    met(path.get(fit..)?, below_none(path.get(fit)?))
}

/// Pressure at which `measure` first rises to zero along the path, straight between points.
fn crossing(path: &[PathPoint], measure: impl Fn(&PathPoint) -> f64) -> Option<f64> {
    met(path, measure).map(|[pressure, _]| pressure)
}

/// Pressure and lift at which `measure` first rises to zero along the path, straight between points.
fn met(path: &[PathPoint], measure: impl Fn(&PathPoint) -> f64) -> Option<[f64; 2]> {
    let first = path.first()?;
    if measure(first) >= 0.0 {
        return Some([first.pressure, first.lift]);
    }
    path.windows(2).find(|w| measure(&w[1]) >= 0.0).map(|w| {
        let (a, b) = (measure(&w[0]), measure(&w[1]));
        let between = |from: f64, to: f64| from + (to - from) * a / (a - b);
        [between(w[0].pressure, w[1].pressure), between(w[0].lift, w[1].lift)]
    })
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use crate::path::point;
    use hoopwright_case as case;

    #[test]
    fn a_fit_that_was_not_reached_tells_nothing_of_the_release() {
        let case = case::read(&case::starter()).unwrap().0;
        let path = [point(0.0, 0.0, 0.0), point(0.0, -0.3, 0.7)];
        let found = retention(&case, &path, 0, &End::Failed("fitting the bead".to_owned()));
        let unknown = Release::Above(0.0);
        assert_eq!(
            found,
            Retention { first_lift: unknown, off_centre_release: unknown, local_release: unknown, uniform_blow_off: unknown }
        );
    }

    /// A bead far larger than the seat, for which no equilibrium was found while the guides of the fit hold it.
    #[test]
    fn a_failure_while_the_bead_is_seated_finds_no_release() {
        let case = case::read(&case::starter()).unwrap().0;
        let path = [point(0.0, -8.0, 0.0), point(0.0, 0.0, 0.0), point(0.02, 3.0, 0.0)];
        let found = retention(&case, &path, 1, &End::Failed("seating the bead".to_owned()));
        assert_eq!([found.first_lift, found.off_centre_release], [Release::Above(0.0); 2]);
        assert_eq!(found.off_centre_release.known(), None);
        assert_eq!(found.uniform_blow_off.known(), Some((0.02, true)));
        let free = retention(&case, &path, 1, &End::LimitPoint);
        assert_eq!(free.off_centre_release, Release::At(0.0), "without a failure it is free at no pressure");
    }

    /// A bead that floats 1 mm above its seat is level with the crest on one side at 1 mm less than half the clearance from the seat.
    #[test]
    fn a_gap_at_the_fit_is_half_of_what_a_shift_makes_of_it() {
        let case = case::read(&case::starter()).unwrap().0;
        let from_seat = case.rim.crest_radius_from_axis() - bundle_radius(&case);
        let off_centre = |gap: f64| {
            let lift = from_seat - gap;
            let path = [point(0.0, -gap, 0.0), point(0.0, 0.0, 0.0), point(1.0, lift, 0.0), point(0.9, lift + 0.1, 0.0)];
            let found = retention(&case, &path, 1, &End::LimitPoint).off_centre_release;
            // Pressure 1 at the lift that clears: the lift itself, in it.
            if let Release::At(p) = found { p * lift } else { f64::NAN }
        };
        assert!((off_centre(0.0) - 0.5 * from_seat).abs() < 1e-12);
        assert!((off_centre(1.0) - (0.5 * from_seat - 1.0)).abs() < 1e-12, "{} of {from_seat}", off_centre(1.0));
        assert!(off_centre(0.5 * from_seat).abs() < 1e-12 && off_centre(0.6 * from_seat).abs() < 1e-12);
    }

    /// The pressure may fall right after the last point: half the lift there sets an arc free. A path past the crest leaves no doubt.
    #[test]
    fn a_path_without_an_end_bounds_the_release_from_below() {
        let case = case::read(&case::starter()).unwrap().0;
        let clearance = case.rim.crest_radius_from_axis() - bundle_radius(&case);
        let shares = [(0.2, 0.2), (0.4, 0.5), (0.35, 0.55), (0.7, 0.9), (1.1, 1.1)];
        let mut path = vec![point(0.0, 0.0, 0.0), point(0.0, 0.0, 2.0)];
        path.extend(shares.map(|(pressure, share)| point(pressure, share * clearance, 0.0)));
        let failed = End::Failed("blow-off".to_owned());
        let off_centre = |path: &[PathPoint]| retention(&case, path, 1, &failed).off_centre_release;
        assert!(matches!(off_centre(&path), Release::At(p) if (p - 0.4).abs() < 1e-12), "past the crest");
        // 0.45 of the clearance is met between 0.2 and 0.4 MPa, before the grip that slips.
        assert!(matches!(off_centre(&path[..6]), Release::Above(p) if (p - 0.3667).abs() < 1e-4), "{:?}", off_centre(&path[..6]));
        assert!(matches!(off_centre(&path[..5]), Release::Above(p) if (p - 0.25).abs() < 1e-9), "{:?}", off_centre(&path[..5]));
        // The grip slips across half the clearance, where 0.36 MPa are left of 0.4.
        path[3].lift = 0.46 * clearance;
        path[4] = point(0.31, 0.55 * clearance, 0.0);
        assert!(matches!(off_centre(&path[..6]), Release::Above(p) if (p - 0.36).abs() < 1e-9), "{:?}", off_centre(&path[..6]));
    }

    /// A maximum, a plateau that a thousandth of the pressure lifts over any one threshold, and a steep end half way up the clearance.
    #[test]
    fn the_lift_up_to_which_a_path_holds_follows_its_pressure_without_a_jump() {
        let path =
            |plateau: f64| [point(0.0, 0.0, 2.0), point(1.0, 1.0, 0.0), point(plateau, 1.1, 0.0), point(plateau, 3.0, 0.0)];
        let lifts: Vec<f64> = (0..=120).map(|k| holds(&path(0.9 + 0.001 * f64::from(k)), 3.0)).collect();
        assert!(lifts.windows(2).all(|w| w[1] >= w[0] && w[1] - w[0] < 0.04), "{lifts:?}");
        assert!((lifts[0] - 1.05).abs() < 1e-9 && (lifts[100] - 3.0).abs() < 1e-9, "{lifts:?}");
        let steep = [point(0.0, 0.0, 2.0), point(1.0, 1.0, 0.0), point(0.8, 1.2, 0.0)];
        assert!(holds(&steep, 3.0) <= 1.1, "no more than half way to a point that is gone");
    }

    #[test]
    fn pressures_are_read_where_the_path_crosses() {
        let case = case::read(&case::starter()).unwrap().0;
        let lift = case.rim.crest_radius_from_axis() - bundle_radius(&case);
        // Seat load 2 N/mm at no pressure, none from 0.3 MPa on; half the clearance is reached half way from 0.5 to 0.9 MPa.
        let path =
            [point(0.0, 0.0, 0.0), point(0.0, 0.0, 2.0), point(0.3, 0.0, 0.0), point(0.5, 0.0, 0.0), point(0.9, lift, 0.0)];
        let found = retention(&case, &path, 1, &End::LimitPoint);
        let at = |release| match release {
            Release::At(p) => p,
            Release::Above(_) => f64::NAN,
        };
        assert!((at(found.first_lift) - 0.95 * 0.3).abs() < 1e-12, "{found:?}");
        assert!((at(found.off_centre_release) - 0.7).abs() < 1e-12, "{found:?}");
        assert!((at(found.uniform_blow_off) - 0.9).abs() < 1e-12, "{found:?}");
    }
}
