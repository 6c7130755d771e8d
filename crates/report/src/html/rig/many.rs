//! The page of many logs: their table of verdicts, and the pictures of the first.

use maud::html;

use super::{Bench, inputs, validity};
use crate::data::Table;
use crate::html::frame;

/// What every table of verdicts leaves open.
const LIMITS: [&str; 1] = [
    "Each verdict is that of its log alone, and tells of the very tyre in it. A log without an answer is neither a pass nor a failure.",
];

/// The page; `told` says how many logs have an answer, `well` whether all of them are as they should be, `pictures` are shown by file name.
pub fn page(bench: &Bench, title: &str, (told, well): (&str, bool), table: &Table, pictures: &[(String, String)]) -> String {
    let (heads, rows) = table.shown();
    frame::page(
        title,
        &bench.sources,
        &html! {
            (frame::headline(title, well, told, &[]))
            h2 { "Verdicts" }
            (frame::table("Verdicts", "t", &heads, rows))
            @for (file, picture) in pictures { (frame::picture(file.trim_end_matches(".svg"), picture, &format!("{file}: the log."))) }
            @if !pictures.is_empty() { p { "The pictures of the first " (pictures.len()) "; those of all stand beside this page." } }
            (validity(&LIMITS))
            (inputs(bench))
            (frame::record(&bench.sources, &[], ""))
        },
    )
}
