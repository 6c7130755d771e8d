//! State and load of a model: everything that a contribution needs and none of them holds.

/// The part of a load that is an unknown where a functional of the displacements is prescribed.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Unknown {
    /// The gas pressure.
    #[default]
    Pressure,
    /// The hoop force added to the hoops'.
    HoopForce,
}

/// What drives the model.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Load {
    /// Gas pressure, MPa.
    pub pressure: f64,
    /// Share (0 to 1) of the hoop eigenstrains applied.
    pub eigenstrain: f64,
    /// Share (0 to 1) of the temporary springs' stiffness that acts.
    pub support: f64,
    /// Hoop force added to each hoop's own, N: what holds a body where it would not stay by itself.
    pub hoop_force: f64,
    /// What is an unknown where a functional is prescribed.
    pub unknown: Unknown,
}

impl Load {
    /// The part that is an unknown.
    pub fn driving(&self) -> f64 {
        match self.unknown {
            Unknown::Pressure => self.pressure,
            Unknown::HoopForce => self.hoop_force,
        }
    }

    /// The same load with another value of the part that is an unknown.
    #[must_use]
    pub fn driven_to(self, value: f64) -> Self {
        match self.unknown {
            Unknown::Pressure => Self { pressure: value, ..self },
            Unknown::HoopForce => Self { hoop_force: value, ..self },
        }
    }
}

/// History of one contact point.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct ContactPoint {
    /// Tangential traction on the body along the profile, MPa, at the last accepted step.
    pub tangential: f64,
    /// Arc length of the projection on the profile at the last accepted step, mm.
    pub arc: f64,
    /// Whether gas reaches the point.
    pub wetted: bool,
}

/// Unknowns and history.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct State {
    /// Displacements and extra unknowns (modes of a profile, contact multipliers over the penalty), mm.
    pub u: Vec<f64>,
    /// Condensed element unknowns (pressures of mixed elements, MPa), item by item.
    pub internal: Vec<f64>,
    /// Contact history, point by point.
    pub contact: Vec<ContactPoint>,
    /// Whether the state is far from equilibrium: its contact pressures, the gaps times a penalty, then tell nothing yet, and the geometric
    /// stiffness is that of the multipliers.
    pub unbalanced: bool,
}

impl State {
    /// Displacements of the nodes given.
    pub fn gather<const N: usize>(&self, nodes: &[usize; N]) -> [[f64; 2]; N] {
        nodes.map(|i| [self.u[2 * i], self.u[2 * i + 1]])
    }
}
