//! The law as a radial load on one bead, beside what the bead's own tension gives back, for people to look at.

use super::Law;
use hoopwright_case::HoopLaw;

/// What acts on a length of one even bead at a lift. Loads in N for each mm of the bundle's circumference on its seat.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Load {
    /// Lift since the fit, mm.
    pub lift: f64,
    /// Outward load of casing, gas, wall and seat without friction, N/mm.
    pub outward: f64,
    /// The same with friction on the way up, once it slips, N/mm; none where the case has no friction.
    pub rising: Option<f64>,
    /// Inward load T / R of the bead's own tension, N/mm: equal loads are an equilibrium.
    pub inward: f64,
    /// Growth of `outward` with the lift, N/mm^2.
    pub growth: f64,
    /// Growth from which on a floating string alone falls into two waves, 9/4 T / R^2, N/mm^2. A shift sideways needs no more than some growth.
    pub two_waves: f64,
}

/// Share of T / R^2 by which a string resists n waves, (n^2 - 1)^2 / n^2, for n = 2.
const TWO_WAVES: f64 = 9.0 / 4.0;

impl Law {
    /// Loads on a bead of a hoop law with its bundle at `radius`, mm, on the seat, over the lift at a pressure, MPa; none where the law is not
    /// known there.
    pub fn loads(&self, hoop: &HoopLaw, radius: f64, pressure: f64) -> Option<Vec<Load>> {
        let [lowest, highest] = self.range()?;
        if !(lowest..=highest).contains(&pressure) {
            return None;
        }
        let reading = self.at(pressure)?;
        let load = |lift: &f64| {
            let (outward, growth) = reading.hoop_force.at(*lift);
            let tension = hoop.force(reading.strain.at(*lift).0).0;
            Load {
                lift: *lift,
                outward: outward / radius,
                rising: reading.friction.as_ref().map(|grip| (outward - grip.most.at(*lift).0) / radius),
                inward: tension / radius,
                growth: growth / radius,
                two_waves: TWO_WAVES * tension / (radius * radius),
            }
        };
        Some(self.knots()?.iter().map(load).collect())
    }
}

/// Lifts at which `outward` meets the bead's load, mm, and whether the even bead is stable there: whether the bead's load grows faster.
pub fn equilibria(loads: &[Load], outward: impl Fn(&Load) -> Option<f64>) -> Vec<(f64, f64, bool)> {
    let over = |load: &Load| outward(load).map(|o| o - load.inward);
    let crossing = |pair: &[Load]| {
        let (a, b) = (over(&pair[0])?, over(&pair[1])?);
        let share = a / (a - b);
        let between = |from: f64, to: f64| from + share * (to - from);
        let crosses = (a > 0.0) != (b > 0.0);
        crosses.then(|| (between(pair[0].lift, pair[1].lift), between(pair[0].inward, pair[1].inward), a > 0.0))
    };
    loads.windows(2).filter_map(crossing).collect()
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use crate::law::LawPoint;
    use approx::assert_relative_eq;

    /// q = p (10 + w) on a bundle of 300 mm: the hoop force is p (10 + w) 300.
    fn law() -> Law {
        let line = |pressure: f64| {
            let point = |k: i32| {
                let lift = 0.1 * f64::from(k);
                let (strain, none) = ((300.0 + lift) / 299.5 - 1.0, 0.0);
                let hoop_force = 300.0 * pressure * (10.0 + lift);
                LawPoint { pressure, lift, hoop_force, strain, seat_load: none, wall_load: none, pressing: none, added: none }
            };
            (-1..=30).map(point).collect::<Vec<_>>()
        };
        Law { frictionless: vec![line(0.1), line(0.4)], path: Vec::new(), rising: Vec::new(), stick: 0.0 }
    }

    #[test]
    fn loads_are_forces_over_the_radius_and_meet_where_the_even_bead_stays() {
        let hoop = HoopLaw::Linear(300e3);
        let loads = law().loads(&hoop, 300.0, 0.3).unwrap();
        for load in &loads {
            assert_relative_eq!(load.outward, 0.3 * (10.0 + load.lift), max_relative = 1e-9);
            assert_relative_eq!(load.growth, 0.3, max_relative = 1e-6);
            let tension = 300e3 * ((300.0 + load.lift) / 299.5 - 1.0);
            assert_relative_eq!(load.inward, tension / 300.0, max_relative = 1e-9);
            assert_relative_eq!(load.two_waves, 2.25 * tension / 9e4, max_relative = 1e-9);
            assert_eq!(load.rising, None);
        }
        // 0.3 (10 + w) = 1000 ((300 + w) / 299.5 - 1).
        let lift = (3.0 - 500.0 / 299.5) / (1000.0 / 299.5 - 0.3);
        let found = equilibria(&loads, |load| Some(load.outward));
        assert_eq!(found.len(), 1);
        assert_relative_eq!(found[0].0, lift, max_relative = 1e-6);
        assert_relative_eq!(found[0].1, 0.3 * (10.0 + lift), max_relative = 1e-6);
        assert!(found[0].2, "the bead's load grows faster");
        assert_eq!(law().loads(&hoop, 300.0, 0.5), None, "nothing is told beyond the lines");
    }
}
