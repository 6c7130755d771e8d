//! A rider's load on a patch of the tread: read, and held against the tyre.
//!
//! The tyre is taken as a membrane that a flat road cuts off: the patch is an ellipse on which the gas at the rated pressure carries the load,
//! with half axes that go as the roots of the crown's radius round the axle and of its radius across (common practice, no source).

use crate::case::{Case, RiderLoad};
use crate::error::Problem;
use crate::geometry::bundle_centre;
use crate::inputs as i;
use crate::reader::Reader;
use crate::units::{BAR, MM, NEWTON};
use std::f64::consts::PI;

/// Largest lateral load for each radial one that a tread passes on: what rubber grips on a dry road (from memory: 1 to 1.5 on tarmac).
const GRIP: f64 = 1.5;
/// Halvings of the search for the section's circle.
const HALVINGS: usize = 60;

/// Reads the load, if there is one.
pub(super) fn rider(r: &mut Reader<'_>) -> Option<RiderLoad> {
    for key in [&i::LOCAL_LATERAL_LOAD, &i::LOCAL_PATCH_LENGTH, &i::LOCAL_PATCH_STATION] {
        r.needs(key, &i::LOCAL_RADIAL_LOAD);
    }
    r.given(&i::LOCAL_RADIAL_LOAD).then(|| RiderLoad {
        radial: r.quantity(&i::LOCAL_RADIAL_LOAD),
        lateral: r.quantity_or(&i::LOCAL_LATERAL_LOAD, 0.0),
        length: r.optional(&i::LOCAL_PATCH_LENGTH),
        station: r.optional(&i::LOCAL_PATCH_STATION),
    })
}

/// A patch of the tread that carries a load.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Patch {
    /// Length along the wheel, mm.
    pub length: f64,
    /// Width, mm.
    pub width: f64,
    /// Radius of the crown, mm.
    pub crown: f64,
    /// Depth by which a flat road cuts off the membrane's crown, mm.
    pub depth: f64,
    /// Height of the crown over the crest of the rim's wall, mm.
    pub height: f64,
}

/// The patch of a case's load; none without one, or where the casing does not span the rim.
pub fn patch(case: &Case) -> Option<Patch> {
    let load = case.local.rider.as_ref()?;
    let [bundle, half] = bundle_centre(&case.rim, &case.bead);
    let radius = circle(half, 0.5 * case.casing.bead_to_bead)?;
    let across = radius + 0.5 * case.casing.sidewall_thickness + case.casing.tread_thickness;
    let crown = bundle + (radius * radius - half * half).sqrt() + across;
    let area = load.radial / case.pressure.rated;
    let longer = (crown / across).sqrt();
    // Half axes a = longer b with pi a b = area.
    let length = load.length.unwrap_or(2.0 * (area * longer / PI).sqrt());
    let width = (4.0 * area / (PI * length)).min(case.casing.tread_width);
    let depth = area / (2.0 * PI * (crown * across).sqrt());
    Some(Patch { length, width, crown, depth, height: crown - case.rim.crest_radius_from_axis() })
}

/// Radius of the circle on which an arc over the mid-plane from a point `half` away from it has the length `length` to the top, mm.
fn circle(half: f64, length: f64) -> Option<f64> {
    // The arc from the point out and over is longer than a quarter of the circle, and no longer than half of it.
    let arc = |radius: f64| radius * (PI - (half / radius).asin());
    let (mut low, mut high) = (half, length);
    if half.is_nan() || length.is_nan() || arc(low) >= length {
        return None;
    }
    for _ in 0..HALVINGS {
        let middle = 0.5 * (low + high);
        if arc(middle) < length { low = middle } else { high = middle }
    }
    Some(low)
}

/// Reports a load that tyre or road do not carry.
pub(super) fn check(case: &Case, r: &mut Reader<'_>) {
    let (Some(load), Some(patch)) = (case.local.rider, patch(case)) else { return };
    if load.lateral > GRIP * load.radial {
        let sentence = format!(
            "a side load of {} is more than {GRIP} times the radial load of {}: the tread would slide on the road",
            NEWTON.format(load.lateral),
            NEWTON.format(load.radial)
        );
        let remedy = "lower the side load, or raise the radial one: of a wheel in a corner both grow";
        r.report(&i::LOCAL_LATERAL_LOAD, Problem::Inconsistent { sentence, remedy });
    }
    if patch.length >= 2.0 * PI * patch.crown {
        let sentence = format!(
            "a patch of {} is longer than the tread round the wheel, {}",
            MM.format(patch.length),
            MM.format((2.0 * PI * patch.crown).round())
        );
        let key = if load.length.is_some() { &i::LOCAL_PATCH_LENGTH } else { &i::LOCAL_RADIAL_LOAD };
        r.report(key, Problem::Inconsistent { sentence, remedy: "measure the print of the tyre on a flat floor" });
    }
    // Casing over wall, and the crown itself, take their thickness of it.
    let room = patch.height - 2.0 * case.casing.sidewall_thickness - case.casing.tread_thickness;
    if patch.depth >= room {
        let sentence = format!(
            "{} at the rated {} press the tread down to the rim: a patch of {:.0} mm^2 cuts {:.0} mm off the crown, which has {:.0} mm of room over the wall",
            NEWTON.format(load.radial),
            BAR.format(case.pressure.rated),
            load.radial / case.pressure.rated,
            patch.depth,
            room
        );
        let remedy = "state the load of one wheel, or a rated pressure that carries it";
        r.report(&i::LOCAL_RADIAL_LOAD, Problem::Inconsistent { sentence, remedy });
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::float_cmp)]
    use super::*;
    use crate::{read, starter};
    use approx::assert_relative_eq;

    /// The starter with lines in the table of the local release.
    fn with(lines: &str) -> Case {
        let starter = starter();
        let at = starter.find("[local]\n").unwrap() + "[local]\n".len();
        read(&format!("{}{lines}\n{}", &starter[..at], &starter[at..])).unwrap().0
    }

    #[test]
    fn the_gas_carries_the_load_on_the_patch() {
        let case = with("radial_load = \"700 N\"\nlateral_load = \"300 N\"");
        let found = patch(&case).unwrap();
        assert_relative_eq!(0.25 * PI * found.length * found.width * case.pressure.rated, 700.0, max_relative = 1e-9);
        // A flat road cuts an ellipse off the crown: half the length squared is twice the crown's radius times the depth.
        assert_relative_eq!(0.25 * found.length.powi(2), 2.0 * found.crown * found.depth, max_relative = 1e-9);
        assert!((60.0..120.0).contains(&found.length) && found.length > 3.0 * found.width, "{found:?}");
        assert!(found.height > 10.0 && found.depth < 0.5 * found.height, "{found:?}");
        let given = patch(&with("radial_load = \"700 N\"\npatch_length = \"150 mm\"")).unwrap();
        assert_relative_eq!(given.length, 150.0);
        assert!(given.width < found.width && given.depth == found.depth);
        assert_eq!(patch(&with("")), None);
        let load = with("radial_load = \"700 N\"\npatch_station = \"90 deg\"").local.rider.unwrap();
        assert_eq!((load.lateral, load.station), (0.0, Some(0.5 * PI)));
    }

    #[test]
    fn a_circle_spans_its_chord_with_its_length() {
        let (half, length) = (8.0, 33.0);
        let radius = circle(half, length).unwrap();
        assert_relative_eq!(radius * (PI - (half / radius).asin()), length, max_relative = 1e-12);
        assert_eq!(circle(8.0, 12.0), None);
    }
}
