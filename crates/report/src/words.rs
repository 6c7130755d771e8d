//! Words that several outputs share.

use hoopwright_solver::case::inputs::Input;
use hoopwright_solver::case::{Case, Criterion};
use hoopwright_solver::result::{End, Finding, Release, Run, Stage};

/// An input in words, for pictures: `rim.seat_diameter` is "rim seat diameter".
pub(crate) fn input(input: &Input) -> String {
    input.path().replace(['.', '_'], " ")
}

/// A finding in words.
pub(crate) fn finding(finding: Finding) -> &'static str {
    match finding {
        Finding::Holds => "holds",
        Finding::Releases => "releases",
        Finding::MayRelease => "may release",
        Finding::OverloadsRim => "overloads the rim",
        Finding::HardToMount => "hard to mount",
        Finding::NoAnswer => "no answer",
    }
}

/// A criterion in words.
pub(crate) fn criterion(criterion: Criterion) -> &'static str {
    match criterion {
        Criterion::FirstLift => "first lift",
        Criterion::Lower => "the lower of local and off-centre release",
        Criterion::Local => "local release",
        Criterion::OffCentre => "off-centre release",
        Criterion::Uniform => "uniform blow-off",
    }
}

/// What stands behind the local release of a path, in sentences; none where it was not asked for.
pub(crate) fn local(case: &Case, run: &Run) -> Option<String> {
    let local = run.local.as_ref()?;
    if let Some(failure) = &local.failure {
        return Some(format!("no local release was found ({failure}); this is no release and no hold"));
    }
    let seating = &case.local;
    let stands = format!("an arc of {:.0} deg stands {} mm higher", seating.arc.to_degrees(), short(seating.unevenness));
    let beads = if local.one_bead { "one bead alone" } else { "both beads alike" };
    let mut text = match (run.retention.local_release, local.arc) {
        (Release::At(_), Some(arc)) => format!("{stands}; it runs away over {:.0} deg, {beads}", arc.to_degrees()),
        (Release::At(_), None) => format!("{stands}; it stays as long as the whole bead does"),
        (Release::Above(_), _) => format!("{stands}; it stays as far as was looked"),
    };
    if let Some(evenness) = local.evenness {
        let into =
            if evenness.waves == 1 { "shifts sideways".to_owned() } else { format!("falls into {} waves", evenness.waves) };
        text += &format!(". From {:.2} bar on even a perfect ring {into} by itself", 10.0 * evenness.pressure);
    }
    Some(text)
}

fn short(x: f64) -> String {
    format!("{x:.2}").trim_end_matches('0').trim_end_matches('.').to_owned()
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
