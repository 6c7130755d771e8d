//! The closed-form answer that stands beside the finite-element one: microseconds, no mesh, and a guard against blunders.
//!
//! The casing is a [`netting`] membrane tied to the two bundle centres; bead, rim and spokes are rings. Radial balance of one floating
//! bead: the membrane pulls with p c_m (c_m its tension over pressure), and gas that has crept under the base up to the seal on the wall
//! pushes with p on the half width b/2 between the bundle's centre and the wall, which the membrane does not know:
//! T = p (c_m - mu a + rho b / 2), a the membrane's axial push per radian, mu the friction on the wall (facing the lift).
//! The gas presses the rim inward over its whole inner width, each bead by its seat load; rim ring and spokes act side by side.
//! While seated the bead's stretch follows the rim; first lift is where its tension no longer exceeds the pull; then the lift follows
//! from T(strain) = pull, with the membrane solved anew at half the clearance and linear in between.

pub mod mounting;
pub mod netting;

use crate::case::Case;
use crate::model::bundle_radius;
use crate::rim::rim_stiffness;
use netting::{Netting, NettingError};
use std::f64::consts::PI;

/// Closed-form answers of one case.
#[derive(Clone, Debug, PartialEq)]
pub struct Estimate {
    /// Casing membrane at the fitted bead.
    pub membrane: Netting,
    /// Bead tension fitted, without pressure, N.
    pub fit_tension: f64,
    /// Seat load fitted, N/mm.
    pub fit_seat_load: f64,
    /// Mean spoke tension loss fitted, N.
    pub fit_spoke_loss: f64,
    /// Lift at which the bundle's centre is level with the crest, mm.
    pub clearance: f64,
    /// At the case's friction.
    pub given: Pressures,
    /// Without friction.
    pub frictionless: Pressures,
    /// Hoop forces that mounting asks of the bead.
    pub mounting: mounting::Mounting,
}

/// Closed-form answers at one friction coefficient.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pressures {
    /// First lift, MPa.
    pub first_lift: f64,
    /// Off-centre release, MPa.
    pub off_centre_release: f64,
    /// Uniform blow-off, MPa.
    pub uniform_blow_off: f64,
    /// Bead tension at rated pressure, N.
    pub rated_tension: f64,
    /// Lift at rated pressure, mm.
    pub rated_lift: f64,
    /// Mean spoke tension loss at rated pressure, N.
    pub rated_spoke_loss: f64,
}

/// Closed-form answers of a case.
///
/// # Errors
/// [`NettingError`] when the casing has no membrane shape on this rim.
pub fn estimate(case: &Case) -> Result<Estimate, NettingError> {
    let rings = Rings::new(case)?;
    let rest = rings.seated_rim(0.0, 0.0);
    let fit_tension = rings.tension(rest);
    Ok(Estimate {
        membrane: rings.membrane,
        fit_tension,
        fit_seat_load: fit_tension.max(0.0) / rings.seat_radius,
        fit_spoke_loss: rings.spoke_loss(rest),
        clearance: rings.clearance,
        given: rings.pressures(case.friction),
        frictionless: rings.pressures(0.0),
        mounting: mounting::mounting(case),
    })
}

/// Bead, rim and spokes as rings under the pull of the membrane.
struct Rings<'a> {
    case: &'a Case,
    membrane: Netting,
    /// The membrane with the bead lifted by half the clearance.
    lifted: Netting,
    clearance: f64,
    seat_radius: f64,
    rim_stiffness: f64,
}

impl<'a> Rings<'a> {
    fn new(case: &'a Case) -> Result<Self, NettingError> {
        let radius = bundle_radius(case);
        let clearance = case.rim.crest_radius_from_axis() - radius;
        let spacing = case.rim.inner_width - case.bead.width;
        let solve = |r: f64| Netting::new(r, spacing, case.casing.bead_to_bead, case.casing.angle);
        Ok(Self {
            case,
            membrane: solve(radius)?,
            lifted: solve(radius + 0.5 * clearance)?,
            clearance,
            seat_radius: 0.5 * case.rim.seat_diameter,
            rim_stiffness: rim_stiffness(case),
        })
    }

    /// Bead tension with the bundle displaced radially by `shift`, mm, from its seat on the undeformed rim; a slack bead carries none.
    fn tension(&self, shift: f64) -> f64 {
        let unstretched = 0.5 * self.case.bead.diameter + self.case.bead.bundle_height;
        let strain = (self.membrane.bead_radius + shift) / unstretched - 1.0;
        self.case.bead.law.force(strain.max(0.0)).0
    }

    /// Pull on a floating bead over pressure, N/MPa, at a lift, mm.
    fn pull(&self, friction: f64, lift: f64) -> f64 {
        let of = |m: &Netting| m.tension - friction * m.push + 0.5 * m.bead_radius * self.case.bead.width;
        let share = lift / (0.5 * self.clearance);
        (of(&self.membrane) + share * (of(&self.lifted) - of(&self.membrane))).max(1.0)
    }

    /// Radial displacement of the rim, mm, from the inward force of the gas on its bed and of both beads (N/rad each).
    fn rim(&self, pressure: f64, bead: f64) -> f64 {
        -2.0 * PI * (pressure * self.case.rim.inner_width * self.seat_radius + 2.0 * bead) / self.rim_stiffness
    }

    /// Rim displacement with the bead seated: bead tension less pull presses the rim, which gives way.
    fn seated_rim(&self, pressure: f64, pull: f64) -> f64 {
        bisect(-5.0, 5.0, |u| u - self.rim(pressure, (self.tension(u) - pressure * pull).max(0.0)))
    }

    /// What wall friction passes from bead to rim, N/rad at unit pressure, outward on the rim.
    fn friction_on_rim(&self, friction: f64) -> f64 {
        friction * self.membrane.push
    }

    /// Rim displacement with the bead floating.
    fn floating_rim(&self, pressure: f64, friction: f64) -> f64 {
        self.rim(pressure, -pressure * self.friction_on_rim(friction))
    }

    fn spoke_loss(&self, rim: f64) -> f64 {
        self.case.spokes.loss(rim)
    }

    /// Pressure at which a floating bead is lifted by `lift`.
    fn pressure_at(&self, friction: f64, lift: f64) -> f64 {
        let pull = self.pull(friction, lift);
        bisect(0.0, 100.0, |p| p * pull - self.tension(lift + self.floating_rim(p, friction)))
    }

    fn pressures(&self, friction: f64) -> Pressures {
        let rated = self.case.pressure.rated;
        let first_lift = self.pressure_at(friction, 0.0);
        let (shift, lift, rim) = if rated <= first_lift {
            let rim = self.seated_rim(rated, self.pull(friction, 0.0));
            (rim, 0.0, rim)
        } else {
            let rim = self.floating_rim(rated, friction);
            let lift = bisect(0.0, 4.0 * self.clearance, |l| self.tension(l + rim) - rated * self.pull(friction, l));
            (lift + rim, lift, rim)
        };
        Pressures {
            first_lift,
            off_centre_release: self.pressure_at(friction, 0.5 * self.clearance),
            uniform_blow_off: self.pressure_at(friction, self.clearance),
            rated_tension: self.tension(shift),
            rated_lift: lift,
            rated_spoke_loss: self.spoke_loss(rim),
        }
    }
}

/// Root of a rising function between two bounds (the nearer bound if it has none).
fn bisect(mut low: f64, mut high: f64, f: impl Fn(f64) -> f64) -> f64 {
    if f(low) >= 0.0 {
        return low;
    }
    for _ in 0..80 {
        let middle = 0.5 * (low + high);
        if f(middle) < 0.0 { low = middle } else { high = middle }
    }
    0.5 * (low + high)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use crate::case::{self, HoopLaw};
    use approx::assert_relative_eq;

    fn case() -> Case {
        case::read(&case::starter()).unwrap().0
    }

    #[test]
    fn a_bead_on_a_rim_is_two_rings_in_series() {
        // q = delta / (R^2 (1 / EA_b + 1 / EA_r)) for one bead on half the rim (thin rings; Timoshenko, Strength of Materials, shrink
        // fits, from memory); here the rim carries two beads and has spokes beside it.
        let case = case();
        let e = estimate(&case).unwrap();
        let unstretched = 0.5 * case.bead.diameter + case.bead.bundle_height;
        let stretch = bundle_radius(&case) - unstretched;
        let bead = case.bead.law.initial_stiffness() / unstretched;
        let rim = rim_stiffness(&case) / (4.0 * PI);
        assert_relative_eq!(e.fit_tension, stretch / (1.0 / bead + 1.0 / rim), max_relative = 1e-6);
    }

    #[test]
    fn friction_holds_and_the_three_pressures_are_in_order() {
        let mut case = case();
        for ea in [60e3, 150e3, 400e3] {
            case.bead.law = HoopLaw::Linear(ea);
            let e = estimate(&case).unwrap();
            for p in [e.given, e.frictionless] {
                assert!(p.first_lift < p.off_centre_release && p.off_centre_release < p.uniform_blow_off, "{p:?}");
            }
            assert!(e.given.uniform_blow_off > e.frictionless.uniform_blow_off);
        }
    }

    #[test]
    fn first_order_blow_off_of_a_soft_bead_on_a_stiff_rim() {
        // p* = EA (h - delta) / (rho c): strain of the lift over the pull; derived.
        let mut case = case();
        case.rim.hoop_stiffness = 1e12;
        case.bead.law = HoopLaw::Linear(100e3);
        let e = estimate(&case).unwrap();
        let radius = bundle_radius(&case);
        let unstretched = 0.5 * case.bead.diameter + case.bead.bundle_height;
        let strain = (radius + e.clearance) / unstretched - 1.0;
        let pull = e.membrane.tension + 0.5 * radius * case.bead.width;
        assert_relative_eq!(e.frictionless.uniform_blow_off, 100e3 * strain / pull, max_relative = 0.1);
    }
}
