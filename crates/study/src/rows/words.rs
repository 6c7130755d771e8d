//! Identities as they stand in a study's file. They are no sentences: whatever is said to people elsewhere, these stay.

use hoopwright_solver::result::{End, Finding};

use super::{Ends, NoPath};

/// Between two findings.
const JOIN: &str = "; ";
/// Between an identity and the reason behind it.
const REASON: &str = ": ";

const FAILED: &str = "failed";

const FINDINGS: [Finding; 8] = [
    Finding::Holds,
    Finding::Releases,
    Finding::MayRelease,
    Finding::TooClose,
    Finding::OverloadsRim,
    Finding::HardToMount,
    Finding::OverMaximum,
    Finding::NoAnswer,
];
const REACHED: [End; 5] = [End::LimitPoint, End::CoreClearsCrest, End::BundleBreaks, End::CordBreaks, End::Cap];
const NO_PATHS: [NoPath; 3] = [NoPath::NoCase, NoPath::NoModel, NoPath::NoCreep];

fn finding_word(finding: Finding) -> &'static str {
    match finding {
        Finding::Holds => "holds",
        Finding::Releases => "releases",
        Finding::MayRelease => "may release",
        Finding::TooClose => "too close to tell",
        Finding::OverloadsRim => "overloads the rim",
        Finding::HardToMount => "hard to mount",
        Finding::OverMaximum => "rated above the maximum pressure",
        Finding::NoAnswer => "no answer",
    }
}

fn end_word(end: &End) -> &'static str {
    match end {
        End::LimitPoint => "maximum",
        End::CoreClearsCrest => "over_crest",
        End::BundleBreaks => "bundle_breaks",
        End::CordBreaks => "cord_breaks",
        End::Cap => "cap",
        End::Failed(_) => FAILED,
    }
}

fn no_path_word(cause: NoPath) -> &'static str {
    match cause {
        NoPath::NoCase => "no_case",
        NoPath::NoModel => "no_model",
        NoPath::NoCreep => "no_creep",
    }
}

/// The cell of some findings.
pub fn of_findings(findings: &[Finding]) -> String {
    findings.iter().map(|finding| finding_word(*finding)).collect::<Vec<_>>().join(JOIN)
}

/// The findings of a cell; none where a word is unknown.
pub fn findings(cell: &str) -> Option<Vec<Finding>> {
    cell.split(JOIN).map(|word| FINDINGS.into_iter().find(|finding| finding_word(*finding) == word)).collect()
}

/// The cells of the ends at the given friction and without.
pub(super) fn of_ends(ends: &Ends) -> [String; 2] {
    match ends {
        Ends::Paths(given, frictionless) => [of_end(given), frictionless.as_ref().map_or(String::new(), of_end)],
        Ends::None(cause, reason) => [format!("{}{REASON}{reason}", no_path_word(*cause)), String::new()],
    }
}

/// The ends of two cells; none where a word is unknown.
pub(super) fn ends([given, frictionless]: [&str; 2]) -> Option<Ends> {
    if let Some((word, reason)) = given.split_once(REASON)
        && let Some(cause) = NO_PATHS.into_iter().find(|cause| no_path_word(*cause) == word)
    {
        return frictionless.is_empty().then(|| Ends::None(cause, reason.to_owned()));
    }
    let other = if frictionless.is_empty() { None } else { Some(end(frictionless)?) };
    Some(Ends::Paths(end(given)?, other))
}

fn of_end(end: &End) -> String {
    match end {
        End::Failed(reason) => format!("{FAILED}{REASON}{reason}"),
        reached => end_word(reached).to_owned(),
    }
}

fn end(cell: &str) -> Option<End> {
    match cell.split_once(REASON) {
        Some((FAILED, reason)) => Some(End::Failed(reason.to_owned())),
        _ => REACHED.into_iter().find(|end| end_word(end) == cell),
    }
}
