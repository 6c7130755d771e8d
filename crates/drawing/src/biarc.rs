//! A smooth chain of lines and arcs through points.
//!
//! Biarcs with equal legs: Bolton, Biarc curves, Computer-Aided Design 7 (1975); from memory.

use crate::span::{Span, cross, distance, dot, minus, turn, turned, unit};

/// Points this close to the line through their neighbours lie on it, mm.
const IN_A_ROW: f64 = 1e-6;
/// Angles below this are none, rad.
const NO_ANGLE: f64 = 1e-6;
/// Arcs whose centres and radii agree within this share of the radius are one arc.
const SAME_ARC: f64 = 1e-3;

/// Directions of arrival and departure at a point.
type Directions = [[f64; 2]; 2];

/// Lines and arcs through the points, at least two, in order.
pub(crate) fn through(points: &[[f64; 2]]) -> Vec<Span> {
    let straight = straight(points);
    let directions: Vec<Directions> = (0..points.len()).map(|i| directions(points, &straight, i)).collect();
    let mut spans: Vec<Span> = Vec::new();
    for (i, w) in points.windows(2).enumerate() {
        let new = if straight[i] {
            vec![Span::new(w[0], w[1], 0.0)]
        } else {
            between(w[0], w[1], directions[i][1], directions[i + 1][0])
        };
        for span in new {
            match spans.last().and_then(|last| merged(last, &span)) {
                Some(both) => {
                    spans.pop();
                    spans.push(both);
                }
                None => spans.push(span),
            }
        }
    }
    spans
}

/// Which segments between points lie in a row with a neighbour.
fn straight(points: &[[f64; 2]]) -> Vec<bool> {
    let mut straight = vec![false; points.len().saturating_sub(1)];
    for (i, w) in points.windows(3).enumerate() {
        if in_a_row(w[0], w[1], w[2]) {
            straight[i] = true;
            straight[i + 1] = true;
        }
    }
    straight
}

/// Whether b lies on the line from a to c.
fn in_a_row(a: [f64; 2], b: [f64; 2], c: [f64; 2]) -> bool {
    let (u, v) = (minus(b, a), minus(c, a));
    dot(u, minus(c, b)) > 0.0 && cross(u, v).abs() <= IN_A_ROW * v[0].hypot(v[1])
}

/// Directions at point i: those of straight segments beside it, or of the circle through it and its neighbours.
fn directions(points: &[[f64; 2]], straight: &[bool], i: usize) -> Directions {
    let segment = |k: usize| unit(minus(points[k + 1], points[k]));
    let (before, after) = (i > 0 && straight[i - 1], i + 1 < points.len() && straight[i]);
    if before || after {
        let arrival = if before { segment(i - 1) } else { segment(i) };
        return [arrival, if after { segment(i) } else { arrival }];
    }
    // The circle through three points, the middle one clamped into the chain.
    let last = points.len() - 1;
    if last < 2 {
        return [segment(0); 2];
    }
    let k = i.clamp(1, last - 1);
    let (u, v) = (segment(k - 1), segment(k));
    let angle = turn(u, v);
    let reach = distance(points[k - 1], points[k + 1]);
    // Half the arc over a chord is the angle at the circle over it.
    let half = |chord: f64| (angle.sin() * chord / reach).clamp(-1.0, 1.0).asin();
    let (first, second) = (half(distance(points[k - 1], points[k])), half(distance(points[k], points[k + 1])));
    let direction = match i.cmp(&k) {
        std::cmp::Ordering::Less => turned(u, -first),
        std::cmp::Ordering::Equal => turned(u, first),
        std::cmp::Ordering::Greater => turned(v, second),
    };
    [direction; 2]
}

/// One or two arcs from a to b with given directions.
pub(crate) fn between(a: [f64; 2], b: [f64; 2], from: [f64; 2], to: [f64; 2]) -> Vec<Span> {
    let chord = minus(b, a);
    let (first, second) = (turn(from, chord), turn(chord, to));
    if (first - second).abs() < NO_ANGLE {
        return vec![Span::new(a, b, (0.5 * first).tan())];
    }
    // Legs of length d along both directions: |b - a - d (from + to)| = 2 d.
    let sum = [from[0] + to[0], from[1] + to[1]];
    let (along, square) = (dot(chord, sum), dot(chord, chord));
    let open = 2.0 * (1.0 - dot(from, to));
    let leg =
        if open < NO_ANGLE * NO_ANGLE { 0.5 * square / along } else { ((along * along + open * square).sqrt() - along) / open };
    let joint = [0, 1].map(|k| 0.5 * (a[k] + b[k] + leg * (from[k] - to[k])));
    let bulge = |angle: f64| (0.5 * angle).tan();
    if !leg.is_finite() {
        return vec![Span::new(a, b, 0.0)];
    }
    vec![Span::new(a, joint, bulge(turn(from, minus(joint, a)))), Span::new(joint, b, bulge(turn(minus(b, joint), to)))]
}

/// Two spans on one line or circle as one, of at most half a turn.
fn merged(s: &Span, t: &Span) -> Option<Span> {
    match (s.arc(), t.arc()) {
        (None, None) => in_a_row(s.a, s.b, t.b).then(|| Span::new(s.a, t.b, 0.0)),
        (Some(a), Some(b)) => {
            let sweep = a.sweep + b.sweep;
            let close = SAME_ARC * a.radius;
            let same = a.sweep * b.sweep > 0.0 && (a.radius - b.radius).abs() < close && distance(a.centre, b.centre) < close;
            (same && sweep.abs() < std::f64::consts::PI).then(|| Span::new(s.a, t.b, (0.25 * sweep).tan()))
        }
        _ => None,
    }
}
