//! How a bead stands round the wheel before it is let go, and where the crest lies lower.

use super::basis::Basis;
use crate::law::interpolation::Curve;
use std::f64::consts::{PI, TAU};

/// Stations that are alike on both sides of the highest one to this height, mm, make a ring that is symmetric.
const ALIKE: f64 = 1e-9;

/// How far the bead stands over its lowest place, round the wheel, by the angle from where it stands highest.
#[derive(Clone, Debug, PartialEq)]
pub enum Unevenness {
    /// One arc stands higher: a bell.
    Arc {
        /// Height of the arc, mm.
        height: f64,
        /// Length of the arc, rad.
        arc: f64,
    },
    /// As measured.
    Measured(Measured),
}

/// Measured heights at equal angles, over the lowest of them: at rest the lowest place is on its seat, and nothing lies deeper, while what the
/// heights have in common (the moulded line's own height) tells nothing. Between stations they are interpolated without new extremes.
#[derive(Clone, Debug, PartialEq)]
pub struct Measured {
    around: Curve,
    heights: Vec<f64>,
    /// The station that stands highest, from 0.
    pub highest: usize,
    /// Pressure at which they were in equilibrium, MPa; none if they are an attempt.
    pub seen_at: Option<f64>,
}

impl Measured {
    /// Of heights, mm, at equal angles round the wheel, three or more.
    pub fn new(heights: &[f64], seen_at: Option<f64>) -> Option<Self> {
        let (n, lowest) = (heights.len(), heights.iter().copied().fold(f64::INFINITY, f64::min));
        let highest = (0..n).max_by(|a, b| heights[*a].total_cmp(&heights[*b]))?;
        let from_highest: Vec<f64> = (0..n).map(|k| heights[(highest + k) % n] - lowest).collect();
        // Twice round, so that the slopes are those inside.
        let places: Vec<f64> = (0..=2 * n).map(|k| TAU * (k as f64 / n as f64 - 1.0)).collect();
        let around = Curve::new(places, (0..=2 * n).map(|k| from_highest[k % n]).collect())?;
        Some(Self { around, heights: from_highest, highest, seen_at })
    }
}

impl Unevenness {
    /// Height at an angle from where it stands highest, mm.
    pub fn at(&self, angle: f64) -> f64 {
        let away = (angle + PI).rem_euclid(TAU) - PI;
        match self {
            Self::Arc { height, arc } => height * bell(away, *arc),
            Self::Measured(measured) => measured.around.at(away).0,
        }
    }

    /// Largest height, mm.
    pub fn tallest(&self) -> f64 {
        match self {
            Self::Arc { height, .. } => *height,
            Self::Measured(measured) => measured.heights.iter().copied().fold(0.0, f64::max),
        }
    }

    /// Whether it is the same to both sides of where it stands highest.
    fn is_symmetric(&self) -> bool {
        match self {
            Self::Arc { .. } => true,
            Self::Measured(Measured { heights, .. }) => {
                let n = heights.len();
                (1..n).all(|k| (heights[k] - heights[n - k]).abs() < ALIKE)
            }
        }
    }
}

/// A dip of the crest.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Dip {
    /// Depth in its middle, mm.
    pub depth: f64,
    /// Length along the wheel, rad.
    pub length: f64,
    /// Angle of its middle from where the bead stands highest, rad.
    pub at: f64,
}

impl Dip {
    /// How much lower the crest lies at stations, mm: a bell, at each station the deepest of its share of the wheel, so that a short dip does
    /// not fall between two.
    fn lowered(&self, basis: &Basis) -> Vec<f64> {
        let half = 0.5 * (basis.angles[1] - basis.angles[0]);
        let depth = |angle: &f64| {
            let away = ((angle - self.at + PI).rem_euclid(TAU) - PI).abs();
            self.depth * bell((away - half).max(0.0), self.length)
        };
        basis.angles.iter().map(depth).collect()
    }
}

/// How much lower the crest lies at stations, mm; nowhere without a dip.
pub fn lowered(dip: Option<&Dip>, basis: &Basis) -> Vec<f64> {
    dip.map_or_else(|| vec![0.0; basis.angles.len()], |dip| dip.lowered(basis))
}

/// Whether both are symmetric about the place where the bead stands highest.
pub fn is_symmetric(unevenness: &Unevenness, dip: Option<&Dip>) -> bool {
    let aside = dip.is_some_and(|dip| dip.at.rem_euclid(TAU) != 0.0);
    unevenness.is_symmetric() && !aside
}

/// A bell of height 1 at an angle from its middle.
fn bell(away: f64, length: f64) -> f64 {
    if away.abs() < 0.5 * length { 0.5 * (1.0 + (TAU * away / length).cos()) } else { 0.0 }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use approx::assert_relative_eq;

    #[test]
    fn measured_heights_go_through_their_stations_without_new_extremes() {
        let heights = [3.0, 3.1, 3.0, 3.4, 4.2, 3.3, 3.0, 3.0, 3.1];
        let measured = Unevenness::Measured(Measured::new(&heights, None).unwrap());
        for (k, height) in heights.iter().enumerate() {
            assert_relative_eq!(measured.at(TAU * (k as f64 - 4.0) / 9.0), height - 3.0, epsilon = 1e-12);
        }
        for k in 0..720 {
            let height = measured.at(0.5 * f64::from(k).to_radians());
            assert!((-1e-12..=1.2 + 1e-12).contains(&height), "{k} {height}");
        }
        assert_relative_eq!(measured.at(1.0), measured.at(1.0 - TAU), epsilon = 1e-12);
        assert!(!measured.is_symmetric() && (measured.tallest() - 1.2).abs() < 1e-12);
    }

    #[test]
    fn a_short_dip_does_not_fall_between_stations() {
        let basis = Basis::full();
        let dip = Dip { depth: 0.8, length: 0.07, at: 0.5 * (basis.angles[3] + basis.angles[4]) };
        let lowered = lowered(Some(&dip), &basis);
        assert_relative_eq!(lowered[3], 0.8, max_relative = 1e-6);
        assert_relative_eq!(lowered[4], 0.8, max_relative = 1e-6);
        assert!(lowered[10] == 0.0 && !is_symmetric(&Unevenness::Arc { height: 1.0, arc: 1.0 }, Some(&dip)));
    }
}
