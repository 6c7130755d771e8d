//! The hoop law given as points.

use super::error::Problem;
use super::file::{Entry, Typed};
use super::inputs::Input;
use super::reader::parse;
use crate::units::{Dimension, KN, PERCENT};

/// Most points of a curve.
const MOST_POINTS: usize = 500;
/// Largest strain of a curve; a bundle breaks far below.
const LARGEST_STRAIN: f64 = 0.2;
/// Largest force of a curve, N.
const LARGEST_FORCE: f64 = 1e6;

/// Points (strain, force in N), the first at zero, both strictly increasing.
pub(super) fn curve_of(input: &Input, value: &Typed) -> Result<Vec<(f64, f64)>, Problem> {
    let Typed::List(rows) = value else {
        return Err(Problem::WrongType {
            found: value.type_name(),
            wanted: "an array of [strain, force] pairs",
            line: input.line(),
        });
    };
    if !(2..=MOST_POINTS).contains(&rows.len()) {
        return bad(format!(
            "a hoop law needs 2 to {MOST_POINTS} points, but {} are given",
            rows.len()
        ));
    }
    let points = rows
        .iter()
        .enumerate()
        .map(|(row, entry)| point(input, row, entry))
        .collect::<Result<Vec<_>, _>>()?;
    if points[0].0.abs() > f64::EPSILON || points[0].1.abs() > f64::EPSILON {
        let (strain, force) = (PERCENT.format(points[0].0), KN.format(points[0].1));
        return bad(format!(
            "the hoop law begins at {strain}, {force} instead of zero"
        ));
    }
    let flat = points
        .windows(2)
        .position(|w| w[1].0 <= w[0].0 || w[1].1 <= w[0].1);
    match flat {
        Some(row) => bad(format!(
            "the hoop law does not rise from point {} to point {}",
            row + 1,
            row + 2
        )),
        // Exactly zero, so that the law passes through the origin.
        None => Ok([(0.0, 0.0)]
            .into_iter()
            .chain(points.into_iter().skip(1))
            .collect()),
    }
}

fn point(input: &Input, row: usize, entry: &Entry) -> Result<(f64, f64), Problem> {
    let Typed::List(pair) = &entry.value else {
        return bad(format!(
            "point {} of the hoop law is {} instead of a pair",
            row + 1,
            entry.value.type_name()
        ));
    };
    let [strain, force] = pair.as_slice() else {
        return bad(format!(
            "point {} of the hoop law is an array of length {} instead of a pair",
            row + 1,
            pair.len()
        ));
    };
    let strain = parse(input, &strain.value, Dimension::Number)?;
    let force = parse(input, &force.value, Dimension::Force)?;
    if strain > LARGEST_STRAIN || force > LARGEST_FORCE {
        let (strain, force) = (
            PERCENT.show(100.0 * LARGEST_STRAIN),
            KN.format(LARGEST_FORCE),
        );
        return bad(format!(
            "point {} of the hoop law lies beyond {strain} or {force}",
            row + 1
        ));
    }
    Ok((strain, force))
}

fn bad<T>(sentence: String) -> Result<T, Problem> {
    Err(Problem::Curve { sentence })
}
