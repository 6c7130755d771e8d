//! A map's files: every point as a table, the summary as JSON and as text, the fields as VTK image data.

mod data;
mod image;
mod json;
mod summary;

pub use data::data;
pub use image::image;
pub use json::document;
pub use summary::{Summary, text};

use hoopwright_study::map::field::{Field, Limit};
use hoopwright_study::map::{Finished, Point, Solved, State};

use crate::study::{Line, Outcome, Sheet};
use crate::words;

/// What the line of a solved point says of some fields.
pub fn solved(sheet: &Sheet, line: &Line, fields: &[Field]) -> Solved {
    Solved {
        numbers: fields.iter().map(|field| sheet.number(line, field.index)).collect(),
        answered: sheet.outcome(line) != Outcome::NoAnswer,
    }
}

/// The verdict of a point in words: every limit that is not kept.
pub(crate) fn verdict(map: &Finished, point: &Point) -> String {
    let failing = map.limits.iter().zip(&point.margins).filter(|(_, margin)| margin.is_some_and(|m| m < 0.0));
    match point.state() {
        State::Holds => "holds".to_owned(),
        State::NoAnswer => "no answer".to_owned(),
        State::Fails(_) => failing.map(|(limit, _)| words::finding(limit.finding)).collect::<Vec<_>>().join("; "),
    }
}

/// The word for the limit that fails first; empty where all are kept.
pub(crate) fn fails_first(limits: &[Limit], state: State) -> &'static str {
    match state {
        State::Holds => "",
        State::NoAnswer => "no answer",
        State::Fails(k) => limits.get(k).map_or("", |limit| words::finding(limit.finding)),
    }
}
