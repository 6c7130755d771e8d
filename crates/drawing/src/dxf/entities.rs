//! Entities of a DXF text as spans in drawing coordinates, mm.

use super::{MOST_RADIUS, halved};
use crate::error::{DrawingError, Place};
use crate::span::{Span, distance};
use dxf::entities::EntityType;
use dxf::{Drawing, Vector};
use std::f64::consts::TAU;

/// Most lines and arcs read, with those of polylines.
const MOST_SPANS: usize = 20_000;
/// Spans shorter than this are dropped, mm: drawings hold such leftovers; the chain closes over them.
const LEAST_LENGTH: f64 = 1e-6;
/// How far a normal may be from the z axis, and a line from the plane (mm).
const FLAT: f64 = 1e-6;

/// Reads the entities, scaled to mm.
pub(super) fn spans(text: &str, scale: f64) -> Result<Vec<Span>, DrawingError> {
    let drawing = Drawing::load(&mut text.as_bytes()).map_err(|e| DrawingError::Reader { message: e.to_string() })?;
    let mut spans = Vec::new();
    for entity in drawing.entities() {
        let of_entity = scaled(of_entity(&entity.specific, scale)?, scale);
        spans.extend(of_entity.into_iter().flat_map(halved).filter(|s| distance(s.a, s.b) > LEAST_LENGTH));
        if spans.len() > MOST_SPANS {
            return Err(DrawingError::TooMany { what: "lines and arcs", limit: MOST_SPANS });
        }
    }
    Ok(spans)
}

/// Spans in mm; coordinates beyond every wheel are cut down, to be refused as radii without running into infinities first.
fn scaled(spans: Vec<Span>, scale: f64) -> Vec<Span> {
    let mm = |p: [f64; 2]| p.map(|c| (c * scale).clamp(-1e3 * MOST_RADIUS, 1e3 * MOST_RADIUS));
    spans.into_iter().map(|s| Span::new(mm(s.a), mm(s.b), s.bulge.clamp(-1e6, 1e6))).collect()
}

/// Spans of an entity, in the drawing's unit.
fn of_entity(entity: &EntityType, scale: f64) -> Result<Vec<Span>, DrawingError> {
    let place = |x: f64, y: f64| Place([scale * x, scale * y]);
    match entity {
        EntityType::Line(line) => {
            if (line.p1.z - line.p2.z).abs() > FLAT {
                return Err(DrawingError::NotPlane { kind: "LINE", place: place(line.p1.x, line.p1.y) });
            }
            Ok(vec![Span::new([line.p1.x, line.p1.y], [line.p2.x, line.p2.y], 0.0)])
        }
        EntityType::Arc(arc) => {
            let side = side(&arc.normal, "ARC", place(arc.center.x, arc.center.y))?;
            let sweep = (arc.end_angle - arc.start_angle).to_radians().rem_euclid(TAU);
            let sweep = if sweep == 0.0 { TAU } else { sweep };
            let centre = [arc.center.x, arc.center.y];
            Ok(seen_from(round(centre, arc.radius, arc.start_angle.to_radians(), sweep), side))
        }
        EntityType::Circle(circle) => {
            let side = side(&circle.normal, "CIRCLE", place(circle.center.x, circle.center.y))?;
            Ok(seen_from(round([circle.center.x, circle.center.y], circle.radius, 0.0, TAU), side))
        }
        EntityType::LwPolyline(line) => {
            let first = line.vertices.first().map_or([0.0; 2], |v| [v.x, v.y]);
            let side = side(&line.extrusion_direction, "LWPOLYLINE", place(first[0], first[1]))?;
            let vertices: Vec<_> = line.vertices.iter().map(|v| ([v.x, v.y], v.bulge)).collect();
            Ok(seen_from(polyline(&vertices, line.is_closed()), side))
        }
        EntityType::Polyline(line) => {
            let vertices: Vec<_> = line.vertices().map(|v| ([v.location.x, v.location.y], v.bulge)).collect();
            let first = vertices.first().map_or([0.0; 2], |v| v.0);
            let side = side(&line.normal, "POLYLINE", place(first[0], first[1]))?;
            Ok(seen_from(polyline(&vertices, line.is_closed()), side))
        }
        _ => Ok(vec![]),
    }
}

/// Sign of x in the drawing: entities mirrored by a drawing program are seen from behind, with normal -z.
fn side(normal: &Vector, kind: &'static str, place: Place) -> Result<f64, DrawingError> {
    let size = normal.x.hypot(normal.y).hypot(normal.z);
    if size.is_finite() && normal.x.hypot(normal.y) <= FLAT * normal.z.abs() && size > 0.0 {
        Ok(normal.z.signum())
    } else {
        Err(DrawingError::NotPlane { kind, place })
    }
}

/// Spans as seen from the front: from behind, x has the other sign and arcs turn the other way.
fn seen_from(spans: Vec<Span>, side: f64) -> Vec<Span> {
    let front = |p: [f64; 2]| [side * p[0], p[1]];
    spans.into_iter().map(|s| Span::new(front(s.a), front(s.b), side * s.bulge)).collect()
}

/// An arc of any sweep as two halves.
fn round(centre: [f64; 2], radius: f64, from: f64, sweep: f64) -> Vec<Span> {
    let point = |angle: f64| [centre[0] + radius * angle.cos(), centre[1] + radius * angle.sin()];
    let bulge = (sweep / 8.0).tan();
    let end = if sweep < TAU { point(from + sweep) } else { point(from) };
    if sweep <= 0.5 * TAU {
        return vec![Span::new(point(from), end, (sweep / 4.0).tan())];
    }
    let middle = point(from + 0.5 * sweep);
    vec![Span::new(point(from), middle, bulge), Span::new(middle, end, bulge)]
}

/// Spans of a polyline.
fn polyline(vertices: &[([f64; 2], f64)], closed: bool) -> Vec<Span> {
    let mut spans: Vec<_> = vertices.windows(2).map(|w| Span::new(w[0].0, w[1].0, w[0].1)).collect();
    if let (true, Some(first), Some(last)) = (closed, vertices.first(), vertices.last()) {
        spans.push(Span::new(last.0, first.0, last.1));
    }
    spans
}
