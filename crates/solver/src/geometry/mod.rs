//! From a checked case to curves: the rim's profile, the tyre's meridian, the bead's outline.

pub mod meridian;
pub mod outline;
pub mod rim;

/// Why a case's geometry cannot be drawn.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum GeometryError {
    /// The rim's fillets or lines do not fit.
    #[error("the rim section cannot be drawn: {0}")]
    Rim(#[from] hoopwright_fem::contact::profile::ProfileError),
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
    #[error("the mesh has an inverted element near r = {r:.1} mm, z = {z:.1} mm: bundle, bead and filler do not fit together")]
    Inverted {
        /// Radius of the place, mm.
        r: f64,
        /// Axial position of the place, mm.
        z: f64,
    },
}
