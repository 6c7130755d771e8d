//! The tyre's meridian as drawn (its stress-free shape): straight up from the bundle, an arc that bends outward over the crest,
//! and a circle about a point of the mid-plane to the crown, joined without kink.
//!
//! With the straight part y, the bend radius b and the angle psi by which the meridian leans outward where the bend meets the circle,
//! the circle's radius follows from z: R cos psi = z0 + b (1 - cos psi), and psi from the length: y + b psi + R (pi/2 + psi) = L/2.
//! Tyres are cured in about this shape; the inflated shape is what the solve finds.

use super::GeometryError;
use std::f64::consts::FRAC_PI_2;

/// Meridian from the bundle's centre (length 0) to the crown.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Meridian {
    /// Bundle centre (r, z), mm.
    start: [f64; 2],
    straight: f64,
    bend: f64,
    lean: f64,
    radius: f64,
    /// Radius from the axis of the circle's centre, mm.
    centre: f64,
}

impl Meridian {
    /// Meridian of half length `half`, mm, from the bundle centre `start`, with a straight part and a bend radius, mm.
    ///
    /// # Errors
    /// [`GeometryError::Casing`] when no such curve has that length.
    pub fn new(start: [f64; 2], half: f64, straight: f64, bend: f64) -> Result<Self, GeometryError> {
        let radius = |psi: f64| (start[1] + bend * (1.0 - psi.cos())) / psi.cos();
        let length = |psi: f64| straight + bend * psi + radius(psi) * (FRAC_PI_2 + psi);
        let (mut low, mut high) = (0.0, 80.0_f64.to_radians());
        if !(length(low)..=length(high)).contains(&half) {
            return Err(GeometryError::Casing { length: 2.0 * half, shortest: 2.0 * length(low), longest: 2.0 * length(high) });
        }
        for _ in 0..100 {
            let middle = 0.5 * (low + high);
            if length(middle) < half { low = middle } else { high = middle }
        }
        let lean = 0.5 * (low + high);
        let radius = radius(lean);
        let centre = start[0] + straight + bend * lean.sin() + radius * lean.sin();
        Ok(Self { start, straight, bend, lean, radius, centre })
    }

    /// Length from bundle to crown, mm.
    pub fn length(&self) -> f64 {
        self.straight + self.bend * self.lean + self.radius * (FRAC_PI_2 + self.lean)
    }

    /// Position (r, z), mm, and unit normal (outward from the cavity) at length s; below 0 the straight part is continued.
    pub fn at(&self, s: f64) -> ([f64; 2], [f64; 2]) {
        let [r, z] = self.start;
        if s <= self.straight {
            return ([r + s, z], [0.0, 1.0]);
        }
        let s = s - self.straight;
        let (angle, position) = if s <= self.bend * self.lean {
            let psi = s / self.bend;
            (psi, [r + self.straight + self.bend * psi.sin(), z + self.bend * (1.0 - psi.cos())])
        } else {
            let psi = self.lean - (s - self.bend * self.lean) / self.radius;
            (psi, [self.centre - self.radius * psi.sin(), self.radius * psi.cos()])
        };
        // The tangent leans outward by the angle: (cos, sin); the outward normal is its left-hand side seen from the cavity.
        (position, [-angle.sin(), angle.cos()])
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use approx::assert_relative_eq;

    #[test]
    fn the_curve_has_the_length_asked_for_no_kink_and_ends_at_the_crown() {
        let m = Meridian::new([313.0, 8.5], 33.5, 2.5, 4.0).unwrap();
        assert_relative_eq!(m.length(), 33.5, max_relative = 1e-12);
        let n = 20_000;
        let mut length = 0.0;
        for k in 0..n {
            let (a, na) = m.at(33.5 * f64::from(k) / f64::from(n));
            let (b, nb) = m.at(33.5 * f64::from(k + 1) / f64::from(n));
            length += (b[0] - a[0]).hypot(b[1] - a[1]);
            assert!((nb[0] - na[0]).hypot(nb[1] - na[1]) < 1e-3, "kink near step {k}");
        }
        assert_relative_eq!(length, 33.5, max_relative = 1e-6);
        let (crown, normal) = m.at(33.5);
        assert_relative_eq!(crown[1], 0.0, epsilon = 1e-9);
        assert_relative_eq!(normal[0], 1.0, epsilon = 1e-9);
    }

    #[test]
    fn a_casing_that_cannot_span_the_rim_is_refused() {
        assert!(matches!(Meridian::new([313.0, 8.5], 14.0, 2.5, 4.0), Err(GeometryError::Casing { .. })));
    }
}
