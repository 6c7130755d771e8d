//! From a checked case to curves: the rim's profile, the tyre's meridian, the bead's outline.

pub mod meridian;
pub mod outline;
pub mod rim;
pub mod section;

use crate::case::Case;
use crate::rim::agreement::Disagreement;
use crate::units::MM;

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

/// Why a rim's section below the seats cannot be drawn or meshed.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum SectionError {
    /// No room for a cavity between bed and spoke bed.
    #[error("a depth of {depth:.2} mm leaves no room for a cavity: give at least {least:.2} mm, or the shape \"single wall\"")]
    Shallow {
        /// Depth given, mm.
        depth: f64,
        /// Least depth, mm.
        least: f64,
    },
    /// The sides take up the cavity.
    #[error("sides {thickness:.2} mm thick leave no cavity between them: give a smaller side_thickness or a wider spoke bed")]
    NoCavity {
        /// Thickness given, mm.
        thickness: f64,
    },
    /// The outline cannot be meshed.
    #[error("{0}")]
    Mesh(#[from] hoopwright_drawing::meshing::MeshingError),
    /// An element came out inverted.
    #[error("an element of the section near r = {r:.1} mm, z = {z:.1} mm is inverted: give a smaller element_size")]
    Inverted {
        /// Radius of the place, mm.
        r: f64,
        /// Axial position of the place, mm.
        z: f64,
    },
    /// The boundary of the mesh and the profile that the tyre meets go apart.
    #[error(
        "the section's mesh leaves the tyre side near r = {r:.1} mm, z = {z:.1} mm: give a smaller element_size; of a meshed section, \
         the group `tyre` must run along its boundary from the mid-plane over the crest"
    )]
    OffProfile {
        /// Radius of the place, mm.
        r: f64,
        /// Axial position of the place, mm.
        z: f64,
    },
    /// Nothing straight is left of seat or wall between their fillets.
    #[error("no straight {part} is left between its fillets: give smaller radii, or a higher flange and a wider seat")]
    NoStraight {
        /// Seat or wall.
        part: &'static str,
    },
    /// No side of the section lies where the spokes pull.
    #[error("no side of the section faces inward at the mid-plane: there is no spoke bed")]
    NoSpokeBed,
    /// The moduli are those of no material.
    #[error(
        "no material has these moduli and Poisson's ratios together: hoop_poisson is too large for hoop_modulus over modulus"
    )]
    Law,
    /// The elastic body has no solution.
    #[error("the section cannot be solved: {0}")]
    Solve(hoopwright_fem::error::SolveError),
}

/// Why a case's geometry cannot be drawn.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum GeometryError {
    /// The rim's fillets or lines do not fit.
    #[error("the rim section cannot be drawn: {0}")]
    Rim(#[from] hoopwright_fem::contact::profile::ProfileError),
    /// The section below the seats does not fit.
    #[error("the rim section cannot be drawn: {0}")]
    Section(#[from] SectionError),
    /// The rim's mesh and its modes give two answers.
    #[error(transparent)]
    Disagrees(#[from] Disagreement),
    /// The bead's outline does not fit.
    #[error("the bead outline cannot be drawn: {0}; reduce heel_radius or toe_radius, or widen the bead")]
    Bead(hoopwright_fem::contact::profile::ProfileError),
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
