//! Failures as a block of labelled lines: what is wrong, where in which file, and the remedy.

use std::fmt::Write as _;
use std::ops::Range;

use hoopwright_case::CaseError;
use hoopwright_report::text::wrapped;

use crate::failure::Failure;
use hoopwright_study::pairs::fault::{Fault, Place};

/// Most faults of one case that are shown.
const MOST_SHOWN: usize = 50;
/// Longest line of a file that is shown, bytes.
const LONGEST_LINE: usize = 500;
/// Width of the column of labels.
const LABEL: usize = 8;

/// How a block is written: with colours of a terminal or without.
#[derive(Clone, Copy)]
struct Style {
    colour: bool,
}

impl Style {
    const STRONG: &'static str = "1;31";
    const MARKED: &'static str = "4";

    fn put(self, code: &str, words: &str) -> String {
        if self.colour && !words.is_empty() { format!("\u{1b}[{code}m{words}\u{1b}[0m") } else { words.to_owned() }
    }

    /// A line of a block as it stands: its label in a column of its own.
    fn line(self, label: &str, words: &str) -> String {
        self.labelled(&format!("{label:<LABEL$}{words}"))
    }

    /// Words of a block, wrapped beside their label.
    fn words(self, label: &str, words: &str) -> String {
        self.labelled(&wrapped(&format!("{label:<LABEL$}"), LABEL, words))
    }

    fn labelled(self, line: &str) -> String {
        match line.strip_prefix("Fault") {
            Some(rest) => format!("{}{rest}", self.put(Self::STRONG, "Fault")),
            None => line.to_owned(),
        }
    }
}

/// The report, without a line break at its end.
pub(crate) fn render(failure: &Failure, colour: bool) -> String {
    let style = Style { colour };
    if let Failure::Tables { faults } = failure {
        return of_tables(style, faults);
    }
    let Failure::Case { path, text, errors } = failure else {
        return [style.words("Fault", &printable(&failure.to_string())), style.words("Remedy", failure.remedy())].join("\n");
    };
    let path = printable(&path.display().to_string());
    let mut blocks: Vec<String> = errors.0.iter().take(MOST_SHOWN).map(|error| fault(style, &path, text, error)).collect();
    if errors.0.len() > MOST_SHOWN {
        blocks.push(format!("{} more faults are not shown.", errors.0.len() - MOST_SHOWN));
    }
    blocks.join("\n\n")
}

/// The blocks of the faults of tables.
fn of_tables(style: Style, faults: &[Fault]) -> String {
    let block = |fault: &Fault| {
        let place = match &fault.place {
            Place::File => String::new(),
            Place::Head(head) => format!(", column \"{head}\""),
            Place::Row(row) => format!(", row {row}"),
            Place::Cell(row, head) => format!(", row {row}, column \"{head}\""),
            Place::Text(line, column) => format!(", line {line}, column {column}"),
        };
        let lines = [
            style.words("Fault", &printable(&fault.sentence)),
            style.line("Where", &printable(&format!("{}{place}", fault.file))),
            style.words("Remedy", &printable(&fault.remedy)),
        ];
        lines.join("\n")
    };
    let mut blocks: Vec<String> = faults.iter().take(MOST_SHOWN).map(block).collect();
    if faults.len() > MOST_SHOWN {
        blocks.push(format!("{} more faults are not shown.", faults.len() - MOST_SHOWN));
    }
    blocks.join("\n\n")
}

/// The block of one fault of a case.
fn fault(style: Style, path: &str, text: &str, error: &CaseError) -> String {
    let mut lines = vec![
        style.words("Fault", &printable(&error.message())),
        style.line("Where", &format!("{path}, line {}, column {}", error.line, error.column)),
    ];
    if let Some((line, part)) = line_at(text, &error.span) {
        let (before, marked, after) = (&line[..part.start], &line[part.clone()], &line[part.end..]);
        let (before, marked, after) = (printable(before.trim_start()), printable(marked), printable(after.trim_end()));
        lines.push(style.line("Text", &format!("{before}{}{after}", style.put(Style::MARKED, &marked))));
        let whole = before.is_empty() && after.is_empty();
        if !whole && !marked.is_empty() {
            lines.push(style.line("Place", &marked));
        }
    }
    lines.push(style.words("Remedy", &printable(&error.remedy())));
    lines.join("\n")
}

/// The line where a span begins, and the part of the span that lies on it. None where there is no text or too much of it.
fn line_at<'a>(text: &'a str, span: &Range<usize>) -> Option<(&'a str, Range<usize>)> {
    let start = text.get(..span.start)?.rfind('\n').map_or(0, |i| i + 1);
    let end = text.get(span.start..)?.find('\n').map_or(text.len(), |i| span.start + i);
    let line = text.get(start..end)?.trim_end_matches('\r');
    let end = (start + line.len()).max(span.start);
    let part = span.start - start..span.end.clamp(span.start, end) - start;
    (!line.is_empty() && line.len() <= LONGEST_LINE && line.get(part.clone()).is_some()).then_some((line, part))
}

/// What a file says, safe to print: characters that steer a terminal or turn the direction of writing are shown by their number. Words
/// of the program pass unchanged.
fn printable(words: &str) -> String {
    let steers = |c: char| {
        c.is_control()
            || matches!(c, '\u{200e}' | '\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}' | '\u{2028}' | '\u{2029}')
    };
    words.chars().fold(String::with_capacity(words.len()), |mut safe, c| {
        match c {
            '\t' => safe.push_str("    "),
            '\n' => safe.push('\n'),
            c if steers(c) => {
                let _infallible = write!(safe, "<U+{:04X}>", u32::from(c));
            }
            c => safe.push(c),
        }
        safe
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_steers_a_terminal_is_shown_by_its_number() {
        assert_eq!(printable("a\u{1b}[31m\tb\u{202e}é"), "a<U+001B>[31m    b<U+202E>é");
    }

    #[test]
    fn a_span_is_cut_to_its_line() {
        let text = "a = 1\r\nb = [\r\n2]";
        assert_eq!(line_at(text, &(0..1)), Some(("a = 1", 0..1)));
        assert_eq!(line_at(text, &(11..15)), Some(("b = [", 4..5)));
        assert_eq!(line_at(text, &(5..5)), Some(("a = 1", 5..5)));
        assert_eq!(line_at("", &(0..0)), None);
    }

    #[test]
    fn sentences_keep_to_the_width_beside_their_label_and_what_is_quoted_stays_whole() {
        let style = Style { colour: false };
        let block = style.words("Remedy", &"give a wider seat ".repeat(9));
        assert!(block.lines().count() == 3 && block.lines().all(|line| line.chars().count() <= 80), "{block}");
        assert!(block.lines().skip(1).all(|line| line.starts_with("        ")), "{block}");
        assert_eq!(style.line("Text", &"x ".repeat(80)).lines().count(), 1);
    }

    #[test]
    fn the_place_is_marked_where_colours_are() {
        let style = Style { colour: true };
        assert_eq!(style.put(Style::MARKED, "x"), "\u{1b}[4mx\u{1b}[0m");
        assert_eq!(Style { colour: false }.put(Style::MARKED, "x"), "x");
    }
}
