//! The casing as a membrane that lies on the crest of the wall.
//!
//! From the bundle's centre it runs straight to the round of the crest, lies on it and leaves it, along the tangent, as a free [`Netting`]
//! membrane. The round is that of the crest, larger by half the tyre's thickness there. Per radian and unit pressure the membrane's
//! meridian tension is N all along the crest, and S = N exp(-mu w) in the straight part behind friction mu over the angle w (the capstan
//! equation; the bead lifts, so the casing slides outward over the crest). With the straight part leaning outward by theta, ending at
//! (r, z), and gas in the joint up to the bundle's centre, bead and straight part are in radial balance where the bead's tension is the pull
//! S cos theta + r (z_wall - z) - mu (S sin theta + r_b (r - r_b)): its last term is what the wall carries axially, rubbing on it.
//! Without bending stiffness the casing hugs the crest more than a real one does, so the pull is an upper bound. Derived here; where the
//! membrane leans outward by less than the straight line would, it does not touch the crest and this is the membrane tied to the bundle.

use super::netting::{Netting, NettingError};
use crate::geometry::half_thickness;
use crate::roots::bisect;
use hoopwright_case::Case;
use std::f64::consts::FRAC_PI_2;

/// A draped casing; forces are per radian and MPa.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Draped {
    /// The free membrane, from where it leaves the crest.
    pub membrane: Netting,
    /// Radius of the bundle's centre, mm.
    pub bundle: f64,
    /// Where the straight part ends (r, z), mm.
    pub touch: [f64; 2],
    /// Where the free membrane begins (r, z), mm.
    pub start: [f64; 2],
    /// Outward lean of the straight part, rad.
    pub lean: f64,
    /// Angle over which the casing lies on the crest, rad.
    pub wrap: f64,
    /// Axial position of the wall, mm.
    wall: f64,
}

/// The straight part: outward lean, rad, length, mm, and the radius of the round that it touches, mm.
#[derive(Clone, Copy)]
struct Strand {
    lean: f64,
    length: f64,
    round: f64,
}

impl Draped {
    /// The casing of a case with the bundle's centre at the radius `bundle`, mm, no higher than the centre of the crest's round.
    ///
    /// # Errors
    /// [`NettingError`] when there is no such membrane.
    pub fn new(case: &Case, bundle: f64) -> Result<Self, NettingError> {
        let (wall, length, angle) = (0.5 * case.rim.inner_width, case.casing.bead_to_bead, case.casing.angle);
        let from = [bundle, wall - 0.5 * case.bead.width];
        let crest = [case.rim.crest_radius_from_axis() - case.rim.crest_radius, wall + case.rim.crest_radius];
        let tied = Netting::new(bundle, 2.0 * from[1], length, angle)?;
        let strand = strand(case, from, crest);
        if tied.lean <= strand.lean {
            return Ok(Self { membrane: tied, bundle, touch: from, start: from, lean: tied.lean, wrap: 0.0, wall });
        }
        let on_crest = |lean: f64| [crest[0] + strand.round * lean.sin(), crest[1] - strand.round * lean.cos()];
        let leaving = |lean: f64| {
            let [r, z] = on_crest(lean);
            Netting::new(r, 2.0 * z, length - 2.0 * (strand.length + strand.round * (lean - strand.lean)), angle)
        };
        let membrane = leaving(root(strand.lean, |lean| Ok(lean - leaving(lean)?.lean))?)?;
        let (touch, start) = (on_crest(strand.lean), on_crest(membrane.lean));
        Ok(Self { membrane, bundle, touch, start, lean: strand.lean, wrap: membrane.lean - strand.lean, wall })
    }

    /// Bead tension over pressure that keeps a floating bead in radial balance, N/MPa, at a friction coefficient; positive.
    pub fn pull(&self, friction: f64) -> f64 {
        let strand = self.membrane.meridian * (-friction * self.wrap).exp();
        let [r, z] = self.touch;
        let on_wall = strand * self.lean.sin() + self.bundle * (r - self.bundle);
        (strand * self.lean.cos() + r * (self.wall - z) - friction * on_wall.max(0.0)).max(1.0)
    }

    /// What free membrane and gas pull outward on bead and casing below it, N/MPa: the rim takes the bead's tension less that.
    pub fn free_pull(&self) -> f64 {
        let [r, z] = self.start;
        self.membrane.tension + r * (self.wall - z)
    }
}

/// The tangent from the bundle's centre to the tyre's side of the crest's round, at whose foot the tyre is as thick as at that distance.
fn strand(case: &Case, from: [f64; 2], crest: [f64; 2]) -> Strand {
    let (up, out) = (crest[0] - from[0], crest[1] - from[1]);
    let distance = up.hypot(out);
    let tangent = |length: f64| {
        let round = (case.rim.crest_radius + half_thickness(case, length)).min(distance);
        Strand { lean: out.atan2(up) - (round / distance).asin(), length: (distance * distance - round * round).sqrt(), round }
    };
    // The further from the bundle, the thinner the tyre and the longer the tangent: halving finds where both agree.
    tangent(bisect(0.0, distance, |length| length - tangent(length).length))
}

/// Root of a rising function between `low`, where it is negative, and a right angle, by regula falsi with the Illinois rule (Dowell and
/// Jarratt, BIT 11 (1971) 168, from memory).
fn root(low: f64, f: impl Fn(f64) -> Result<f64, NettingError>) -> Result<f64, NettingError> {
    let (mut a, mut fa) = (low, f(low)?);
    // The membrane from further round the crest leans less: from where the line ends it leans too much.
    let (mut b, mut fb) = ((low - fa).min(FRAC_PI_2), 0.0);
    for _ in 0..20 {
        fb = f(b)?;
        if fb >= 0.0 {
            break;
        }
        (a, fa, b) = (b, fb, 0.5 * (b + FRAC_PI_2));
    }
    if fb < 0.0 {
        return Err(NettingError::NoShape);
    }
    for _ in 0..60 {
        if fb.abs() < 1e-10 {
            return Ok(b);
        }
        let c = (a * fb - b * fa) / (fb - fa);
        let fc = f(c)?;
        if fc * fb < 0.0 {
            (a, fa) = (b, fb);
        } else {
            fa *= 0.5;
        }
        (b, fb) = (c, fc);
    }
    Err(NettingError::NoShape)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use approx::assert_relative_eq;
    use hoopwright_case as case;
    use hoopwright_case::geometry::bundle_radius;

    /// A tyre whose wall is equally thick all along, on a rim.
    fn even() -> Case {
        let mut case = case::read(&case::starter()).unwrap().0;
        (case.bead.filler_height, case.casing.angle) = (1e-6, FRAC_PI_2);
        case
    }

    /// On a rim so large that it is straight, cords along the meridian make a circle of radius a about the mid-plane, which touches the
    /// crest's round from the other side: a = z_crest / cos(phi) - R, and phi follows from the length of the casing.
    #[test]
    fn on_a_straight_rim_the_casing_is_a_circle_that_touches_the_crest() {
        let mut case = even();
        case.rim.seat_diameter = 1e5;
        let bundle = bundle_radius(&case);
        let round = case.rim.crest_radius + 0.5 * case.casing.sidewall_thickness;
        let wall = 0.5 * case.rim.inner_width;
        let up = case.rim.crest_radius_from_axis() - case.rim.crest_radius - bundle;
        let out = case.rim.crest_radius + 0.5 * case.bead.width;
        // The line whose distance from the centre of the round is its radius.
        let lean = bisect(0.0, 1.5, |t| t.sin() * up - t.cos() * out + round);
        let straight = (up * up + out * out - round * round).sqrt();
        let circle = |phi: f64| (wall + case.rim.crest_radius) / phi.cos() - round;
        let length = |phi: f64| 2.0 * (straight + round * (phi - lean) + circle(phi) * (phi + FRAC_PI_2));
        let phi = bisect(lean, 1.5, |phi| length(phi) - case.casing.bead_to_bead);
        let draped = Draped::new(&case, bundle).unwrap();
        assert!(draped.wrap > 0.1 && lean > 0.05, "{draped:?}");
        assert_relative_eq!(draped.lean, lean, epsilon = 1e-6);
        assert_relative_eq!(draped.wrap, phi - lean, epsilon = 1e-3);
        let gas = wall - (wall - 0.5 * case.bead.width + straight * lean.sin());
        for mu in [0.0, 0.2, 0.5] {
            let strand = circle(phi) * (-mu * (phi - lean)).exp();
            let pull = strand * lean.cos() + gas - mu * (strand * lean.sin() + straight * lean.cos());
            assert_relative_eq!(draped.pull(mu) / bundle, pull, max_relative = 1e-3);
        }
        let past_the_crest = wall - (wall + case.rim.crest_radius - round * phi.cos());
        assert_relative_eq!(draped.free_pull() / bundle, circle(phi) * phi.cos() + past_the_crest, max_relative = 1e-3);
    }

    #[test]
    fn a_casing_clear_of_the_crest_is_tied_to_the_bundle() {
        let mut case = even();
        // A casing hardly longer than the rim is wide stands upright.
        (case.rim.flange_height, case.casing.bead_to_bead) = (case.rim.crest_radius + 1.6, 28.0);
        let draped = Draped::new(&case, bundle_radius(&case)).unwrap();
        let m = draped.membrane;
        assert!(draped.wrap == 0.0, "{draped:?}");
        let expected = m.tension + 0.5 * m.bead_radius * case.bead.width;
        assert_relative_eq!(draped.pull(0.0), expected, max_relative = 1e-12);
        assert_relative_eq!(draped.free_pull(), expected, max_relative = 1e-12);
        assert_relative_eq!(draped.pull(0.3), expected - 0.3 * m.push, max_relative = 1e-9);
    }
}
