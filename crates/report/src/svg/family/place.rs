//! Where the lines of a family lie in their frame.

use super::series::Family;
use crate::svg::frame::{Frame, range};
use crate::svg::ticks;

pub(super) const WIDTH: f64 = 760.0;
pub(super) const HEIGHT: f64 = 470.0;
/// Values along the axis are their own ticks up to so many, if they stand far enough apart.
const MOST_OWN_TICKS: usize = 8;
/// Least distance of two ticks along the axis as a share of its length.
const APART: f64 = 0.1;

/// A frame round all points of a family and the given heights.
pub(super) fn around(family: &Family, values: impl Iterator<Item = f64>) -> Frame {
    let places = family.series.iter().flat_map(|series| series.points.iter().map(|point| point.0));
    let right = if family.legend.is_empty() { 600.0 } else { 560.0 };
    Frame { x: [84.0, right], y: [410.0, 92.0], x_range: range(places, 0.04), y_range: range(values, 0.08) }
}

/// Ticks along both axes.
pub(super) fn both_ticks(frame: &Frame, family: &Family) -> [Vec<f64>; 2] {
    [along(frame, family), ticks(frame.y_range[0], frame.y_range[1], 6.0)]
}

fn along(frame: &Frame, family: &Family) -> Vec<f64> {
    let mut own: Vec<f64> = family.series.iter().flat_map(|series| series.points.iter().map(|point| point.0)).collect();
    own.sort_by(f64::total_cmp);
    own.dedup();
    let [first, last] = frame.x_range;
    let least = APART * (last - first);
    if own.len() <= MOST_OWN_TICKS && own.windows(2).all(|pair| pair[1] - pair[0] >= least) {
        return own;
    }
    let mut even = ticks(first, last, 7.0);
    // There is no variant between two.
    even.retain(|t| !family.by_number || (t.round() - t).abs() < 1e-9);
    even
}
