//! The inputs of a case as a table for a terminal, as Markdown and as JSON. All come from the table of inputs of the solver.
//!
//! JSON: schema `hoopwright/inputs/1.0`, with an array `inputs` of objects `table`, `key`, `unit` (null where there is none; `-` for a pure
//! number), `range` (null for free text), `need` (`required`, `one of`, `instead`, `default`, `derived`, `optional`), `default` (null where
//! none stands), `example`, `meaning`, `source`, `varied` (whether `vary` takes it).

use crate::lines::WIDTH;
use hoopwright_case::inputs::{INPUTS, Input, Kind, Need, SECTIONS};
use hoopwright_case::{SERVICE_INPUTS, SERVICE_TABLE};
use serde_json::{Value, json};

/// Indentation of what is said of an input.
const INDENT: &str = "    ";

/// Inputs whose path `table.key` holds the word, in the order of the case file, those of the service last; all for the empty word.
pub fn holding(word: &str) -> Vec<&'static Input> {
    all().filter(|input| input.path().contains(word)).collect()
}

fn all() -> impl Iterator<Item = &'static Input> {
    INPUTS.iter().chain(SERVICE_INPUTS).copied()
}

/// Unit of listings: a symbol, `-` for a pure number, nothing where there is none.
fn unit(input: &Input) -> Option<&'static str> {
    input.unit().map(|unit| if unit.symbol.is_empty() { "-" } else { unit.symbol })
}

/// The range or the form of what is typed.
fn range(input: &Input) -> String {
    input.range().unwrap_or_else(|| match input.kind {
        Kind::Curve => "points of strain and force, both increasing".to_owned(),
        Kind::Size => "width and rim code".to_owned(),
        _ => "text".to_owned(),
    })
}

/// What stands if the input is not given.
fn default(input: &Input) -> String {
    match input.need {
        Need::Required { .. } => "must be given".to_owned(),
        Need::OneOf { or, .. } => format!("must be given unless {or} is"),
        Need::Instead { of, .. } => format!("not given: in place of {of}"),
        Need::Default { value } => value.to_owned(),
        Need::Derived { rule, .. } => rule.to_owned(),
        Need::Optional { absent, .. } => format!("not given: {absent}"),
    }
}

/// An example; nothing where the default is one.
fn example(input: &Input) -> Option<&'static str> {
    (!matches!(input.need, Need::Default { .. })).then(|| input.example())
}

/// Inputs by their tables, which are in the order of the case file: name, what the table holds, inputs.
fn by_table(inputs: &[&'static Input]) -> Vec<(&'static str, &'static str, Vec<&'static Input>)> {
    let first = [("", "Above the first table.")];
    let of = |name: &str| inputs.iter().copied().filter(|input| input.section == name).collect::<Vec<_>>();
    let tables = first.iter().chain(SECTIONS).chain([&SERVICE_TABLE]).map(|(name, meaning)| (*name, *meaning, of(name)));
    tables.filter(|(.., inputs)| !inputs.is_empty()).collect()
}

/// The table for a terminal: a line with path, range and default for each input, its meaning and source below.
pub fn text(inputs: &[&'static Input]) -> String {
    let mut out = String::new();
    for (name, meaning, inputs) in by_table(inputs) {
        let head = if name.is_empty() { meaning.to_owned() } else { format!("[{name}] {meaning}") };
        wrapped(&head, "", &mut out);
        for input in inputs {
            out.push('\n');
            wrapped(&format!("{}: {}", input.path(), input.meaning), "  ", &mut out);
            let unit = unit(input).map_or(String::new(), |unit| format!("unit {unit}; "));
            wrapped(&format!("{unit}range: {}", range(input)), INDENT, &mut out);
            let example = example(input).map_or(String::new(), |example| format!("; example: {example}"));
            wrapped(&format!("default: {}{example}", default(input)), INDENT, &mut out);
            wrapped(&format!("source: {}", input.source), INDENT, &mut out);
        }
        out.push('\n');
    }
    out.truncate(out.trim_end().len());
    out.push('\n');
    out
}

/// Appends a sentence broken between words, lines after the first two characters further in.
fn wrapped(sentence: &str, indent: &str, out: &mut String) {
    let mut line = indent.to_owned();
    for (i, word) in sentence.split(' ').enumerate() {
        if i > 0 && line.chars().count() + 1 + word.chars().count() > WIDTH {
            out.push_str(&line);
            out.push('\n');
            line = format!("{indent}  {word}");
            continue;
        }
        line.push_str(if i > 0 { " " } else { "" });
        line.push_str(word);
    }
    out.push_str(&line);
    out.push('\n');
}

/// Markdown: a table for each table of the case file.
pub fn markdown(inputs: &[&'static Input]) -> String {
    let mut out = String::from(
        "# Inputs of a case\n\nWritten by `hoopwright inputs --markdown` from `inputs/table.rs` and `inputs/service.rs` in `crates/case/src`; do not edit \
         it here.\n\
         Any unit of the same dimension may be typed. \"-\" marks a pure number. The source is that of the default, or of the example where \
         there is no default.\n",
    );
    for (name, meaning, inputs) in by_table(inputs) {
        let head = if name.is_empty() { "Above the first table".to_owned() } else { format!("`[{name}]`\n\n{meaning}") };
        out.push_str(&format!(
            "\n## {head}\n\n| key | meaning | unit | range | default | example | source |\n|---|---|---|---|---|---|---|\n"
        ));
        for input in inputs {
            let cells = [
                format!("`{}`", input.key),
                input.meaning.to_owned(),
                unit(input).unwrap_or("").to_owned(),
                range(input),
                default(input),
                example(input).unwrap_or("").to_owned(),
                input.source.to_owned(),
            ];
            let cells: Vec<String> = cells.iter().map(|cell| cell.replace('|', "\\|")).collect();
            out.push_str(&format!("| {} |\n", cells.join(" | ")));
        }
    }
    out
}

/// JSON, as the head of this module says.
pub fn json(inputs: &[&'static Input]) -> String {
    let rows: Vec<Value> = inputs.iter().map(|input| object(input)).collect();
    let document = json!({ "schema": "hoopwright/inputs/1.0", "inputs": rows });
    format!("{document:#}\n")
}

fn object(input: &Input) -> Value {
    let need = match input.need {
        Need::Required { .. } => "required",
        Need::OneOf { .. } => "one of",
        Need::Instead { .. } => "instead",
        Need::Default { .. } => "default",
        Need::Derived { .. } => "derived",
        Need::Optional { .. } => "optional",
    };
    let default = match input.need {
        Need::Default { value } => Some(value),
        Need::Derived { rule, .. } => Some(rule),
        _ => None,
    };
    json!({
        "table": input.section,
        "key": input.key,
        "unit": unit(input),
        "range": input.range(),
        "need": need,
        "default": default,
        "example": input.example(),
        "meaning": input.meaning,
        "source": input.source,
        "varied": input.unit().is_some() && input.section != SERVICE_TABLE.0,
    })
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    #[test]
    fn every_input_stands_in_every_form() {
        let all = holding("");
        let (text, markdown) = (text(&all), markdown(&all));
        let json: Value = serde_json::from_str(&json(&all)).unwrap();
        assert_eq!(json["inputs"].as_array().unwrap().len(), all.len());
        for (input, object) in all.iter().zip(json["inputs"].as_array().unwrap()) {
            assert!(text.contains(&format!("  {}: ", input.path())), "{}", input.path());
            assert!(
                markdown.contains(&format!("| `{}` | {} |", input.key, input.meaning.replace('|', "\\|"))),
                "{}",
                input.path()
            );
            assert_eq!((object["key"].as_str(), object["source"].as_str()), (Some(input.key), Some(input.source)));
        }
        let rows = markdown.lines().filter(|line| line.starts_with("| `"));
        assert!(
            rows.clone().count() == all.len() && rows.into_iter().all(|row| row.replace("\\|", "").matches('|').count() == 8)
        );
    }

    #[test]
    fn no_line_is_wider_than_the_page_and_a_word_narrows_the_list() {
        assert!(text(&holding("")).lines().all(|line| line.chars().count() <= WIDTH));
        let found: Vec<String> = holding("rim.seat").iter().map(|input| input.path()).collect();
        assert_eq!(found, ["rim.seat_diameter", "rim.seat_width", "rim.seat_angle"]);
        assert!(holding("no such key").is_empty());
        let service = holding("service");
        assert_eq!(service.len(), SERVICE_INPUTS.len());
        assert!(text(&service).starts_with("[service] Time under load and heat"));
        assert!(json(&service).contains("\"varied\": false") && !json(&service).contains("\"varied\": true"));
    }
}
