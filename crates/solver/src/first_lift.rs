//! First lift with friction, by motion.
//!
//! Without friction the bead lifts where its seat is unloaded: nothing but the seat carries it. With friction that is no measure. The gas
//! presses the bead against the wall and turns it, its heel rubs down the wall, and the wall takes load off the seat that has nothing to do
//! with a lift: on example 1 the seat is unloaded at 3.02 bar at a friction of 0.05 and at 2.63 bar at 0.7, though the bead rises less. The
//! bundle's height tells: first lift is the pressure at which it has risen as far as where the seat is unloaded without friction.

use crate::path::{PathPoint, Release};
use crate::result::Run;
use crate::retention::{guided, unloaded};
use hoopwright_case::Case;

/// First lift of a path with friction; `frictionless` is the path of the same case without.
pub fn first_lift(case: &Case, given: &Run, frictionless: &Run) -> Release {
    if given.fit == 0 {
        // The bead was not fitted: nothing is known of it, as of the other pressures.
        return given.retention.first_lift;
    }
    let found = match (frictionless.retention.first_lift, unloaded(&frictionless.path, frictionless.fit)) {
        (Release::At(_), Some([_, rise])) => {
            reached(&given.path[given.fit..], rise).map_or(given.retention.uniform_blow_off, Release::At)
        }
        // The bead goes at the maximum with its seat loaded.
        (Release::At(_), None) => given.retention.uniform_blow_off,
        // Not before the end of the shorter of both.
        (Release::Above(bound), _) => Release::Above(given.path.iter().map(|p| p.pressure).fold(0.0, f64::max).min(bound)),
    };
    match found {
        Release::At(p) if guided(case, &given.path, &given.end) => Release::Above(p),
        sure => sure,
    }
}

/// Pressure at which a path first has a lift, MPa. The path bends there, as the bead comes free, and its points lie as the steps fall: in
/// place of the straight line between two of them stands the mean of the parabolas through these and the one before or behind, held
/// between both pressures. On example 1, rated for 2 and for 5 bar, that is 3.05 and 3.03 bar, where the line gives 3.03 and 2.96.
fn reached(path: &[PathPoint], lift: f64) -> Option<f64> {
    if path.first()?.lift >= lift {
        return path.first().map(|p| p.pressure);
    }
    let i = path.windows(2).position(|w| w[1].lift >= lift)?;
    let [from, to] = [&path[i], &path[i + 1]];
    let line = from.pressure + (to.pressure - from.pressure) * (lift - from.lift) / (to.lift - from.lift);
    let neighbours = [i.checked_sub(1), Some(i + 2)].map(|k| k.and_then(|k| path.get(k)));
    let bent = neighbours.map(|third| third.and_then(|third| parabola([from, to, third], lift)).unwrap_or(line));
    Some((0.5 * (bent[0] + bent[1])).clamp(from.pressure.min(to.pressure), from.pressure.max(to.pressure)))
}

/// Pressure at a lift on the parabola through three points (Lagrange); none where two of them have one lift.
fn parabola(points: [&PathPoint; 3], lift: f64) -> Option<f64> {
    let [a, b, c] = points;
    let term = |p: &PathPoint, q: &PathPoint, r: &PathPoint| {
        p.pressure * (lift - q.lift) * (lift - r.lift) / ((p.lift - q.lift) * (p.lift - r.lift))
    };
    let sum = term(a, b, c) + term(b, c, a) + term(c, a, b);
    sum.is_finite().then_some(sum)
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::path::{End, Retention, point};
    use crate::result::ran;
    use crate::retention::retention;
    use hoopwright_case as case;

    /// Lift 0.1 mm at 0.3 MPa without friction, where the seat is unloaded, and at 0.4 MPa with it, where the wall has unloaded it long before.
    #[test]
    fn the_lift_of_the_frictionless_path_decides_and_not_the_seat() {
        let case = case::read(&case::starter()).unwrap().0;
        let at = |friction, path: Vec<PathPoint>| {
            let retention = retention(&case, &path, 1, &End::LimitPoint);
            ran(friction, path, retention)
        };
        let frictionless =
            at(0.0, vec![point(0.0, 0.0, 0.0), point(0.0, 0.0, 2.0), point(0.3 / 0.95, 0.1 / 0.95, 0.0), point(0.5, 2.0, 0.0)]);
        let given = at(0.3, vec![point(0.0, 0.0, 0.0), point(0.0, 0.0, 2.0), point(0.2, 0.05, 0.0), point(0.6, 0.15, 0.0)]);
        assert!(matches!(first_lift(&case, &given, &frictionless), Release::At(p) if (p - 0.4).abs() < 1e-9));
        let path = vec![point(0.0, -0.3, 0.0), point(0.0, 0.2, 0.7)];
        let unknown = retention(&case, &path, 0, &End::Failed("fitting the bead".to_owned()));
        let unfitted = Run { path, fit: 0, retention: unknown, ..given.clone() };
        assert_eq!(first_lift(&case, &unfitted, &frictionless), Release::Above(0.0), "a lift before the end of the fit is none");
        let capped = Run { retention: Retention { first_lift: Release::Above(0.25), ..frictionless.retention }, ..frictionless };
        assert_eq!(first_lift(&case, &given, &capped), Release::Above(0.25));
    }
}
