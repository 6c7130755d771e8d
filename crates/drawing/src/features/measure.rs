//! Measures of seat, flange, hump and well.

use super::find::Marks;
use super::{FILLET, Features};
use crate::error::{DrawingError, Place};
use crate::span::{Span, minus};

/// Humps lower than this are none, mm.
const LEAST_HUMP: f64 = 0.02;
/// Largest slope of a flat bottom, degrees.
const FLAT: f64 = 1.0;
/// A height is reached when the chain comes this close, mm; flat pieces touch it without crossing.
const REACHED: f64 = 1e-9;

/// Fills in the measures; the chain comes later.
pub(super) fn measure(spans: &[Span], marks: &Marks) -> Result<Features, DrawingError> {
    let (inner, outer) = (spans[marks.seat[0]].a, spans[marks.seat[1]].b);
    let wall = spans[marks.wall].point(0.5)[1];
    let slope = (outer[0] - inner[0]) / (outer[1] - inner[1]);
    let seat = |z: f64| inner[0] + slope * (z - inner[1]);
    let seat_width = wall - inner[1];
    let seat_diameter = 2.0 * seat(wall - 0.5 * seat_width);
    let flange_height = marks.top(spans)[0] - seat(wall);
    let bed = &spans[..marks.seat[0]];
    let (hump_height, hump_width) = hump(bed, inner);
    let bottom = bed.iter().map(|s| s.bounds()[0][0]).fold(spans[0].a[0], f64::min);
    let radius = |s: &Span| s.arc().map(|arc| arc.radius);
    Ok(Features {
        chain: vec![],
        end: [0.0; 2],
        rounded: 0,
        crest_rounded: false,
        seat_diameter,
        inner_width: 2.0 * wall,
        seat_width,
        seat_angle: slope.atan(),
        flange_height,
        wall_thickness: thickness(spans, marks, marks.top(spans)[0] - 0.5 * flange_height)?,
        crest_radius: spans.get(marks.wall + 1).and_then(radius).unwrap_or(FILLET),
        corner_radius: spans[marks.seat[1] + 1..marks.wall].iter().filter_map(radius).reduce(f64::min).unwrap_or(FILLET),
        hump_height,
        hump_width,
        well_depth: 0.5 * seat_diameter - bottom,
        well_width: 2.0 * bed.iter().take_while(|s| flat(s)).last().map_or(0.0, |s| s.b[1]),
    })
}

/// Whether a span is an axial line.
fn flat(span: &Span) -> bool {
    let [dr, dz] = minus(span.b, span.a);
    span.is_line() && dr.abs() <= dz * FLAT.to_radians().tan()
}

/// Distance from the wall to the outer side at a radius.
fn thickness(spans: &[Span], marks: &Marks, r: f64) -> Result<f64, DrawingError> {
    let wall = &spans[marks.wall];
    let inside = wall.a[1] + (r - wall.a[0]) / (wall.b[0] - wall.a[0]) * (wall.b[1] - wall.a[1]);
    // Past the crest the chain first goes below this radius on the outer side.
    let below = spans[marks.crest.0..].iter().skip(usize::from(marks.crest.0 == marks.wall)).find(|s| s.b[0] <= r);
    let Some(span) = below else {
        let end = spans.last().map_or([0.0; 2], |s| s.b);
        return Err(DrawingError::NoOuterSide { place: Place::of_section(end) });
    };
    Ok(span.cuts(r).last().map_or(span.b, |share| span.point(*share))[1] - inside)
}

/// Height and width of the hump between bed and seat.
fn hump(bed: &[Span], foot: [f64; 2]) -> (f64, f64) {
    let tops = bed.iter().enumerate().map(|(i, s)| (i, s.share_of_largest()));
    let height = |(i, share): (usize, f64)| bed[i].point(share)[0];
    let Some(top) = tops.max_by(|a, b| height(*a).total_cmp(&height(*b))) else { return (0.0, 0.0) };
    // Its inner flank comes down to the seat's height, or to a bed above it.
    let lowest = bed[..top.0].iter().map(|s| s.bounds()[0][0]).fold(bed[top.0].a[0], f64::min);
    let level = foot[0].max(lowest) + REACHED;
    if height(top) - foot[0] < LEAST_HUMP || height(top) - level < LEAST_HUMP {
        return (0.0, 0.0);
    }
    let mut inner = bed[0].a[1];
    for i in (0..=top.0).rev() {
        let before = if i == top.0 { top.1 } else { 1.0 };
        if let Some(share) = bed[i].cuts(level).into_iter().rfind(|s| *s <= before) {
            inner = bed[i].point(share)[1];
            break;
        }
        if bed[i].a[0] <= level {
            inner = bed[i].a[1];
            break;
        }
    }
    (height(top) - foot[0], foot[1] - inner)
}
