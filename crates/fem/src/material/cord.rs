//! Tension-only cord: force = E A strain where stretched, next to nothing where slack.
//!
//! The kink at strain 0 is rounded into a hyperbola, F = E A (e + sqrt(e^2 + 4 w^2)) / 2 with w = [`WIDTH`], whose inverse is
//! e = F / E A - E A w^2 / F. At strain 0 it carries E A w; at one per cent of strain it is off by 3e-5 of the force.
//! The force is the unknown in the ply's equations, so the inverse law is what they need; below a small force it goes on straight,
//! a slack cord having 1e-4 of its stiffness in compression.

/// Half width of the rounding, strain.
pub const WIDTH: f64 = 5e-5;
/// Force over E A w below which the inverse law is straight.
const STRAIGHT: f64 = 3e-2;

/// Tension-only linear cord.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Cord {
    /// Axial stiffness E A, N.
    pub stiffness: f64,
}

impl Cord {
    /// Force, N, at a stretch: the inverse of [`Cord::strain`], straight part included.
    pub fn force(&self, stretch: f64) -> f64 {
        let e = stretch - 1.0;
        let least = self.least();
        let (corner, slope) = self.hyperbola(least);
        if e < corner {
            return least + (e - corner) / slope;
        }
        0.5 * self.stiffness * (e + (e * e + 4.0 * WIDTH * WIDTH).sqrt())
    }

    /// Strain at a force, N, and its derivative by the force, 1/N.
    pub fn strain(&self, force: f64) -> (f64, f64) {
        let least = self.least();
        if force >= least {
            return self.hyperbola(force);
        }
        let (e, slope) = self.hyperbola(least);
        (e + slope * (force - least), slope)
    }

    /// Force, N, at which the hyperbola gives way to a straight line.
    fn least(&self) -> f64 {
        STRAIGHT * self.stiffness * WIDTH
    }

    fn hyperbola(&self, force: f64) -> (f64, f64) {
        let slack = self.stiffness * WIDTH * WIDTH / force;
        (force / self.stiffness - slack, 1.0 / self.stiffness + slack / force)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    #[test]
    fn a_taut_cord_is_linear_and_a_slack_one_carries_next_to_nothing() {
        let cord = Cord { stiffness: 1000.0 };
        assert_relative_eq!(cord.force(1.01), 10.0, max_relative = 3e-5);
        assert!(cord.force(0.99) < 1e-3);
    }

    #[test]
    fn the_inverse_law_inverts_and_its_slope_agrees_with_differences() {
        let cord = Cord { stiffness: 7.0 };
        for stretch in [0.9, 0.99, 0.999, 1.0, 1.0001, 1.03] {
            assert_relative_eq!(cord.strain(cord.force(stretch)).0, stretch - 1.0, epsilon = 1e-10);
        }
        for force in [-1e-6, 1e-6, 1e-3, 0.2] {
            let h = 1e-3 * f64::abs(force);
            let difference = (cord.strain(force + h).0 - cord.strain(force - h).0) / (2.0 * h);
            assert_relative_eq!(cord.strain(force).1, difference, max_relative = 1e-5);
        }
    }
}
