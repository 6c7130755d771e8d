//! Rounds the corners between lines and refuses every other kink.

use super::find::{SMOOTH, kink};
use super::{CREST_FILLET, FILLET, Features, Part};
use crate::error::{DrawingError, Place};
use crate::section::Piece;
use crate::span::Span;

/// Share of a line that one fillet may take.
const MOST_OF_LINE: f64 = 0.45;

/// Fills in the chain.
pub(super) fn smooth(spans: &[(Span, Part)], features: &mut Features) -> Result<(), DrawingError> {
    let Some((last, _)) = spans.last() else { return Ok(()) };
    let mut start = spans[0].0.a;
    for pair in spans.windows(2) {
        let [(before, part), (after, next)] = [pair[0], pair[1]];
        features.chain.push((Piece { start, bulge: before.bulge }, part));
        start = after.a;
        let degrees = kink(&before, &after);
        if degrees.abs() <= SMOOTH {
            continue;
        }
        let place = Place::of_section(before.b);
        if !(before.is_line() && after.is_line()) {
            return Err(DrawingError::Kink { place, degrees: degrees.abs() });
        }
        let half = (0.5 * degrees.abs().to_radians()).tan();
        let room = MOST_OF_LINE * before.length().min(after.length()) / half;
        if FILLET > room {
            return Err(DrawingError::NoRoom { place, degrees: degrees.abs(), radius: FILLET });
        }
        let radius = if matches!(part, Part::Wall | Part::Crest) { CREST_FILLET.min(room) } else { FILLET };
        if part == Part::Wall {
            (features.crest_radius, features.crest_rounded) = (radius, true);
        }
        let leg = radius * half;
        let bulge = (0.25 * degrees.to_radians()).tan();
        features.chain.push((Piece { start: before.point(1.0 - leg / before.length()), bulge }, fillet(part, next)));
        start = after.point(leg / after.length());
        features.rounded += 1;
    }
    features.chain.push((Piece { start, bulge: last.bulge }, spans[spans.len() - 1].1));
    features.end = last.b;
    Ok(())
}

/// Part of a fillet between two parts.
fn fillet(before: Part, after: Part) -> Part {
    match (before, after) {
        (Part::Seat, Part::Wall) => Part::Corner,
        (Part::Wall, _) => Part::Crest,
        (Part::Hump, _) | (_, Part::Hump) => Part::Hump,
        _ => before,
    }
}
