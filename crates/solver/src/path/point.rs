//! One converged equilibrium.

use super::Fields;

/// The stage that a path point belongs to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Stage {
    /// Mismatch ramped from zero, no pressure.
    Fit,
    /// Up to the rated pressure.
    Inflate,
    /// Beyond the rated pressure, until release.
    BlowOff,
}

/// One converged equilibrium.
#[derive(Clone, Debug)]
pub struct PathPoint {
    /// Stage.
    pub stage: Stage,
    /// Gauge pressure, MPa.
    pub pressure: f64,
    /// Lift: radial displacement of the bundle's centre relative to the rim since the end of the fit, mm.
    pub lift: f64,
    /// Bundle hoop force, N.
    pub bead_tension: f64,
    /// Bundle hoop strain.
    pub bead_strain: f64,
    /// Rotation of the bundle, rad, positive when its top turns outward.
    pub bundle_rotation: f64,
    /// Radial contact load on seat, hump and lower half of the corner, per seat circumference, N/mm, positive pressing the rim inward.
    pub seat_load: f64,
    /// Axial contact load on the wall per seat circumference, N/mm, positive pushing the wall outward.
    pub flange_load: f64,
    /// Sum of the normal contact forces on one bead per seat circumference, N/mm, wherever they press.
    pub pressing: f64,
    /// Radial component of all contact tractions on one bead per seat circumference, N/mm, positive when the rim pushes the bead outward.
    pub radial_reaction: f64,
    /// Rim hoop force (compression negative), N.
    pub rim_hoop_force: f64,
    /// Radial displacement of the rim, mm, negative when it shrinks.
    pub rim_displacement: f64,
    /// Growth of the distance between the walls at their upper ends, mm; 0 for a rim that keeps its section.
    pub flange_spread: f64,
    /// Mean spoke tension loss, N.
    pub spoke_loss: f64,
    /// Peak seat-side contact pressure divided by gas pressure at the seal; none without pressure.
    pub seal_margin: Option<f64>,
    /// Whether gas passes the whole contact: no point presses harder than the gas.
    pub leaks: bool,
    /// Largest width of the tyre, mm.
    pub width: f64,
    /// Radius of the outer face at the crown, mm.
    pub crown_radius: f64,
    /// Largest cord force, N per cord.
    pub cord_force: f64,
    /// Global balances.
    pub balance: Balance,
    /// Fields for pictures, kept on some points.
    pub fields: Option<Box<Fields>>,
}

/// Global balances of one equilibrium, each relative to its largest term, or to [`crate::model::force_worth_resolving`] where all are
/// smaller.
#[derive(Clone, Copy, Debug, Default)]
pub struct Balance {
    /// Cut through the axle: hoop forces of tyre, beads, rim and spokes against pressure on the cavity section.
    pub axle_cut: f64,
    /// Axial equilibrium of the half tyre: crown pull, gas, wall.
    pub axial: f64,
}

/// A point of a path for tests: pressure, MPa, lift, mm, seat load, N/mm.
#[cfg(test)]
pub(crate) fn point(pressure: f64, lift: f64, seat_load: f64) -> PathPoint {
    PathPoint {
        stage: Stage::Fit,
        pressure,
        lift,
        bead_tension: 0.0,
        bead_strain: 0.0,
        bundle_rotation: 0.0,
        seat_load,
        flange_load: 0.0,
        pressing: 0.0,
        radial_reaction: 0.0,
        rim_hoop_force: 0.0,
        rim_displacement: 0.0,
        flange_spread: 0.0,
        spoke_loss: 0.0,
        seal_margin: None,
        leaks: false,
        width: 28.0,
        crown_radius: 340.0,
        cord_force: 0.0,
        balance: Balance::default(),
        fields: None,
    }
}
