//! The worst case: the corners of the tolerances to which differences point, solved.

use super::joint::Joint;
use super::marginal::Marginal;
use super::sample::{Ask, Purpose, Record, Sample};

/// Ends of a spread that has none, in standard deviations about its mean: common practice, no source.
pub const ENDS: f64 = 3.0;
/// Normal coordinate at which one input is set aside for a difference: far enough for the ripple of finite elements not to matter.
const ASIDE: f64 = 1.5;
/// A quantity turns round within a spread where both sides lie on one side of the centre by more than this share of the difference.
const BENT: f64 = 0.25;

/// Values of the inputs at a corner of the tolerances, and the number found there.
pub type Corner = (Vec<f64>, Option<f64>);

/// How a quantity (a margin, or a further number) changes over the tolerances.
#[derive(Clone, Debug, PartialEq)]
pub struct Range {
    /// At every input's centre; none where it was not found.
    pub centre: Option<f64>,
    /// Change for one standard deviation of each input, by differences of solved samples.
    pub slopes: Vec<Option<f64>>,
    /// Inputs over whose spread it does not only rise or fall, so that a corner need not be its extreme.
    pub bent: Vec<usize>,
    /// Values of the inputs at the corners where it is least and greatest by the slopes, and the number found there; none where no slope
    /// is known, as where paths end before the number is found.
    pub corners: Option<[Corner; 2]>,
    /// Least and greatest number of all samples within the tolerances.
    pub extremes: Option<[f64; 2]>,
    /// The sample, by its place in the record, that has less than every corner that was solved.
    pub below_corners: Option<usize>,
}

/// Every input at its centre.
pub fn centre(joint: &Joint) -> Vec<f64> {
    joint.marginals().iter().map(Marginal::centre).collect()
}

/// Ends of a spread, told ones or [`ENDS`] deviations about the mean.
pub fn ends(marginal: &Marginal) -> [f64; 2] {
    let [mean, deviation] = marginal.moments();
    marginal.ends().unwrap_or([mean - ENDS * deviation, mean + ENDS * deviation])
}

/// Solves the centre, two samples for each input, and the corners that they point to.
///
/// # Errors
/// What `ask` fails with.
pub fn ranges<E>(joint: &Joint, limits: usize, record: &mut Record, ask: Ask<'_, E>) -> Result<Vec<Range>, E> {
    let centre = centre(joint);
    let middle = record.solve(Purpose::Centre, std::slice::from_ref(&centre), ask)?;
    let Some(middle) = middle.first() else { return Ok(Vec::new()) };
    let aside: Vec<Vec<f64>> =
        (0..joint.dimensions()).flat_map(|i| [-ASIDE, ASIDE].map(|z| moved(joint, &centre, i, z))).collect();
    let around = record.solve(Purpose::Gradient, &aside, ask)?;
    let quantities = limits + middle.loads.len();
    let mut ranges: Vec<Range> = (0..quantities).map(|q| slopes(joint, q, (&centre, middle), &aside, &around)).collect();
    let places: Vec<Vec<f64>> = ranges.iter().flat_map(|range| range.corners.iter().flatten().map(|(x, _)| x.clone())).collect();
    let corners = record.solve(Purpose::Corner, &places, ask)?;
    let mut solved = corners.iter();
    for (q, range) in ranges.iter_mut().enumerate() {
        for ((_, found), sample) in range.corners.iter_mut().flatten().zip(solved.by_ref()) {
            *found = quantity(sample, q);
        }
        let all = corners.iter().chain([middle]).filter_map(|sample| quantity(sample, q));
        range.extremes = all.fold(None, |found: Option<[f64; 2]>, v| Some(found.map_or([v, v], |[a, b]| [a.min(v), b.max(v)])));
    }
    Ok(ranges)
}

/// Takes in every further sample within the tolerances: where a quantity turns round, its extreme lies at no corner.
pub fn widen(ranges: &mut [Range], joint: &Joint, record: &Record) {
    let all: Vec<[f64; 2]> = joint.marginals().iter().map(ends).collect();
    let within = |x: &[f64]| x.iter().zip(&all).all(|(x, [low, high])| (low..=high).contains(&x));
    for (q, range) in ranges.iter_mut().enumerate() {
        for (k, solved) in record.solved.iter().enumerate().filter(|(_, solved)| within(&solved.x)) {
            let (Some(value), Some([least, greatest])) = (quantity(&solved.sample, q), range.extremes) else { continue };
            if value < least {
                range.below_corners = Some(k);
            }
            range.extremes = Some([least.min(value), greatest.max(value)]);
        }
    }
}

fn moved(joint: &Joint, centre: &[f64], i: usize, z: f64) -> Vec<f64> {
    let mut x = centre.to_vec();
    x[i] = joint.marginals()[i].at(z);
    x
}

/// A margin, or beyond the limits a further number.
fn quantity(sample: &Sample, q: usize) -> Option<f64> {
    let limits = sample.margins.len();
    if q < limits { sample.margins[q] } else { sample.loads.get(q - limits).copied().flatten() }
}

fn slopes(joint: &Joint, q: usize, (centre, middle): (&[f64], &Sample), aside: &[Vec<f64>], around: &[Sample]) -> Range {
    let at_centre = quantity(middle, q);
    let mut range =
        Range { centre: at_centre, slopes: Vec::new(), bent: Vec::new(), corners: None, extremes: None, below_corners: None };
    for (i, marginal) in joint.marginals().iter().enumerate() {
        let (below, above) = (quantity(&around[2 * i], q), quantity(&around[2 * i + 1], q));
        let width = (aside[2 * i + 1][i] - aside[2 * i][i]) / marginal.moments()[1];
        let slope = below.zip(above).map(|(below, above)| (above - below) / width);
        if let (Some(below), Some(above), Some(middle)) = (below, above, at_centre) {
            let (left, right) = (below - middle, above - middle);
            if left * right > 0.0 && left.abs().min(right.abs()) > BENT * (above - below).abs() {
                range.bent.push(i);
            }
        }
        if let Some(slope) = slope.filter(|slope| slope.abs() > 0.0) {
            let [low, high] = ends(marginal);
            let [(least, _), (greatest, _)] =
                range.corners.get_or_insert_with(|| std::array::from_fn(|_| (centre.to_vec(), None)));
            (least[i], greatest[i]) = if slope > 0.0 { (low, high) } else { (high, low) };
        }
        range.slopes.push(slope);
    }
    range
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    #[test]
    fn the_corners_of_a_monotonic_margin_are_found_and_a_bend_is_told() {
        let marginals = vec![Marginal::uniform([1.0, 3.0]), Marginal::normal(0.0, 0.5), Marginal::uniform([-1.0, 1.0])];
        let joint = Joint::new(marginals, &[]).unwrap();
        let margin = |x: &[f64]| 5.0 - x[0] + 2.0 * x[1] - x[2] * x[2];
        let mut record = Record::default();
        let mut solve = |_: Purpose, places: &[Vec<f64>]| {
            Ok::<_, ()>(places.iter().map(|x| Sample { loads: vec![Some(x[0])], ..Sample::of(vec![margin(x)]) }).collect())
        };
        let ranges = ranges(&joint, 1, &mut record, &mut solve).unwrap();
        assert_eq!(ranges.len(), 2);
        let [(least, _), (greatest, _)] = ranges[0].corners.clone().unwrap();
        assert_eq!([&least[..2], &greatest[..2]], [[3.0, -1.5], [1.0, 1.5]]);
        assert_eq!(ranges[0].bent, [2], "x2 has its greatest margin in the middle");
        assert!((ranges[0].extremes.unwrap()[0] - (-1.0 - least[2].powi(2))).abs() < 1e-9);
        assert_eq!(ranges[1].extremes, Some([1.0, 3.0]));
        let slope = ranges[0].slopes[1].unwrap();
        assert!((slope - 1.0).abs() < 1e-9, "twice the deviation of a half: {slope}");
        assert_eq!(record.solved.len(), 1 + 6 + 4, "{:?}", record.solved);
        // The margin is least at both ends of x2, one of which is no corner; beyond the ends nothing counts.
        let ends = [vec![3.0, -1.5, 1.0], vec![3.0, -1.5, -1.0], vec![3.0, -1.6, 1.0]];
        record.solve(Purpose::Check, &ends, &mut solve).unwrap();
        let mut ranges = ranges;
        widen(&mut ranges, &joint, &record);
        assert!((ranges[0].extremes.unwrap()[0] - (5.0 - 3.0 - 3.0 - 1.0)).abs() < 1e-12);
        assert_eq!(ranges[0].below_corners.map(|k| record.solved[k].x[1]), Some(-1.5));
    }
}
