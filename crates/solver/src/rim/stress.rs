//! What a tyre does to a meshed rim section: forces, shrinkage, spread and stresses, from the air alone, from the bead alone, and both.
//!
//! The section is linear elastic, so that the parts add up. Air: gas on the bed and in the joint up to the seal. Bead: what the bead
//! presses and rubs on the profile beyond that.

use super::RimModel;
use super::agreement::{self, Answer, Disagreement};
use super::body::{Body, ProfileLoad};
use crate::path::{PathPoint, RimLoads};
use hoopwright_case::geometry::rim::label;
use hoopwright_case::{Case, Section};
use hoopwright_fem::contribution::elastic::{Stress, von_mises};
use std::f64::consts::PI;

/// How far a sharp corner of a drawing lies from the fillet that the tyre meets there at most, mm.
const SHARP: f64 = 0.1;

/// Where the largest stress of a part of the section is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Peak {
    /// Equivalent stress after von Mises, MPa.
    pub von_mises: f64,
    /// Stress over strength: von Mises for a metal, the largest single stress over its own strength for a laminate.
    pub utilisation: Option<f64>,
    /// Place at rest (r, z), mm.
    pub place: [f64; 2],
}

/// What one cause does, or all together.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RimPart {
    /// Hoop force of the whole rim, N.
    pub hoop_force: f64,
    /// Radial displacement of the seat's middle, mm.
    pub seat_displacement: f64,
    /// Mean spoke tension loss, N.
    pub spoke_loss: f64,
    /// Growth of the distance between the walls at their upper ends, mm.
    pub flange_spread: f64,
    /// In the fillet between seat and wall.
    pub corner: Peak,
    /// On the outer side of the wall level with the seat.
    pub root: Peak,
    /// Anywhere.
    pub anywhere: Peak,
}

/// The section at one point of the path.
#[derive(Clone, Debug, PartialEq)]
pub struct RimState {
    /// Gauge pressure, MPa.
    pub pressure: f64,
    /// From the air alone.
    pub air: RimPart,
    /// From the bead alone.
    pub bead: RimPart,
    /// Together.
    pub both: RimPart,
    /// Displacement (r, z) of every node, mm.
    pub displacement: Vec<[f64; 2]>,
    /// Stress at every node, MPa.
    pub stress: Vec<Stress>,
    /// Largest difference between the section's answer and the modes', as a share of what air and bead do; larger ones are refused.
    pub difference: f64,
    /// Largest distance, mm, between the section's profile and the one that the modes carried.
    pub modes_error: f64,
    /// Hoop forces of rim and spokes against the loads, relative to the largest.
    pub balance: f64,
}

impl RimState {
    /// Stress after von Mises at a node, MPa.
    pub fn von_mises(&self, node: usize) -> f64 {
        von_mises(self.stress[node])
    }
}

impl RimModel {
    /// The section at a point of a path whose fields were kept; none for a ring.
    ///
    /// # Errors
    /// [`Disagreement`] where the section has no solution, or another answer than the modes in the tyre's equations.
    pub fn state(&self, case: &Case, point: &PathPoint) -> Result<Option<RimState>, Disagreement> {
        let (Some(body), Some(section), Some(fields)) = (&self.body, &case.section, &point.fields) else { return Ok(None) };
        let loads = &fields.rim_loads;
        let bead: Vec<ProfileLoad> = loads.points.iter().map(|l| ProfileLoad { arc: l.arc, force: l.force }).collect();
        let solved = body.respond(&[(&[], point.pressure, loads.gas_end), (&bead, 0.0, 0.0)])?;
        let both: Vec<f64> = solved[0].iter().zip(&solved[1]).map(|(a, b)| a + b).collect();
        let [by_air, by_bead, together] = [&solved[0], &solved[1], &both].map(|u| self.section_answer(body, u));
        // What the table of states tells as well is told by the modes, so that it has one number.
        let modes = [self.amplitudes(&[], point.pressure, loads.gas_end), self.amplitudes(&bead, 0.0, 0.0)];
        let [air_modes, bead_modes] = modes.map(|q| self.modes_answer(&q));
        agreement::compare(&together, &self.modes_answer(&loads.amplitudes), &by_air, &by_bead)?;
        agreement::compare(&by_air, &air_modes, &by_air, &by_bead)?;
        agreement::compare(&by_bead, &bead_modes, &by_air, &by_bead)?;
        let reader = Reader::new(case, section, self, body);
        let balance = reader.balance(&together, loads, point.pressure);
        agreement::carried(balance)?;
        let stress = body.nodal_stress(&both);
        Ok(Some(RimState {
            pressure: point.pressure,
            air: reader.part(&air_modes, &body.nodal_stress(&solved[0])),
            bead: reader.part(&bead_modes, &body.nodal_stress(&solved[1])),
            both: reader.part(&(air_modes + bead_modes), &stress),
            displacement: both.chunks(2).map(|u| [u[0], u[1]]).collect(),
            stress,
            difference: agreement::difference(&together, &self.modes_answer(&loads.amplitudes), &by_air, &by_bead),
            modes_error: self.modes_error(body, &both, &loads.amplitudes),
            balance,
        }))
    }

    /// Largest distance between the profile as displaced by `u` and by the modes, where the tyre may touch it, mm.
    fn modes_error(&self, body: &Body, u: &[f64], amplitudes: &[f64]) -> f64 {
        let touched = body.profile_nodes().filter(|(_, arc)| self.profile.label_at(*arc) != label::BED);
        let error = |(node, arc): (usize, f64)| {
            let modes = amplitudes.iter().enumerate().fold([0.0; 2], |sum, (k, q)| {
                let phi = body.displacement(body.field(k), arc);
                [sum[0] + q * phi[0], sum[1] + q * phi[1]]
            });
            (u[2 * node] - modes[0]).hypot(u[2 * node + 1] - modes[1])
        };
        touched.map(error).fold(0.0, f64::max)
    }
}

/// Reads results off displacements and stresses of the section.
struct Reader<'a> {
    case: &'a Case,
    section: &'a Section,
    rim: &'a RimModel,
    body: &'a Body,
    /// Nodes of the boundary in the fillet between seat and wall, or where a drawing has a sharp corner.
    corner: Vec<usize>,
    /// Nodes on the wall's outer side level with the seat.
    root: Vec<usize>,
}

impl<'a> Reader<'a> {
    fn new(case: &'a Case, section: &'a Section, rim: &'a RimModel, body: &'a Body) -> Self {
        let in_corner = |node: &usize| {
            let foot = rim.profile.closest_point(body.mesh.nodes[*node]);
            foot.label == label::CORNER && foot.gap.abs() < SHARP
        };
        let corner = body.mesh.boundary.iter().flat_map(|e| e.nodes).filter(in_corner).collect();
        Self { case, section, rim, body, corner, root: root(case, body) }
    }

    fn part(&self, answer: &Answer, stress: &[Stress]) -> RimPart {
        RimPart {
            hoop_force: 2.0 * answer.hoop,
            seat_displacement: answer.seat,
            spoke_loss: self.case.spokes.loss(answer.spoke_bed),
            flange_spread: 2.0 * answer.wall,
            corner: self.peak(stress, |node| self.corner.contains(node)),
            root: self.peak(stress, |node| self.root.contains(node)),
            anywhere: self.peak(stress, |_| true),
        }
    }

    fn peak(&self, stress: &[Stress], wanted: impl Fn(&usize) -> bool) -> Peak {
        let measure = |s: &Stress| self.utilisation(s).unwrap_or_else(|| von_mises(*s));
        let highest = (0..stress.len()).filter(wanted).max_by(|a, b| measure(&stress[*a]).total_cmp(&measure(&stress[*b])));
        match highest {
            None => Peak { von_mises: 0.0, utilisation: None, place: [0.0; 2] },
            Some(node) => Peak {
                von_mises: von_mises(stress[node]),
                utilisation: self.utilisation(&stress[node]),
                place: self.body.mesh.nodes[node],
            },
        }
    }

    fn utilisation(&self, s: &Stress) -> Option<f64> {
        self.section.strength.map(|strength| utilisation(*s, strength, self.section.hoop_strength))
    }

    /// Cut through the axle: hoop force of the half section and the spokes' share against the radial loads.
    fn balance(&self, answer: &Answer, loads: &RimLoads, pressure: f64) -> f64 {
        let points: f64 = loads.points.iter().map(|l| l.force[0]).sum();
        let load = points / (2.0 * PI) - pressure * self.rim.profile.moment(loads.gas_end);
        agreement::cut(answer, 0.5 * self.case.spokes.radial_stiffness(), load)
    }
}

/// Nodes on the wall's outer side within the wall's thickness of the seat's level: where that side is radial, or else those of the
/// boundary nearest to it.
fn root(case: &Case, body: &Body) -> Vec<usize> {
    let (rim, nodes) = (&case.rim, &body.mesh.nodes);
    let (outside, seat) = (rim.wall() + rim.wall_thickness, rim.seat_radius(rim.wall()));
    let level = |n: &usize| (nodes[*n][0] - seat).abs() <= rim.wall_thickness;
    let radial: Vec<usize> = (0..nodes.len()).filter(|n| nodes[*n][1] > outside - 1e-6 && level(n)).collect();
    if !radial.is_empty() {
        return radial;
    }
    let beside: Vec<usize> = body.mesh.boundary.iter().flat_map(|e| e.nodes).filter(level).collect();
    let outermost = beside.iter().map(|n| nodes[*n][1]).fold(0.0, f64::max);
    beside.into_iter().filter(|n| nodes[*n][1] > outermost - 0.5 * rim.wall_thickness).collect()
}

/// Stress over strength, both MPa. Without a hoop strength the equivalent stress after von Mises counts; with one the largest stress in the
/// section and that along the hoop, each over its own strength (Jones, Mechanics of Composite Materials, chapter 2: criterion of the
/// largest stress, from memory).
fn utilisation(stress: Stress, strength: f64, hoop_strength: Option<f64>) -> f64 {
    let Some(hoop_strength) = hoop_strength else { return von_mises(stress) / strength };
    let [rr, zz, tt, rz] = stress;
    let in_section = 0.5 * (rr + zz).abs() + (0.25 * (rr - zz).powi(2) + rz * rz).sqrt();
    (in_section / strength).max(tt.abs() / hoop_strength)
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    #[test]
    fn a_laminate_is_as_used_as_its_weakest_direction() {
        // In the section 60 and -20 MPa turned by 30 degrees: principal stresses stay.
        let (sin, cos) = (2.0 * 30.0_f64.to_radians()).sin_cos();
        let turned = |tt: f64| [20.0 + 40.0 * cos, 20.0 - 40.0 * cos, tt, 40.0 * sin];
        assert_relative_eq!(utilisation(turned(50.0), 120.0, Some(400.0)), 0.5, max_relative = 1e-12);
        assert_relative_eq!(utilisation(turned(-300.0), 120.0, Some(400.0)), 0.75, max_relative = 1e-12);
        // Uniaxial, a metal.
        assert_relative_eq!(utilisation([0.0, 0.0, -138.0, 0.0], 276.0, None), 0.5, max_relative = 1e-12);
    }
}
