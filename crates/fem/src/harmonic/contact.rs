//! Harmonic tangent of a contact with a rigid profile of revolution.
//!
//! The gap to a surface of revolution varies with U and W alone, (n_r U + n_z W) cos n t: to first order V slides along it. Pressure and
//! multipliers vary with the gap as without waves. The pressure acts along the body's own normal, which turns with the slope n of the
//! displacement round the circumference, as under gas; where the body touches, n . u vanishes on the average, and the circumferential
//! component left, that of V alone, is that of the profile's normal, whose curvature round the axis is n_r / r.
//! So the tangent is that of the even displacement, for each radian, and the uneven part of a pressure and a traction on the surface.
//! A traction along the meridian stays along the deformed meridian. Round the circumference a point that sticks meets the tangential
//! penalty; one that slips along the meridian meets across its slip the share |s| / |s_trial| of it that the return to the friction cone
//! leaves.

use super::surface::SurfacePoint;
use super::{Friction, Harmonic, LocalTangent, Wave};
use crate::contact::reduced_basis::MAX_MODES;
use crate::contact::unilateral::{Contact, POINTS, Status};
use crate::contribution::LocalSystem;
use crate::error::SolveError;
use crate::quadrature::GAUSS_4;
use crate::state::{Load, State};
use std::f64::consts::PI;

/// Share of the friction bound from which on a point counts as slipping: an accepted history puts it on the bound but for round-off.
const AT_BOUND: f64 = 1.0 - 1e-9;

impl Harmonic for Contact {
    fn even_only(&self, out: &mut Vec<usize>) {
        out.extend(self.basis.dofs());
    }

    fn tangent(
        &self,
        item: usize,
        state: &State,
        _internal: &[f64],
        load: &Load,
        wave: &Wave,
        out: &mut LocalTangent,
    ) -> Result<(), SolveError> {
        let (x, mut even) = (self.edge_positions(item, state), LocalSystem::default());
        even.reset(9 + self.basis.n_modes());
        let far = self.is_far(item, &x, state);
        for q in 0..POINTS {
            let point = item * POINTS + q;
            self.add_multipliers(point, state, &mut even);
            if !far {
                self.add_point(&x, point, state, load, wave, &mut even, out);
            }
        }
        self.add_gas_on_profile(item, &x, state, load, &mut even);
        add_even(&even, out);
        Ok(())
    }
}

impl Contact {
    #[expect(clippy::too_many_arguments, reason = "what the even and the uneven part are made of")]
    fn add_point(
        &self,
        x: &[[f64; 2]; 3],
        point: usize,
        state: &State,
        load: &Load,
        wave: &Wave,
        even: &mut LocalSystem,
        out: &mut LocalTangent,
    ) {
        let (place, surface) = (self.place(point, state), SurfacePoint::new(x, GAUSS_4[point % POINTS]));
        let mut status = self.status_at(place.foot, point, state, load.pressure);
        if status.normal > 0.0 {
            status.slips |= status.tangential.abs() >= AT_BOUND * self.parameters.friction * status.normal;
            let mut by = self.derivatives(point, &place, &status, state);
            if wave.friction == Friction::Free {
                by.tangential = [0.0; 2];
                by.tangential_by_mode = [0.0; MAX_MODES];
                by.tangential_by_multiplier = 0.0;
            } else {
                surface.add_circumferential_springs(self.across(point, &status, state), out);
            }
            self.add_transmitted(x, point, &status, &by, status.normal, even);
            surface.add_uneven_traction(status.tangential, wave.order(), out);
        }
        if state.contact[point].wetted {
            self.add_gas(x, point, load, even);
        }
        surface.add_uneven_pressure(status.total, wave.order(), out);
    }

    /// Tangential stiffness round the circumference, MPa/mm.
    fn across(&self, point: usize, s: &Status, state: &State) -> f64 {
        let (penalty, history) = (self.parameters.tangential_penalty, &state.contact[point]);
        if !s.slips {
            return penalty;
        }
        let trial = history.tangential - penalty * (s.foot.arc - history.arc);
        if trial == 0.0 { 0.0 } else { penalty * (s.tangential / trial).abs().min(1.0) }
    }
}

/// Adds an axisymmetric tangent of three nodes and extra unknowns, for each radian.
fn add_even(even: &LocalSystem, out: &mut LocalTangent) {
    let place = |k: usize| if k < 6 { 3 * (k / 2) + 2 * (k % 2) } else { k + 3 };
    for i in 0..even.n {
        for j in 0..even.n {
            out.add(place(i), place(j), even.at(i, j) / (2.0 * PI));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::surface::trial::{Sheet, directions, residual};
    use super::super::trial::{check_even, check_residual, over_pi};
    use super::*;
    use crate::contact::unilateral::hats;
    use crate::contact::unilateral::tests::{Held, contact};
    use nalgebra::Vector3;

    /// What the profile does to a point of the surface: normal pressure of the contact, and tractions along the meridian and round the
    /// circumference.
    fn tractions(c: &Contact, state: &State, gas: f64, point: usize, s: &Sheet, multiplier: f64) -> [f64; 3] {
        let (p, history) = (&c.parameters, &state.contact[point]);
        let foot = c.profile().closest_point_near([s.position.xy().norm(), s.position.z], history.arc);
        let floor = if history.wetted { gas } else { 0.0 };
        let normal = (multiplier - p.penalty * foot.gap - floor).max(0.0);
        let radius = s.position.xy().norm();
        let turned =
            radius * s.position.xy().dot(&directions(s.angle)[1].xy()).atan2(s.position.xy().dot(&directions(s.angle)[0].xy()));
        let trial = [history.tangential - p.tangential_penalty * (foot.arc - history.arc), -p.tangential_penalty * turned];
        let size = trial[0].hypot(trial[1]);
        let share = if size > p.friction * normal { p.friction * normal / size } else { 1.0 };
        [normal, share * trial[0], share * trial[1]]
    }

    /// Residual over pi of the edge's nodes and multipliers under amplitudes of order n.
    fn whole(c: &Contact, state: &State, gas: f64, a: &[f64], n: usize, bound: bool) -> Vec<f64> {
        let x = c.edge_positions(0, state);
        let multiplier = |q: usize, t: f64| {
            let over: f64 = hats(GAUSS_4[q].0).iter().zip(&a[9..12]).map(|(h, l)| h * l).sum();
            c.multiplier(q, state) + c.parameters.penalty * over * (n as f64 * t).cos()
        };
        let acting = |s: &Sheet, q: usize| {
            let mut of = tractions(c, state, gas, q, s, multiplier(q, s.angle));
            if !bound {
                // Without tangential stiffness the traction of the state stays.
                let rest = Sheet::new(&x, &[0.0; 9], n, GAUSS_4[q].0, s.angle);
                let kept = tractions(c, state, gas, q, &rest, c.multiplier(q, state));
                (of[1], of[2]) = (kept[1], kept[2]);
            }
            of
        };
        let force = |s: &Sheet, q: usize| -> Vector3<f64> {
            let [normal, meridian, around] = acting(s, q);
            let floor = if state.contact[q].wetted { gas } else { 0.0 };
            s.normal * (normal + floor)
                + s.along * (s.around.norm() * meridian)
                + directions(s.angle)[1] * (s.normal.norm() * around)
        };
        let mut rows = residual(&x, &GAUSS_4, a, n, force);
        rows.extend((0..3).map(|k| {
            over_pi(|t| {
                let at = |q: usize| {
                    let s = Sheet::new(&x, a, n, GAUSS_4[q].0, t);
                    let floor = if state.contact[q].wetted { gas } else { 0.0 };
                    let misfit = acting(&s, q)[0] + floor - multiplier(q, t);
                    c.weights[q][k] / (2.0 * PI) * misfit * (n as f64 * t).cos()
                };
                (0..POINTS).map(at).sum()
            })
        }));
        rows
    }

    #[test]
    fn agrees_with_the_forces_in_three_dimensions_in_stick_and_slip() {
        let load = Load { pressure: 0.6, ..Load::default() };
        for (friction, slipping) in [(0.0, 4), (0.02, 2), (0.9, 0)] {
            let (contact, state) = contact(friction, Held::Fixed);
            let status: Vec<_> = (0..POINTS).map(|i| contact.status(i, &state, load.pressure)).collect();
            assert!(status.iter().all(|s| s.normal > 0.0));
            assert_eq!(status.iter().filter(|s| s.slips).count(), slipping);
            for n in [1, 3] {
                for (friction, bound) in [(Friction::Stuck, true), (Friction::Free, false)] {
                    let wave = Wave { n, friction };
                    check_residual(&contact, &state, &load, &wave, |a| whole(&contact, &state, load.pressure, a, n, bound));
                }
            }
        }
    }

    #[test]
    fn an_even_wave_is_the_axisymmetric_contact() {
        let load = Load { pressure: 0.6, ..Load::default() };
        for friction in [0.0, 0.02, 0.9] {
            for of in [Held::Radially, Held::Bending] {
                let (contact, state) = contact(friction, of);
                check_even(&contact, &state, &load, Friction::Stuck);
            }
        }
        // An open joint, wetted.
        let (contact, mut state) = contact(0.3, Held::Bending);
        state.u = vec![0.3, -0.3, 0.3, -0.3, 0.3, -0.3, 0.0, 0.01, 0.0, 0.0, 0.0];
        check_even(&contact, &state, &load, Friction::Stuck);
        check_even(&contact, &state, &load, Friction::Free);
    }
}
