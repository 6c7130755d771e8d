//! A DXF file as code and value pairs: unit, layers, and the entities that carry the section with their numbers.
//!
//! Source of the format: the open DXF reference (group codes; sections HEADER, TABLES, ENTITIES).

use super::Skipped;
use crate::error::{DrawingError, Place};
use std::collections::{HashMap, HashSet};

/// Most entities read.
const MOST_ENTITIES: usize = 20_000;
/// Entities that carry the section.
const GEOMETRY: [&str; 7] = ["LINE", "ARC", "CIRCLE", "LWPOLYLINE", "POLYLINE", "ELLIPSE", "SPLINE"];
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

/// What a file holds.
pub(super) struct Found<'a> {
    /// $INSUNITS; none when absent.
    pub(super) unit: Option<i16>,
    /// Entities of the section, in the order of the file.
    pub(super) entities: Vec<Entity<'a>>,
    /// Entities left out.
    pub(super) skipped: Vec<Skipped>,
}

/// An entity that carries a part of the section: its type and its numbers by group code, in the order of the file.
pub(super) struct Entity<'a> {
    /// Type, as the file names it.
    pub(super) kind: &'a str,
    /// Codes and finite numbers.
    pub(super) numbers: Vec<(i32, f64)>,
    /// Numbers of its vertices, of a POLYLINE.
    pub(super) vertices: Vec<Vec<(i32, f64)>>,
}

impl Entity<'_> {
    /// The first number with a code, or a default.
    pub(super) fn number(&self, code: i32, default: f64) -> f64 {
        first(&self.numbers, code).unwrap_or(default)
    }

    /// All numbers with a code, in order.
    pub(super) fn all(&self, code: i32) -> Vec<f64> {
        self.numbers.iter().filter(|(c, _)| *c == code).map(|(_, number)| *number).collect()
    }

    /// Whether a bit of the flags (code 70) is set.
    pub(super) fn flag(&self, bit: u32) -> bool {
        // Flags are whole numbers of 16 bits.
        (self.number(70, 0.0) as i64) & i64::from(bit) != 0
    }
}

/// The first number with a code.
pub(super) fn first(numbers: &[(i32, f64)], code: i32) -> Option<f64> {
    numbers.iter().find(|(c, _)| *c == code).map(|(_, number)| *number)
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
pub(super) fn find(text: &str) -> Result<Found<'_>, DrawingError> {
    let pairs = pairs(text)?;
    let groups = groups(&pairs);
    let header = pairs.windows(2).find(|w| w[0].code == 9 && w[0].value == "$INSUNITS");
    let unit = header.map(|w| parsed::<i16>(&w[1])).transpose()?;
    let hidden = hidden_layers(&groups);
    let left_out = |layer: &str| {
        let name = layer.to_lowercase();
        hidden.contains(&name) || HELPER_LAYERS.iter().any(|h| name.starts_with(h))
    };
    let mut entities: Vec<Entity<'_>> = Vec::new();
    let mut skipped: HashMap<(String, String), usize> = HashMap::new();
    let mut in_polyline = false;
    for (_, group) in groups.iter().filter(|(section, group)| *section == "ENTITIES" && group[0].value != "SECTION") {
        let kind = group[0].value;
        let layer = value(group, 8).unwrap_or("0");
        if kind == "VERTEX" || kind == "SEQEND" {
            if let (true, "VERTEX", Some(polyline)) = (in_polyline, kind, entities.last_mut()) {
                polyline.vertices.push(numbers(group)?);
            }
            in_polyline &= kind == "VERTEX";
        } else if ANNOTATION.contains(&kind) || left_out(layer) || number(group, 67) == 1 || number(group, 60) == 1 {
            in_polyline = false;
            *skipped.entry((kind.to_owned(), layer.to_owned())).or_default() += 1;
        } else {
            check(kind, group)?;
            in_polyline = kind == "POLYLINE";
            entities.push(Entity { kind, numbers: numbers(group)?, vertices: Vec::new() });
        }
        if entities.len() > MOST_ENTITIES {
            return Err(DrawingError::TooMany { what: "entities", limit: MOST_ENTITIES });
        }
    }
    let mut skipped: Vec<_> = skipped.into_iter().map(|((kind, layer), count)| Skipped { kind, layer, count }).collect();
    skipped.sort_by(|a, b| (&a.kind, &a.layer).cmp(&(&b.kind, &b.layer)));
    Ok(Found { unit, entities, skipped })
}

/// Refuses entities that are no curves in the drawing plane.
fn check(kind: &str, group: &[Pair<'_>]) -> Result<(), DrawingError> {
    let coordinate = |code| value(group, code).and_then(|v| v.parse().ok()).unwrap_or(0.0);
    let place = Place([coordinate(10), coordinate(20)]);
    // Bits of a polyline: 4 spline-fit, 8 in space, 16 and 64 meshes.
    let flags = if kind == "POLYLINE" { number(group, 70) } else { 0 };
    if flags & 4 != 0 {
        return Err(DrawingError::Curve { kind: kind.to_owned(), place });
    }
    if !GEOMETRY.contains(&kind) || flags & (8 | 16 | 64) != 0 {
        return Err(DrawingError::Entity { kind: kind.to_owned(), place });
    }
    Ok(())
}

/// A value as a number.
fn parsed<T: std::str::FromStr>(pair: &Pair<'_>) -> Result<T, DrawingError> {
    pair.value.parse().map_err(|_| refused(pair, "a number"))
}

fn refused(pair: &Pair<'_>, expected: &'static str) -> DrawingError {
    DrawingError::Syntax { format: "DXF", line: pair.line, expected, found: pair.value.chars().take(40).collect() }
}

/// The numbers of a group whose codes carry geometry.
fn numbers(group: &[Pair<'_>]) -> Result<Vec<(i32, f64)>, DrawingError> {
    let geometric =
        |pair: &&Pair<'_>| matches!(pair.code, 10..=13 | 20..=23 | 30..=33 | 40..=42 | 50 | 51 | 70..=74 | 210 | 220 | 230);
    let finite = |pair: &Pair<'_>| {
        let number: f64 = parsed(pair)?;
        if number.is_finite() { Ok((pair.code, number)) } else { Err(refused(pair, "a finite number")) }
    };
    group[1..].iter().filter(geometric).map(finite).collect()
}
