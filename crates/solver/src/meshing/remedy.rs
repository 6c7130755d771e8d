//! What to change where a tyre has no mesh: lengths are tried one by one until one of them gives a mesh.

use super::first_mesh;
use crate::geometry::{GeometryError, Remedy};
use hoopwright_case::Case;
use hoopwright_profile::Profile;

/// A length that may be changed: its name in the case, where it is, the shares of it that are tried, nearest first.
type Length = (&'static str, fn(&mut Case) -> &mut f64, &'static [f64]);

const LENGTHS: [Length; 6] = [
    ("tread_thickness", |c| &mut c.casing.tread_thickness, &[0.8, 0.6, 0.4, 0.2]),
    ("filler_height", |c| &mut c.bead.filler_height, &[0.8, 1.25, 0.6, 1.6, 0.4, 2.0]),
    ("sidewall_thickness", |c| &mut c.casing.sidewall_thickness, &[0.8, 1.25, 0.6, 1.6, 0.4]),
    ("bead_to_bead", |c| &mut c.casing.bead_to_bead, &[0.95, 1.05, 0.9, 1.1, 1.2]),
    ("toe_radius", |c| &mut c.bead.toe_radius, &[0.8, 0.6, 0.4]),
    ("bundle_size", |c| &mut c.bead.bundle_size, &[0.9, 0.8, 0.7]),
];

/// An inverted element with the first change found that leaves none; other faults as they are.
pub(super) fn with_remedy(case: &Case, rim: &Profile, fault: GeometryError) -> GeometryError {
    match fault {
        GeometryError::Inverted { r, z, .. } => GeometryError::Inverted { r, z, remedy: remedy(case, rim) },
        fault => fault,
    }
}

fn remedy(case: &Case, rim: &Profile) -> Option<Remedy> {
    LENGTHS.iter().find_map(|(key, length, shares)| {
        let given = *length(&mut case.clone());
        // To hundredths of a millimetre, as it is told.
        let tried = shares.iter().map(|share| (100.0 * share * given).round() / 100.0);
        let meshed = |to: &f64| {
            let mut changed = case.clone();
            *length(&mut changed) = *to;
            *to > 0.0 && first_mesh(&changed, rim).is_ok()
        };
        tried.into_iter().find(meshed).map(|to| Remedy { key, given, to })
    })
}
