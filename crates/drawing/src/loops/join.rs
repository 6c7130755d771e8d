//! Joins lines and arcs whose ends meet to closed loops.

use super::TOLERANCE;
use crate::error::{DrawingError, Place};
use crate::span::{Span, distance};
use std::collections::HashMap;

/// Ends by number: 2 i is the start of span i, 2 i + 1 its end.
struct Ends {
    points: Vec<[f64; 2]>,
    cells: HashMap<(i64, i64), Vec<usize>>,
}

/// Cell of the search grid, as wide as the tolerance.
fn cell(p: [f64; 2]) -> (i64, i64) {
    // Coordinates have passed the check of radii, so the numbers are small.
    #[allow(clippy::cast_possible_truncation)]
    let index = |c: f64| (c / TOLERANCE).floor() as i64;
    (index(p[0]), index(p[1]))
}

impl Ends {
    fn new(spans: &[Span]) -> Self {
        let points: Vec<_> = spans.iter().flat_map(|s| [s.a, s.b]).collect();
        let mut cells: HashMap<_, Vec<usize>> = HashMap::new();
        for (end, p) in points.iter().enumerate() {
            cells.entry(cell(*p)).or_default().push(end);
        }
        Self { points, cells }
    }

    /// The other end that meets an end; none when it is open.
    fn partner(&self, end: usize) -> Result<Option<usize>, DrawingError> {
        let (x, y) = cell(self.points[end]);
        let mut found = None;
        for key in (x - 1..=x + 1).flat_map(|x| (y - 1..=y + 1).map(move |y| (x, y))) {
            for &other in self.cells.get(&key).into_iter().flatten() {
                if other != end && distance(self.points[end], self.points[other]) <= TOLERANCE {
                    if found.is_some() {
                        return Err(DrawingError::Branch { place: Place(self.points[end]) });
                    }
                    found = Some(other);
                }
            }
        }
        Ok(found)
    }

    /// The gap from an open end to the nearest other open end.
    fn gap(&self, open: &[usize]) -> DrawingError {
        let from = self.points[open[0]];
        let away = |end: &usize| distance(from, self.points[*end]);
        let to = open[1..].iter().min_by(|a, b| away(a).total_cmp(&away(b))).map_or(from, |end| self.points[*end]);
        DrawingError::Gap { from: Place(from), to: Place(to), distance: distance(from, to), tolerance: TOLERANCE }
    }
}

/// Joins spans to closed loops; the ends of neighbours become their middle.
pub(super) fn loops(spans: &[Span]) -> Result<Vec<Vec<Span>>, DrawingError> {
    // What is shorter than the tolerance has both its ends in one point.
    let spans: Vec<Span> = spans.iter().copied().filter(|s| distance(s.a, s.b) > TOLERANCE).collect();
    let ends = Ends::new(&spans);
    let partners = (0..2 * spans.len()).map(|end| ends.partner(end)).collect::<Result<Vec<_>, _>>()?;
    let open: Vec<usize> = (0..partners.len()).filter(|end| partners[*end].is_none()).collect();
    if !open.is_empty() {
        return Err(ends.gap(&open));
    }
    let partners: Vec<usize> = partners.into_iter().flatten().collect();
    let mut seen = vec![false; spans.len()];
    let mut loops = Vec::new();
    for first in 0..spans.len() {
        let (mut span, mut forward, mut joined) = (first, true, Vec::new());
        while !seen[span] {
            seen[span] = true;
            let (start, end) = if forward { (2 * span, 2 * span + 1) } else { (2 * span + 1, 2 * span) };
            let bulge = if forward { spans[span].bulge } else { -spans[span].bulge };
            joined.push(Span { a: middle(&ends, start, partners[start]), b: middle(&ends, end, partners[end]), bulge });
            (span, forward) = (partners[end] / 2, partners[end].is_multiple_of(2));
        }
        if !joined.is_empty() {
            loops.push(joined);
        }
    }
    Ok(loops)
}

/// Middle of two ends.
fn middle(ends: &Ends, a: usize, b: usize) -> [f64; 2] {
    let (a, b) = (ends.points[a.min(b)], ends.points[a.max(b)]);
    [0.5 * (a[0] + b[0]), 0.5 * (a[1] + b[1])]
}
