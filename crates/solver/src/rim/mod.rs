//! The rim as the tyre feels it: a smooth profile carried by a few modes, each on a spring of its own.
//!
//! A ring has one mode, the radial shift of the whole profile. A meshed section has the shift and the modes of lowest stiffness under
//! any tractions on the profile; they go into the tyre's system of equations as unknowns, so that tyre and rim are solved together. The
//! whole section is solved once more under the loads found, for its stresses and to show what the modes leave out.

pub mod agreement;
pub mod body;
mod edges;
pub mod error;
mod section;
pub mod stress;

use body::{Body, Make};
use error::{RimError, SectionError};
use hoopwright_case::geometry::rim::{label, profile};
use hoopwright_case::{Case, Section};
use hoopwright_fem::contact::reduced_basis::{MAX_MODES, ReducedBasis};
use hoopwright_fem::contribution::elastic::Moduli;
use hoopwright_fem::modes::Modes;
use hoopwright_profile::Profile;

/// Share of the energy under tractions on the profile that the modes may leave out.
const LEFT_OUT: f64 = 1e-7;

/// What one unit of a mode does to the half rim.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Mode {
    /// Stiffness of the half rim and its spokes, N/mm over the circumference.
    pub stiffness: f64,
    /// Hoop force of the half section, N/mm.
    pub hoop: f64,
    /// Mean radial displacement of the spoke bed.
    pub spoke_bed: f64,
    /// Radial displacement of the seat's middle.
    pub seat: f64,
    /// Axial displacement of the wall under its crest.
    pub wall: f64,
}

/// A rim ready to carry a tyre.
pub struct RimModel {
    /// Tyre side at rest, from the mid-plane outward.
    pub profile: Profile,
    /// Its modes.
    pub modes: Vec<Mode>,
    /// Share of the energy under tractions on the profile that the modes leave out.
    pub left_out: f64,
    /// The meshed section, if there is one.
    pub body: Option<Body>,
}

impl RimModel {
    /// The rim of a case.
    ///
    /// # Errors
    /// [`RimError`] when the section does not fit together, or its mesh and its modes disagree.
    pub fn new(case: &Case) -> Result<Self, RimError> {
        let profile = profile(&case.rim, case.section.as_ref())?;
        match &case.section {
            None => Ok(Self { profile, modes: vec![ring(case)], left_out: 0.0, body: None }),
            Some(section) => {
                let mesh = section::mesh(&case.rim, section)?;
                let (body, Modes { stiffness, left_out, .. }) = Body::new(mesh, &profile, &make(case, section))?;
                let seat = profile.middle_of(label::SEAT).ok_or(SectionError::NoStraight { part: "seat" })?;
                // The wall's upper end is where its crest begins.
                let wall = profile.end_of(label::WALL).ok_or(SectionError::NoStraight { part: "wall" })?;
                let mode = |(k, stiffness): (usize, &f64)| Mode {
                    stiffness: *stiffness,
                    hoop: body.hoop_force(body.field(k)),
                    spoke_bed: body.spoke_bed(body.field(k)),
                    seat: body.displacement(body.field(k), seat)[0],
                    wall: body.displacement(body.field(k), wall)[1],
                };
                let modes = stiffness.iter().enumerate().map(mode).collect();
                let rim = Self { profile, modes, left_out, body: Some(body) };
                rim.agrees(0.5 * case.spokes.radial_stiffness())?;
                Ok(rim)
            }
        }
    }

    /// The profile's motion, its amplitudes being the unknowns from `first_dof` on.
    pub fn basis(&self, first_dof: usize) -> ReducedBasis {
        let Some(body) = &self.body else { return ReducedBasis::rigid(&self.profile, first_dof) };
        let along: Vec<_> = (0..self.modes.len()).map(|k| move |arc: f64| body.displacement(body.field(k), arc)).collect();
        let along: Vec<&dyn Fn(f64) -> [f64; 2]> = along.iter().map(|f| f as &dyn Fn(f64) -> [f64; 2]).collect();
        ReducedBasis::new(&self.profile, first_dof, &along)
    }

    /// Sum over the modes of amplitude, mm, times what `of` tells of a mode.
    pub fn sum(&self, amplitudes: &[f64], of: impl Fn(&Mode) -> f64) -> f64 {
        self.modes.iter().zip(amplitudes).map(|(mode, q)| q * of(mode)).sum()
    }
}

fn make(case: &Case, section: &Section) -> Make {
    Make {
        moduli: Moduli {
            section: section.modulus,
            hoop: section.hoop_modulus,
            section_poisson: section.poisson,
            hoop_poisson: section.hoop_poisson,
        },
        spoke_stiffness: 0.5 * case.spokes.radial_stiffness(),
        spoke_bed: section::half_spoke_bed(section),
        most_modes: MAX_MODES,
        left_out: LEFT_OUT,
    }
}

/// Radial shift of a ring and its spokes: half the rim.
fn ring(case: &Case) -> Mode {
    Mode {
        stiffness: 0.5 * case.rim_stiffness(),
        hoop: case.rim.hoop_stiffness / case.rim.centroid_diameter,
        spoke_bed: 1.0,
        seat: 1.0,
        wall: 0.0,
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use approx::assert_relative_eq;
    use hoopwright_case as case;
    use std::f64::consts::PI;

    /// The starter case with the rim as a box instead of a ring.
    fn with_section() -> String {
        case::starter().replace("\n#shape =", "\nshape =").replace("\nhoop_stiffness", "\n#hoop_stiffness")
    }

    fn elastic() -> (Case, RimModel) {
        let case = case::read(&with_section()).unwrap().0;
        let rim = RimModel::new(&case).unwrap();
        (case, rim)
    }

    #[test]
    fn the_modes_answer_as_the_whole_section_does() {
        let (_, rim) = elastic();
        let body = rim.body.as_ref().unwrap();
        let (loads, end) = rim.trial_loads();
        let whole = &body.respond(&[(&loads, 0.5, end)]).unwrap()[0];
        let basis = rim.basis(0);
        let amplitudes = rim.amplitudes(&loads, 0.5, end);
        for (node, arc) in body.profile_nodes() {
            let (u, _) = basis.displacement(arc, &amplitudes);
            for i in 0..2 {
                assert_relative_eq!(u[i], whole[2 * node + i], epsilon = 3e-4);
            }
        }
        assert!(rim.sum(&amplitudes, |m| m.wall) > 0.02);
        assert_relative_eq!(rim.sum(&amplitudes, |m| m.hoop), body.hoop_force(whole), max_relative = 2e-3);
        assert_relative_eq!(rim.sum(&amplitudes, |m| m.spoke_bed), body.spoke_bed(whole), max_relative = 2e-3);
    }

    #[test]
    fn a_uniform_pull_on_the_bed_shrinks_a_section_like_a_ring_of_its_area() {
        let (case, rim) = elastic();
        let body = rim.body.as_ref().unwrap();
        let end = rim.profile.end_of(label::SEAT).unwrap();
        let u = &body.respond(&[(&[], 0.5, end)]).unwrap()[0];
        let load = 0.5 * 2.0 * PI * rim.profile.moment(end);
        let mean = body.hoop_force(u) / ring(&case).hoop;
        assert_relative_eq!(mean, -load / ring(&case).stiffness, max_relative = 0.03);
    }
}
