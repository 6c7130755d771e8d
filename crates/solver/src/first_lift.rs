//! First lift with friction, by motion.
//!
//! Without friction the bead lifts where its seat is unloaded: nothing but the seat carries it. With friction that is no measure. The gas
//! presses the bead against the wall and turns it, its heel rubs down the wall, and the wall takes load off the seat that has nothing to do
//! with a lift: on example 1 the seat is unloaded at 3.02 bar at a friction of 0.05 and at 2.63 bar at 0.7, though friction holds the bead
//! down. The bundle's height tells: first lift is the pressure at which it has risen as far as where the seat is unloaded without
//! friction.

use crate::case::Case;
use crate::result::{Release, Run};
use crate::retention::{crossing, guided, unloaded};

/// First lift of a path with friction; `frictionless` is the path of the same case without.
pub fn first_lift(case: &Case, given: &Run, frictionless: &Run) -> Release {
    let found = match (frictionless.retention.first_lift, unloaded(&frictionless.path, frictionless.fit)) {
        (Release::At(_), Some([_, rise])) => {
            crossing(&given.path[given.fit..], |p| p.lift - rise).map_or(given.retention.uniform_blow_off, Release::At)
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

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;
    use crate::case;
    use crate::result::{End, PathPoint, Retention, point};
    use crate::retention::retention;

    /// Lift 0.1 mm at 0.3 MPa without friction, where the seat is unloaded, and at 0.4 MPa with it, where the wall has unloaded it long before.
    #[test]
    fn the_lift_of_the_frictionless_path_decides_and_not_the_seat() {
        let case = case::read(&case::starter()).unwrap().0;
        let at = |friction, path: Vec<PathPoint>| {
            let retention = retention(&case, &path, 1, &End::LimitPoint);
            Run { friction, path, fit: 1, rated: None, retention, end: End::LimitPoint, effort: Default::default(), local: None }
        };
        let frictionless =
            at(0.0, vec![point(0.0, 0.0, 0.0), point(0.0, 0.0, 2.0), point(0.3 / 0.95, 0.1 / 0.95, 0.0), point(0.5, 2.0, 0.0)]);
        let given = at(0.3, vec![point(0.0, 0.0, 0.0), point(0.0, 0.0, 2.0), point(0.2, 0.05, 0.0), point(0.6, 0.15, 0.0)]);
        assert!(matches!(first_lift(&case, &given, &frictionless), Release::At(p) if (p - 0.4).abs() < 1e-9));
        let capped = Run { retention: Retention { first_lift: Release::Above(0.25), ..frictionless.retention }, ..frictionless };
        assert_eq!(first_lift(&case, &given, &capped), Release::Above(0.25));
    }
}
