//! Holds the results against the limits that the case states.

use crate::case::{Case, Criterion};
use crate::result::{Check, End, Finding, PathPoint, Release, Retention, Run, Verdict};

/// Judges a case from its two runs. `mounting_force` is the hoop force that mounting asks of the bead, N, if it was estimated.
pub fn verdict(case: &Case, given: &Run, frictionless: &Run, mounting_force: Option<f64>) -> Verdict {
    let deciding = if case.limits.without_friction { frictionless } else { given };
    let mut checks = vec![release_check(case, deciding)];
    checks.extend(given.rated.map(|i| spoke_check(case, &given.path[i])));
    if let (Some(force), Some(limit)) = (mounting_force, case.limits.mounting_force) {
        checks.push(Check {
            what: "hoop force to mount".into(),
            value: force,
            lower_bound: false,
            limit,
            unit: "N",
            kept: force <= limit,
            finding: Finding::HardToMount,
        });
    }
    let mut findings: Vec<Finding> = checks.iter().filter(|c| !c.kept).map(|c| c.finding).collect();
    // A pressure that was found decides, wherever the path ended after it; but not while the bead may still have been guided to its seat.
    let found = !checks[0].lower_bound && deciding.rated.is_some();
    if matches!(deciding.end, End::Failed(_)) && !found && !checks[0].kept {
        findings = vec![Finding::NoAnswer];
    }
    if findings.is_empty() {
        findings.push(Finding::Holds);
    }
    Verdict { findings, checks, criterion: case.limits.criterion }
}

fn release_check(case: &Case, run: &Run) -> Check {
    let (name, release) = deciding_release(case.limits.criterion, &run.retention);
    let (value, lower_bound) = match release {
        Release::At(p) => (p, false),
        Release::Above(p) => (p, true),
    };
    let limit = case.required_pressure();
    let friction = if run.friction == 0.0 { "without friction".into() } else { format!("at friction {}", run.friction) };
    let what = format!("{name} {friction}");
    Check { what, value, lower_bound, limit, unit: "MPa", kept: value >= limit, finding: Finding::MayRelease }
}

fn deciding_release(criterion: Criterion, retention: &Retention) -> (&'static str, Release) {
    match criterion {
        Criterion::FirstLift => ("first lift", retention.first_lift),
        Criterion::OffCentre => ("off-centre release", retention.off_centre_release),
        Criterion::Uniform => ("uniform blow-off", retention.uniform_blow_off),
    }
}

fn spoke_check(case: &Case, rated: &PathPoint) -> Check {
    let value = 100.0 * rated.spoke_loss / case.spokes.pretension;
    let limit = 100.0 * case.limits.spoke_loss;
    Check {
        what: "mean spoke tension loss at rated pressure".into(),
        value,
        lower_bound: false,
        limit,
        unit: "% of pretension",
        kept: value <= limit,
        finding: Finding::OverloadsRim,
    }
}
