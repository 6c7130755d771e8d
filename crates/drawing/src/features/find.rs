//! Finds crest, wall and seat on the tyre side.

use super::{OUTER_SIDE, Part};
use crate::error::{DrawingError, Place};
use crate::span::{Span, minus, turn};

/// Largest angle between the straight wall and the radial direction, degrees.
const WALL_ANGLE: f64 = 3.0;
/// Least length of the straight wall, mm.
const WALL_LENGTH: f64 = 2.0;
/// How far the wall's top may be from the crest, in either direction, mm.
const CREST_REACH: f64 = 4.0;
/// How far the flange may lean over the wall, mm.
const OVERHANG: f64 = 0.02;
/// Largest angle between the seat and the axial direction, degrees.
const SEAT_ANGLE: f64 = 20.0;
/// Jump of the direction below which two pieces go on smoothly, degrees.
pub(super) const SMOOTH: f64 = 0.5;
/// The outer side goes downward while it keeps within this angle of it, degrees.
const DOWNWARD: f64 = 60.0;

/// Where things are on the chain of spans.
pub(super) struct Marks {
    /// First and last span of the seat line.
    pub(super) seat: [usize; 2],
    /// Span of the straight wall.
    pub(super) wall: usize,
    /// Span and share of the crest.
    pub(super) crest: (usize, f64),
}

impl Marks {
    /// The crest, mm.
    pub(super) fn top(&self, spans: &[Span]) -> [f64; 2] {
        spans[self.crest.0].point(self.crest.1)
    }
}

/// Jump of the direction between two spans, degrees, positive counter-clockwise.
pub(super) fn kink(before: &Span, after: &Span) -> f64 {
    turn(before.direction(1.0), after.direction(0.0)).to_degrees()
}

/// Finds crest, wall and seat.
pub(super) fn marks(spans: &[Span]) -> Result<Marks, DrawingError> {
    let crest = crest(spans)?;
    let wall = wall(spans, crest)?;
    Ok(Marks { seat: seat(spans, wall)?, wall, crest })
}

/// Span and share of the largest radius; the first of equals.
fn crest(spans: &[Span]) -> Result<(usize, f64), DrawingError> {
    let mut best: Option<(usize, f64, f64)> = None;
    for (i, span) in spans.iter().enumerate() {
        let share = span.share_of_largest();
        let r = span.point(share)[0];
        if best.is_none_or(|b| r > b.2 + 1e-9) {
            best = Some((i, share, r));
        }
    }
    best.map(|b| (b.0, b.1)).ok_or(DrawingError::Empty)
}

/// The last radial line before the crest, if it reaches up to it.
fn wall(spans: &[Span], crest: (usize, f64)) -> Result<usize, DrawingError> {
    let top = spans[crest.0].point(crest.1);
    let straight = |s: &Span| {
        let [dr, dz] = minus(s.b, s.a);
        s.is_line() && dr > 0.0 && dz.abs() <= dr * WALL_ANGLE.to_radians().tan() && s.length() >= WALL_LENGTH && s.a[1] > 0.0
    };
    let none = DrawingError::NoWall { place: Place::of_section(top) };
    let Some(wall) = (0..=crest.0).rev().find(|i| straight(&spans[*i])) else { return Err(none) };
    let foot = spans[wall].b;
    for span in &spans[wall + 1..=crest.0.max(wall)] {
        let lowest = span.bounds()[1][0];
        if lowest < foot[1] - OVERHANG && top[1] - foot[1] <= CREST_REACH {
            let inward = if span.b[1] < span.a[1] { span.b } else { span.a };
            return Err(DrawingError::Hooked { place: Place::of_section(inward), overhang: foot[1] - lowest });
        }
    }
    if top[1] - foot[1] > CREST_REACH || top[0] - foot[0] > CREST_REACH { Err(none) } else { Ok(wall) }
}

/// First and last span of the seat line: lines that go on smoothly, inward of the fillet at the wall's foot.
fn seat(spans: &[Span], wall: usize) -> Result<[usize; 2], DrawingError> {
    let none = |p: [f64; 2]| DrawingError::NoSeat { place: Place::of_section(p) };
    let last = (0..wall).rev().find(|i| spans[*i].is_line()).ok_or_else(|| none(spans[wall].a))?;
    let axial = |s: &Span| turn([0.0, 1.0], minus(s.b, s.a)).abs() <= SEAT_ANGLE.to_radians();
    if !axial(&spans[last]) {
        return Err(none(spans[last].b));
    }
    let goes_on = |i: &usize| spans[*i].is_line() && kink(&spans[*i], &spans[*i + 1]).abs() <= SMOOTH;
    let first = (0..last).rev().take_while(goes_on).last().unwrap_or(last);
    Ok([first, last])
}

/// Spans up to the end of the outer side with their parts.
pub(super) fn labelled(spans: &[Span], marks: &Marks, hump_width: f64) -> Result<Vec<(Span, Part)>, DrawingError> {
    let hump = spans[marks.seat[0]].a[1] - hump_width;
    let part = |i: usize| match i {
        _ if i > marks.wall => Part::Crest,
        _ if i == marks.wall => Part::Wall,
        _ if i > marks.seat[1] => Part::Corner,
        _ if i >= marks.seat[0] => Part::Seat,
        _ if spans[i].point(0.5)[1] > hump => Part::Hump,
        _ => Part::Bed,
    };
    let outer = outer_side(spans, marks)?;
    let from = spans.len().min(outer.0);
    Ok((0..from).map(|i| (spans[i], part(i))).chain(outer.1.map(|s| (s, Part::Crest))).collect())
}

/// How many whole spans there are up to the end of the outer side, and the part of a span after them.
fn outer_side(spans: &[Span], marks: &Marks) -> Result<(usize, Option<Span>), DrawingError> {
    let down = |s: &Span, share: f64| -s.direction(share)[0] >= DOWNWARD.to_radians().cos();
    let level = marks.top(spans)[0] - OUTER_SIDE;
    let first = (marks.crest.0..spans.len()).find(|i| down(&spans[*i], 1.0));
    let first = first.ok_or_else(|| DrawingError::NoOuterSide { place: Place::of_section(marks.top(spans)) })?;
    for (i, span) in spans.iter().enumerate().skip(first) {
        if !(down(span, 1.0) && (i == first || down(span, 0.0))) {
            return Ok((i, None));
        }
        if span.b[0] <= level {
            return Ok((i, Some(span.cuts(level).last().map_or(*span, |share| span.part(0.0, *share)))));
        }
    }
    Ok((spans.len(), None))
}
