//! A case's text with one input changed, all the rest byte for byte as it was: what a form does to the file that it stands for.

use crate::drawing::MEASURES;
use crate::error::CaseErrors;
use crate::file::{CaseFile, Typed};
use crate::inputs::{self as i, Input, Kind};
use std::ops::Range;
use toml::de::DeTable;

/// Why a text was not changed.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum EditError {
    /// The text is no TOML, so that no place in it is known.
    #[error("{0}")]
    Unreadable(CaseErrors),
    /// The table is written in a way that takes no further line.
    #[error("[{table}] is not written as a table of its own: change `{key}` in the text")]
    NoPlace {
        /// Its name.
        table: &'static str,
        /// Key of the input.
        key: &'static str,
    },
}

/// The inputs that a file gives, each with its value as a person would type it into a form: a text without its quotes, anything else as it
/// stands.
pub fn given(file: &CaseFile<'_>) -> Vec<(&'static Input, String)> {
    let shown = |input: &'static Input| {
        let entry = file.get(input)?;
        let value = match &entry.value {
            Typed::Text(text) => text.clone(),
            _ => file.text.get(entry.span.clone())?.to_owned(),
        };
        Some((input, value))
    };
    i::INPUTS.iter().filter_map(|input| shown(input)).collect()
}

/// The text with an input set to what was typed, in its place if the file gives it, else as a new line of its table, where a comment that
/// shows its key makes room; without it where nothing was typed.
///
/// # Errors
/// [`EditError`] where the text has no place for it.
pub fn put(text: &str, input: &'static Input, typed: &str) -> Result<String, EditError> {
    let (file, _) = CaseFile::parse(text).map_err(EditError::Unreadable)?;
    let typed = typed.trim();
    let (place, piece) = match (file.get(input), typed.is_empty()) {
        (None, true) => return Ok(text.to_owned()),
        (Some(entry), true) => (whole_lines(text, &entry.span), String::new()),
        (Some(entry), false) => (entry.span.clone(), literal(input, typed)),
        (None, false) => new_line(text, &file, input, &literal(input, typed)),
    };
    let changed = format!("{}{piece}{}", &text[..place.start], &text[place.end..]);
    let there = CaseFile::parse(&changed).is_ok_and(|(file, _)| file.get(input).is_some() != typed.is_empty());
    if there { Ok(changed) } else { Err(EditError::NoPlace { table: input.section, key: input.key }) }
}

/// The text with a drawing named as the rim's section, without the lines that the drawing takes the place of.
///
/// # Errors
/// As [`put`].
pub fn put_drawing(text: &str, name: &str) -> Result<String, EditError> {
    let told = [&i::RIM_HOOP_STIFFNESS, &i::RIM_AREA, &i::RIM_MODULUS, &i::RIM_CENTROID_DIAMETER];
    let mut text = text.to_owned();
    for input in MEASURES.iter().copied().chain(told) {
        text = put(&text, input, "")?;
    }
    put(&put(&text, &i::SECTION_SHAPE, "drawing")?, &i::SECTION_DRAWING, name)
}

/// What stands behind the sign of equality for what was typed.
fn literal(input: &Input, typed: &str) -> String {
    let bare = match input.kind {
        Kind::Count { .. } | Kind::Flag | Kind::Curve | Kind::Quantities { .. } => true,
        Kind::Quantity { .. } | Kind::Modulus { .. } | Kind::WordOr { .. } => typed.parse::<f64>().is_ok(),
        Kind::Text | Kind::Choice(_) | Kind::Size => false,
    };
    if bare && is_value(typed) { typed.to_owned() } else { quoted(typed) }
}

/// Whether a text is one value of TOML and nothing else.
fn is_value(typed: &str) -> bool {
    let line = format!("k = {typed}");
    let whole = |table: &DeTable<'_>| table.len() == 1 && table.values().all(|value| value.span().end == line.len());
    DeTable::parse(&line).is_ok_and(|table| whole(table.get_ref()))
}

/// A basic string of TOML.
fn quoted(typed: &str) -> String {
    let escaped = |c: char| match c {
        '"' => "\\\"".to_owned(),
        '\\' => "\\\\".to_owned(),
        c if c.is_control() => format!("\\u{:04X}", u32::from(c)),
        c => c.to_string(),
    };
    format!("\"{}\"", typed.chars().map(escaped).collect::<String>())
}

/// The lines that a value stands on, with their ends.
fn whole_lines(text: &str, value: &Range<usize>) -> Range<usize> {
    line_start(text, value.start)..line_end(text, value.end)
}

fn line_start(text: &str, at: usize) -> usize {
    text[..at].rfind('\n').map_or(0, |end| end + 1)
}

/// Behind the end of the line.
fn line_end(text: &str, at: usize) -> usize {
    text[at..].find('\n').map_or(text.len(), |end| at + end + 1)
}

/// Where the line of an input that is not given goes, and the line with its end.
fn new_line(text: &str, file: &CaseFile<'_>, input: &'static Input, value: &str) -> (Range<usize>, String) {
    let line = format!("{} = {value}\n", input.key);
    let own = table_of(text, file, input.section);
    let Some(own) = own else {
        let gap = if text.is_empty() {
            ""
        } else if text.ends_with('\n') {
            "\n"
        } else {
            "\n\n"
        };
        return (text.len()..text.len(), format!("{gap}[{}]\n{line}", input.section));
    };
    // A comment that shows the key, as the starter case has them.
    let shown = format!("#{} = ", input.key);
    let mut at = own.start;
    while at < own.end {
        let end = line_end(text, at);
        if text[at..end].starts_with(&shown) {
            return (at..end, line);
        }
        at = end;
    }
    let last = i::INPUTS.iter().filter(|other| other.section == input.section).filter_map(|other| file.get(other));
    let behind = last.map(|entry| line_end(text, entry.span.end)).max().unwrap_or(own.start).clamp(own.start, own.end);
    let ended = behind == 0 || text[..behind].ends_with('\n');
    (behind..behind, if ended { line } else { format!("\n{line}") })
}

/// The lines of a table below its header, up to the next header; those above the first header for the top level.
fn table_of(text: &str, file: &CaseFile<'_>, section: &str) -> Option<Range<usize>> {
    let start = if section.is_empty() { 0 } else { line_end(text, file.header(section)?.end) };
    let mut at = start;
    while at < text.len() && !text[at..].starts_with('[') {
        at = line_end(text, at);
    }
    Some(start..at)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use crate::check::{read, read_with};
    use crate::starter::starter;

    const ROAD: &str = include_str!("../../../examples/01_road_holds.toml");

    fn value(text: &str, input: &'static Input) -> Option<String> {
        given(&CaseFile::parse(text).unwrap().0).into_iter().find(|(i, _)| std::ptr::eq(*i, input)).map(|(_, value)| value)
    }

    #[test]
    fn a_value_is_replaced_in_its_place_and_nothing_else_moves() {
        let text = put(ROAD, &i::BEAD_DIAMETER, "24.4 in").unwrap();
        assert_eq!(text, ROAD.replace("diameter = \"620.4 mm\"", "diameter = \"24.4 in\""));
        assert_eq!(put(ROAD, &i::SPOKES_COUNT, "32").unwrap(), ROAD.replace("count = 28", "count = 32"));
    }

    #[test]
    fn a_new_line_follows_the_last_of_its_table_and_goes_again() {
        let text = put(ROAD, &i::RIM_HUMP_HEIGHT, "0 mm").unwrap();
        assert_eq!(text, ROAD.replace("hoop_stiffness = \"7 MN\"\n", "hoop_stiffness = \"7 MN\"\nhump_height = \"0 mm\"\n"));
        assert_eq!(put(&text, &i::RIM_HUMP_HEIGHT, " ").unwrap(), ROAD);
        let friction = put(ROAD, &i::CONTACT_FRICTION, "0.25").unwrap();
        assert!(friction.ends_with("rated = \"5 bar\"\n\n[contact]\nfriction = 0.25\n"), "{friction}");
        assert_eq!(read(&friction).unwrap().0.friction.to_bits(), 0.25_f64.to_bits());
    }

    #[test]
    fn a_shown_default_makes_room() {
        let text = put(&starter(), &i::CONTACT_FRICTION, "0.2").unwrap();
        assert_eq!(text, starter().replace("#friction = 0.3\n", "friction = 0.2\n"));
        let title = put(&starter(), &i::TITLE, "a \"b\" \\ c").unwrap();
        assert_eq!(read(&title).unwrap().0.title, "a \"b\" \\ c");
    }

    /// What is half typed must not make the text unreadable: its fault stands at its field.
    #[test]
    fn whatever_is_typed_leaves_the_text_readable() {
        for input in i::INPUTS.iter().copied() {
            for typed in ["5", "5.", "1e", "[[\"0 %\", ", "\"", "\\", "1\n[rim]", "true # x", "a, b", "\u{7}", "nan"] {
                let text = put(ROAD, input, typed).unwrap();
                assert!(CaseFile::parse(&text).is_ok(), "{}: {typed:?}\n{text}", input.path());
                let kept = ROAD.lines().filter(|line| text.lines().any(|other| other == *line)).count();
                assert!(kept + 1 >= ROAD.lines().count(), "{}: {typed:?}\n{text}", input.path());
            }
        }
    }

    #[test]
    fn a_drawing_takes_the_place_of_measures() {
        let text = put_drawing(ROAD, "rim.dxf").unwrap();
        assert_eq!(value(&text, &i::SECTION_DRAWING).as_deref(), Some("rim.dxf"));
        assert!(value(&text, &i::RIM_SEAT_DIAMETER).is_none() && value(&text, &i::RIM_HOOP_STIFFNESS).is_none());
        let bytes = std::fs::read(format!("{}/../../meshes/box_full.dxf", env!("CARGO_MANIFEST_DIR"))).unwrap();
        assert!(read_with(&text, [("rim.dxf".to_owned(), Ok(bytes))].into()).is_ok());
        // A case that has no such lines gets the drawing alone.
        assert_eq!(put_drawing(&text, "rim.dxf").unwrap(), text);
    }

    #[test]
    fn tables_without_a_place_are_told() {
        let inline = "rim = { inner_width = \"21 mm\" }\n";
        assert!(matches!(put(inline, &i::RIM_HUMP_HEIGHT, "0 mm"), Err(EditError::NoPlace { table: "rim", .. })));
        assert!(put(inline, &i::RIM_INNER_WIDTH, "22 mm").unwrap().contains("22 mm"));
        assert!(matches!(put("[rim", &i::TITLE, "a"), Err(EditError::Unreadable(_))));
    }
}
