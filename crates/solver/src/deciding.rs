//! What the limits are held against: which run and which of its numbers decides, and their names.

use crate::path::Release;
use crate::result::{Moment, Run};
use hoopwright_case::{Case, Criterion, MaximumOf};

/// What the spokes are judged by.
pub(crate) const SPOKES: &str = "mean spoke tension loss at rated pressure";

/// A maximum pressure by name.
pub(crate) fn maximum_name(of: MaximumOf) -> &'static str {
    match of {
        MaximumOf::Tyre => "the tyre's maximum pressure",
        MaximumOf::Rim => "the rim's maximum pressure",
        MaximumOf::Law => "the maximum pressure by law or standard",
    }
}

/// The run by which retention is judged.
pub(crate) fn deciding<'a>(case: &Case, given: &'a Run, frictionless: &'a Run) -> &'a Run {
    if case.limits.without_friction { frictionless } else { given }
}

/// Whether a bead can be mounted that asks for a hoop force, N, where so much is allowed.
pub(crate) fn mounts(force: f64, limit: f64) -> bool {
    force <= limit
}

/// Name of a retention pressure of a run.
pub(crate) fn release_name(of: Criterion, run: &Run) -> String {
    let name = match of {
        Criterion::FirstLift => "first lift",
        Criterion::Lower | Criterion::Local => "local release",
        Criterion::OffCentre => "off-centre release",
        Criterion::Uniform => "uniform blow-off",
    };
    let friction = if run.friction == 0.0 { "without friction".into() } else { format!("at friction {}", run.friction) };
    format!("{name} {friction}")
}

/// The retention pressure that decides, and which it is. Where the local release is not known, an off-centre release below the limit is enough
/// to tell that it is not kept.
pub(crate) fn deciding_release(criterion: Criterion, run: &Run, limit: f64) -> (Criterion, Release) {
    let retention = &run.retention;
    let off_centre = (Criterion::OffCentre, retention.off_centre_release);
    match criterion {
        Criterion::FirstLift => (criterion, retention.first_lift),
        Criterion::Local => (criterion, retention.local_release),
        Criterion::Lower => match (retention.local_release.known(), retention.off_centre_release) {
            (None, Release::At(p)) if p < limit => off_centre,
            (Some(_), release) if retention.lower_release() == release => off_centre,
            _ => (Criterion::Local, retention.lower_release()),
        },
        Criterion::OffCentre => off_centre,
        Criterion::Uniform => (criterion, retention.uniform_blow_off),
    }
}

/// The mean spoke tension loss at the rated pressure that is judged, N, and whether it is the one without friction: friction on the wall
/// takes load off the seat, so that where none is counted on the larger one is judged. None where the rated pressure is not reached.
pub fn judged_spoke_loss(case: &Case, given: &Run, frictionless: Option<&Run>) -> Option<(f64, bool)> {
    let loss = |run: &Run| run.at(Moment::Rated).map(|rated| rated.spoke_loss);
    let (with, without) = (loss(given), counted(case, given, frictionless).and_then(loss));
    if without > with { without.map(|loss| (loss, true)) } else { with.map(|loss| (loss, false)) }
}

/// The run without friction where the spokes are judged by it too.
pub(crate) fn counted<'a>(case: &Case, given: &Run, frictionless: Option<&'a Run>) -> Option<&'a Run> {
    frictionless.filter(|run| case.limits.without_friction && run.friction < given.friction)
}
