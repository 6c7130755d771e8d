//! What an assessment returns. Units in the names' comments: N, mm, MPa, radians; gauge pressures.

mod local;
mod run;

use crate::band::Band;
use crate::estimate::Estimate;
use crate::meshing::Region;
use crate::rim::stress::RimState;
use hoopwright_case::Case;
use hoopwright_drawing::meshing::Triangles;
use hoopwright_profile::Profile;

pub use crate::judgement::{Check, Finding, Judged, Verdict};
pub use crate::path::*;
pub use local::{Cause, Evenness, Loaded, Local, Side};
#[cfg(test)]
pub(crate) use run::ran;
pub use run::{Moment, Run};

/// Everything that `assess` finds out about one case.
#[derive(Clone, Debug)]
pub struct Assessment {
    /// The case as resolved.
    pub case: Case,
    /// Mesh in the reference configuration (half section, z >= 0).
    pub mesh: SectionMesh,
    /// The rim's profile as a polyline (r, z), mm, unloaded, from the mid-plane outward.
    pub rim_outline: Vec<[f64; 2]>,
    /// The rim's profile at rest.
    pub rim_profile: Profile,
    /// The rim's meshed section, if it has one.
    pub rim_section: Option<RimSection>,
    /// The path at the case's friction.
    pub given: Run,
    /// The path without friction.
    pub frictionless: Run,
    /// The closed-form answers, where the casing has a membrane shape.
    pub estimate: Option<Estimate>,
    /// Verdict.
    pub verdict: Verdict,
    /// The local release beside this case, where it was asked for.
    pub band: Option<Band>,
    /// Things the user should know, whole sentences.
    pub notes: Vec<String>,
}

/// The meshed section of the rim and what happens to it.
#[derive(Clone, Debug)]
pub struct RimSection {
    /// Mesh of the half section (z >= 0).
    pub mesh: Triangles,
    /// Area of the whole section, mm^2.
    pub area: f64,
    /// Mass of the rim without spokes, g.
    pub mass: f64,
    /// Number of modes that carry the profile.
    pub modes: usize,
    /// The section fitted, at rated pressure and at the highest pressure, as far as they were reached; in this order.
    pub states: Vec<(Moment, RimState)>,
}

/// The meshed half section.
#[derive(Clone, Debug)]
pub struct SectionMesh {
    /// Node positions (r, z), mm.
    pub nodes: Vec<[f64; 2]>,
    /// Nine-node quadrilaterals: 4 corners counter-clockwise, 4 mid-sides, centre.
    pub quads: Vec<[usize; 9]>,
    /// Region of each quadrilateral.
    pub regions: Vec<Region>,
    /// Nodes of the outer face in order from the bead's inner side, round toe and heel, up the sidewall to the crown.
    pub outer_face: Vec<usize>,
    /// Nodes of the inner face in order from the crown down to where the outer face begins.
    pub inner_face: Vec<usize>,
}
