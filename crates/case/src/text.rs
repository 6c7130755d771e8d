//! The text of a file with the lines and columns of its bytes.

use std::ops::Deref;
use std::sync::{Arc, OnceLock};

/// Bytes from one mark to the next.
const STEP: usize = 256;

/// A text in which the line and column of a byte are found without going through all that lies before it, so that the places of many
/// faults take time with their number, not with that times the length of the text.
#[derive(Clone, Debug)]
pub struct Text<'a> {
    whole: &'a str,
    /// Made at the first fault; one list for all variants of a case.
    marks: Arc<OnceLock<Vec<Mark>>>,
}

/// A place from which lines and columns are counted on.
#[derive(Clone, Copy, Debug)]
struct Mark {
    /// Byte where a character begins.
    byte: usize,
    line: usize,
    column: usize,
}

impl Mark {
    /// The place behind one more character.
    fn behind(self, character: char) -> Self {
        let byte = self.byte + character.len_utf8();
        match character {
            '\n' => Self { byte, line: self.line + 1, column: 1 },
            _ => Self { byte, line: self.line, column: self.column + 1 },
        }
    }
}

impl<'a> Text<'a> {
    pub(super) fn new(whole: &'a str) -> Self {
        Self { whole, marks: Arc::default() }
    }

    /// Line and column, both from 1, of a byte; the column counts characters. A byte beyond the end counts as the end.
    pub(super) fn line_and_column(&self, byte: usize) -> (usize, usize) {
        let marks = self.marks.get_or_init(|| marks(self.whole));
        let mut place = marks[marks.partition_point(|mark| mark.byte <= byte) - 1];
        for character in self.whole[place.byte..].chars() {
            let next = place.behind(character);
            if next.byte > byte {
                break;
            }
            place = next;
        }
        (place.line, place.column)
    }
}

impl Deref for Text<'_> {
    type Target = str;

    fn deref(&self) -> &str {
        self.whole
    }
}

/// A mark at the beginning of a text and every [`STEP`] bytes.
fn marks(text: &str) -> Vec<Mark> {
    let mut place = Mark { byte: 0, line: 1, column: 1 };
    let mut marks = vec![place];
    for character in text.chars() {
        if place.byte >= marks.len() * STEP {
            marks.push(place);
        }
        place = place.behind(character);
    }
    marks
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn columns_count_characters_not_bytes() {
        let text = Text::new("a\nxé = 1\n");
        for (byte, place) in [(0, (1, 1)), (2, (2, 1)), (5, (2, 3)), (999, (3, 1))] {
            assert_eq!(text.line_and_column(byte), place);
        }
        assert_eq!(Text::new("").line_and_column(0), (1, 1));
    }

    /// Against counting from the beginning, at every byte of a text with long lines and characters that lie across the marks.
    #[test]
    fn marks_change_no_place() {
        let whole = "é€k = 0\n".repeat(150) + &"€".repeat(700) + "\r\n\nx = 1";
        let text = Text::new(&whole);
        for byte in 0..=whole.len() {
            let end = (0..=byte).rev().find(|at| whole.is_char_boundary(*at)).unwrap_or(0);
            let line = whole[..end].matches('\n').count() + 1;
            let column = whole[..end].chars().rev().take_while(|c| *c != '\n').count() + 1;
            assert_eq!(text.line_and_column(byte), (line, column), "{byte}");
        }
    }
}
