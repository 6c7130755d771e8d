//! Where a limit lies in all directions from the origin: a scan along rays, for starts of the search for design points and for limits that
//! run round the origin at one distance, which no few design points stand for.

use super::design_point::{DesignPoint, FARTHEST, distance, norm};
use super::pool::Pool;
use super::sequence::{normal_points, seed_for};
use super::simplex::least;

/// Rays, beside both sides of every axis.
const RAYS: usize = 256;
/// Steps along a ray, and halvings of the step in which the limit is crossed.
const STEPS: usize = 24;
const HALVINGS: usize = 12;
/// Most directions that are tried for the nearest place.
const EVALUATIONS: usize = 300;
/// Places of one level, and most levels.
const PLACES: usize = 512;
const LEVELS: u64 = 12;
/// A crossing that lies so much farther out than the nearest adds nothing.
const NEARLY: f64 = 2.0;

/// Places where a limit `g` (kept above zero) is crossed first along rays from the origin, nearest first.
pub fn crossings(g: &dyn Fn(&[f64]) -> f64, dimensions: usize, seed: u32) -> Vec<Vec<f64>> {
    let kept = g(&vec![0.0; dimensions]) > 0.0;
    let axes = (0..dimensions).flat_map(|i| {
        [-1.0, 1.0].map(|side| {
            let mut ray = vec![0.0; dimensions];
            ray[i] = side;
            ray
        })
    });
    let rays = axes.chain(normal_points(RAYS, dimensions, seed));
    let mut found: Vec<Vec<f64>> = rays.filter_map(|ray| crossing(g, &ray, kept)).collect();
    found.sort_by(|a, b| norm(a).total_cmp(&norm(b)));
    let nearest = found.first().map_or(0.0, |place| norm(place));
    found.retain(|place| norm(place) <= nearest + NEARLY);
    found
}

fn crossing(g: &dyn Fn(&[f64]) -> f64, ray: &[f64], kept: bool) -> Option<Vec<f64>> {
    let length = norm(ray).max(f64::MIN_POSITIVE);
    let at = |r: f64| ray.iter().map(|x| r * x / length).collect::<Vec<f64>>();
    let crossed = |r: f64| (g(&at(r)) > 0.0) != kept;
    let step = FARTHEST / STEPS as f64;
    let beyond = (1..=STEPS).find(|k| crossed(step * *k as f64))?;
    let (mut low, mut high) = (step * (beyond - 1) as f64, step * beyond as f64);
    for _ in 0..HALVINGS {
        let middle = 0.5 * (low + high);
        if crossed(middle) { high = middle } else { low = middle }
    }
    Some(at(high))
}

/// The place of a limit `g` nearest to the origin, looked for over directions from a crossing: slower than following gradients, but it
/// needs none that lead anywhere.
pub fn nearest(g: &dyn Fn(&[f64]) -> f64, start: &[f64]) -> Option<DesignPoint> {
    let kept = g(&vec![0.0; start.len()]) > 0.0;
    let far = |ray: &[f64]| crossing(g, ray, kept).map_or(2.0 * FARTHEST, |place| norm(&place));
    let ray = least(&far, start, 0.1 * norm(start), EVALUATIONS);
    let u = crossing(g, &ray, kept)?;
    let length = norm(&u).max(f64::MIN_POSITIVE);
    let direction: Vec<f64> = u.iter().map(|x| if kept { x / length } else { -x / length }).collect();
    Some(DesignPoint { index: if kept { length } else { -length }, direction, u })
}

/// A place beyond a limit `g`, the nearest of those met by going down level by level: places are drawn ever closer round the tenth with the
/// least margin (cross-entropy; R. Rubinstein and D. Kroese, The Cross-Entropy Method, 2004). It needs no gradient, and finds what is too
/// narrow for rays.
pub fn by_levels(g: &dyn Fn(&[f64]) -> f64, dimensions: usize, seed: u32) -> Option<Vec<f64>> {
    let side = if g(&vec![0.0; dimensions]) > 0.0 { 1.0 } else { -1.0 };
    let mut pool = Pool::new(&[], dimensions, PLACES, seed);
    for level in 0..LEVELS {
        let margins: Vec<f64> = pool.places.iter().map(|u| side * g(u)).collect();
        let mut sorted = margins.clone();
        sorted.sort_by(f64::total_cmp);
        let least = sorted[sorted.len() / 10].max(0.0);
        if least <= 0.0 || level + 1 == LEVELS {
            let beyond = pool.places.iter().zip(&margins).filter(|(_, margin)| **margin <= 0.0);
            return beyond.map(|(u, _)| u.clone()).min_by(|a, b| norm(a).total_cmp(&norm(b)));
        }
        let low: Vec<f64> = margins.iter().map(|margin| f64::from(u8::from(*margin <= least))).collect();
        pool = pool.refined(&[low], PLACES, seed_for(seed, level));
    }
    None
}

/// The places `first`, and of `more` those that lie apart from all taken before, up to a number.
pub fn spaced(first: &[Vec<f64>], more: &[Vec<f64>], (most, apart): (usize, f64)) -> Vec<Vec<f64>> {
    let mut taken = first.to_vec();
    for place in more {
        if taken.len() >= most {
            break;
        }
        if taken.iter().all(|other| distance(other, place) >= apart) {
            taken.push(place.clone());
        }
    }
    taken
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use crate::tolerance::design_point::dot;

    #[test]
    fn a_ring_is_found_all_round_and_a_side_only_where_it_is() {
        let ring = crossings(&|u: &[f64]| 4.5 - u[0].hypot(u[1]), 2, 1);
        assert!(ring.len() > RAYS && ring.iter().all(|u| (norm(u) - 4.5).abs() < 0.01));
        let centres = spaced(&[], &ring, (24, 1.5));
        assert!((12..=18).contains(&centres.len()), "28.3 round, 1.5 to 3 apart: {}", centres.len());
        let side = crossings(&|u: &[f64]| 3.0 - u[0], 2, 1);
        assert!(side.iter().all(|u| (u[0] - 3.0).abs() < 0.01 && u[1].abs() < 4.1), "{side:?}");
        assert!(crossings(&|_: &[f64]| 1.0, 3, 1).is_empty());
    }

    /// A cone about one direction at a distance of 4 in six dimensions, which one ray in some hundreds meets.
    #[test]
    fn a_narrow_place_is_found_level_by_level() {
        let axis = [0.5, -0.5, 0.1, 0.5, -0.1, 0.48_f64];
        let length = norm(&axis);
        let g = |u: &[f64]| {
            let along = dot(u, &axis) / length;
            let aside = (dot(u, u) - along * along).max(0.0).sqrt();
            4.0 - along + 2.5 * aside
        };
        assert!(crossings(&g, 6, 1).is_empty());
        let place = by_levels(&g, 6, 1).unwrap();
        assert!(g(&place) <= 0.0 && norm(&place) < 6.0, "{place:?}");
        assert!(by_levels(&|_: &[f64]| 1.0, 3, 1).is_none());
        assert!(by_levels(&|u: &[f64]| u[0] - 2.0, 2, 1).is_some_and(|u| (u[0] - 2.0).abs() < 0.5), "the origin itself fails");
    }

    /// A limit in steps has gradients that lead nowhere; its nearest place is still that of the plane behind it.
    #[test]
    fn the_nearest_place_is_found_without_gradients() {
        let g = |u: &[f64]| (40.0 * (4.0 - 0.6 * u[0] - 0.8 * u[1])).floor();
        let point = nearest(&g, &[4.5, 2.0]).unwrap();
        assert!((point.index - 4.0).abs() < 0.03 && (point.direction[1] - 0.8).abs() < 0.03, "{point:?}");
    }
}
