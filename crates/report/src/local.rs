//! The local release in words.

use hoopwright_case::units::BAR;
use hoopwright_case::{Case, Heights, Stands};
use hoopwright_solver::result::{Cause, Local, Release, Run};
use hoopwright_solver::ring::local::HELD;

use crate::json_local::{side, station};

/// What stands behind the local release of a path, in sentences; none where it was not asked for.
pub(crate) fn sentences(case: &Case, run: &Run) -> Option<String> {
    let local = run.local.as_ref()?;
    if let Some(failure) = &local.failure {
        return Some(format!("no local release was found ({failure}); this is no release and no hold"));
    }
    let parts = [
        Some(format!("{}; {}", stands(case), goes(case, local))),
        loaded(case, local),
        beads(local),
        held(case, local, run),
        left(local, run),
        evenness(local),
    ];
    Some(parts.into_iter().flatten().collect::<Vec<_>>().join(". "))
}

/// How the bead stands, and the crest.
fn stands(case: &Case) -> String {
    let bead = match &case.local.stands {
        Stands::Arc { height, length } => format!("an arc of {:.0} deg stands {} mm higher", length.to_degrees(), short(*height)),
        Stands::Measured(heights) => {
            let range = |list: &[f64]| {
                let (low, high) =
                    list.iter().fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), h| (low.min(*h), high.max(*h)));
                short(high - low)
            };
            let [left, right] = [range(&heights.left), range(&heights.right)];
            format!("the measured heights differ by {left} mm on the left and {right} mm on the right bead")
        }
    };
    let Some(dip) = case.local.dip else { return bead };
    format!("{bead}, and the crest dips by {} mm over {:.0} deg", short(dip.depth), dip.length.to_degrees())
}

/// What goes, where and why.
fn goes(case: &Case, local: &Local) -> String {
    let beads = if local.one_bead { "one bead alone" } else { "both beads alike" };
    let place = match (local.station, local.side) {
        (Some(angle), Some(of)) => {
            let number = station(case, angle).map_or(String::new(), |k| format!(", nearest to station {k}"));
            format!(" at {:.0} deg{number}, on the {} bead", angle.to_degrees(), side(of))
        }
        (Some(angle), None) if case.local.dip.is_some() => format!(" at {:.0} deg", angle.to_degrees()),
        _ => String::new(),
    };
    match (local.cause, local.arc) {
        (Some(Cause::EvennessLost), Some(arc)) => format!("it runs away over {:.0} deg{place}, {beads}", arc.to_degrees()),
        (Some(Cause::ReachesCrest), Some(arc)) => {
            format!("it rises to the crest over {:.0} deg{place}, {beads}", arc.to_degrees())
        }
        (Some(Cause::Load), Some(arc)) => format!("it goes over {:.0} deg{place}, {beads}, under the load", arc.to_degrees()),
        (Some(_), _) => "it stays as long as the whole bead does".to_owned(),
        (None, _) => "it stays as far as was looked".to_owned(),
    }
}

fn told(release: Release) -> String {
    match release.known() {
        Some((p, above)) => format!("{}{:.2} bar", if above { "> " } else { "" }, BAR.value_of(p)),
        None => "not known".to_owned(),
    }
}

/// With a rider's load and without.
fn loaded(case: &Case, local: &Local) -> Option<String> {
    let (load, loaded) = (case.local.rider?, local.loaded?);
    let lateral = if load.lateral > 0.0 { format!(" and {:.0} N to the side", load.lateral) } else { String::new() };
    let place = if load.station.is_some() { "" } else { ", where it does most harm of the places tried" };
    let counts = if local.cause == Some(Cause::Load) { "the load brings it down" } else { "the answer without it counts" };
    Some(format!(
        "With {:.0} N on {:.0} mm of the tread{lateral} it goes at {}, without at {}: {counts}. The patch lies at {:.0} deg{place}, and the load \
         presses the tread in by {:.0} % of its height over the wall",
        load.radial,
        loaded.length,
        told(loaded.with),
        told(loaded.without),
        loaded.place.to_degrees(),
        100.0 * loaded.sinking
    ))
}

/// Both beads by themselves.
fn beads(local: &Local) -> Option<String> {
    let [left, right] = local.beads?.map(told);
    Some(format!("By itself the left bead goes at {left}, the right one at {right}"))
}

/// What friction held of heights that were seen under pressure.
fn held(case: &Case, local: &Local, run: &Run) -> Option<String> {
    let Stands::Measured(Heights { seen_at, .. }) = &case.local.stands else { return None };
    if run.friction <= 0.0 && *seen_at > 0.0 {
        return Some("Without friction nothing holds them: they are let go anew at every pressure".to_owned());
    }
    let share = local.held?;
    let seen = format!(
        "At {:.2} bar, where the heights were seen, friction holds {:.0} % of them",
        BAR.value_of(*seen_at),
        100.0 * share
    );
    let lower = "what was seen asks for more friction than the case states, so that the lower release counts of that and of heights let go anew";
    Some(if share < HELD { format!("{seen}: {lower} at every pressure") } else { seen })
}

/// What has become of the unevenness just before.
fn left(local: &Local, run: &Run) -> Option<String> {
    let last = local.last.as_ref()?;
    let [before, after] = last.unevenness();
    let friction = if run.friction > 0.0 {
        format!(", with {:.0} % of the friction used", 100.0 * last.friction_used())
    } else {
        String::new()
    };
    let became = if after > before {
        format!("the {} mm of unevenness have grown to {} mm", short(before), short(after))
    } else {
        format!("{} of the {} mm of unevenness are kept", short(after), short(before))
    };
    Some(format!("At {:.2} bar, the highest at which it stays, {became}{friction}", BAR.value_of(last.pressure)))
}

fn evenness(local: &Local) -> Option<String> {
    if let Some(failure) = &local.evenness_failure {
        return Some(format!("Whether a perfect ring stays even by itself was not found ({failure})"));
    }
    let evenness = local.evenness?;
    let into = if evenness.waves == 1 { "shifts sideways".to_owned() } else { format!("falls into {} waves", evenness.waves) };
    Some(format!("From {:.2} bar on even a perfect ring {into} by itself", BAR.value_of(evenness.pressure)))
}

fn short(x: f64) -> String {
    format!("{x:.2}").trim_end_matches('0').trim_end_matches('.').to_owned()
}
