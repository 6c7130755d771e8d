//! From loose lines and arcs in drawing coordinates to the half section: joined to loops, checked, cut at the mid-plane.

mod crossing;
mod half;
mod join;
mod symmetry;
#[cfg(test)]
mod tests;

use crate::error::{DrawingError, Place};
use crate::section::{Loop, Piece, Section};
use crate::span::{Span, cross, distance, minus, turn};
use std::f64::consts::TAU;

/// Ends closer than this are one point, and points closer to the mid-plane lie on it, mm.
pub(crate) const TOLERANCE: f64 = 0.01;
/// Most loops read.
const MOST_LOOPS: usize = 500;

/// Joins, checks and halves; says whether both halves were given.
pub(crate) fn section(spans: &[Span]) -> Result<(Section, bool), DrawingError> {
    let loops = on_mid_plane(join::loops(spans)?);
    if loops.len() > MOST_LOOPS {
        return Err(DrawingError::TooMany { what: "closed loops", limit: MOST_LOOPS });
    }
    if loops.is_empty() {
        return Err(DrawingError::Empty);
    }
    crossing::check(&loops)?;
    let loops = oriented(loops)?;
    let bounds =
        loops[0].iter().map(Span::bounds).fold([f64::INFINITY, f64::NEG_INFINITY], |b, s| [b[0].min(s[0][0]), b[1].max(s[0][1])]);
    let full = bounds[0] < -TOLERANCE && bounds[1] > TOLERANCE;
    let right = if full {
        symmetry::check(&loops)?;
        half::right(&loops)?
    } else if bounds[1] <= TOLERANCE {
        loops.iter().map(|l| mirrored(l)).collect()
    } else {
        loops
    };
    Ok((turned_over(&right)?, full))
}

/// Moves ends that lie on the mid-plane within the tolerance exactly onto it.
fn on_mid_plane(mut loops: Vec<Vec<Span>>) -> Vec<Vec<Span>> {
    for span in loops.iter_mut().flatten() {
        for end in [&mut span.a, &mut span.b] {
            if end[0].abs() <= TOLERANCE {
                end[0] = 0.0;
            }
        }
    }
    loops
}

/// The mirror image about x = 0, walked so that its sense stays.
fn mirrored(spans: &[Span]) -> Vec<Span> {
    let image = |s: &Span| Span { a: [0.0 - s.b[0], s.b[1]], b: [0.0 - s.a[0], s.a[1]], bulge: s.bulge };
    spans.iter().rev().map(image).collect()
}

/// Outline first and counter-clockwise (x to the right, y up), cavities clockwise.
fn oriented(mut loops: Vec<Vec<Span>>) -> Result<Vec<Vec<Span>>, DrawingError> {
    let size = |l: &Vec<Span>| area(l).abs();
    loops.sort_by(|a, b| size(b).total_cmp(&size(a)));
    for i in 0..loops.len() {
        let place = loops[i][0].a;
        let around = (0..i).filter(|j| winds_around(&loops[*j], place)).count();
        match (i, around) {
            (0, _) | (_, 1) => {}
            (_, 0) => return Err(DrawingError::Separate { place: Place(place) }),
            _ => return Err(DrawingError::Island { place: Place(place) }),
        }
        if (area(&loops[i]) > 0.0) != (i == 0) {
            loops[i] = loops[i].iter().rev().map(Span::reversed).collect();
        }
    }
    Ok(loops)
}

/// Whether a loop winds around a point that does not lie on it.
fn winds_around(spans: &[Span], p: [f64; 2]) -> bool {
    let angle = |s: &Span| {
        let seen = turn(minus(s.a, p), minus(s.b, p));
        // Between arc and chord, the arc passes on the other side of the point than the chord.
        let beyond = cross(minus(s.b, s.a), minus(p, s.a)) * s.bulge < 0.0;
        let inside = s.arc().is_some_and(|arc| beyond && distance(p, arc.centre) < arc.radius);
        seen + if inside { TAU * s.bulge.signum() } else { 0.0 }
    };
    spans.iter().map(angle).sum::<f64>().abs() > 0.5 * TAU
}

/// Loop in the plane the spans lie in.
fn as_loop(spans: &[Span]) -> Loop {
    Loop { pieces: spans.iter().map(|s| Piece { start: s.a, bulge: s.bulge }).collect() }
}

/// Signed area.
fn area(spans: &[Span]) -> f64 {
    as_loop(spans).area()
}

/// The right half in the (r, z) plane. The swap of axes turns senses over, so loops are walked backward.
fn turned_over(loops: &[Vec<Span>]) -> Result<Section, DrawingError> {
    let swap = |s: &Span| Span { a: [s.b[1], s.b[0]], b: [s.a[1], s.a[0]], bulge: s.bulge };
    let mut swapped: Vec<Vec<Span>> = loops.iter().map(|l| l.iter().rev().map(swap).collect()).collect();
    let outer = &mut swapped[0];
    let on_plane = (0..outer.len()).filter(|i| outer[*i].a[1] == 0.0);
    match on_plane.max_by(|i, j| outer[*i].a[0].total_cmp(&outer[*j].a[0])) {
        Some(first) => outer.rotate_left(first),
        None => {
            let nearest = outer.iter().map(|s| s.a).min_by(|a, b| a[1].total_cmp(&b[1])).unwrap_or_default();
            return Err(DrawingError::NoMidPlane { place: Place::of_section(nearest) });
        }
    }
    let mut loops = swapped.iter().map(|l| as_loop(l));
    Ok(Section { outer: loops.next().unwrap_or_default(), cavities: loops.collect() })
}
