//! Ellipses and splines as arcs.
//!
//! A curve is cut into pieces until two arcs that meet both ends and both directions of a piece lie within a tolerance of it.
//! Splines: de Boor's algorithm (Piegl and Tiller, The NURBS Book, 2nd ed., chapters 3 and 4; from memory), in homogeneous coordinates.

use super::pairs::Entity;
use crate::biarc;
use crate::span::{Span, distance, unit};

/// How far arcs may lie from a curve, mm: below what any rim is made to.
pub(super) const TOLERANCE: f64 = 5e-4;
/// Most halvings of a piece.
const MOST_HALVINGS: u32 = 10;
/// Where on a piece the distance is looked at, as shares of its parameter.
const LOOKED_AT: [f64; 7] = [0.125, 0.25, 0.375, 0.5, 0.625, 0.75, 0.875];
/// Most control points of a spline.
const MOST_POINTS: usize = 5_000;
/// Highest degree of a spline.
const MOST_DEGREE: usize = 10;

/// A plane curve in smooth pieces.
pub(super) trait Curve {
    /// First and last parameter of each smooth piece, in order.
    fn pieces(&self) -> Vec<[f64; 2]>;

    /// The point at a parameter of a piece.
    fn point(&self, piece: usize, t: f64) -> [f64; 2];
}

/// Arcs within a tolerance of a curve; both in its unit of length.
pub(super) fn arcs(curve: &impl Curve, tolerance: f64) -> Vec<Span> {
    let pieces = curve.pieces();
    let part = |(i, range): (usize, &[f64; 2])| cut(&|t| curve.point(i, t), *range, tolerance, MOST_HALVINGS);
    pieces.iter().enumerate().flat_map(part).collect()
}

/// Arcs of one smooth piece.
fn cut(point: &dyn Fn(f64) -> [f64; 2], [from, to]: [f64; 2], tolerance: f64, halvings: u32) -> Vec<Span> {
    let at = |share: f64| from + share * (to - from);
    // One-sided differences, which need no derivative where it vanishes; second order.
    let h = 1e-4;
    let slope = |p: [f64; 2], q: [f64; 2], r: [f64; 2]| unit([0, 1].map(|k| 4.0 * q[k] - 3.0 * p[k] - r[k]));
    let (a, b) = (point(from), point(to));
    let start = slope(a, point(at(h)), point(at(2.0 * h)));
    let back = slope(b, point(at(1.0 - h)), point(at(1.0 - 2.0 * h)));
    let end = back.map(|c| -c);
    let spans = biarc::between(a, b, start, end);
    let off = |share: &f64| {
        let p = point(at(*share));
        spans.iter().map(|span| span.distance(p)).fold(f64::INFINITY, f64::min) > tolerance
    };
    // A piece that turns back within itself may have both ends in one place.
    let closed = distance(a, b) <= tolerance && distance(a, point(at(0.5))) > tolerance;
    if halvings > 0 && (halvings == MOST_HALVINGS || closed || LOOKED_AT.iter().any(off)) {
        let middle = at(0.5);
        let mut both = cut(point, [from, middle], tolerance, halvings - 1);
        both.extend(cut(point, [middle, to], tolerance, halvings - 1));
        return both;
    }
    spans
}

/// An ellipse or a part of one.
#[derive(Clone, Debug)]
pub(super) struct Ellipse {
    pub(super) centre: [f64; 2],
    /// Half axis at parameter 0.
    pub(super) major: [f64; 2],
    /// Half axis at a quarter of a turn.
    pub(super) minor: [f64; 2],
    /// First parameter, rad.
    pub(super) from: f64,
    /// How far the parameter runs, rad.
    pub(super) sweep: f64,
}

impl Curve for Ellipse {
    fn pieces(&self) -> Vec<[f64; 2]> {
        vec![[self.from, self.from + self.sweep]]
    }

    fn point(&self, _: usize, t: f64) -> [f64; 2] {
        [0, 1].map(|k| self.centre[k] + t.cos() * self.major[k] + t.sin() * self.minor[k])
    }
}

/// A B-spline, rational or not.
#[derive(Clone, Debug)]
pub(super) struct Spline {
    degree: usize,
    knots: Vec<f64>,
    /// Control points as (w x, w y, w).
    points: Vec<[f64; 3]>,
    /// Numbers of the knot spans that have a length, in order.
    spans: Vec<usize>,
}

impl Spline {
    /// As an entity says; none without control points, with knots that do not fit them or fall, or with weights that are not positive.
    pub(super) fn of(entity: &Entity<'_>) -> Option<Self> {
        let (x, y) = (entity.all(10), entity.all(20));
        let (knots, weights) = (entity.all(40), entity.all(41));
        // A degree is a small whole number; others do not fit.
        let degree = entity.number(71, 3.0) as usize;
        let n = x.len();
        let fits = (1..=MOST_DEGREE).contains(&degree)
            && (degree + 1..=MOST_POINTS).contains(&n)
            && y.len() == n
            && knots.len() == n + degree + 1
            && knots.is_sorted()
            && knots[degree] < knots[n]
            && (weights.is_empty() || weights.len() == n && weights.iter().all(|w| *w > 0.0));
        if !fits {
            return None;
        }
        let weight = |i: usize| weights.get(i).copied().unwrap_or(1.0);
        let points = (0..n).map(|i| [weight(i) * x[i], weight(i) * y[i], weight(i)]).collect();
        let spans = (degree..n).filter(|&k| knots[k] < knots[k + 1]).collect();
        Some(Self { degree, knots, points, spans })
    }
}

impl Curve for Spline {
    fn pieces(&self) -> Vec<[f64; 2]> {
        self.spans.iter().map(|&k| [self.knots[k], self.knots[k + 1]]).collect()
    }

    fn point(&self, piece: usize, t: f64) -> [f64; 2] {
        let (p, knots, k) = (self.degree, &self.knots, self.spans[piece]);
        let mut d: Vec<[f64; 3]> = self.points[k - p..=k].to_vec();
        for r in 1..=p {
            for j in (r..=p).rev() {
                let (low, high) = (knots[j + k - p], knots[j + 1 + k - r]);
                let share = (t - low) / (high - low);
                d[j] = [0, 1, 2].map(|i| (1.0 - share) * d[j - 1][i] + share * d[j][i]);
            }
        }
        [d[p][0] / d[p][2], d[p][1] / d[p][2]]
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use crate::span::minus;
    use approx::assert_relative_eq;
    use std::f64::consts::TAU;

    /// Twice the area between a chain and the origin, with the segments of its arcs.
    fn area(spans: &[Span]) -> f64 {
        let segment = |span: &Span| {
            let sweep = 4.0 * span.bulge.atan();
            span.arc().map_or(0.0, |arc| 0.5 * arc.radius * arc.radius * (sweep - sweep.sin()))
        };
        spans.iter().map(|s| 0.5 * (s.a[0] * s.b[1] - s.a[1] * s.b[0]) + segment(s)).sum()
    }

    fn spline(degree: f64, knots: &[f64], points: &[[f64; 3]]) -> Option<Spline> {
        let mut numbers = vec![(71, degree)];
        numbers.extend(knots.iter().map(|knot| (40, *knot)));
        numbers.extend(points.iter().flat_map(|p| [(10, p[0]), (20, p[1]), (41, p[2])]));
        Spline::of(&Entity { kind: "SPLINE", numbers, vertices: vec![] })
    }

    /// pi a b, and a chain without gaps whose points satisfy the ellipse's equation.
    #[test]
    fn an_ellipse_has_its_area() {
        let ellipse = Ellipse { centre: [1.0, 2.0], major: [9.0, 0.0], minor: [0.0, 4.0], from: 0.0, sweep: TAU };
        let spans = arcs(&ellipse, TOLERANCE);
        assert_relative_eq!(area(&spans), 36.0 * TAU / 2.0, max_relative = 2e-5);
        assert!(spans.windows(2).all(|w| distance(w[0].b, w[1].a) < 1e-9));
        // Two arcs that meet ends and directions are of third order: an eighth of the tolerance takes twice the arcs.
        let finer = arcs(&ellipse, TOLERANCE / 8.0).len() as f64 / spans.len() as f64;
        assert!((1.6..2.5).contains(&finer) && spans.len() < 100, "{finer}, {}", spans.len());
        for span in &spans {
            let p = span.point(0.5);
            let off = ((p[0] - 1.0) / 9.0).hypot((p[1] - 2.0) / 4.0) - 1.0;
            assert!(off.abs() * 9.0 < 2.0 * TOLERANCE, "{off}");
        }
    }

    /// A rational spline of degree 2 with weights 1, 1/sqrt 2, ... is the circle (The NURBS Book, section 7.5).
    #[test]
    fn a_rational_spline_is_the_circle() {
        let w = 0.5_f64.sqrt();
        let corners =
            [[5.0, 0.0], [5.0, 5.0], [0.0, 5.0], [-5.0, 5.0], [-5.0, 0.0], [-5.0, -5.0], [0.0, -5.0], [5.0, -5.0], [5.0, 0.0]];
        let points: Vec<[f64; 3]> =
            corners.iter().enumerate().map(|(i, p)| [p[0], p[1], if i % 2 == 0 { 1.0 } else { w }]).collect();
        let knots = [0.0, 0.0, 0.0, 0.25, 0.25, 0.5, 0.5, 0.75, 0.75, 1.0, 1.0, 1.0];
        let spans = arcs(&spline(2.0, &knots, &points).unwrap(), TOLERANCE);
        assert_relative_eq!(area(&spans), 12.5 * TAU, max_relative = 1e-8);
        for span in &spans {
            assert_relative_eq!(span.arc().unwrap().radius, 5.0, max_relative = 1e-5);
        }
    }

    /// A cubic without inner knots is Bezier's curve: its middle is (p0 + 3 p1 + 3 p2 + p3) / 8. With y = 3 h t (1 - t) and
    /// dx = 6 w t (1 - t) dt the area over its chord is 3/5 w h, 14.4 here.
    #[test]
    fn a_cubic_is_that_of_bezier() {
        let points = [[0.0, 0.0, 1.0], [0.0, 4.0, 1.0], [6.0, 4.0, 1.0], [6.0, 0.0, 1.0]];
        let cubic = spline(3.0, &[0.0, 0.0, 0.0, 0.0, 1.0, 1.0, 1.0, 1.0], &points).unwrap();
        assert_relative_eq!(cubic.point(0, 0.5)[..], [3.0, 3.0][..], max_relative = 1e-12);
        let spans = arcs(&cubic, TOLERANCE);
        assert_relative_eq!(-area(&spans), 14.4, max_relative = 2e-4);
        assert!(distance(minus(spans[0].direction(0.0), [0.0, 1.0]), [0.0, 0.0]) < 1e-4);
    }

    #[test]
    fn what_is_no_spline_is_none() {
        let points = [[0.0, 0.0, 1.0], [0.0, 4.0, 1.0], [6.0, 4.0, 1.0], [6.0, 0.0, 1.0]];
        let knots = [0.0, 0.0, 0.0, 0.0, 1.0, 1.0, 1.0, 1.0];
        assert!(spline(3.0, &knots, &points).is_some());
        for bad in [
            spline(3.0, &knots[1..], &points),
            spline(4.0, &knots, &points),
            spline(-1.0, &knots, &points),
            spline(3.0, &[0.0; 8], &points),
            spline(3.0, &[0.0, 0.0, 0.0, 1.0, 0.5, 1.0, 1.0, 1.0], &points),
            spline(3.0, &knots, &[[0.0, 0.0, 1.0], [0.0, 4.0, 0.0], [6.0, 4.0, 1.0], [6.0, 0.0, 1.0]]),
            spline(3.0, &knots, &[]),
        ] {
            assert!(bad.is_none(), "{bad:?}");
        }
    }
}
