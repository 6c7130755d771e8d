//! Nodal and surface fields of one equilibrium.

/// Nodal and surface fields of one equilibrium.
#[derive(Clone, Debug)]
pub struct Fields {
    /// Displacement (r, z) of every node, mm.
    pub displacement: Vec<[f64; 2]>,
    /// Cauchy stress (rr, zz, theta theta, rz) of the solid at every node, averaged over elements, MPa.
    pub cauchy: Vec<[f64; 4]>,
    /// Pressure of the rubber (positive in compression) at every node, MPa.
    pub rubber_pressure: Vec<f64>,
    /// Hoop stretch at every node.
    pub hoop_stretch: Vec<f64>,
    /// Cord stress resultant at every node a ply passes: largest cord force, N per cord; 0 elsewhere.
    pub cord_force: Vec<f64>,
    /// Contact pressure at every node of `outer_face`, MPa (total normal traction where the gas is sealed out).
    pub contact_pressure: Vec<f64>,
    /// Gap to the rim at every node of `outer_face`, mm.
    pub gap: Vec<f64>,
    /// Whether gas wets each node of `outer_face`.
    pub wetted: Vec<bool>,
    /// Place on the rim's profile at rest, by arc length, that each node of `outer_face` is nearest to, mm.
    pub foot: Vec<f64>,
    /// The rim's profile as carried: the points of the assessment's `rim_outline`, displaced (r, z), mm.
    pub rim_outline: Vec<[f64; 2]>,
    /// What presses on the half rim.
    pub rim_loads: RimLoads,
}

/// What presses on the half rim, and how far its modes move.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct RimLoads {
    /// Loads by the bead at the contact's points.
    pub points: Vec<RimLoad>,
    /// Arc length up to which gas presses on the profile, mm.
    pub gas_end: f64,
    /// Amplitudes of the modes, mm.
    pub amplitudes: Vec<f64>,
}

/// Load by the bead on the rim at one place of its profile: pressure beyond the gas, and friction.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RimLoad {
    /// Arc length, mm.
    pub arc: f64,
    /// Force (r, z), N over the circumference.
    pub force: [f64; 2],
}
