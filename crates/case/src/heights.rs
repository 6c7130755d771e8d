//! Measured heights of the moulded line over the rim's edge: typed, or from a CSV file that the case names.

use std::f64::consts::PI;
use std::ops::Range;

use crate::bare;
use crate::case::Heights;
use crate::error::Problem;
use crate::file::{CaseFile, Typed};
use crate::inputs::{self as i, Input, Kind};
use crate::reader::Reader;
use crate::table::{RowError, Table, Twice, factor_of};
use crate::typed::{quantity_of, text_of};
use crate::units::Dimension;

/// Fewest heights: fewer do not tell an arc from a shift of the whole bead.
const FEWEST: usize = 8;
/// Most heights.
const MOST: usize = 360;
/// Deviation of a station's angle from its equal share of the wheel, deg: what marks at whole degrees and a hand leave.
const ASTRAY: f64 = 1.0;
/// A head as it may be.
const EXAMPLE: &str = "station,left [mm],right [mm]";

/// Why a file of heights cannot be used.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
enum HeightsError {
    #[error("its head has no column `{0}`; a head may be {EXAMPLE}")]
    NoColumn(&'static str),
    #[error("its head has no column `station` and no column `angle [deg]`; a head may be {EXAMPLE}")]
    NoPlace,
    #[error("its head has column `{0}` twice")]
    Twice(&'static str),
    #[error("the unit of column `{column}` in its head cannot be used: {reason}; a head may be {EXAMPLE}")]
    Unit { column: &'static str, reason: String },
    #[error(transparent)]
    Row(#[from] RowError),
    #[error("its line {line} has \"{cell}\" in column {column}, where a number is needed")]
    Cell { line: usize, column: &'static str, cell: String },
    #[error("its line {line} has {given} mm in column {column}: heights lie between {min} and {max} mm")]
    Range { line: usize, column: &'static str, given: f64, min: f64, max: f64 },
    #[error(
        "its line {line} has station {given} in column station, where station {expected} comes next: give every station once, in their order"
    )]
    Order { line: usize, given: f64, expected: usize },
    #[error(
        "its line {line} has {given} deg in column angle, where {n} equal angles from {first} deg have {expected:.1} deg: measure at equal angles"
    )]
    Angle { line: usize, given: f64, n: usize, first: f64, expected: f64 },
    #[error("it has {0} stations, at least {FEWEST} are needed (12 to 24 are usual) and at most {MOST} read")]
    Count(usize),
}

/// The name of the file of heights that a case's text asks for, if it reads so far.
pub fn heights_named(text: &str) -> Option<String> {
    let (file, _) = CaseFile::parse(text).ok()?;
    match &file.get(&i::LOCAL_HEIGHTS)?.value {
        Typed::Text(name) => Some(name.clone()),
        _ => None,
    }
}

/// Heights of the file that a case names; reports what is wrong with it.
pub(super) fn from_file(r: &mut Reader<'_>, seen_at: f64) -> Option<Heights> {
    let name = r.value(&i::LOCAL_HEIGHTS, |input, value| text_of(input, value).map(str::to_owned))?;
    let read = match r.file.attached.get(&name) {
        None => Err("no file is at hand: heights are found beside a case that is read from a file".to_owned()),
        Some(Err(reason)) => Err(reason.clone()),
        Some(Ok(bytes)) => read(bytes).map_err(|fault| fault.to_string()),
    };
    match read {
        Ok((left, right, first)) => Some(Heights { left, right, first, seen_at, file: Some(name) }),
        Err(sentence) => {
            let remedy = "mend the file, or name another; its name is taken relative to the case file";
            r.report(&i::LOCAL_HEIGHTS, Problem::Inconsistent { sentence: format!("{name}: {sentence}"), remedy });
            None
        }
    }
}

/// A problem and the bytes of the text that it is about.
type Fault = (Range<usize>, Problem);

/// Left and right heights, mm, and the angle of the first station, rad.
fn read(bytes: &[u8]) -> Result<(Vec<f64>, Vec<f64>, f64), HeightsError> {
    let mut table = Table::open(bytes)?;
    let place = |table: &Table<'_>, names: &[&'static str]| table.place(names).map_err(|Twice| HeightsError::Twice(names[0]));
    let (station, angle) = (place(&table, &["station"])?, place(&table, &["angle"])?);
    let sides = [&["left", "height left", "left height"], &["right", "height right", "right height"]].map(|names| {
        let at =
            place(&table, names)?.ok_or(HeightsError::NoColumn(if names[0] == "left" { "left [mm]" } else { "right [mm]" }))?;
        let unit = |reason| HeightsError::Unit { column: names[0], reason };
        Ok::<_, HeightsError>((at, names[0], factor_of(&table.head[at], Dimension::Length).map_err(unit)?))
    });
    let [left, right] = sides;
    let sides = [left?, right?];
    let (at, column, per_degree) = match (station, angle) {
        (Some(at), _) => (at, "station", None),
        (None, Some(at)) => {
            let unit = |reason| HeightsError::Unit { column: "angle", reason };
            (at, "angle", Some(factor_of(&table.head[at], Dimension::Angle).map_err(unit)?.to_degrees()))
        }
        (None, None) => return Err(HeightsError::NoPlace),
    };
    let (mut places, mut heights): (Vec<(usize, f64)>, [Vec<f64>; 2]) = (Vec::new(), [Vec::new(), Vec::new()]);
    while let Some(line) = table.advance()? {
        places.push((line, cell(&table, at, line, column)? * per_degree.unwrap_or(1.0)));
        for ((at, column, factor), heights) in sides.iter().zip(&mut heights) {
            heights.push(within(cell(&table, *at, line, column)? * factor, line, column)?);
        }
    }
    let n = places.len();
    if !(FEWEST..=MOST).contains(&n) {
        return Err(HeightsError::Count(n));
    }
    let first = if per_degree.is_some() { evenly(&places)? } else { in_order(&places)? };
    let [left, right] = heights;
    Ok((left, right, first))
}

fn cell(table: &Table<'_>, at: usize, line: usize, column: &'static str) -> Result<f64, HeightsError> {
    let text = table.text(at, line)?;
    let number = table.number(text).filter(|x| x.is_finite());
    number.ok_or_else(|| HeightsError::Cell { line, column, cell: text.to_owned() })
}

fn within(height: f64, line: usize, column: &'static str) -> Result<f64, HeightsError> {
    let Kind::Quantities { min, max, .. } = i::LOCAL_HEIGHTS_LEFT.kind else { return Ok(height) };
    let inside = (min..=max).contains(&height);
    if inside { Ok(height) } else { Err(HeightsError::Range { line, column, given: height, min, max }) }
}

/// Stations are numbered from 1 on; the first lies at angle 0.
fn in_order(places: &[(usize, f64)]) -> Result<f64, HeightsError> {
    let astray = places.iter().enumerate().find(|(k, (_, given))| (given - (k + 1) as f64).abs() > 1e-9);
    match astray {
        Some((k, (line, given))) => Err(HeightsError::Order { line: *line, given: *given, expected: k + 1 }),
        None => Ok(0.0),
    }
}

/// Angles, deg, rise by equal shares of the wheel; the first one, rad.
fn evenly(places: &[(usize, f64)]) -> Result<f64, HeightsError> {
    let (n, first) = (places.len(), places[0].1);
    let expected = |k: usize| first + 360.0 * k as f64 / n as f64;
    let astray = places.iter().enumerate().find(|(k, (_, given))| (given - expected(*k)).abs() > ASTRAY);
    match astray {
        Some((k, (line, given))) => Err(HeightsError::Angle { line: *line, given: *given, n, first, expected: expected(k) }),
        None => Ok(first * PI / 180.0),
    }
}

/// Heights typed in the case, mm.
pub(super) fn typed(r: &mut Reader<'_>, input: &'static Input) -> Option<Vec<f64>> {
    match list(r, input)? {
        Ok(heights) => Some(heights),
        Err((span, problem)) => {
            let problem = bare::with_unit(r.file, input, problem);
            r.report_at(input, span, problem);
            None
        }
    }
}

fn list(r: &Reader<'_>, input: &'static Input) -> Option<Result<Vec<f64>, Fault>> {
    let entry = r.file.get(input)?;
    let Typed::List(rows) = &entry.value else {
        let problem = Problem::WrongType { found: entry.value.type_name(), wanted: "an array of heights", line: input.line() };
        return Some(Err((entry.span.clone(), problem)));
    };
    if !(FEWEST..=MOST).contains(&rows.len()) {
        let sentence = format!("{} heights are given, at least {FEWEST} are needed and at most {MOST} read", rows.len());
        let remedy = "measure at 12 to 24 stations, at equal angles round the wheel";
        return Some(Err((entry.span.clone(), Problem::Inconsistent { sentence, remedy })));
    }
    let height = |entry: &super::file::Entry| quantity_of(input, &entry.value).map_err(|problem| (entry.span.clone(), problem));
    Some(rows.iter().map(height).collect())
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    fn file(head: &str, row: impl Fn(usize) -> String) -> Vec<u8> {
        let rows: Vec<String> = (0..12).map(row).collect();
        format!("# invented\n{head}\n{}\n", rows.join("\n")).into_bytes()
    }

    #[test]
    fn heights_come_in_their_units_with_commas_too() {
        let plain = read(&file("station,left [mm],right [mm],note", |k| format!("{},{}.5,3,", k + 1, k))).unwrap();
        assert_eq!((plain.0[3], plain.1[11], plain.2), (3.5, 3.0, 0.0));
        let comma = read(&file("angle [deg];Right (cm);Left (mm)", |k| format!("{};0,3;{},5", 15 + 30 * k, k))).unwrap();
        assert_eq!((&comma.0, comma.1[2], comma.2), (&plain.0, 3.0, PI / 12.0));
    }

    #[test]
    fn faults_name_line_column_and_what_would_do() {
        let head = "station,left [mm],right [mm]";
        let good = |k: usize| format!("{},3.1,3.2", k + 1);
        for (bytes, words) in [
            (file("station,left [mm]", |k| format!("{},3", k + 1)), vec!["no column `right [mm]`", "a head may be"]),
            (file("left [mm],right [mm]", |_| "3,3".into()), vec!["no column `station` and no column `angle [deg]`"]),
            (file("station,left,right [mm]", good), vec!["column `left`", "square brackets"]),
            (file(head, |k| if k == 4 { "5,high,3".into() } else { good(k) }), vec!["line 7", "\"high\" in column left"]),
            (file(head, |k| if k == 4 { "5,3".into() } else { good(k) }), vec!["line 7", "\"\" in column right"]),
            (
                file(head, |k| if k == 4 { "5,3,300".into() } else { good(k) }),
                vec!["line 7", "300 mm in column right", "-30 and 30"],
            ),
            (file(head, |k| if k == 4 { "6,3,3".into() } else { good(k) }), vec!["line 7", "station 6", "station 5 comes next"]),
            (
                file("angle [deg],left [mm],right [mm]", |k| format!("{},3,3", if k == 4 { 125 } else { 30 * k })),
                vec!["line 7", "125 deg", "120.0 deg"],
            ),
            (b"station,left [mm],right [mm]\n1,3,3\n2,3,3\n".to_vec(), vec!["2 stations, at least 8"]),
        ] {
            let sentence = read(&bytes).unwrap_err().to_string();
            words.iter().for_each(|word| assert!(sentence.contains(word), "{sentence}"));
        }
    }
}
