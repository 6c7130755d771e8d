//! Looks for lines and arcs that cross, touch or lie on each other.

use super::TOLERANCE;
use crate::error::{DrawingError, Place};
use crate::section::Arc;
use crate::span::{Span, cross, distance, dot, minus, turn};

/// A point this close to a span lies on it, mm.
const ON: f64 = 1e-6;
/// Neighbours whose directions come this close to opposite fold back on each other, rad.
const FOLD: f64 = 2e-3;

/// A span with its bounds and its neighbours.
struct Item {
    span: Span,
    bounds: [[f64; 2]; 2],
}

/// Refuses loops that cross themselves or each other.
pub(super) fn check(loops: &[Vec<Span>]) -> Result<(), DrawingError> {
    for spans in loops {
        for (i, span) in spans.iter().enumerate() {
            let next = &spans[(i + 1) % spans.len()];
            if turn(span.direction(1.0), next.direction(0.0)).abs() > std::f64::consts::PI - FOLD {
                return Err(DrawingError::Crossing { place: Place(span.b) });
            }
        }
    }
    let mut items: Vec<Item> = loops.iter().flatten().map(|s| Item { span: *s, bounds: s.bounds() }).collect();
    items.sort_by(|a, b| a.bounds[0][0].total_cmp(&b.bounds[0][0]));
    for (i, item) in items.iter().enumerate() {
        for other in items[i + 1..].iter().take_while(|o| o.bounds[0][0] <= item.bounds[0][1] + ON) {
            let apart = other.bounds[1][0] > item.bounds[1][1] + ON || other.bounds[1][1] < item.bounds[1][0] - ON;
            if let Some(place) = if apart { None } else { meeting(&item.span, &other.span) } {
                return Err(DrawingError::Crossing { place: Place(place) });
            }
        }
    }
    Ok(())
}

/// A point where two spans meet other than at a shared end.
fn meeting(s: &Span, t: &Span) -> Option<[f64; 2]> {
    let shared: Vec<[f64; 2]> = [s.a, s.b].into_iter().filter(|p| distance(*p, t.a) == 0.0 || distance(*p, t.b) == 0.0).collect();
    let mut points = intersections(s, t);
    points.extend([s.a, s.b, t.a, t.b]);
    points.retain(|p| s.distance(*p) < ON && t.distance(*p) < ON);
    // Tangent pieces meet close to their joint, within rounding, as well.
    points.into_iter().find(|p| shared.iter().all(|end| distance(*p, *end) > 2.0 * TOLERANCE))
}

/// Intersections of the lines and circles that two spans lie on.
fn intersections(s: &Span, t: &Span) -> Vec<[f64; 2]> {
    match (s.arc(), t.arc()) {
        (None, None) => {
            let (u, v) = (minus(s.b, s.a), minus(t.b, t.a));
            let area = cross(u, v);
            if area == 0.0 { vec![] } else { vec![s.point(cross(minus(t.a, s.a), v) / area)] }
        }
        (None, Some(arc)) => on_line(s, &arc),
        (Some(arc), None) => on_line(t, &arc),
        (Some(a), Some(b)) => on_circle(&a, &b),
    }
}

/// Where a line meets a circle; the nearest point when it misses it by little.
fn on_line(line: &Span, arc: &Arc) -> Vec<[f64; 2]> {
    let u = crate::span::unit(minus(line.b, line.a));
    let along = dot(minus(arc.centre, line.a), u);
    let foot = [line.a[0] + along * u[0], line.a[1] + along * u[1]];
    let off = distance(foot, arc.centre);
    if off > arc.radius + ON {
        return vec![];
    }
    let half = (arc.radius * arc.radius - off * off).max(0.0).sqrt();
    [-half, half].map(|h| [foot[0] + h * u[0], foot[1] + h * u[1]]).to_vec()
}

/// Where two circles meet.
fn on_circle(a: &Arc, b: &Arc) -> Vec<[f64; 2]> {
    let apart = distance(a.centre, b.centre);
    if apart == 0.0 || apart > a.radius + b.radius + ON || apart < (a.radius - b.radius).abs() - ON {
        return vec![];
    }
    let u = crate::span::unit(minus(b.centre, a.centre));
    let along = (apart * apart + a.radius * a.radius - b.radius * b.radius) / (2.0 * apart);
    let half = (a.radius * a.radius - along * along).max(0.0).sqrt();
    let foot = [a.centre[0] + along * u[0], a.centre[1] + along * u[1]];
    [-half, half].map(|h| [foot[0] - h * u[1], foot[1] + h * u[0]]).to_vec()
}
