//! The page of an inflation test: held or not, what decides, everything sudden.

use super::{Bench, inputs, measured, notes, validity};
use crate::html::frame;
use crate::rig::hold::{REMARK, event_cells, facts, hold_verdict, leak, reason};
use crate::svg;
use hoopwright_bench::hold::{Hold, Verdict};
use maud::html;

/// What an inflation test does not tell.
const LIMITS: [&str; 2] = [
    REMARK,
    "A tyre that was held once tells nothing of others from the series, of a hot rim, of a worn or a crept bead, or of a side load.",
];

/// How gaps count.
const GAPS: &str = "The first time that the pressure falls below the floor decides, whatever comes later. Readings below -1 bar, frozen ones and \
                    those at the gauge's end are none. A gap matters if in it the pressure could fall below the floor and be pumped up again, at the \
                    fastest rise of the log; such gaps may take 5 % of the required time in all, as a loss at any moment then lies in one with a \
                    chance of 5 % at most.";

/// The page.
pub fn page(bench: &Bench, log: &str, hold: &Hold) -> String {
    let title = format!("{log}: inflation test");
    let verdict = format!("Verdict: {}", hold_verdict(hold.verdict));
    let rows = facts(hold).map(|(name, value)| [name.to_owned(), value]);
    let events: Vec<_> = hold.events.iter().map(|event| event_cells(event, hold.series.start)).collect();
    frame::page(
        &title,
        &bench.sources,
        &html! {
            (frame::headline(&title, hold.verdict == Verdict::Held, &verdict, &[format!("What decides: {}", reason(hold))]))
            (frame::picture("hold", &svg::rig::hold(log, hold), "Pressure over time; required pressure and floor; the longest hold; sudden changes."))
            h2 { "Numbers" }
            (frame::table("Numbers", "tn", &["number", "value"], &rows))
            @if hold.leak.is_some() { (measured(leak(hold))) }
            p { (GAPS) }
            p { "Floor: the required pressure less what may leak. Readings count as lower by the error of the gauge that was given." }
            h2 { "Sudden changes" }
            @if events.is_empty() { p { "None." } } @else {
                (frame::table("Sudden changes", "tn", &["what", "after, s", "long, s", "pressure before, bar", "after, bar"], &events))
            }
            (notes(&hold.notes))
            (validity(&LIMITS))
            (inputs(bench))
            (frame::record(&bench.sources, &[], ""))
        },
    )
}
