//! From the measures of a rim and a bead to curves: the tyre side of the rim, its section, the place of the bundle.

pub mod rim;
pub mod section;

use crate::case::{Bead, Case, Rim};
use hoopwright_profile::ProfileError;

/// Why a rim cannot be drawn.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum OutlineError {
    /// Lines and fillets do not fit.
    #[error("the rim section cannot be drawn: {0}")]
    Fillets(#[from] ProfileError),
    /// No room for a cavity between bed and spoke bed.
    #[error(
        "the rim section cannot be drawn: a depth of {depth:.2} mm leaves no room for a cavity: give at least {least:.2} mm, or the \
         shape \"single wall\""
    )]
    Shallow {
        /// Depth given, mm.
        depth: f64,
        /// Least depth, mm.
        least: f64,
    },
    /// The sides take up the cavity.
    #[error(
        "the rim section cannot be drawn: sides {thickness:.2} mm thick leave no cavity between them: give a smaller side_thickness or a \
         wider spoke bed"
    )]
    NoCavity {
        /// Thickness given, mm.
        thickness: f64,
    },
}

/// Bundle centre (r, z) as drawn, mm.
pub fn bundle_centre(rim: &Rim, bead: &Bead) -> [f64; 2] {
    let z = rim.wall() - 0.5 * bead.width;
    [rim.seat_radius(z) + bead.bundle_height, z]
}

/// Radius of the bundle's centre as drawn, mm.
pub fn bundle_radius(case: &Case) -> f64 {
    bundle_centre(&case.rim, &case.bead)[0]
}
