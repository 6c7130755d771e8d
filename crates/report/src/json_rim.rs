//! The block `rim_section` of `result.json`: null for a rim that is a ring.

use hoopwright_solver::result::{Assessment, Moment};
use hoopwright_solver::rim::stress::{Peak, RimPart, RimState};
use serde::Serialize;

#[derive(Serialize)]
pub(crate) struct RimSectionBlock {
    area_mm2: f64,
    centroid_diameter_mm: f64,
    hoop_stiffness_n: f64,
    mass_g: f64,
    triangles: usize,
    modes: usize,
    states: Vec<RimStateBlock>,
    contact_at_rated: Option<ContactBlock>,
}

#[derive(Serialize)]
struct RimStateBlock {
    moment: &'static str,
    pressure_mpa: f64,
    air: RimPartBlock,
    bead: RimPartBlock,
    both: RimPartBlock,
    modes_error_mm: f64,
    balance: f64,
}

#[derive(Serialize)]
struct RimPartBlock {
    hoop_force_n: f64,
    seat_displacement_mm: f64,
    spoke_tension_loss_n: f64,
    spoke_tension_loss_all_n: f64,
    flange_spread_mm: f64,
    seat_corner: PeakBlock,
    flange_root: PeakBlock,
    anywhere: PeakBlock,
}

#[derive(Serialize)]
struct PeakBlock {
    von_mises_mpa: f64,
    utilisation: Option<f64>,
    r_mm: f64,
    z_mm: f64,
}

/// Contact pressure along the tyre side of the rim, where the tyre touches it.
#[derive(Serialize)]
struct ContactBlock {
    arc_mm: Vec<f64>,
    pressure_mpa: Vec<f64>,
}

/// The block of an assessment.
pub(crate) fn block(a: &Assessment) -> Option<RimSectionBlock> {
    let section = a.rim_section.as_ref()?;
    Some(RimSectionBlock {
        area_mm2: section.area,
        centroid_diameter_mm: a.case.rim.centroid_diameter,
        hoop_stiffness_n: a.case.rim.hoop_stiffness,
        mass_g: section.mass,
        triangles: section.mesh.triangles.len(),
        modes: section.modes,
        states: section.states.iter().map(|(moment, s)| state(*moment, s, a.case.spokes.count)).collect(),
        contact_at_rated: contact(a),
    })
}

fn state(moment: Moment, s: &RimState, spokes: usize) -> RimStateBlock {
    RimStateBlock {
        moment: crate::rim::moment(moment),
        pressure_mpa: s.pressure,
        air: part(&s.air, spokes),
        bead: part(&s.bead, spokes),
        both: part(&s.both, spokes),
        modes_error_mm: s.modes_error,
        balance: s.balance,
    }
}

fn part(p: &RimPart, spokes: usize) -> RimPartBlock {
    RimPartBlock {
        hoop_force_n: p.hoop_force,
        seat_displacement_mm: p.seat_displacement,
        spoke_tension_loss_n: p.spoke_loss,
        spoke_tension_loss_all_n: p.spoke_loss * spokes as f64,
        flange_spread_mm: p.flange_spread,
        seat_corner: peak(&p.corner),
        flange_root: peak(&p.root),
        anywhere: peak(&p.anywhere),
    }
}

fn peak(p: &Peak) -> PeakBlock {
    PeakBlock { von_mises_mpa: p.von_mises, utilisation: p.utilisation, r_mm: p.place[0], z_mm: p.place[1] }
}

fn contact(a: &Assessment) -> Option<ContactBlock> {
    let fields = a.given.at(Moment::Rated)?.fields.as_ref()?;
    let touching = fields.foot.iter().zip(&fields.contact_pressure).filter(|(_, p)| **p > 0.0);
    let (arc_mm, pressure_mpa) = touching.map(|(arc, p)| (*arc, *p)).unzip();
    Some(ContactBlock { arc_mm, pressure_mpa })
}
