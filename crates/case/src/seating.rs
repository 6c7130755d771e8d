//! How unevenly bead and crest stand round the wheel: read, and held against the rim.

use crate::case::{Case, Changes, Dip, Heights, Seating, Stands};
use crate::error::Problem;
use crate::file::Typed;
use crate::geometry::bundle_centre;
use crate::heights;
use crate::inputs::{self as i, Input};
use crate::reader::Reader;
use crate::rider;
use crate::units::{DEG, MM};

/// Length of a dip whose length is not given, rad: 20 deg.
const DIP_LENGTH: f64 = std::f64::consts::PI / 9.0;

/// Reads the table of the local release.
pub(super) fn seating(r: &mut Reader<'_>) -> Seating {
    let stands = match measured(r) {
        Some(heights) => Stands::Measured(heights),
        None => Stands::Arc { height: r.quantity(&i::LOCAL_UNEVENNESS), length: r.quantity(&i::LOCAL_ARC) },
    };
    r.needs(&i::LOCAL_DIP_ARC, &i::LOCAL_DIP);
    r.needs(&i::LOCAL_DIP_STATION, &i::LOCAL_DIP);
    let dip = r.given(&i::LOCAL_DIP).then(|| Dip {
        depth: r.quantity(&i::LOCAL_DIP),
        length: r.quantity_or(&i::LOCAL_DIP_ARC, DIP_LENGTH),
        station: r.optional(&i::LOCAL_DIP_STATION),
    });
    let changes = Changes {
        crest_radius: r.quantity(&i::LOCAL_CREST_RADIUS_CHANGE),
        bead_width: r.quantity(&i::LOCAL_BEAD_WIDTH_CHANGE),
        filler_height: r.quantity(&i::LOCAL_FILLER_HEIGHT_CHANGE),
        bead_rubber: r.quantity(&i::LOCAL_BEAD_RUBBER_CHANGE),
    };
    Seating { stands, dip, rider: rider::rider(r), changes }
}

/// Heights that the case gives, typed or in a file; none where it gives none or they have faults.
fn measured(r: &mut Reader<'_>) -> Option<Heights> {
    let keys: [&'static Input; 3] = [&i::LOCAL_HEIGHTS, &i::LOCAL_HEIGHTS_LEFT, &i::LOCAL_HEIGHTS_RIGHT];
    let Some(given) = keys.into_iter().find(|key| r.given(key)) else {
        r.needs(&i::LOCAL_SEEN_AT, &i::LOCAL_HEIGHTS);
        return None;
    };
    for key in [&i::LOCAL_UNEVENNESS, &i::LOCAL_ARC] {
        if r.given(key) {
            r.report(key, Problem::Both { a: given.key, b: key.key });
        }
    }
    let seen_at = if r.given(&i::LOCAL_SEEN_AT) { r.quantity(&i::LOCAL_SEEN_AT) } else { 0.0 };
    if r.given(&i::LOCAL_HEIGHTS) {
        for key in keys.into_iter().skip(1).filter(|key| r.given(key)).collect::<Vec<_>>() {
            r.report(key, Problem::Both { a: i::LOCAL_HEIGHTS.key, b: key.key });
        }
        return heights::from_file(r, seen_at);
    }
    r.needs(&i::LOCAL_HEIGHTS_LEFT, &i::LOCAL_HEIGHTS_RIGHT);
    r.needs(&i::LOCAL_HEIGHTS_RIGHT, &i::LOCAL_HEIGHTS_LEFT);
    let [left, right] = [heights::typed(r, &i::LOCAL_HEIGHTS_LEFT), heights::typed(r, &i::LOCAL_HEIGHTS_RIGHT)];
    let (left, right) = (left?, right?);
    if left.len() != right.len() {
        let sentence = format!("the left bead has {} heights, the right one {}", left.len(), right.len());
        let remedy = "give both beads' heights at the same stations";
        r.report(&i::LOCAL_HEIGHTS_RIGHT, Problem::Inconsistent { sentence, remedy });
        return None;
    }
    Some(Heights { left, right, first: 0.0, seen_at, file: None })
}

/// Reports what is over the crest of the wall. A default unevenness says nothing of a low wall, on which an arc is then found to be free at
/// once.
pub(super) fn check(case: &Case, r: &mut Reader<'_>) {
    let clearance = case.rim.crest_radius_from_axis() - bundle_centre(&case.rim, &case.bead)[0];
    match &case.local.stands {
        Stands::Arc { height, .. } => {
            if r.given(&i::LOCAL_UNEVENNESS) && *height >= clearance {
                let sentence = format!(
                    "an arc that stands {} higher is over the crest of the wall: {clearance:.2} mm of lift clear it",
                    MM.format(*height)
                );
                let remedy =
                    "measure how much higher the moulded line stands on the highest arc than round the wheel on the mean";
                r.report(&i::LOCAL_UNEVENNESS, Problem::Inconsistent { sentence, remedy });
            }
        }
        Stands::Measured(heights) => {
            for (side, list, key) in
                [("left", &heights.left, &i::LOCAL_HEIGHTS_LEFT), ("right", &heights.right, &i::LOCAL_HEIGHTS_RIGHT)]
            {
                over_the_crest((side, list, key), heights, clearance, r);
            }
        }
    }
    if let Some(dip) = &case.local.dip {
        too_deep(case, dip, clearance, r);
    }
    rider::check(case, r);
}

/// Reports the first height that leaves the rim.
fn over_the_crest((side, list, key): (&str, &[f64], &'static Input), heights: &Heights, clearance: f64, r: &mut Reader<'_>) {
    let lowest = list.iter().copied().fold(f64::INFINITY, f64::min);
    let Some(station) = list.iter().position(|h| h - lowest >= clearance) else { return };
    let at = DEG.format(heights.first + std::f64::consts::TAU * station as f64 / list.len() as f64);
    let sentence = format!(
        "{}the {side} bead stands {} over its lowest place at station {} ({at}): it has left the rim there, as {clearance:.2} mm of lift clear the crest",
        heights.file.as_ref().map_or(String::new(), |name| format!("{name}: ")),
        MM.format(list[station] - lowest),
        station + 1
    );
    let problem = Problem::Inconsistent { sentence, remedy: "check the height; a bead that has left the rim is mounted anew" };
    let (key, span) = match (&heights.file, r.file.get(key).map(|entry| &entry.value)) {
        (None, Some(Typed::List(rows))) => (key, rows.get(station).map(|row| row.span.clone())),
        _ => (&i::LOCAL_HEIGHTS, None),
    };
    let span = span.unwrap_or_else(|| r.file.span_of(key));
    r.report_at(key, span, problem);
}

fn too_deep(case: &Case, dip: &Dip, clearance: f64, r: &mut Reader<'_>) {
    let sentence = if dip.depth > case.rim.flange_height {
        format!("a dip of {} is deeper than the wall of {}", MM.format(dip.depth), MM.format(case.rim.flange_height))
    } else if dip.depth >= clearance {
        format!(
            "a dip of {} lays the crest below the bundle, {clearance:.2} mm under the even crest: nothing holds the bead there",
            MM.format(dip.depth)
        )
    } else {
        return;
    };
    let remedy = "measure the dip from the even crest; a rim with such a dip is not used";
    r.report(&i::LOCAL_DIP, Problem::Inconsistent { sentence, remedy });
}
