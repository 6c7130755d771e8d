//! The finite-element model of a case: contributions, numbering, and where each result is read off.

use crate::geometry::GeometryError;
use crate::geometry::outline::drawn_diameter;
use crate::meshing::Region;
use crate::meshing::{self, TyreMesh};
use crate::rim::RimModel;
use crate::rim::error::RimError;
use hoopwright_case::{Case, HoopLaw};
use hoopwright_fem::assembly::System;
use hoopwright_fem::contact::unilateral::{Contact, Parameters};
use hoopwright_fem::continuation::{Path, PathSettings};
use hoopwright_fem::contribution::Contribution;
use hoopwright_fem::contribution::hoop::Hoop;
use hoopwright_fem::contribution::mixed::Mixed;
use hoopwright_fem::contribution::ply::Ply;
use hoopwright_fem::contribution::pressure::Pressure;
use hoopwright_fem::contribution::spring::Spring;
use hoopwright_fem::error::SolveError;
use hoopwright_fem::harmonic::{Harmonic, HarmonicSystem, Layout, Numbering};
use hoopwright_fem::material::cord::Cord;
use hoopwright_fem::material::neo_hookean::NeoHookean;
use hoopwright_fem::state::State;
use std::f64::consts::PI;
use std::sync::Arc;

/// Contact penalty as a multiple of the bead rubber's modulus per millimetre: about as stiff as the rubber between bundle and seat,
/// so that Newton's active set settles in few iterations. Ten times more makes it flicker.
const PENALTY: f64 = 40.0;
/// Likewise for the tangential traction that sticks.
const TANGENTIAL_PENALTY: f64 = 6.0;

/// Longest change of an unknown in one Newton iteration, as a share of the bundle's size: the soft rubber that rolls over the crest
/// has nearly singular tangents, along which full steps run away.
const LARGEST_CHANGE: f64 = 0.025;
/// Stiffness of each of the four guides of the bundle, N/mm over the circumference: stiff against the slack casing.
const GUIDE: f64 = 5000.0;

/// Why a model cannot be built.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum ModelError {
    /// The geometry does not fit together.
    #[error(transparent)]
    Geometry(#[from] GeometryError),
    /// The system is singular.
    #[error("the model cannot be set up: {0}")]
    System(#[from] SolveError),
    /// The rim does not fit together.
    #[error(transparent)]
    Rim(#[from] RimError),
}

impl ModelError {
    /// Whether the program is at fault, not the lengths that it was given.
    pub fn is_fault(&self) -> bool {
        matches!(self, Self::Rim(RimError::Disagrees(_)))
    }
}

/// A model ready to be driven.
pub struct Model {
    /// Driver with the assembled system.
    pub path: Path,
    /// Mesh.
    pub tyre: TyreMesh,
    /// Contact.
    pub contact: Arc<Contact>,
    /// Bundle.
    pub hoop: Arc<Hoop>,
    /// Solids with the places of their condensed unknowns.
    pub solids: Vec<(Arc<Mixed>, usize)>,
    /// Plies.
    pub plies: Vec<Arc<Ply>>,
    /// Gas on the inner face and on the part of the outer face upstream of the seal.
    pub gas: Arc<Pressure>,
    /// Guides that hold the bundle axially during the fit.
    pub guides: Vec<Spring>,
    /// The rim.
    pub rim: Arc<RimModel>,
    /// Unknowns fixed by the mirror plane.
    pub fixed: Vec<usize>,
    /// All contributions in the system's order.
    parts: Vec<Arc<dyn Harmonic>>,
}

impl Model {
    /// Builds the model of a case on its rim with the friction coefficient given.
    ///
    /// # Errors
    /// [`ModelError`] when the geometry does not fit together.
    pub fn new(case: &Case, rim: &Arc<RimModel>, friction: f64) -> Result<Self, ModelError> {
        let profile = rim.profile.clone();
        let tyre = meshing::mesh(case, &profile)?;
        let basis = rim.basis(2 * tyre.mesh.nodes.len());
        let young = case.rubber.bead;
        let parameters = Parameters { penalty: PENALTY * young, tangential_penalty: TANGENTIAL_PENALTY * young, friction };
        let edges = &tyre.outer_edges[..tyre.n_contact_edges];
        let contact = Arc::new(Contact::new(&tyre.mesh, edges, profile, parameters, basis));
        let hoop = Arc::new(bundle(case, &tyre).ok_or(inverted(&tyre))?);
        let solids = solids(case, &tyre).ok_or(inverted(&tyre))?;
        let plies = plies(case, &tyre);
        let gas = Arc::new(Pressure::new(&tyre.mesh, tyre.inner_edges.clone()));
        let mut parts: Vec<Arc<dyn Harmonic>> = Vec::new();
        for (solid, _) in &solids {
            parts.push(solid.clone());
        }
        for ply in &plies {
            parts.push(ply.clone());
        }
        parts.push(hoop.clone());
        parts.push(gas.clone());
        for (dof, mode) in contact.basis().dofs().zip(&rim.modes) {
            parts.push(Arc::new(Spring { dof, stiffness: mode.stiffness, temporary: false }));
        }
        let guides: Vec<Spring> =
            tyre.bundle_corners.iter().map(|n| Spring { dof: 2 * n + 1, stiffness: GUIDE, temporary: true }).collect();
        for guide in &guides {
            parts.push(Arc::new(*guide));
        }
        parts.push(contact.clone());
        let contributions: Vec<Arc<dyn Contribution>> = parts.iter().map(|part| part.clone() as Arc<dyn Contribution>).collect();
        let fixed: Vec<usize> = tyre.mirror_nodes.iter().map(|n| 2 * n + 1).collect();
        let system = System::new(contact.unknowns().end, &fixed, contributions)?;
        let mut functional: Vec<(usize, f64)> = tyre.bundle_corners.iter().map(|n| (2 * n, 0.25)).collect();
        functional.extend(contact.basis().dofs().zip(&rim.modes).map(|(dof, mode)| (dof, -mode.seat)));
        let mut settings = PathSettings::default();
        settings.newton.force_floor = force_worth_resolving(case);
        settings.newton.max_change = LARGEST_CHANGE * case.bead.bundle_size;
        settings.newton.anchor = case.rubber.bead * PI * case.rim.seat_diameter;
        let path = Path { system, contact: Some(contact.clone()), functional, settings, effort: Default::default() };
        Ok(Self { path, tyre, contact, hoop, solids, plies, gas, guides, rim: rim.clone(), fixed, parts })
    }

    /// The stiffness of the model against displacements that are uneven round the wheel, on a rim that keeps still.
    ///
    /// # Errors
    /// [`SolveError`] when the system cannot be laid out.
    pub fn harmonic(&self) -> Result<HarmonicSystem, SolveError> {
        let numbering = Numbering { n_nodes: self.tyre.mesh.nodes.len() };
        let layout = Layout {
            n_nodes: numbering.n_nodes,
            n_dofs: self.contact.unknowns().end,
            mirror: self.tyre.mirror_nodes.clone(),
            held: self.contact.basis().dofs().map(|dof| numbering.of_even(dof)).collect(),
        };
        HarmonicSystem::new(layout, self.parts.clone())
    }

    /// Places of all contributions but the contact.
    pub fn no_contact(&self) -> Vec<usize> {
        // It comes last.
        (0..self.parts.len() - 1).collect()
    }

    /// Amplitudes of the rim's modes at a state, mm.
    pub fn amplitudes<'a>(&self, state: &'a State) -> &'a [f64] {
        &state.u[self.contact.basis().dofs()]
    }
}

/// A force that is small beside those of the tyre in use, N: a tenth of that of the rated pressure on the wall. A loose bead that is not
/// inflated has only smaller ones; residuals and balances are put against this one then.
pub fn force_worth_resolving(case: &Case) -> f64 {
    0.1 * case.pressure.rated * PI * case.rim.seat_diameter * case.rim.wall()
}

fn inverted(tyre: &TyreMesh) -> GeometryError {
    let [r, z] = tyre.mesh.nodes[tyre.bundle_corners[0]];
    GeometryError::Inverted { r, z, remedy: None }
}

fn bundle(case: &Case, tyre: &TyreMesh) -> Option<Hoop> {
    let quads: Vec<usize> = (0..tyre.regions.len()).filter(|q| tyre.regions[*q] == Region::Bundle).collect();
    let law: HoopLaw = case.bead.law.clone();
    let height = 2.0 * case.bead.bundle_height;
    let growth = (case.bead.diameter + height) / (drawn_diameter(&case.rim, &case.bead) + height);
    Hoop::new(&tyre.mesh, &quads, Arc::new(move |strain| law.force(strain)), growth)
}

fn solids(case: &Case, tyre: &TyreMesh) -> Option<Vec<(Arc<Mixed>, usize)>> {
    let rubber = &case.rubber;
    let moduli = [
        (Region::Bundle, rubber.bundle),
        (Region::Bead, rubber.bead),
        (Region::Casing, rubber.casing),
        (Region::Tread, rubber.tread),
    ];
    let mut solids = Vec::new();
    let mut offset = 0;
    for (region, young) in moduli {
        let quads: Vec<usize> = (0..tyre.regions.len()).filter(|q| tyre.regions[*q] == region).collect();
        let solid = Mixed::new(&tyre.mesh, &quads, Box::new(NeoHookean { mu: young / 3.0 }), rubber.bulk)?;
        let n = 3 * solid.len();
        solids.push((Arc::new(solid), offset));
        offset += n;
    }
    Some(solids)
}

fn plies(case: &Case, tyre: &TyreMesh) -> Vec<Arc<Ply>> {
    let lay = lay(case, tyre.crown_radius);
    let cord = Cord { stiffness: case.casing.cord_stiffness };
    tyre.plies.iter().map(|segments| Arc::new(Ply::new(&tyre.mesh, segments, cord, &lay))).collect()
}

/// Cord angle from the hoop direction, rad, and cords per length across them, 1/mm, at a radius: cords lie by the pantograph law in the
/// shape as drawn, cos(angle) / r is constant, and so is the number of cords that cross a circle.
fn lay(case: &Case, crown: f64) -> impl Fn(f64) -> (f64, f64) {
    let (sin, cos) = case.casing.angle.sin_cos();
    let ends = case.casing.ends;
    move |r: f64| {
        let angle = (cos * r / crown).min(1.0).acos();
        (angle, ends * crown * sin / (r * angle.sin()))
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use approx::assert_relative_eq;
    use hoopwright_case as case;

    #[test]
    fn cords_keep_their_number_and_the_pantograph_law() {
        let mut case = case::read(&case::starter()).unwrap().0;
        case.casing.angle = 0.9;
        let crown = 345.0;
        let lay = lay(&case, crown);
        assert_relative_eq!(lay(crown).0, 0.9, max_relative = 1e-12);
        assert_relative_eq!(lay(crown).1, case.casing.ends, max_relative = 1e-12);
        // Across a circle of radius r stand 2 pi r e sin(angle) cords.
        let crossing = |r: f64| r * lay(r).1 * lay(r).0.sin();
        let pantograph = |r: f64| lay(r).0.cos() / r;
        assert_relative_eq!(crossing(312.0), crossing(crown), max_relative = 1e-12);
        assert_relative_eq!(pantograph(312.0), pantograph(crown), max_relative = 1e-12);
    }
}
