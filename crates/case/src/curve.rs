//! The hoop law given as points.

use std::ops::Range;

use crate::error::Problem;
use crate::file::{Entry, Typed};
use crate::inputs::Input;
use crate::typed::parse;
use crate::units::{Dimension, KN, PERCENT};

/// Most points of a curve.
const MOST_POINTS: usize = 500;
/// Largest strain of a curve; a bundle breaks far below.
const LARGEST_STRAIN: f64 = 0.2;
/// Largest force of a curve, N.
const LARGEST_FORCE: f64 = 1e6;

/// A problem and the bytes of the text that it is about.
type Fault = (Range<usize>, Problem);

/// Points (strain, force in N), the first at zero, both strictly increasing.
pub(super) fn curve_of(input: &Input, entry: &Entry) -> Result<Vec<(f64, f64)>, Fault> {
    let Typed::List(rows) = &entry.value else {
        let wanted = "an array of [strain, force] pairs";
        let found = entry.value.type_name();
        return Err((entry.span.clone(), Problem::WrongType { found, wanted, line: input.line() }));
    };
    if !(2..=MOST_POINTS).contains(&rows.len()) {
        let n = rows.len();
        return bad(entry, format!("a hoop law needs 2 to {MOST_POINTS} points, but {n} are given"));
    }
    let points = rows.iter().enumerate().map(|(row, entry)| point(input, row, entry)).collect::<Result<Vec<_>, _>>()?;
    if points[0].0.abs() > f64::EPSILON || points[0].1.abs() > f64::EPSILON {
        let (strain, force) = (PERCENT.format(points[0].0), KN.format(points[0].1));
        return bad(&rows[0], format!("the hoop law begins at {strain}, {force} instead of zero"));
    }
    match points.windows(2).position(|w| w[1].0 <= w[0].0 || w[1].1 <= w[0].1) {
        Some(row) => {
            let (from, to) = (row + 1, row + 2);
            bad(&rows[row + 1], format!("the hoop law does not rise from point {from} to point {to}"))
        }
        // Exactly zero, so that the law passes through the origin.
        None => Ok([(0.0, 0.0)].into_iter().chain(points.into_iter().skip(1)).collect()),
    }
}

fn point(input: &Input, row: usize, entry: &Entry) -> Result<(f64, f64), Fault> {
    let number = row + 1;
    let Typed::List(pair) = &entry.value else {
        let found = entry.value.type_name();
        return bad(entry, format!("point {number} of the hoop law is {found} instead of a pair"));
    };
    let [strain, force] = pair.as_slice() else {
        let length = pair.len();
        let sentence = format!("point {number} of the hoop law is an array of length {length} instead of a pair");
        return bad(entry, sentence);
    };
    let read = |entry: &Entry, dimension| parse(input, &entry.value, dimension).map_err(|problem| (entry.span.clone(), problem));
    let (strain, force) = (read(strain, Dimension::Number)?, read(force, Dimension::Force)?);
    if strain > LARGEST_STRAIN || force > LARGEST_FORCE {
        let (strain, force) = (PERCENT.format(LARGEST_STRAIN), KN.format(LARGEST_FORCE));
        return bad(entry, format!("point {number} of the hoop law lies beyond {strain} or {force}"));
    }
    Ok((strain, force))
}

fn bad<T>(entry: &Entry, sentence: String) -> Result<T, Fault> {
    Err((entry.span.clone(), Problem::Curve { sentence }))
}
