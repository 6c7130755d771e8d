//! First pass over a DXF file's code and value pairs: unit, layers, and the entities worth handing to the entity reader.
//!
//! Source of the format: the open DXF reference (group codes; sections HEADER, TABLES, ENTITIES). The pass leaves out everything
//! else, because the entity reader, given a whole file, gives up on malformed dates and strings by panicking, and drops unknown
//! entities in silence.

use super::Skipped;
use crate::error::{DrawingError, Place};
use std::collections::{HashMap, HashSet};
use std::fmt::Write;

/// Most entities read.
const MOST_ENTITIES: usize = 20_000;
/// Entities that carry the section.
const GEOMETRY: [&str; 5] = ["LINE", "ARC", "CIRCLE", "LWPOLYLINE", "POLYLINE"];
/// Entities without meaning for the section.
const ANNOTATION: [&str; 12] = [
    "TEXT",
    "MTEXT",
    "DIMENSION",
    "POINT",
    "HATCH",
    "LEADER",
    "MULTILEADER",
    "TOLERANCE",
    "ATTDEF",
    "VIEWPORT",
    "ARC_DIMENSION",
    "SEQEND",
];
/// Free-form curves.
const CURVES: [&str; 2] = ["SPLINE", "ELLIPSE"];
/// Layers that are left out whatever their state: names that begin so, in any case of letters.
const HELPER_LAYERS: [&str; 2] = ["construction", "defpoints"];

/// A group code and its value.
#[derive(Clone, Copy)]
struct Pair<'a> {
    code: i32,
    value: &'a str,
    /// Line of the value, from 1.
    line: usize,
}

/// What the first pass found.
pub(super) struct Found {
    /// $INSUNITS; none when absent.
    pub(super) unit: Option<i16>,
    /// A DXF text with nothing but entities of lines and arcs.
    pub(super) text: String,
    /// Entities left out.
    pub(super) skipped: Vec<Skipped>,
}

/// The text of a file, as UTF-8 or else as one character a byte.
pub(super) fn decode(bytes: &[u8]) -> String {
    let bytes = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes);
    match std::str::from_utf8(bytes) {
        Ok(text) => text.to_owned(),
        Err(_) => bytes.iter().map(|b| char::from(*b)).collect(),
    }
}

/// Reads the pairs up to EOF or the end.
fn pairs(text: &str) -> Result<Vec<Pair<'_>>, DrawingError> {
    let syntax = |line: usize, expected, found: &str| DrawingError::Syntax {
        format: "DXF",
        line,
        expected,
        found: found.chars().take(40).collect(),
    };
    let mut lines = text.lines().enumerate();
    let mut pairs = Vec::new();
    while let Some((at, code)) = lines.next() {
        if code.trim().is_empty() && text.lines().skip(at).all(|line| line.trim().is_empty()) {
            break;
        }
        let code = code.trim().parse().map_err(|_| syntax(at + 1, "a group code (a whole number)", code))?;
        let (at, value) = lines.next().ok_or_else(|| syntax(at + 2, "a value", "the end of the file"))?;
        pairs.push(Pair { code, value: value.trim(), line: at + 1 });
        if code == 0 && value.trim() == "EOF" {
            break;
        }
    }
    if pairs.first().is_none_or(|p| !(p.code == 0 && p.value == "SECTION" || p.code == 999)) {
        let found = pairs.first().map_or("", |p| p.value);
        return Err(syntax(1, "a section (0, SECTION)", found));
    }
    Ok(pairs)
}

/// Groups that begin with code 0, with the name of the section they stand in.
fn groups<'a, 'b>(pairs: &'b [Pair<'a>]) -> Vec<(&'a str, &'b [Pair<'a>])> {
    let mut section = "";
    let mut groups = Vec::new();
    for group in pairs.chunk_by(|_, next| next.code != 0) {
        match (group[0].code, group[0].value) {
            (0, "SECTION") => section = group.iter().find(|p| p.code == 2).map_or("", |p| p.value),
            (0, "ENDSEC") => section = "",
            _ => {}
        }
        groups.push((section, group));
    }
    groups
}

/// Value of the first pair with a code.
fn value<'a>(group: &[Pair<'a>], code: i32) -> Option<&'a str> {
    group.iter().find(|p| p.code == code).map(|p| p.value)
}

/// Whole number of the first pair with a code; 0 when absent or malformed.
fn number(group: &[Pair<'_>], code: i32) -> i64 {
    value(group, code).and_then(|v| v.parse().ok()).unwrap_or(0)
}

/// Layers that do not show, in small letters: frozen (bit 1 of code 70) or off (negative colour).
fn hidden_layers(groups: &[(&str, &[Pair<'_>])]) -> HashSet<String> {
    let layers = groups.iter().filter(|(section, group)| *section == "TABLES" && group[0].value == "LAYER");
    let hidden = layers.filter(|(_, group)| number(group, 70) & 1 != 0 || number(group, 62) < 0);
    hidden.filter_map(|(_, group)| value(group, 2)).map(str::to_lowercase).collect()
}

/// Goes through the file.
pub(super) fn find(text: &str) -> Result<Found, DrawingError> {
    let pairs = pairs(text)?;
    let groups = groups(&pairs);
    let header = pairs.windows(2).find(|w| w[0].code == 9 && w[0].value == "$INSUNITS");
    let unit = header.map(|w| parsed::<i16>(&w[1])).transpose()?;
    let hidden = hidden_layers(&groups);
    let left_out = |layer: &str| {
        let name = layer.to_lowercase();
        hidden.contains(&name) || HELPER_LAYERS.iter().any(|h| name.starts_with(h))
    };
    let mut out = String::from("0\nSECTION\n2\nENTITIES\n");
    let mut skipped: HashMap<(String, String), usize> = HashMap::new();
    let (mut count, mut in_polyline) = (0, false);
    for (_, group) in groups.iter().filter(|(section, group)| *section == "ENTITIES" && group[0].value != "SECTION") {
        let kind = group[0].value;
        let layer = value(group, 8).unwrap_or("0");
        if kind == "VERTEX" || kind == "SEQEND" {
            if in_polyline {
                hand_over(&mut out, group)?;
            }
            in_polyline &= kind == "VERTEX";
        } else if ANNOTATION.contains(&kind) || left_out(layer) || number(group, 67) == 1 || number(group, 60) == 1 {
            in_polyline = false;
            *skipped.entry((kind.to_owned(), layer.to_owned())).or_default() += 1;
        } else {
            check(kind, group)?;
            in_polyline = kind == "POLYLINE";
            count += 1;
            hand_over(&mut out, group)?;
        }
        if count > MOST_ENTITIES {
            return Err(DrawingError::TooMany { what: "entities", limit: MOST_ENTITIES });
        }
    }
    out.push_str("0\nENDSEC\n0\nEOF\n");
    let mut skipped: Vec<_> = skipped.into_iter().map(|((kind, layer), count)| Skipped { kind, layer, count }).collect();
    skipped.sort_by(|a, b| (&a.kind, &a.layer).cmp(&(&b.kind, &b.layer)));
    Ok(Found { unit, text: out, skipped })
}

/// Refuses entities that are not lines and arcs in the drawing plane.
fn check(kind: &str, group: &[Pair<'_>]) -> Result<(), DrawingError> {
    let coordinate = |code| value(group, code).and_then(|v| v.parse().ok()).unwrap_or(0.0);
    let place = Place([coordinate(10), coordinate(20)]);
    // Bits of a polyline: 4 spline-fit, 8 in space, 16 and 64 meshes.
    let flags = if kind == "POLYLINE" { number(group, 70) } else { 0 };
    if CURVES.contains(&kind) || flags & 4 != 0 {
        return Err(DrawingError::Curve { kind: kind.to_owned(), place });
    }
    if !GEOMETRY.contains(&kind) || flags & (8 | 16 | 64) != 0 {
        return Err(DrawingError::Entity { kind: kind.to_owned(), place });
    }
    Ok(())
}

/// A value as a number.
fn parsed<T: std::str::FromStr>(pair: &Pair<'_>) -> Result<T, DrawingError> {
    let found = || pair.value.chars().take(40).collect();
    pair.value.parse().map_err(|_| DrawingError::Syntax { format: "DXF", line: pair.line, expected: "a number", found: found() })
}

/// Copies the codes that carry geometry, once their numbers have been looked at.
fn hand_over(out: &mut String, group: &[Pair<'_>]) -> Result<(), DrawingError> {
    let write = |out: &mut String, code: i32, value: &dyn std::fmt::Display| {
        // Writing to a string cannot fail.
        let _ = writeln!(out, "{code}\n{value}");
    };
    write(out, 0, &group[0].value);
    for pair in &group[1..] {
        match pair.code {
            10 | 20 | 30 | 11 | 21 | 31 | 40 | 42 | 50 | 51 | 210 | 220 | 230 => {
                let number: f64 = parsed(pair)?;
                if !number.is_finite() {
                    return Err(DrawingError::Syntax {
                        format: "DXF",
                        line: pair.line,
                        expected: "a finite number",
                        found: pair.value.chars().take(40).collect(),
                    });
                }
                write(out, pair.code, &format_args!("{number:e}"));
            }
            66 | 70 => write(out, pair.code, &parsed::<i16>(pair)?),
            _ => {}
        }
    }
    Ok(())
}
