//! Two bounds on the hoop length that passes the last arc of the bead over the wall while the rest lies in the well.
//!
//! A stiff round hoop needs the diameter (D_crest + D_well) / 2; a limp strip only the convex hull of the well circle and a point of the
//! crest: pi D = 2 pi r_w + 2 (sqrt(r_f^2 - r_w^2) - r_w acos(r_w / r_f)). Derived; diameters at the bead base.

use hoopwright_case::Case;
use std::f64::consts::PI;

/// Required hoop diameter and force at both bounds.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Mounting {
    /// Diameter that a stiff round hoop needs, mm.
    pub stiff_diameter: f64,
    /// Hoop force to stretch the bead to it, N (0 if it is larger anyway).
    pub stiff_force: f64,
    /// Diameter that a limp strip needs, mm.
    pub limp_diameter: f64,
    /// Hoop force to stretch the bead to it, N.
    pub limp_force: f64,
}

/// Mounting bounds of a case.
pub fn mounting(case: &Case) -> Mounting {
    let well = 0.5 * case.rim.seat_diameter - case.rim.well_depth;
    let crest = case.rim.crest_radius_from_axis();
    let stiff_diameter = crest + well;
    let hull = 2.0 * PI * well + 2.0 * ((crest * crest - well * well).sqrt() - well * (well / crest).acos());
    let limp_diameter = hull / PI;
    let force = |d: f64| case.bead.law.force((d / case.bead.diameter - 1.0).max(0.0)).0;
    Mounting { stiff_diameter, stiff_force: force(stiff_diameter), limp_diameter, limp_force: force(limp_diameter) }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use approx::assert_relative_eq;

    #[test]
    fn a_limp_strip_needs_far_less_than_a_stiff_hoop() {
        let mut case = hoopwright_case::read(&hoopwright_case::starter()).unwrap().0;
        case.rim.seat_angle = 0.0;
        case.rim.seat_diameter = 626.0;
        case.rim.well_depth = 0.0;
        case.rim.flange_height = 5.0;
        let m = mounting(&case);
        // One point of a limp hoop at a crest 5 mm above 313 mm: a mean strain of 0.06 % (derived), where the stiff hoop needs 0.8 %.
        assert_relative_eq!(m.limp_diameter / 626.0 - 1.0, 6e-4, max_relative = 0.1);
        assert_relative_eq!(m.stiff_diameter, 631.0, max_relative = 1e-12);
    }
}
