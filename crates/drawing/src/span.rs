//! A line or arc with both its ends, and what is asked of it: points, directions, distances, cuts.

use crate::section::{Arc, length};
use std::f64::consts::TAU;

/// Bulges below this are lines: the arc departs from its chord by less than 1e-8 of it, and its centre is lost to rounding.
const LEAST_BULGE: f64 = 1e-8;

/// A line or an arc of at most half a turn, in whichever plane its user works.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Span {
    /// Start, mm.
    pub(crate) a: [f64; 2],
    /// End, mm.
    pub(crate) b: [f64; 2],
    /// Bulge as in `section`.
    pub(crate) bulge: f64,
}

/// a - b.
pub(crate) fn minus(a: [f64; 2], b: [f64; 2]) -> [f64; 2] {
    [a[0] - b[0], a[1] - b[1]]
}

/// Scalar product.
pub(crate) fn dot(a: [f64; 2], b: [f64; 2]) -> f64 {
    a[0] * b[0] + a[1] * b[1]
}

/// Third component of the vector product.
pub(crate) fn cross(a: [f64; 2], b: [f64; 2]) -> f64 {
    a[0] * b[1] - a[1] * b[0]
}

/// Distance of two points.
pub(crate) fn distance(a: [f64; 2], b: [f64; 2]) -> f64 {
    (a[0] - b[0]).hypot(a[1] - b[1])
}

/// Angle from direction a to direction b, rad, positive counter-clockwise.
pub(crate) fn turn(a: [f64; 2], b: [f64; 2]) -> f64 {
    cross(a, b).atan2(dot(a, b))
}

/// A vector turned counter-clockwise by an angle.
pub(crate) fn turned(v: [f64; 2], angle: f64) -> [f64; 2] {
    let (sin, cos) = angle.sin_cos();
    [cos * v[0] - sin * v[1], sin * v[0] + cos * v[1]]
}

/// The vector at length 1; zero stays zero.
pub(crate) fn unit(v: [f64; 2]) -> [f64; 2] {
    let size = v[0].hypot(v[1]);
    if size > 0.0 { [v[0] / size, v[1] / size] } else { v }
}

impl Span {
    /// A span; nearly straight arcs become lines.
    pub(crate) fn new(a: [f64; 2], b: [f64; 2], bulge: f64) -> Self {
        Self { a, b, bulge: if bulge.abs() < LEAST_BULGE { 0.0 } else { bulge } }
    }

    /// Whether it is a line.
    pub(crate) fn is_line(&self) -> bool {
        self.bulge == 0.0
    }

    /// Its arc, none for a line.
    pub(crate) fn arc(&self) -> Option<Arc> {
        (!self.is_line()).then(|| Arc::new(self.a, self.b, self.bulge))
    }

    /// The span walked the other way.
    pub(crate) fn reversed(&self) -> Self {
        Self { a: self.b, b: self.a, bulge: -self.bulge }
    }

    /// Length, mm.
    pub(crate) fn length(&self) -> f64 {
        length(self.a, self.b, self.bulge)
    }

    /// Point at a share (0 to 1) of its length.
    pub(crate) fn point(&self, share: f64) -> [f64; 2] {
        match self.arc() {
            Some(arc) => arc.point(share),
            None => [self.a[0] + share * (self.b[0] - self.a[0]), self.a[1] + share * (self.b[1] - self.a[1])],
        }
    }

    /// Direction at a share of its length.
    pub(crate) fn direction(&self, share: f64) -> [f64; 2] {
        // The tangent at the start lies half the sweep before the chord: that is 2 atan(bulge).
        turned(unit(minus(self.b, self.a)), (4.0 * share - 2.0) * self.bulge.atan())
    }

    /// The part between two shares.
    pub(crate) fn part(&self, from: f64, to: f64) -> Self {
        let end = |share: f64, known: [f64; 2], at: f64| if share - at == 0.0 { known } else { self.point(share) };
        Self::new(end(from, self.a, 0.0), end(to, self.b, 1.0), ((to - from) * self.bulge.atan()).tan())
    }

    /// Shares strictly between 0 and 1 at which the first coordinate takes a value, ascending.
    pub(crate) fn cuts(&self, level: f64) -> Vec<f64> {
        let mut shares = match self.arc() {
            None => {
                let rise = self.b[0] - self.a[0];
                if rise == 0.0 { vec![] } else { vec![(level - self.a[0]) / rise] }
            }
            Some(arc) => {
                let cosine = (level - arc.centre[0]) / arc.radius;
                if cosine.abs() > 1.0 {
                    return vec![];
                }
                [cosine.acos(), -cosine.acos()].map(|angle| share_of(&arc, angle)).to_vec()
            }
        };
        shares.retain(|s| *s > 1e-12 && *s < 1.0 - 1e-12);
        shares.sort_by(f64::total_cmp);
        shares.dedup_by(|a, b| *a - *b < 1e-12);
        shares
    }

    /// Smallest distance of a point, mm.
    pub(crate) fn distance(&self, p: [f64; 2]) -> f64 {
        let ends = distance(p, self.a).min(distance(p, self.b));
        match self.arc() {
            None => {
                let chord = minus(self.b, self.a);
                let share = dot(minus(p, self.a), chord) / dot(chord, chord);
                if share > 0.0 && share < 1.0 { distance(p, self.point(share)) } else { ends }
            }
            Some(arc) => {
                let arm = minus(p, arc.centre);
                if share_of(&arc, arm[1].atan2(arm[0])) <= 1.0 { (arm[0].hypot(arm[1]) - arc.radius).abs() } else { ends }
            }
        }
    }

    /// Smallest and largest coordinates.
    pub(crate) fn bounds(&self) -> [[f64; 2]; 2] {
        let mut bounds = [0, 1].map(|axis| [self.a[axis].min(self.b[axis]), self.a[axis].max(self.b[axis])]);
        if let Some(arc) = self.arc() {
            for (axis, sign, angle) in [(0, 1.0, 0.0), (1, 1.0, TAU / 4.0), (0, -1.0, TAU / 2.0), (1, -1.0, -TAU / 4.0)] {
                if share_of(&arc, angle) < 1.0 {
                    let reach = arc.centre[axis] + sign * arc.radius;
                    bounds[axis] = [bounds[axis][0].min(reach), bounds[axis][1].max(reach)];
                }
            }
        }
        bounds
    }

    /// Share (0 to 1) of the point where the first coordinate is largest; the first of equals.
    pub(crate) fn share_of_largest(&self) -> f64 {
        let top = self.arc().map(|arc| share_of(&arc, 0.0)).filter(|share| *share < 1.0);
        let ends = if self.b[0] > self.a[0] { 1.0 } else { 0.0 };
        top.filter(|share| self.point(*share)[0] > self.point(ends)[0]).unwrap_or(ends)
    }
}

/// Share of an arc at which a direction from the centre is met; above 1 when it is not on the arc.
fn share_of(arc: &Arc, angle: f64) -> f64 {
    let along = if arc.sweep > 0.0 { angle - arc.from } else { arc.from - angle };
    along.rem_euclid(TAU) / arc.sweep.abs()
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::float_cmp)]
    use super::*;
    use approx::{assert_abs_diff_eq, assert_relative_eq};

    /// Quarter of the unit circle about (2, 1), clockwise from the top to the right.
    fn quarter() -> Span {
        Span::new([2.0, 2.0], [3.0, 1.0], -(TAU / 16.0).tan())
    }

    #[test]
    fn an_arc_has_directions_bounds_and_distances() {
        let span = quarter();
        assert_relative_eq!(span.direction(0.0)[0], 1.0, max_relative = 1e-12);
        assert_relative_eq!(span.direction(1.0)[1], -1.0, max_relative = 1e-12);
        assert_relative_eq!(span.length(), TAU / 4.0, max_relative = 1e-12);
        let bounds = span.bounds();
        assert_relative_eq!(bounds[0][1], 3.0, max_relative = 1e-12);
        assert_relative_eq!(bounds[1][0], 1.0, max_relative = 1e-12);
        assert_relative_eq!(span.distance([4.0, 3.0]), 8.0_f64.sqrt() - 1.0, max_relative = 1e-12);
        assert_relative_eq!(span.distance([1.0, 1.0]), 2.0_f64.sqrt(), max_relative = 1e-12);
    }

    #[test]
    fn cuts_and_parts_lie_on_the_arc() {
        let span = quarter();
        let share = span.cuts(2.5);
        assert_eq!(share.len(), 1);
        assert_relative_eq!(share[0], 1.0 / 3.0, max_relative = 1e-12);
        let rest = span.part(share[0], 1.0);
        assert_relative_eq!(rest.length(), TAU / 6.0, max_relative = 1e-12);
        assert_relative_eq!(rest.arc().unwrap().centre[1], 1.0, max_relative = 1e-12);
        let line = Span::new([1.0, 0.0], [3.0, 4.0], 0.0);
        assert_eq!(line.cuts(2.0), vec![0.5]);
        assert!(line.cuts(1.0).is_empty());
        assert_eq!(line.share_of_largest(), 1.0);
        // Half a circle to the right is cut twice and reaches farthest half way; clockwise to the left it does at its start.
        let right = Span::new([0.0, -1.0], [0.0, 1.0], 1.0);
        let cuts = right.cuts(0.5_f64.sqrt());
        assert_eq!(cuts.len(), 2);
        assert_abs_diff_eq!(cuts[0], 0.25, epsilon = 1e-12);
        assert_abs_diff_eq!(cuts[1], 0.75, epsilon = 1e-12);
        assert_abs_diff_eq!(right.share_of_largest(), 0.5, epsilon = 1e-12);
        assert_abs_diff_eq!(Span { bulge: -1.0, ..right }.share_of_largest(), 0.0, epsilon = 1e-12);
    }
}
