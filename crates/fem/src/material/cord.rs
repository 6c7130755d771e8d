//! Tension-only cord: force = E A (stretch - 1) where stretched, nothing where slack.
//!
//! The kink at stretch 1 is rounded by a parabola over +/- [`TOE`] of strain, so that Newton sees a continuous tangent;
//! the rounding adds E A TOE / 4 = 2.5e-5 E A at stretch 1, well under one per mille of a cord's working force.

/// Half width of the rounded toe, strain.
pub const TOE: f64 = 1e-4;

/// Tension-only linear cord.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Cord {
    /// Axial stiffness E A, N.
    pub stiffness: f64,
}

impl Cord {
    /// Energy per length, N, force, N, and stiffness d force / d stretch, N, at `stretch`.
    pub fn evaluate(&self, stretch: f64) -> (f64, f64, f64) {
        let (x, ea) = (stretch - 1.0, self.stiffness);
        if x <= -TOE {
            (0.0, 0.0, 0.0)
        } else if x < TOE {
            let y = x + TOE;
            (ea * y * y * y / (12.0 * TOE), ea * y * y / (4.0 * TOE), ea * y / (2.0 * TOE))
        } else {
            // TOE^2 / 6 makes the energy continuous with the end of the toe, where it is (2 TOE)^3 / (12 TOE) = 2 TOE^2 / 3.
            (ea * (0.5 * x * x + TOE * TOE / 6.0), ea * x, ea)
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    #[test]
    fn force_and_stiffness_are_derivatives_and_slack_carries_nothing() {
        let cord = Cord { stiffness: 7.0 };
        assert_eq!(cord.evaluate(0.99), (0.0, 0.0, 0.0));
        assert_relative_eq!(cord.evaluate(1.02).1, 0.14, max_relative = 1e-12);
        for x in [1.0 - 0.5 * TOE, 1.0, 1.0 + 0.5 * TOE, 1.0 + 2.0 * TOE, 1.03] {
            let h = 1e-7;
            let (plus, minus) = (cord.evaluate(x + h), cord.evaluate(x - h));
            assert_relative_eq!(cord.evaluate(x).1, (plus.0 - minus.0) / (2.0 * h), epsilon = 1e-6);
            assert_relative_eq!(cord.evaluate(x).2, (plus.1 - minus.1) / (2.0 * h), epsilon = 1e-5);
        }
    }
}
