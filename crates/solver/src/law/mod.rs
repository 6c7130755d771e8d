//! The law of the bead: the hoop force that holds it at a lift, evenly round the wheel, at a pressure.
//!
//! Casing, gas, wall and seat push the bead outward with a radial load that depends on lift and pressure. The hoop force that balances it is
//! the law's number, Q(lift, pressure), N: whatever the stiffness of the bundle. Where the bundle's own tension equals it, the even bead is
//! in equilibrium: the path of a case is the curve on which Q is its own tension.

pub mod interpolation;
pub mod load;
pub mod surface;
pub mod trace;
pub mod tread;
pub mod uneven;

pub use load::{Load, equilibria};
pub use surface::{Grip, Law, Reading};

/// One equilibrium of a bead that is held, or holds itself.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LawPoint {
    /// Gas pressure, MPa.
    pub pressure: f64,
    /// Lift since the fit, relative to the rim, mm.
    pub lift: f64,
    /// Hoop force that holds the bead there, N.
    pub hoop_force: f64,
    /// The part of it that the bundle's own tension does not make up, N: 0 on a path.
    pub added: f64,
    /// Strain of the bundle there.
    pub strain: f64,
    /// Radial load on the seat, N/mm of its circumference.
    pub seat_load: f64,
    /// Axial load on the wall, N/mm of the seat's circumference.
    pub wall_load: f64,
    /// Sum of the normal contact forces on seat, corner, wall and crest, N/mm of the seat's circumference: what friction goes by.
    pub pressing: f64,
}
