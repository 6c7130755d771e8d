//! From a checked case to the tyre's curves: its meridian and the bead's outline.

pub mod meridian;
pub mod outline;

use hoopwright_case::Case;
use hoopwright_case::units::MM;

/// Half thickness of the tyre, tread left out, at a meridian length from the bundle's centre, mm: from half the bead's width down to half
/// the sidewall's over the filler.
pub fn half_thickness(case: &Case, length: f64) -> f64 {
    let (bead, side) = (0.5 * case.bead.width, 0.5 * case.casing.sidewall_thickness);
    bead + (side - bead) * step((length - 0.5 * case.bead.bundle_size) / case.bead.filler_height)
}

/// Cubic step from 0 to 1.
pub(crate) fn step(x: f64) -> f64 {
    let x = x.clamp(0.0, 1.0);
    x * x * (3.0 - 2.0 * x)
}

/// Why a case's geometry cannot be drawn.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum GeometryError {
    /// The bead's outline does not fit.
    #[error("the bead outline cannot be drawn: {0}; reduce heel_radius or toe_radius, or widen the bead")]
    Bead(hoopwright_profile::ProfileError),
    /// The casing is too short or too long for the rim.
    #[error(
        "the casing of {length:.1} mm from bead to bead cannot span the rim: between {shortest:.1} mm and {longest:.1} mm are possible; \
         check bead_to_bead (or size) and inner_width"
    )]
    Casing {
        /// Given length, mm.
        length: f64,
        /// Shortest possible, mm.
        shortest: f64,
        /// Longest possible, mm.
        longest: f64,
    },
    /// The tyre as drawn cuts into the rim.
    #[error(
        "the tyre as drawn cuts {depth:.2} mm into the rim near r = {r:.1} mm, z = {z:.1} mm: the bead is too thick above the bundle, or the wall too tall"
    )]
    Overlap {
        /// Depth, mm.
        depth: f64,
        /// Radius of the place, mm.
        r: f64,
        /// Axial position of the place, mm.
        z: f64,
    },
    /// An element came out inverted.
    #[error("the mesh has an inverted element near r = {r:.1} mm, z = {z:.1} mm: {}", told(remedy.as_ref()))]
    Inverted {
        /// Radius of the place, mm.
        r: f64,
        /// Axial position of the place, mm.
        z: f64,
        /// A change that leaves none.
        remedy: Option<Remedy>,
    },
}

/// A length of the tyre with which it can be meshed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Remedy {
    /// Its name in the case.
    pub key: &'static str,
    /// As given, mm.
    pub given: f64,
    /// With which there is a mesh, mm.
    pub to: f64,
}

fn told(remedy: Option<&Remedy>) -> String {
    match remedy {
        Some(Remedy { key, given, to }) => {
            format!("with {key} = \"{to} mm\" in place of {} it has none", MM.show((100.0 * given).round() / 100.0))
        }
        None => {
            "bundle, bead, filler, sidewall and tread do not fit together, and no change of one of them alone helps; give them \
                 proportions nearer to those of a starter case (`hoopwright draft FILE`)"
                .to_owned()
        }
    }
}
