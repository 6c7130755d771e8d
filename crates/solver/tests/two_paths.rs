//! The path at the case's friction and the one without: the same side by side as in turn, in few iterations.
#![allow(clippy::unwrap_used)]

use hoopwright_case as case;
use hoopwright_solver::assess::{Paths, assess};
use hoopwright_solver::result::{Assessment, Run};

/// Most Newton iterations with a tangent of their own, of both paths; 582 were measured. On the mesh of November 2026 there were 544; with a
/// seal that is left to flicker 7 % more, with contact pressures of extrapolated states in the geometric stiffness 16 %, where every
/// iteration has one 30 %.
const MOST_TANGENTS: usize = 605;

fn assessed(paths: Paths) -> Assessment {
    let (case, notes) = case::read(include_str!("../../../examples/01_road_holds.toml")).unwrap();
    assess(&case, notes, paths, &mut |_| ()).unwrap()
}

/// Everything but the time it took.
fn told(run: &Run) -> String {
    format!(
        "{:?}",
        (run.friction, &run.path, run.fit, run.rated, &run.retention, &run.end, run.effort.steps, run.effort.iterations)
    )
}

#[test]
fn side_by_side_tells_what_in_turn_tells_in_few_iterations() {
    let (one, other) = (assessed(Paths::InTurn), assessed(Paths::SideBySide));
    assert!(one.given.friction > 0.0 && one.frictionless.friction.abs() < 1e-15);
    for (one, other) in [(&one.given, &other.given), (&one.frictionless, &other.frictionless)] {
        assert!(told(one) == told(other), "at friction {}", one.friction);
    }
    let tangents = one.given.effort.tangents + one.frictionless.effort.tangents;
    assert!(tangents <= MOST_TANGENTS, "{tangents}");
}
