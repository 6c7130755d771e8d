//! Why a rim cannot carry a tyre.

use super::agreement::Disagreement;
use hoopwright_case::geometry::OutlineError;

/// Why a rim cannot be made ready.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum RimError {
    /// It cannot be drawn.
    #[error(transparent)]
    Outline(#[from] OutlineError),
    /// Its section cannot be meshed or solved.
    #[error("the rim section cannot be drawn: {0}")]
    Section(#[from] SectionError),
    /// Its mesh and its modes give two answers.
    #[error(transparent)]
    Disagrees(#[from] Disagreement),
}

/// Why a rim's section below the seats cannot be meshed or solved.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum SectionError {
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
