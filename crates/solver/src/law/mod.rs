//! The law of the bead: the hoop force that holds it at a lift, evenly round the wheel, at a pressure.
//!
//! At a fixed pressure casing, gas, wall and seat push the bead outward with a radial load that depends on the lift. The hoop force of the
//! bundle that balances it is the law's number, Q(lift, pressure), N: without any bundle of a given stiffness. Where the bundle's own
//! tension equals it, the even bead is in equilibrium, so that the path of a case is the curve on which Q is its own tension.

pub mod trace;

/// One equilibrium of a held bead.
#[derive(Clone, Debug, PartialEq)]
pub struct LawPoint {
    /// Lift since the fit, relative to the rim, mm.
    pub lift: f64,
    /// Hoop force that holds the bead there, N.
    pub hoop_force: f64,
    /// Strain of the bundle there.
    pub strain: f64,
    /// Radial load on the seat, N/mm of its circumference.
    pub seat_load: f64,
    /// Axial load on the wall, N/mm of the seat's circumference.
    pub wall_load: f64,
    /// Sum of the normal contact forces on wall, crest, corner and seat, N/mm of the seat's circumference: what friction goes by.
    pub pressing: f64,
}

/// The law at one pressure.
#[derive(Clone, Debug, PartialEq)]
pub struct Branch {
    /// Gas pressure, MPa.
    pub pressure: f64,
    /// The even bead at this pressure, held by its own tension.
    pub start: LawPoint,
    /// On the way down from there; none without friction.
    pub sinking: Vec<LawPoint>,
    /// On the way up from the lowest lift, by rising lift.
    pub rising: Vec<LawPoint>,
}
