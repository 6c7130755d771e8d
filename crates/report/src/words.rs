//! Words that several outputs share.

use hoopwright_case::inputs::Input;
use hoopwright_case::{Case, Criterion, Origin};
use hoopwright_solver::result::{End, Finding, Stage};
use hoopwright_study::rows::Ends;

/// An input in words, for pictures: `rim.seat_diameter` is "rim seat diameter".
pub(crate) fn input(input: &Input) -> String {
    input.path().replace(['.', '_'], " ")
}

/// Where a value of a case comes from.
pub(crate) fn origin(origin: Origin) -> String {
    match origin {
        Origin::Typed => "as typed".to_owned(),
        Origin::From(keys) => format!("from {}, as typed", keys.join(" and ")),
        Origin::Drawn => "read off the drawing".to_owned(),
        Origin::Default { source } => format!("default; {source}"),
        Origin::Derived { rule, source } => format!("default: {rule}; {source}"),
        Origin::LeftOut => "not typed".to_owned(),
    }
}

/// A finding in words.
pub(crate) fn finding(finding: Finding) -> &'static str {
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

/// Findings in words.
pub(crate) fn findings(findings: &[Finding]) -> String {
    findings.iter().map(|found| finding(*found)).collect::<Vec<_>>().join("; ")
}

/// A criterion in words.
pub(crate) fn criterion(criterion: Criterion) -> &'static str {
    match criterion {
        Criterion::FirstLift => "first lift",
        Criterion::Lower => "lower of local and off-centre release",
        Criterion::Local => "local release",
        Criterion::OffCentre => "off-centre release",
        Criterion::Uniform => "uniform blow-off",
    }
}

/// A stage in words.
pub(crate) fn stage(stage: Stage) -> &'static str {
    match stage {
        Stage::Fit => "fit",
        Stage::Inflate => "inflate",
        Stage::BlowOff => "blow-off",
    }
}

/// How a path ended, in words.
pub(crate) fn end(end: &End) -> String {
    match end {
        End::LimitPoint => "the pressure passed its maximum".into(),
        End::CoreClearsCrest => "the bundle rose over the crest of the wall".into(),
        End::BundleBreaks => "the bundle reached its breaking force".into(),
        End::CordBreaks => "a cord reached its breaking force".into(),
        End::Cap => "the pressure cap was reached without release".into(),
        End::Failed(reason) => format!("no equilibrium was found further on ({reason}); this is no release"),
    }
}

/// How the paths of a row ended at the given friction and without, in words; empty where it was not asked for.
pub(crate) fn ends(ends: &Ends) -> [String; 2] {
    match ends {
        Ends::Paths(given, frictionless) => [end(given), frictionless.as_ref().map_or(String::new(), end)],
        Ends::None(_, reason) => [format!("no path: {reason}"), String::new()],
    }
}

/// Cautions that go with every answer.
pub fn cautions() -> [&'static str; 4] {
    [
        "A bead that lets go under pressure injures people. This is a calculation, not an approval: local codes, standards and licensed \
         practice decide, and a physical retention test of the very tyre and rim.",
        "Burst tests: fill with water, not air; work behind a shield or cage, pump from a distance, protect eyes and ears, keep out of the \
         wheel's plane.",
        "The local release goes by the unevenness that the case states, on a round rim, without side load, damage or wear. Only the first lift \
         is a lower bound; the off-centre release is none.",
        "Friction, bead diameter and bead stiffness must be measured on the tyre at hand; lubricant, heat and use change them.",
    ]
}

/// Cautions that go with the answers to a case: what the local release leaves out depends on whether a load stands on the tread.
pub(crate) fn cautions_of(case: &Case) -> [&'static str; 4] {
    let [injury, water, local, measured] = cautions();
    let loaded = "The local release goes by the unevenness and the load that the case states, on a round rim, at rest, without damage or wear. \
                  Only the first lift is a lower bound, without a load; the off-centre release is none.";
    [injury, water, if case.local.rider.is_some() { loaded } else { local }, measured]
}
