//! Holds the results against the limits that the case states.

use crate::allowed::allowed;
use crate::deciding::{SPOKES, deciding, deciding_release, judged_spoke_loss, maximum_name, mounts, release_name};
use crate::numerical;
use crate::path::{End, Release};
use crate::result::{Check, Finding, Judged, Run, Verdict};
use hoopwright_case::Case;

/// Judges a case from its two runs. `mounting_force` is the hoop force that mounting asks of the bead, N, if it was estimated.
pub fn verdict(case: &Case, given: &Run, frictionless: &Run, mounting_force: Option<f64>) -> Verdict {
    let deciding = deciding(case, given, frictionless);
    let mut checks = vec![release_check(case, deciding)];
    checks.extend(spoke_check(case, given, frictionless));
    if let (Some(force), Some(limit)) = (mounting_force, case.limits.mounting_force) {
        checks.push(Check {
            what: "hoop force to mount, limp strip (lower bound)".into(),
            value: force,
            lower_bound: false,
            error: None,
            limit,
            judged: Judged::Mounting,
            kept: mounts(force, limit),
            finding: Finding::HardToMount,
        });
    }
    checks.extend(maximum_check(case));
    let mut findings: Vec<Finding> = checks.iter().filter(|c| !c.kept).map(|c| c.finding).collect();
    // In the order of danger; what is too close to tell comes after what is not kept, and is told once.
    findings.sort_by_key(|finding| *finding == Finding::TooClose);
    findings.dedup();
    // A pressure that was found decides, wherever the path ended after it; but not while the bead may still have been guided to its seat.
    let found = !checks[0].lower_bound && deciding.rated.is_some();
    // A local release that could not be found tells nothing, whatever the path has found.
    let unknown = checks[0].found().is_none();
    if (matches!(deciding.end, End::Failed(_)) && !found || unknown) && !checks[0].kept {
        findings = vec![Finding::NoAnswer];
    }
    if findings.is_empty() {
        findings.push(Finding::Holds);
    }
    let allowed = allowed(case, given, frictionless, mounting_force);
    Verdict { findings, checks, criterion: case.limits.criterion, allowed }
}

/// Share by which a rated pressure may pass a maximum: what a change of units leaves of a round number.
const ROUNDING: f64 = 1e-9;

/// The rated pressure against the lowest maximum pressure that is stated.
fn maximum_check(case: &Case) -> Option<Check> {
    let (of, limit) = case.limits.maxima.lowest()?;
    let value = case.pressure.rated;
    Some(Check {
        what: format!("rated pressure against {}", maximum_name(of)),
        value,
        lower_bound: false,
        error: None,
        limit,
        judged: Judged::RatedPressure,
        kept: value <= (1.0 + ROUNDING) * limit,
        finding: Finding::OverMaximum,
    })
}

fn release_check(case: &Case, run: &Run) -> Check {
    let limit = case.required_pressure();
    let (of, release) = deciding_release(case.limits.criterion, run, limit);
    let (value, lower_bound) = match release {
        Release::At(p) => (p, false),
        Release::Above(p) => (p, true),
    };
    let even_uniform = matches!(run.retention.uniform_blow_off, Release::At(p) if p < limit);
    let finding = match value < limit {
        true if even_uniform => Finding::Releases,
        true => Finding::MayRelease,
        false => Finding::TooClose,
    };
    Check {
        what: release_name(of, run),
        value,
        lower_bound,
        error: numerical::error(of, release, run),
        limit,
        judged: Judged::Release,
        kept: numerical::at_least(of, value, run) >= limit,
        finding,
    }
}

fn spoke_check(case: &Case, given: &Run, frictionless: &Run) -> Option<Check> {
    let (loss, without) = judged_spoke_loss(case, given, Some(frictionless))?;
    let (value, limit) = (100.0 * loss / case.spokes.pretension, 100.0 * case.limits.spoke_loss);
    Some(Check {
        what: format!("{SPOKES}{}", if without { " without friction" } else { "" }),
        value,
        lower_bound: false,
        error: Some(numerical::load_error(value)),
        limit,
        judged: Judged::SpokeLoss,
        kept: value + numerical::load_error(value) <= limit,
        finding: if value > limit { Finding::OverloadsRim } else { Finding::TooClose },
    })
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::float_cmp)]
    use super::*;
    use crate::path::{alike, point};
    use crate::result::ran;
    use hoopwright_case as case;
    use hoopwright_case::Criterion;

    fn inflated(friction: f64, spoke_loss: f64) -> Run {
        let mut rated = point(0.5, 0.4, 0.0);
        rated.spoke_loss = spoke_loss;
        let retention = alike(Release::At(0.8));
        let path = vec![point(0.0, 0.0, 0.0), point(0.0, 0.0, 2.0), rated];
        Run { rated: Some(2), ..ran(friction, path, retention) }
    }

    /// Pretension 1000 N, 25 % of it may be lost.
    #[test]
    fn spokes_are_judged_without_friction_where_none_is_counted_on() {
        let mut case = case::read(&case::starter()).unwrap().0;
        let (given, frictionless) = (inflated(0.3, 199.0), inflated(0.0, 263.0));
        assert_eq!(verdict(&case, &given, &frictionless, None).findings, [Finding::Holds]);
        assert_eq!(judged_spoke_loss(&case, &given, Some(&frictionless)), Some((199.0, false)));
        case.limits.without_friction = true;
        let judged = verdict(&case, &given, &frictionless, None);
        assert_eq!(judged.findings, [Finding::OverloadsRim]);
        assert!(judged.checks[1].what.ends_with("without friction") && judged.checks[1].value == 26.3);
        let relieved = inflated(0.0, 150.0);
        assert_eq!(judged_spoke_loss(&case, &given, Some(&relieved)), Some((199.0, false)), "the larger one");
    }

    /// Required 7.5 bar, a quarter of 1000 N may be lost.
    #[test]
    fn what_the_numerical_error_leaves_open_is_too_close_to_tell() {
        let case = case::read(&case::starter()).unwrap().0;
        let share = numerical::share(Criterion::Local, 0.3);
        let judged = |release: f64, loss: f64| {
            let mut run = inflated(0.3, loss);
            run.retention.local_release = Release::At(release);
            run.retention.uniform_blow_off = Release::At(0.9);
            let judged = verdict(&case, &run, &run, None);
            // Held at the rated pressure or not: the allowed one says the same.
            assert_eq!(judged.findings == [Finding::Holds], judged.allowed.pressure().unwrap().0 >= case.pressure.rated);
            judged.findings
        };
        assert_eq!(judged(0.7499, 100.0), [Finding::MayRelease]);
        assert_eq!(judged(0.7501, 100.0), [Finding::TooClose]);
        assert_eq!(judged(0.7499 / (1.0 - share), 249.9), [Finding::TooClose], "twice, told once");
        assert_eq!(judged(0.7501 / (1.0 - share), 250.0 / 1.0201), [Finding::Holds]);
        assert_eq!(judged(0.7501 / (1.0 - share), 251.0), [Finding::OverloadsRim]);
        assert_eq!(judged(0.7501, 251.0), [Finding::OverloadsRim, Finding::TooClose]);
    }

    /// Rated at 5 bar.
    #[test]
    fn a_rated_pressure_above_a_maximum_is_a_finding() {
        let mut case = case::read(&case::starter()).unwrap().0;
        let run = inflated(0.3, 100.0);
        for (tyre, findings) in [(0.5, [Finding::Holds]), (0.499, [Finding::OverMaximum])] {
            case.limits.maxima.tyre = Some(tyre);
            assert_eq!(verdict(&case, &run, &run, None).findings, findings, "{tyre}");
        }
    }
}
