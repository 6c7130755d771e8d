//! Cuts a symmetric section at the mid-plane and keeps the right half.

use crate::error::{DrawingError, Place};
use crate::span::Span;

/// The half with x >= 0: outline first. Loops that the mid-plane cuts become part of the outline.
pub(super) fn right(loops: &[Vec<Span>]) -> Result<Vec<Vec<Span>>, DrawingError> {
    let (mut whole, mut chains) = (Vec::new(), Vec::new());
    for spans in loops {
        let parts: Vec<Span> = spans.iter().flat_map(cut).collect();
        let kept: Vec<bool> = parts.iter().map(|s| s.point(0.5)[0] > 0.0).collect();
        match kept.iter().position(|k| !k) {
            None => whole.push(spans.clone()),
            Some(left) => chains.extend(runs(&parts, &kept, left)),
        }
    }
    let mut halves = closed(chains)?;
    halves.append(&mut whole);
    Ok(halves)
}

/// Parts of a span on either side of the mid-plane; cuts lie exactly on it.
fn cut(span: &Span) -> Vec<Span> {
    let mut shares = span.cuts(0.0);
    shares.push(1.0);
    let mut parts = Vec::new();
    let (mut from, mut start) = (0.0, span.a);
    for share in shares {
        let mut part = span.part(from, share);
        part.a = start;
        if share < 1.0 {
            part.b[0] = 0.0;
        }
        (from, start) = (share, part.b);
        parts.push(part);
    }
    parts
}

/// Runs of kept parts of a closed loop, seen from a part that is not kept.
fn runs(parts: &[Span], kept: &[bool], left: usize) -> Vec<Vec<Span>> {
    let n = parts.len();
    let mut runs: Vec<Vec<Span>> = Vec::new();
    for i in (left + 1..left + n).map(|i| i % n).filter(|i| kept[*i]) {
        let goes_on = kept[(i + n - 1) % n] && !runs.is_empty();
        match runs.last_mut() {
            Some(run) if goes_on => run.push(parts[i]),
            _ => runs.push(vec![parts[i]]),
        }
    }
    runs
}

/// Joins chains along the mid-plane to one outline. Material lies to the left, so the mid-plane is walked downward, from each
/// chain's end to the next start below.
fn closed(mut chains: Vec<Vec<Span>>) -> Result<Vec<Vec<Span>>, DrawingError> {
    let start = |c: &[Span]| c.first().map_or(0.0, |s| s.a[1]);
    let end = |c: &[Span]| c.last().map_or([0.0; 2], |s| s.b);
    let mut outline = chains.pop().unwrap_or_default();
    let home = start(&outline);
    loop {
        let from = end(&outline);
        let below = (0..chains.len()).filter(|i| start(&chains[*i]) < from[1]);
        let next = below.max_by(|i, j| start(&chains[*i]).total_cmp(&start(&chains[*j])));
        let to = next.map_or(f64::NEG_INFINITY, |i| start(&chains[i]));
        if home < from[1] && home > to {
            outline.push(Span::new(from, [0.0, home], 0.0));
            break;
        }
        let Some(next) = next else { return Err(DrawingError::Separate { place: Place(from) }) };
        outline.push(Span::new(from, [0.0, to], 0.0));
        outline.append(&mut chains.swap_remove(next));
    }
    match chains.first() {
        Some(rest) => Err(DrawingError::Separate { place: Place(rest[0].a) }),
        None => Ok(vec![outline]),
    }
}
