//! Lines of a Gmsh MSH file, 4.1 or 2.2 ASCII, as nodes, elements and names.
//!
//! Source of the format: Gmsh reference manual, chapter on file formats.

use crate::error::DrawingError;
use std::collections::HashMap;
use std::str::FromStr;

/// An element as listed.
pub(super) struct Element {
    /// Line number from 1.
    pub(super) line: usize,
    /// Type number of the format.
    pub(super) kind: i64,
    /// Physical groups it belongs to.
    pub(super) groups: Vec<i64>,
    /// Node tags.
    pub(super) nodes: Vec<i64>,
}

/// What the file holds.
#[derive(Default)]
pub(super) struct File {
    /// Coordinates by node tag.
    pub(super) nodes: HashMap<i64, [f64; 3]>,
    /// Elements in order.
    pub(super) elements: Vec<Element>,
    /// Names by dimension and physical group.
    pub(super) names: HashMap<(i64, i64), String>,
    /// Physical groups by dimension and entity (4.1 only).
    entities: HashMap<(i64, i64), Vec<i64>>,
}

/// Lines with their numbers.
struct Lines<'a> {
    lines: std::iter::Enumerate<std::str::Lines<'a>>,
    /// Number of the last line taken, from 1.
    at: usize,
}

impl<'a> Lines<'a> {
    fn next(&mut self) -> Option<&'a str> {
        self.lines.next().map(|(at, line)| {
            self.at = at + 1;
            line.trim()
        })
    }

    fn wrong(&self, expected: &'static str, found: &str) -> DrawingError {
        DrawingError::Syntax { format: "MSH", line: self.at, expected, found: found.chars().take(40).collect() }
    }

    /// The next line of a section; its end is an error.
    fn row(&mut self, expected: &'static str) -> Result<&'a str, DrawingError> {
        match self.next() {
            Some(line) if !line.starts_with('$') => Ok(line),
            Some(line) => Err(self.wrong(expected, line)),
            None => {
                self.at += 1;
                Err(self.wrong(expected, "the end of the file"))
            }
        }
    }

    /// The numbers of the next line, at least so many.
    fn numbers<T: FromStr>(&mut self, least: usize, expected: &'static str) -> Result<Vec<T>, DrawingError> {
        let row = self.row(expected)?;
        let numbers: Option<Vec<T>> = row.split_whitespace().map(|word| word.parse().ok()).collect();
        numbers.filter(|n| n.len() >= least).ok_or_else(|| self.wrong(expected, row))
    }
}

/// Reads the file.
pub(super) fn parse(text: &str) -> Result<File, DrawingError> {
    let mut lines = Lines { lines: text.lines().enumerate(), at: 0 };
    let (mut file, mut new) = (File::default(), None);
    while let Some(line) = lines.next() {
        match (line, new) {
            ("$MeshFormat", _) => new = Some(version(&mut lines)?),
            ("$PhysicalNames", _) => names(&mut lines, &mut file)?,
            ("$Entities", Some(true)) => entities(&mut lines, &mut file)?,
            ("$Nodes", Some(true)) => nodes_4(&mut lines, &mut file)?,
            ("$Nodes", Some(false)) => nodes_2(&mut lines, &mut file)?,
            ("$Elements", Some(true)) => elements_4(&mut lines, &mut file)?,
            ("$Elements", Some(false)) => elements_2(&mut lines, &mut file)?,
            ("$Nodes" | "$Elements", None) => return Err(lines.wrong("$MeshFormat before it", line)),
            _ => {}
        }
    }
    match new {
        Some(_) => Ok(file),
        None => Err(lines.wrong("a section $MeshFormat", "the end of the file")),
    }
}

/// Whether the version is 4.1 rather than 2.2.
fn version(lines: &mut Lines) -> Result<bool, DrawingError> {
    let row = lines.row("version, file type and data size")?;
    let words: Vec<&str> = row.split_whitespace().collect();
    match words[..] {
        [_, "1", ..] => Err(DrawingError::Binary { format: "MSH" }),
        ["4.1", "0", ..] => Ok(true),
        ["2.2", "0", ..] => Ok(false),
        _ => Err(DrawingError::MeshVersion { found: row.chars().take(40).collect() }),
    }
}

/// Count at the head of a section.
fn count(lines: &mut Lines) -> Result<i64, DrawingError> {
    Ok(lines.numbers::<i64>(1, "a count")?[0])
}

fn names(lines: &mut Lines, file: &mut File) -> Result<(), DrawingError> {
    let expected = "dimension, group and name in quotes";
    for _ in 0..count(lines)? {
        let row = lines.row(expected)?;
        let words: Vec<&str> = row.splitn(3, char::is_whitespace).collect();
        let [dimension, tag, name] = words[..] else { return Err(lines.wrong(expected, row)) };
        match (dimension.parse(), tag.parse()) {
            (Ok(dimension), Ok(tag)) => file.names.insert((dimension, tag), name.trim().trim_matches('"').to_owned()),
            _ => return Err(lines.wrong(expected, row)),
        };
    }
    Ok(())
}

/// Physical groups of the geometric entities.
fn entities(lines: &mut Lines, file: &mut File) -> Result<(), DrawingError> {
    let expected = "an entity: tag, bounds, number of groups, groups";
    let counts = lines.numbers::<i64>(4, "four counts of entities")?;
    for (dimension, count) in (0_i64..4).zip(counts) {
        // A point has three coordinates where the others have six bounds.
        let at = if dimension == 0 { 4 } else { 7 };
        for _ in 0..count {
            let row = lines.row(expected)?;
            let words: Vec<&str> = row.split_whitespace().collect();
            let whole = |i: usize| words.get(i).and_then(|w| w.parse::<i64>().ok());
            let groups = whole(at).and_then(|n| (0..usize::try_from(n).ok()?).map(|i| whole(at + 1 + i)).collect());
            match (whole(0), groups) {
                (Some(tag), Some(groups)) => file.entities.insert((dimension, tag), groups),
                _ => return Err(lines.wrong(expected, row)),
            };
        }
    }
    Ok(())
}

fn add_node(lines: &Lines, file: &mut File, tag: i64, point: &[f64]) -> Result<(), DrawingError> {
    if point.iter().any(|c| !c.is_finite()) {
        return Err(lines.wrong("finite coordinates", "infinite ones"));
    }
    file.nodes.insert(tag, [point[0], point[1], point[2]]);
    Ok(())
}

fn nodes_4(lines: &mut Lines, file: &mut File) -> Result<(), DrawingError> {
    let blocks = lines.numbers::<i64>(4, "four counts of nodes")?[0];
    for _ in 0..blocks {
        let in_block = lines.numbers::<i64>(4, "dimension, entity, parametric and count of a node block")?[3];
        let tags = (0..in_block).map(|_| lines.numbers::<i64>(1, "a node tag").map(|n| n[0])).collect::<Result<Vec<_>, _>>()?;
        for tag in tags {
            let point = lines.numbers::<f64>(3, "three coordinates")?;
            add_node(lines, file, tag, &point)?;
        }
    }
    Ok(())
}

fn nodes_2(lines: &mut Lines, file: &mut File) -> Result<(), DrawingError> {
    for _ in 0..count(lines)? {
        let row = lines.row("a node: tag and three coordinates")?;
        let words: Vec<&str> = row.split_whitespace().collect();
        let point: Option<Vec<f64>> = words.iter().skip(1).map(|w| w.parse().ok()).collect();
        match (words.first().and_then(|w| w.parse().ok()), point) {
            (Some(tag), Some(point)) if point.len() >= 3 => add_node(lines, file, tag, &point)?,
            _ => return Err(lines.wrong("a node: tag and three coordinates", row)),
        }
    }
    Ok(())
}

fn elements_4(lines: &mut Lines, file: &mut File) -> Result<(), DrawingError> {
    let blocks = lines.numbers::<i64>(4, "four counts of elements")?[0];
    for _ in 0..blocks {
        let head = lines.numbers::<i64>(4, "dimension, entity, type and count of an element block")?;
        let groups = file.entities.get(&(head[0], head[1])).cloned().unwrap_or_default();
        for _ in 0..head[3] {
            let nodes = lines.numbers::<i64>(2, "an element: tag and nodes")?[1..].to_vec();
            file.elements.push(Element { line: lines.at, kind: head[2], groups: groups.clone(), nodes });
        }
    }
    Ok(())
}

fn elements_2(lines: &mut Lines, file: &mut File) -> Result<(), DrawingError> {
    let expected = "an element: tag, type, number of tags, tags, nodes";
    for _ in 0..count(lines)? {
        let numbers = lines.numbers::<i64>(4, expected)?;
        let nodes = usize::try_from(numbers[2]).ok().and_then(|tags| numbers.get(tags.checked_add(3)?..));
        let Some(nodes) = nodes else { return Err(lines.wrong(expected, "fewer numbers")) };
        let groups = if numbers[2] > 0 { vec![numbers[3]] } else { vec![] };
        file.elements.push(Element { line: lines.at, kind: numbers[1], groups, nodes: nodes.to_vec() });
    }
    Ok(())
}
