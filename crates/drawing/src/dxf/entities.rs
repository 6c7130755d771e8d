//! Entities of a DXF file as spans in drawing coordinates, mm.

use super::curve::{self, Ellipse, Spline};
use super::pairs::{Entity, first};
use super::{MOST_RADIUS, halved};
use crate::error::{DrawingError, Place};
use crate::span::{Span, distance};
use std::f64::consts::TAU;

/// Most lines and arcs read, with those of polylines and curves.
const MOST_SPANS: usize = 20_000;
/// Spans shorter than this are dropped, mm: drawings hold such leftovers; the chain closes over them.
const LEAST_LENGTH: f64 = 1e-6;
/// How far a normal may be from the z axis, and a line from the plane (mm).
const FLAT: f64 = 1e-6;

/// The spans of all entities, scaled to mm.
pub(super) fn spans(entities: &[Entity<'_>], scale: f64) -> Result<Vec<Span>, DrawingError> {
    let mut spans = Vec::new();
    for entity in entities {
        let of_entity = scaled(of_entity(entity, scale)?, scale);
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

/// Spans of an entity, in the drawing's unit; `scale` leads to mm.
fn of_entity(entity: &Entity<'_>, scale: f64) -> Result<Vec<Span>, DrawingError> {
    let at = |x: i32| [entity.number(x, 0.0), entity.number(x + 10, 0.0)];
    let flat = Flat { entity, scale };
    match entity.kind {
        "LINE" => {
            flat.level(&[entity.number(30, 0.0), entity.number(31, 0.0)], "LINE")?;
            Ok(vec![Span::new(at(10), at(11), 0.0)])
        }
        "ARC" => {
            let [from, to] = [50, 51].map(|code| entity.number(code, 0.0).to_radians());
            Ok(seen_from(round(at(10), entity.number(40, 0.0), from, turned_by(from, to)), flat.side("ARC")?))
        }
        "CIRCLE" => Ok(seen_from(round(at(10), entity.number(40, 0.0), 0.0, TAU), flat.side("CIRCLE")?)),
        "LWPOLYLINE" => Ok(seen_from(polyline(&light_vertices(entity), entity.flag(1)), flat.side("LWPOLYLINE")?)),
        "POLYLINE" => {
            let number = |vertex: &[(i32, f64)], code| first(vertex, code).unwrap_or(0.0);
            let vertices: Vec<_> = entity.vertices.iter().map(|v| ([number(v, 10), number(v, 20)], number(v, 42))).collect();
            Ok(seen_from(polyline(&vertices, entity.flag(1)), flat.side("POLYLINE")?))
        }
        "ELLIPSE" => {
            flat.level(&[0.0, entity.number(31, 0.0)], "ELLIPSE")?;
            let (major, side) = (at(11), flat.side("ELLIPSE")?);
            // The minor axis is normal x major; parameters run from the major axis to it.
            let minor = [-side * major[1], side * major[0]].map(|c| entity.number(40, 1.0) * c);
            let from = entity.number(41, 0.0);
            let ellipse = Ellipse { centre: at(10), major, minor, from, sweep: turned_by(from, entity.number(42, TAU)) };
            Ok(curve::arcs(&ellipse, curve::TOLERANCE / scale))
        }
        "SPLINE" => {
            flat.level(&entity.all(30), "SPLINE")?;
            let unread = || DrawingError::Curve { kind: "SPLINE".to_owned(), place: flat.place() };
            Ok(curve::arcs(&Spline::of(entity).ok_or_else(unread)?, curve::TOLERANCE / scale))
        }
        // The pairs hold no other kind.
        _ => Ok(vec![]),
    }
}

/// Angle from one direction to another, counter-clockwise, rad; equal directions make a whole turn.
fn turned_by(from: f64, to: f64) -> f64 {
    let sweep = (to - from).rem_euclid(TAU);
    if sweep == 0.0 { TAU } else { sweep }
}

/// Vertices and bulges of an LWPOLYLINE: each begins with its x; y and bulge follow it.
fn light_vertices(entity: &Entity<'_>) -> Vec<([f64; 2], f64)> {
    let mut vertices = Vec::new();
    for &(code, number) in &entity.numbers {
        match (code, vertices.last_mut()) {
            (10, _) => vertices.push(([number, 0.0], 0.0)),
            (20, Some((point, _))) => point[1] = number,
            (42, Some((_, bulge))) => *bulge = number,
            _ => {}
        }
    }
    vertices
}

/// Whether an entity lies in the drawing plane.
struct Flat<'a> {
    entity: &'a Entity<'a>,
    scale: f64,
}

impl Flat<'_> {
    /// Its first point, mm.
    fn place(&self) -> Place {
        let vertex = self.entity.vertices.first().unwrap_or(&self.entity.numbers);
        Place([10, 20].map(|code| self.scale * first(vertex, code).unwrap_or(0.0)))
    }

    /// Refuses heights over the plane that differ.
    fn level(&self, heights: &[f64], kind: &'static str) -> Result<(), DrawingError> {
        let differs = heights.iter().any(|z| (z - heights[0]).abs() > FLAT);
        if differs { Err(DrawingError::NotPlane { kind, place: self.place() }) } else { Ok(()) }
    }

    /// Sign of x in the drawing: entities mirrored by a drawing program are seen from behind, with normal -z.
    fn side(&self, kind: &'static str) -> Result<f64, DrawingError> {
        let [x, y, z] = [(210, 0.0), (220, 0.0), (230, 1.0)].map(|(code, default)| self.entity.number(code, default));
        let size = x.hypot(y).hypot(z);
        if size.is_finite() && x.hypot(y) <= FLAT * z.abs() && size > 0.0 {
            Ok(z.signum())
        } else {
            Err(DrawingError::NotPlane { kind, place: self.place() })
        }
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
