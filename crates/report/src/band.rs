//! What plausible changes of a case do to its local release: rows of the table, sentences, JSON.

use hoopwright_case::units::BAR;
use hoopwright_solver::band::{Band, Beside};
use hoopwright_solver::result::{Assessment, Release, Run};
use serde::Serialize;

use crate::lines::number;

/// What is said where no band was asked for; none where there is no local release.
pub(crate) fn hint(a: &Assessment) -> Option<&'static str> {
    let asked = a.given.local.is_some() && a.band.is_none();
    asked.then_some(
        "The local release is that of the inputs as given. How much it hangs on the radius of the crest, on the thickness of bead and filler \
         beside the bundle and on the modulus of the bead's rubber is not in the number: `hoopwright assess --band` tells. Nor are scatter of \
         unevenness and friction and what the model leaves out.",
    )
}

/// The paths that are told: at the case's friction, and without where that is another.
fn paths(a: &Assessment) -> Vec<(usize, &Run)> {
    let both = a.given.friction > 0.0;
    [(0, &a.given), (1, &a.frictionless)].into_iter().take(if both { 2 } else { 1 }).collect()
}

/// Heads of the table.
pub(crate) fn heads(a: &Assessment) -> Vec<String> {
    let of = |(_, run): (usize, &Run)| {
        let name = if run.friction == 0.0 { "no friction".to_owned() } else { format!("friction {}", run.friction) };
        [format!("{name}, bar"), "change, %".to_owned()]
    };
    ["changed input", "from", "to"].map(str::to_owned).into_iter().chain(paths(a).into_iter().flat_map(of)).collect()
}

/// A value of an input, to a thousandth.
fn plain(value: f64) -> String {
    ((1e3 * value).round() / 1e3).to_string()
}

/// Rows of the table: input with unit, its value in the case and beside it, local release and its change for each path; none without a band.
pub(crate) fn rows(a: &Assessment) -> Vec<Vec<String>> {
    let Some(band) = &a.band else { return Vec::new() };
    let row = |beside: &Beside| {
        let input = format!("{}, {}", beside.input, beside.unit);
        let values = beside.values.map(plain);
        let cells = paths(a).into_iter().flat_map(|(path, run)| cells(beside, path, run.retention.local_release));
        std::iter::once(input).chain(values).chain(cells).collect()
    };
    band.beside.iter().map(row).collect()
}

/// Local release and its change.
fn cells(beside: &Beside, path: usize, own: Release) -> [String; 2] {
    let known = beside.release.as_ref().ok().and_then(|releases| releases[path].known());
    let Some((pressure, bound)) = known else { return ["-", "-"].map(str::to_owned) };
    let shown = format!("{}{}", if bound { "> " } else { "" }, number(BAR.value_of(pressure)));
    let change = match own {
        Release::At(own) if !bound && own > 0.0 => format!("{:+.1}", 100.0 * (pressure / own - 1.0)),
        _ => "-".to_owned(),
    };
    [shown, change]
}

/// The band of each path, and what has no answer: a sentence each, without a full stop.
pub(crate) fn sentences(a: &Assessment) -> Vec<String> {
    let Some(band) = &a.band else { return Vec::new() };
    let mut list: Vec<String> =
        paths(a).into_iter().map(|(path, run)| sentence(band, path, run, a.case.required_pressure())).collect();
    let changed = |beside: &Beside| format!("{} = {} {}", beside.input, plain(beside.values[1]), beside.unit);
    let room = |beside: &Beside| Some(format!("To make room for {} there is {}", changed(beside), beside.room.as_ref()?));
    let failed = |beside: &Beside| Some(format!("No answer with {}: {}", changed(beside), beside.release.as_ref().err()?));
    list.extend(band.beside.iter().filter_map(room));
    list.extend(band.beside.iter().filter_map(failed));
    list
}

fn sentence(band: &Band, path: usize, run: &Run, required: f64) -> String {
    let name = format!("Local release at friction {} with plausible changes", run.friction);
    let Some(span) = band.span(path, run.retention.local_release) else {
        return format!("{name}: no band, as it was not reached in the case or in none of the changed ones");
    };
    let [[low, high], [least, greatest]] = [span.one, span.all].map(|ends| ends.map(|p| number(BAR.value_of(p))));
    let unanswered = match band.unanswered(path) {
        0 => String::new(),
        n => format!("; {n} of {} have no number and count as the opposite of the other side's", band.beside.len()),
    };
    let short = match required {
        required if span.one[0] < required => "; one such change may bring it below the required pressure",
        required if span.all[0] < required => "; all together may bring it below the required pressure",
        _ => "",
    };
    format!(
        "{name}: {low} to {high} bar, one change at a time; {least} to {greatest} bar with all on their bad or good side at once, changes \
         added{unanswered}{short}"
    )
}

/// The block of `result.json`; pressures null where not reached.
#[derive(Serialize)]
pub(crate) struct BandBlock {
    beside: Vec<BesideBlock>,
    with_friction: Option<SpanBlock>,
    frictionless: Option<SpanBlock>,
}

#[derive(Serialize)]
struct BesideBlock {
    input: String,
    unit: &'static str,
    from: f64,
    to: f64,
    local_release_mpa: Option<f64>,
    local_release_frictionless_mpa: Option<f64>,
    made_room_by: Option<String>,
    failure: Option<String>,
}

#[derive(Serialize)]
struct SpanBlock {
    one_change_mpa: [f64; 2],
    all_changes_added_mpa: [f64; 2],
}

/// The block of an assessment with a band.
pub(crate) fn block(a: &Assessment) -> Option<BandBlock> {
    let band = a.band.as_ref()?;
    let beside = |b: &Beside| BesideBlock {
        input: b.input.clone(),
        unit: b.unit,
        from: b.values[0],
        to: b.values[1],
        local_release_mpa: b.pressure(0),
        local_release_frictionless_mpa: b.pressure(1),
        made_room_by: b.room.clone(),
        failure: b.release.as_ref().err().cloned(),
    };
    let span = |path: usize, run: &Run| {
        let span = band.span(path, run.retention.local_release)?;
        Some(SpanBlock { one_change_mpa: span.one, all_changes_added_mpa: span.all })
    };
    Some(BandBlock {
        beside: band.beside.iter().map(beside).collect(),
        with_friction: span(0, &a.given),
        frictionless: span(1, &a.frictionless),
    })
}
