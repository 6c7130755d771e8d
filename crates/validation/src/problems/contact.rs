//! Contact: a bead shrunk on a rigid seat, a ring that slides down a taper, a cylinder on a block.

use super::value;
use crate::error::{ValidationError, Value};
use crate::grid::{Grid, Parts};
use hoopwright_fem::assembly::System;
use hoopwright_fem::contact::reduced_basis::ReducedBasis;
use hoopwright_fem::contact::unilateral::{Contact, Parameters};
use hoopwright_fem::continuation::{Equilibrium, Path, PathSettings, Target};
use hoopwright_fem::contribution::hoop::Hoop;
use hoopwright_fem::contribution::spring::Spring;
use hoopwright_fem::material::neo_hookean::NeoHookean;
use hoopwright_fem::newton::Settings;
use hoopwright_profile::{Corner, Profile};
use std::f64::consts::PI;
use std::sync::Arc;

/// Radius of the seats, interference, mm, and stiffness of the hoop, N.
const SEAT: f64 = 310.0;
const INTERFERENCE: f64 = 0.5;
const STIFFNESS: f64 = 150e3;

/// A body whose left face may touch a profile.
pub(super) struct Problem {
    pub(super) path: Path,
    pub(super) contact: Arc<Contact>,
}

impl Problem {
    /// With `moving` the profile moves radially by an unknown after those of the mesh, which is prescribed.
    pub(super) fn new(
        grid: &Grid,
        corners: &[Corner],
        parameters: Parameters,
        fixed: &[usize],
        mut parts: Parts,
        moving: bool,
    ) -> Result<Self, ValidationError> {
        let edges: Vec<[usize; 3]> = grid.left().windows(3).step_by(2).map(|w| [w[0], w[2], w[1]]).collect();
        let profile = Profile::new(corners).map_err(|_| ValidationError::Mesh)?;
        let dofs = 2 * grid.mesh.nodes.len();
        let basis = if moving { ReducedBasis::rigid(&profile, dofs) } else { ReducedBasis::fixed() };
        let contact = Arc::new(Contact::new(&grid.mesh, &edges, profile, parameters, basis));
        parts.push(contact.clone());
        let fixed: Vec<usize> = fixed.iter().copied().chain(moving.then_some(dofs)).collect();
        let system = System::new(contact.unknowns().end, &fixed, parts)?;
        let newton = Settings {
            // The round-off of a stiff section in a large ring.
            tolerance: 1e-7,
            force_floor: 1e-6,
            max_iterations: 60,
            max_change: 0.02,
            loose: 1e-4,
            ..Settings::default()
        };
        let settings = PathSettings { newton, ..PathSettings::default() };
        let path = Path { system, contact: Some(contact.clone()), functional: Vec::new(), settings, effort: Default::default() };
        Ok(Self { path, contact })
    }

    /// Draws the hoop on in ten steps.
    pub(super) fn fit(&mut self) -> Result<Equilibrium, ValidationError> {
        let mut at = self.path.rest();
        for step in 1..=10 {
            at = self.path.step(None, &at, Target::Eigenstrain(f64::from(step) / 10.0), &mut |_, _, _| {})?;
        }
        Ok(at)
    }

    /// Sum of the profile's forces on the body (r, z), N.
    pub(super) fn force(&self, at: &Equilibrium) -> [f64; 2] {
        let forces = self.contact.forces(&at.state, 0.0);
        [0, 1].map(|i| forces.iter().map(|f| f[i]).sum())
    }
}

pub(super) fn corner(r: f64, z: f64, radius: f64) -> Corner {
    Corner { position: [r, z], radius, label: 0, fillet_label: 0 }
}

/// A ring 2 x 4 mm on a seat that falls by `taper` (rad) towards negative z, and its hoop.
pub(super) fn ring(taper: f64, young: f64) -> Result<(Grid, Arc<Hoop>, Parts, [Corner; 2]), ValidationError> {
    let slope = taper.tan();
    let grid = Grid::new(2, 4, |x, y| [SEAT + 2.0 * x + 4.0 * y * slope, 4.0 * y]);
    let growth = 1.0 - INTERFERENCE / (SEAT + 1.0);
    let hoop = Hoop::new(&grid.mesh, &grid.all(), Arc::new(|e| (STIFFNESS * e, STIFFNESS)), growth);
    let hoop = hoop.map(Arc::new).ok_or(ValidationError::Mesh)?;
    let parts: Parts = vec![grid.rubber(NeoHookean { mu: young / 3.0 }, 2.0 * young)?, hoop.clone()];
    let seat = [-50.0, 50.0].map(|z| corner(SEAT + z * slope, z, 0.0));
    Ok((grid, hoop, parts, seat))
}

/// A bead on a rigid seat, and a ring on a taper held by a spring.
pub(super) fn rings_on_seats() -> Result<Vec<Value>, ValidationError> {
    // So stiff across that the section does not yield; it carries no hoop force, being drawn on the seat.
    let young = 1e5;
    let (grid, hoop, parts, seat) = ring(0.0, young)?;
    let fixed: Vec<usize> = grid.bottom().iter().map(|n| 2 * n + 1).collect();
    let parameters = Parameters { penalty: young, tangential_penalty: 0.1 * young, friction: 0.0 };
    let at = Problem::new(&grid, &seat, parameters, &fixed, parts, false)?.fit()?;
    let tension = hoop.tension(&at.state, &at.load).0;

    let (grid, _, mut parts, seat) = ring(0.17, 2e3)?;
    parts.push(Arc::new(Spring { dof: 2 * grid.node(4, 4) + 1, stiffness: 2000.0, temporary: false }));
    let parameters = Parameters { penalty: 500.0, tangential_penalty: 500.0, friction: 0.05 };
    let mut taper = Problem::new(&grid, &seat, parameters, &[], parts, false)?;
    let at = taper.fit()?;
    let [radial, axial] = taper.force(&at);
    Ok(vec![
        value("hoop force of a bead on a rigid seat", tension),
        value("axial over radial force of a ring sliding down a taper", -axial / radial),
    ])
}

/// A rigid cylinder on an incompressible block: radius of the ring that stands for the plane, of the cylinder, approach and extent of the
/// block, mm; Young's modulus and that of plane strain, MPa.
pub(super) const PLANE: f64 = 2e3;
const CYLINDER: f64 = 5.0;
pub(super) const APPROACH: f64 = 0.004;
const BLOCK: f64 = 4.0;
const YOUNG: f64 = 10.0;
const PLANE_STRAIN: f64 = YOUNG / 0.75;

/// Distance from the contact's middle on the block: six tenths of the elements within 1.5 half widths, the rest growing.
pub(super) fn graded(x: f64) -> f64 {
    BLOCK * (0.0625 * x + if x > 0.6 { 0.9375 * ((x - 0.6) / 0.4).powi(2) } else { 0.0 })
}

/// The block's rubber.
pub(super) fn block(grid: &Grid) -> Result<Parts, ValidationError> {
    Ok(vec![grid.rubber(NeoHookean { mu: YOUNG / 3.0 }, 1000.0 * YOUNG)?])
}

/// The cylinder as the fillet of a right-angled ridge, its top `above` the plane.
pub(super) fn cylinder(above: f64) -> [Corner; 3] {
    let tip = PLANE + above + CYLINDER * (2.0_f64.sqrt() - 1.0);
    [corner(tip - 10.0, -10.0, CYLINDER), corner(tip, 0.0, CYLINDER), corner(tip - 10.0, 10.0, CYLINDER)]
}

/// Half width, mm, and largest pressure, MPa, of the contact under a force per length, N/mm: Hertz.
pub(super) fn hertz_contact(force: f64) -> (f64, f64) {
    let half_width = (4.0 * force * CYLINDER / (PI * PLANE_STRAIN)).sqrt();
    (half_width, 2.0 * force / (PI * half_width))
}

/// A rigid cylinder of 5 mm radius pressed 0.004 mm into an incompressible block; a ring of 2 m radius stands for the plane.
pub(super) fn hertz() -> Result<Vec<Value>, ValidationError> {
    let n = 24;
    let grid = Grid::new(n, n, |x, y| [PLANE + graded(x), graded(y)]);
    let mut fixed: Vec<usize> = grid.bottom().iter().map(|n| 2 * n + 1).collect();
    fixed.extend(grid.right().iter().flat_map(|n| [2 * n, 2 * n + 1]));
    let parameters = Parameters { penalty: 2000.0, tangential_penalty: 100.0, friction: 0.0 };
    let mut problem = Problem::new(&grid, &cylinder(APPROACH), parameters, &fixed, block(&grid)?, false)?;
    let rest = problem.path.rest();
    let at = problem.path.step(None, &rest, Target::Eigenstrain(0.0), &mut |_, _, _| {})?;
    // Half the body by symmetry, per length of the ring.
    let force = 2.0 * problem.force(&at)[0] / (2.0 * PI * PLANE);
    let (half_width, peak) = hertz_contact(force);
    let points = (0..problem.contact.n_points())
        .map(|i| (problem.contact.position(i, &at.state)[1], problem.contact.status(i, &at.state, 0.0).normal));
    let (mut highest, mut outermost) = (0.0_f64, 0.0_f64);
    for (z, pressure) in points {
        highest = highest.max(pressure);
        if pressure > 0.0 {
            outermost = outermost.max(z);
        }
    }
    Ok(vec![
        value("largest pressure over p0 at the force found", highest / peak),
        value("outermost loaded point over a at the force found", outermost / half_width),
    ])
}
