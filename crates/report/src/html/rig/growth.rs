//! The page of a growth log: settled or not, the growth still to come, how it was found.

use super::{Bench, inputs, measured, notes, validity};
use crate::html::frame;
use crate::rig::growth::{method, numbers, reading, rule, verdict};
use crate::svg;
use hoopwright_bench::growth::Growth;
use hoopwright_case::units::MM;
use maud::html;

/// What a growth log does not tell.
const LIMITS: [&str; 2] = [
    "Growth beyond the end of the log is an extrapolation of a line in the logarithm of time. Its interval holds the scatter of this log, not a change of that law.",
    "The bead alone, under the tension and at the temperature of the log: no casing, no heat, no wet, no wear.",
];

/// The page.
pub fn page(bench: &Bench, log: &str, g: &Growth) -> String {
    let title = format!("{log}: growth of a bead under tension");
    let record = [(
        "rows fitted",
        format!("{}, standard deviation about the line {} ", g.time.len(), MM.format((1e5 * g.deviation).round() / 1e5)),
    )];
    frame::page(
        &title,
        &bench.sources,
        &html! {
            (frame::headline(&title, g.settled, &format!("Verdict: {}", verdict(g)), &[format!("What decides: {}", rule(g)), reading(g)]))
            (frame::picture("growth", &svg::rig::growth(log, g), "Diameter over the logarithm of time: readings, fitted line, its extrapolation, and where 95 % of single readings lie."))
            h2 { "Numbers, and how well they are known" }
            (measured(numbers(g)))
            p { (method(g)) }
            (notes(&g.notes))
            (validity(&LIMITS))
            (inputs(bench))
            (frame::record(&bench.sources, &record, ""))
        },
    )
}
