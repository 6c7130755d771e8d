//! Solves the cases beside a case for their local release.

use hoopwright_case::{Case, Criterion, Neighbour};
use hoopwright_solver::assess::decide;
use hoopwright_solver::band::{Band, Beside};
use hoopwright_solver::result::Release;

use crate::workers::all;

/// The local releases of neighbours, on `threads` threads; `finished` hears of each, on the calling thread. The same for any number of threads.
pub fn solve(neighbours: &[Neighbour], threads: usize, finished: &mut dyn FnMut()) -> Band {
    let beside = |i: usize| {
        let neighbour = &neighbours[i];
        let release = neighbour.case.as_ref().map_err(Clone::clone).and_then(releases);
        Beside::new(neighbour, release)
    };
    Band { beside: all(neighbours.len(), threads, &beside, finished) }
}

/// The local release at the case's friction and without, whatever decides the case.
fn releases(case: &Case) -> Result<[Release; 2], String> {
    let mut case = case.clone();
    case.limits.criterion = Criterion::Local;
    let decision = decide(&case, &mut |_| ()).map_err(|reason| reason.to_string())?;
    let runs = [&decision.given, decision.frictionless.as_ref().unwrap_or(&decision.given)];
    if let Some(failure) = runs.iter().find_map(|run| run.local.as_ref()?.failure.clone()) {
        return Err(failure);
    }
    Ok(runs.map(|run| run.retention.local_release))
}
