//! Compares a full section with its mirror image.

use crate::error::{DrawingError, Place};
use crate::span::Span;

/// Largest distance of a section from its mirror image, mm.
const TOLERANCE: f64 = 0.02;
/// Shares of each span at which it is compared.
const SHARES: [f64; 4] = [0.0, 0.25, 0.5, 0.75];

/// Refuses a full section that is not symmetric about x = 0.
pub(super) fn check(loops: &[Vec<Span>]) -> Result<(), DrawingError> {
    let mut bounded: Vec<_> = loops.iter().flatten().map(|s| (s.bounds(), s)).collect();
    bounded.sort_by(|a, b| a.0[0][0].total_cmp(&b.0[0][0]));
    let widest = bounded.iter().map(|([x, _], _)| x[1] - x[0]).fold(0.0, f64::max);
    let mut worst = (TOLERANCE, [0.0; 2]);
    for p in loops.iter().flatten().flat_map(|s| SHARES.map(|share| s.point(share))) {
        let image = [-p[0], p[1]];
        // Only a place farther off than the worst so far matters; spans out of its reach need no look.
        let from = bounded.partition_point(|([x, _], _)| x[0] < image[0] - worst.0 - widest);
        let mut near = bounded[from..].iter().take_while(|([x, _], _)| x[0] <= image[0] + worst.0);
        let level = |y: &[f64; 2]| y[0] <= image[1] + worst.0 && y[1] >= image[1] - worst.0;
        if near.any(|([_, y], s)| level(y) && s.distance(image) <= worst.0) {
            continue;
        }
        let deviation = bounded.iter().map(|(_, s)| s.distance(image)).fold(f64::INFINITY, f64::min);
        worst = (deviation, p);
    }
    if worst.0 > TOLERANCE {
        return Err(DrawingError::NotSymmetric { place: Place(worst.1), deviation: worst.0, tolerance: TOLERANCE });
    }
    Ok(())
}
