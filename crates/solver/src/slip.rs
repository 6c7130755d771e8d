//! Grips that slip on the way to the release.

use crate::path::PathPoint;

/// Falls of the pressure below this share of what was reached before are ripples of the mesh.
const RIPPLE: f64 = 0.02;

/// A fall of the pressure that a later rise makes up for: parts of the bead that stuck let go at once, and others take hold.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Slip {
    /// Largest pressure before, MPa.
    pub before: f64,
    /// Lowest pressure of the fall, MPa.
    pub after: f64,
    /// Lift there, mm.
    pub lift: f64,
}

impl Slip {
    /// The fall as a share of the pressure before.
    pub fn share(&self) -> f64 {
        1.0 - self.after / self.before
    }
}

/// The largest slip of a path with friction by its share of the pressure before, if any is worth telling. The fall past the maximum is
/// none, nor is one that the path without friction makes as deep: there the bead snaps off a hump or rolls.
pub fn slip_by_friction(with: &[PathPoint], without: &[PathPoint]) -> Option<Slip> {
    let depth = largest_fall(without).map_or(0.0, |fall| fall.share());
    largest_fall(with).filter(|fall| fall.share() > depth)
}

fn largest_fall(path: &[PathPoint]) -> Option<Slip> {
    let highest = path.iter().map(|p| p.pressure).fold(0.0, f64::max);
    let up_to_maximum = path.iter().position(|p| p.pressure >= highest)?;
    let mut before = 0.0_f64;
    let falls = path[..up_to_maximum].iter().map(|p| {
        before = before.max(p.pressure);
        Slip { before, after: p.pressure, lift: p.lift }
    });
    falls.filter(|s| s.before > 0.0 && s.share() > RIPPLE).max_by(|a, b| a.share().total_cmp(&b.share()))
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use crate::path::point;

    fn path(pressures: &[f64]) -> Vec<PathPoint> {
        pressures.iter().enumerate().map(|(i, p)| point(*p, 0.1 * i as f64, 0.0)).collect()
    }

    #[test]
    fn the_deepest_fall_before_the_maximum_is_told() {
        let found = slip_by_friction(&path(&[0.0, 0.5, 0.48, 0.6, 0.57, 0.54, 0.7, 0.3]), &path(&[0.0, 0.5, 0.2])).unwrap();
        assert!((found.before - 0.6).abs() < 1e-12 && (found.after - 0.54).abs() < 1e-12 && (found.lift - 0.5).abs() < 1e-12);
    }

    #[test]
    fn neither_ripples_nor_the_release_are_slips() {
        assert_eq!(slip_by_friction(&path(&[0.0, 0.5, 0.495, 0.6, 0.7, 0.65, 0.4]), &[]), None);
        assert_eq!(slip_by_friction(&[], &[]), None);
    }

    #[test]
    fn a_bead_that_snaps_without_friction_too_does_not_slip() {
        let snaps = path(&[0.0, 0.5, 0.4, 0.6, 0.3]);
        assert_eq!(slip_by_friction(&snaps, &snaps), None);
        assert!(slip_by_friction(&path(&[0.0, 0.5, 0.35, 0.6, 0.3]), &snaps).is_some());
    }
}
