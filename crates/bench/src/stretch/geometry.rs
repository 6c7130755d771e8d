//! The bead on its fixture: lengths, forces and the friction between the two.
//!
//! # The mean over the hoop
//!
//! A fixture is a disc cut into `n` parts that move apart: two half discs, or `n` segments. The bead lies on `n` arcs, each of the angle
//! `2 pi / n` at the bundle's radius `r`, joined by straight strands. Where each part has moved out by `u`, neighbouring edges are
//! `2 u sin(pi / n)` apart along the tangent both share, so the bundle's length is
//!
//! `L = 2 pi r + 2 n u sin(pi / n)`;
//!
//! for half discs a distance `x = 2 u` apart this is `2 pi r + 2 x`. The strands carry the tension `T`; equilibrium of one part along
//! its way out gives its force `2 T sin(pi / n)`, whatever the friction. For half discs this is `F = 2 T`.
//!
//! On each arc the bead slides away from the middle, where it rests by symmetry, as it is stretched, and towards it as it is let go. The
//! capstan equation (Euler, Eytelwein) then gives the tension at the angle `theta` from the edge as `T exp(-mu theta)` on loading and
//! `T exp(+mu theta)` on unloading, `0 <= theta <= a / mu` with `a = mu pi / n`. What the length tells is the mean strain over the hoop,
//! and with a linear law this is the mean tension over the hoop divided by the stiffness. Averaged over strands and arcs,
//!
//! `mean = T m`, `m = [L_strands + 2 pi r g(s a)] / L`, `g(x) = (exp(x) - 1) / x`, `s = -1` on loading, `+1` on unloading.
//!
//! At the same length both means are the same tension, so the strands' tensions on loading and unloading have the ratio `m(+a) / m(-a)`,
//! for short strands `g(a) / g(-a) = exp(a)` exactly: the branches lie on both sides of the line without friction, loading above it by the
//! factor `1 / m(-a)`, unloading below it by `1 / m(+a)`.
//!
//! This mean is taken over the stretched length, the bead's strain is one of its unstretched length `L0 = int ds / (1 + T / EA)`. To the
//! second order in the strains, `(L - L0) / L0 = <T> / EA - var(T) / EA^2`, so the tension that belongs to the length is
//! `T m - T^2 v / EA` with the variance `v = m_2 - m^2` round the hoop, `m_2` as `m` with `2 a` for `a`. At a friction of 0.2 and a strain of
//! 1 % the last term is 1e-4 of the first.
//!
//! After a turn the arcs slide back from their edges inwards. All of an arc slides again once the strand's tension, falling, reaches
//! `T_turn exp(-2 a)`, or, rising, `T_turn exp(2 a)`: there the profile from the edge meets the one left at the middle.

use std::f64::consts::PI;

use crate::fixture::{Fixture, FixtureKind};

/// Which way a branch runs.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Branch {
    /// The bead is stretched.
    Loading,
    /// The bead is let go.
    Unloading,
}

impl Branch {
    /// Sign of the friction's exponent.
    fn sign(self) -> f64 {
        match self {
            Self::Loading => -1.0,
            Self::Unloading => 1.0,
        }
    }
}

/// The bead on its fixture.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Geometry {
    /// Number of parts.
    parts: f64,
    /// Length of the bundle on the parts, mm.
    pub arcs: f64,
    /// Length of the strands over the travel of the log.
    pub strands_per_travel: f64,
    /// Force of the log over the tension of the strands.
    pub force_per_tension: f64,
    /// Twice the height of the bundle over the bead's base, mm.
    rise: f64,
}

impl Geometry {
    /// Of a fixture.
    pub fn of(fixture: &Fixture) -> Self {
        let parts = fixture.kind.parts() as f64;
        let sine = (PI / parts).sin();
        let (strands_per_travel, force_per_tension) = match fixture.kind {
            FixtureKind::HalfDiscs => (2.0, 2.0),
            FixtureKind::Segments { one, .. } => (2.0 * parts * sine, 2.0 * sine * if one { 1.0 } else { parts }),
        };
        let rise = 2.0 * fixture.bundle_height;
        Self { parts, arcs: PI * (fixture.diameter + rise), strands_per_travel, force_per_tension, rise }
    }

    /// Length of the bundle, mm, at a travel from closed, mm.
    pub fn length(&self, travel: f64) -> f64 {
        self.arcs + self.strands_per_travel * travel
    }

    /// Diameter at the bead's base, mm, of a bundle of a length, mm.
    pub fn diameter(&self, length: f64) -> f64 {
        length / PI - self.rise
    }

    /// The exponent `a` of a friction coefficient.
    pub fn exponent(&self, friction: f64) -> f64 {
        friction * PI / self.parts
    }

    /// The friction coefficient of an exponent.
    pub fn friction(&self, exponent: f64) -> f64 {
        exponent * self.parts / PI
    }

    /// Mean tension over the hoop in units of the strands' tension, at a length, mm; and its derivative by the exponent.
    pub fn mean(&self, length: f64, branch: Branch, exponent: f64) -> [f64; 2] {
        let (value, slope) = mean_of_exponential(branch.sign() * exponent);
        let arcs = (self.arcs / length).min(1.0);
        [1.0 - arcs + arcs * value, arcs * branch.sign() * slope]
    }

    /// Variance of the tension round the hoop in units of the strands' tension squared.
    pub fn variance(&self, length: f64, branch: Branch, exponent: f64) -> f64 {
        let square = self.mean(length, branch, 2.0 * exponent)[0];
        (square - self.mean(length, branch, exponent)[0].powi(2)).max(0.0)
    }

    /// Tension of the strands, N, at which all of the bead slides again after a turn at the tension `turn`, N.
    pub fn sliding_again(branch: Branch, exponent: f64, turn: f64) -> f64 {
        turn * (-2.0 * branch.sign() * exponent).exp()
    }
}

/// `(exp(x) - 1) / x` and its derivative, without loss of digits near zero.
fn mean_of_exponential(x: f64) -> (f64, f64) {
    if x.abs() < 1e-3 {
        return (1.0 + x * (0.5 + x * (1.0 / 6.0 + x / 24.0)), 0.5 + x * (1.0 / 3.0 + x * (0.125 + x / 30.0)));
    }
    let value = x.exp_m1() / x;
    (value, (x.exp() - value) / x)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn half_discs() -> Geometry {
        Geometry::of(&Fixture::plain(FixtureKind::HalfDiscs, 600.0))
    }

    /// T2 / T1 = exp(mu beta) over the half disc's right angle from edge to middle and back: ratios of the strands' tensions at one length
    /// for short strands. Capstan: 2.56633 for mu = 0.3 over pi (evaluated from exp), here exp(mu pi / 2) as both means share the middle.
    #[test]
    fn closed_half_discs_have_the_capstan_ratio() {
        let g = half_discs();
        let a = g.exponent(0.3);
        let ratio = g.mean(g.arcs, Branch::Unloading, a)[0] / g.mean(g.arcs, Branch::Loading, a)[0];
        assert!((ratio - 2.566_33_f64.sqrt()).abs() < 2e-6, "{ratio}");
        // Falling from a turn all slides again at exp(-mu pi) of it, rising at exp(mu pi).
        assert!((Geometry::sliding_again(Branch::Unloading, a, 2.566_33) - 1.0).abs() < 1e-5);
        assert!((Geometry::sliding_again(Branch::Loading, a, 1.0) - 2.566_33).abs() < 1e-5);
    }

    /// The mean over the hoop by the midpoint rule on the capstan equation.
    #[test]
    fn means_are_those_of_the_profile() {
        for (fixture, travel) in [
            (Fixture::plain(FixtureKind::HalfDiscs, 600.0), 30.0),
            (Fixture::plain(FixtureKind::Segments { count: 12, one: false }, 600.0), 5.0),
        ] {
            let (g, friction, n) = (Geometry::of(&fixture), 0.25, 20_000);
            let length = g.length(travel);
            for (branch, sign) in [(Branch::Loading, -1.0), (Branch::Unloading, 1.0)] {
                let angle = PI / g.parts;
                let profile = |k: usize| (sign * friction * angle * (k as f64 + 0.5) / f64::from(n)).exp();
                let arc: f64 = (0..n as usize).map(profile).sum::<f64>() / f64::from(n);
                let expected = (g.strands_per_travel * travel + g.arcs * arc) / length;
                let [mean, slope] = g.mean(length, branch, g.exponent(friction));
                assert!((mean - expected).abs() < 1e-9, "{mean} {expected}");
                let step = 1e-5;
                let ahead = g.mean(length, branch, g.exponent(friction) + step)[0];
                let behind = g.mean(length, branch, g.exponent(friction) - step)[0];
                assert!((slope - (ahead - behind) / (2.0 * step)).abs() < 1e-8);
            }
        }
    }

    #[test]
    fn series_and_formula_meet() {
        for x in [0.999e-3, -0.999e-3] {
            let (value, slope) = mean_of_exponential(x);
            let (next, next_slope) = mean_of_exponential(x * 1.01);
            assert!((next - value - 0.01 * x * slope).abs() < 1e-10 && (slope - next_slope).abs() < 1e-5);
        }
    }

    /// Cut along a diameter, two strands carry the machine's force; a ring of many segments needs 2 pi T in all.
    #[test]
    fn forces_balance() {
        assert!((half_discs().force_per_tension - 2.0).abs() < 1e-15);
        let many = Geometry::of(&Fixture::plain(FixtureKind::Segments { count: 64, one: false }, 600.0));
        assert!((many.force_per_tension / (2.0 * PI) - 1.0).abs() < 5e-4);
        let one = Geometry::of(&Fixture::plain(FixtureKind::Segments { count: 64, one: true }, 600.0));
        assert!((64.0 * one.force_per_tension - many.force_per_tension).abs() < 1e-12);
        assert!((half_discs().diameter(half_discs().length(0.0)) - 600.0).abs() < 1e-9);
    }
}
