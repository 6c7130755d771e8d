//! The page of a comparison of two results.

use super::frame;
use crate::compare::{Side, differing, number_rows, sentences};
use crate::{svg, words};
use maud::html;

/// The page; `sources` are the two files.
pub fn page(a: &Side, b: &Side, sources: &[super::Source]) -> String {
    let title = "Two cases side by side";
    let well = a.verdict() == "holds" && b.verdict() == "holds";
    let verdict = format!("A {}, B {}", a.verdict(), b.verdict());
    let numbers: Vec<Vec<String>> = number_rows(a, b).iter().map(|row| frame::row(row.label(), row.cells())).collect();
    let inputs = differing(a, b);
    frame::page(
        title,
        sources,
        &html! {
            (frame::headline(title, well, &format!("Verdicts: {verdict}"), &[]))
            @for (letter, side) in [("A", a), ("B", b)] {
                h2 { (letter) ": " (side.title()) }
                p { (side.name()) }
                ul { @for sentence in sentences(side) { li { (sentence) "." } } }
            }
            h2 { "Inputs that differ" }
            @if inputs.is_empty() { p { "No input differs." } } @else {
                (frame::table("Inputs that differ", "t", &["input", "A", "B"], &inputs))
            }
            h2 { "Numbers" }
            (frame::table("Numbers", "tn", &["number", "A", "B", "change from A to B"], &numbers))
            p { "Behind > it was not reached; - is not known. Fitted: without pressure. Rated: at each case's own rated pressure." }
            h2 { "Pictures over one another" }
            (frame::picture("compare_scale", &svg::compare::scale(a, b), "Square: first lift. Diamond: local release. Triangle: off-centre release. Circle: uniform blow-off. Open marks: not reached up to there. Upright lines: each one's required pressure."))
            (frame::picture("compare_path", &svg::compare::paths(a, b), "Gas pressure against bead lift; dashed: no friction."))
            (frame::limits("Cautions", &words::cautions()))
            (frame::record(sources, &[], ""))
        },
    )
}
