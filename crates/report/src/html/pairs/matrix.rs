//! Tyres down, rims across: a finding by its shape and its word.

use hoopwright_study::pairs::judge::Finding;
use hoopwright_study::pairs::list::List;
use maud::{Markup, html};
use std::mem::discriminant;

use super::details::why;
use crate::html::frame;
use crate::lines::number;
use crate::pairs::{finding, kind};

/// A class for each finding, the shape that goes with it, and the word.
const KINDS: [(&str, &str, Option<Finding>); 6] = [
    ("k0", "\u{25cf}", Some(Finding::Fits)),
    ("k1", "\u{25d2}", Some(Finding::FitsUpTo(0.0))),
    ("k2", "\u{25b3}", Some(Finding::TestFirst)),
    ("k3", "\u{2715}", Some(Finding::DoesNotFit)),
    ("k4", "?", Some(Finding::NoAnswer)),
    ("k5", "\u{2013}", None),
];

/// Class and shape of a finding.
pub(super) fn look(of: Option<Finding>) -> (&'static str, &'static str) {
    let same = |a: Option<Finding>, b: Option<Finding>| a.map(|a| discriminant(&a)) == b.map(|b| discriminant(&b));
    KINDS.iter().find(|(_, _, finding)| same(*finding, of)).map_or(("k4", "?"), |(class, shape, _)| (class, shape))
}

/// How many pairs of each rim have which finding.
pub(super) fn counts(list: &List<'_>) -> Markup {
    let heads: Vec<String> = std::iter::once("rim".to_owned())
        .chain(KINDS.iter().map(|(_, shape, finding)| format!("{shape} {}", kind(*finding))))
        .collect();
    let row = |i: usize| {
        let c = list.of_rim(i);
        let numbers = [c.fits, c.fits_up_to, c.test_first, c.does_not_fit, c.no_answer, c.apart];
        frame::row(list.rims[i].id.clone(), numbers.map(|n| n.to_string()))
    };
    let rows: Vec<Vec<String>> = (0..list.rims.len()).map(row).collect();
    frame::table("Findings by rim", "tn", &heads, &rows)
}

/// What the matrix is filtered by.
pub(super) fn controls(list: &List<'_>) -> Markup {
    html! {
        div.controls {
            label { "tyre " input #find type="search" placeholder="part of its name"; }
            label { "finding " select #kind {
                option value="" { "any" }
                @for (class, shape, finding) in KINDS { option value=(class) { (shape) " " (kind(finding)) } }
            } }
            label { "on rim " select #rim {
                option value="" { "any" }
                @for (i, rim) in list.rims.iter().enumerate() { option value=(i) { (rim.id) } }
            } }
            span #shown {}
        }
    }
}

/// The matrix. Its heads sort, its cells choose a pair.
pub(super) fn table(list: &List<'_>) -> Markup {
    let rims = list.rims.len();
    let body = html! {
        table #matrix {
            thead { tr {
                th { button type="button" data-by="0" { "tyre" } }
                th.n { button type="button" data-by="1" { "diameter, mm" } }
                th.n { button type="button" data-by="2" { "stiffness, kN" } }
                @for (i, rim) in list.rims.iter().enumerate() { th { button type="button" data-by=(i + 3) { (rim.id) } } }
            } }
            tbody { @for (t, tyre) in list.tyres.iter().enumerate() {
                tr {
                    td { (tyre.id) @if let Some(size) = &tyre.label { " " span.size { (size) } } }
                    td.n { (format!("{:.2}", tyre.diameter)) }
                    td.n { (number(1e-3 * tyre.stiffness)) }
                    @for entry in &list.entries[t * rims..(t + 1) * rims] {
                        @let (class, shape) = look(entry.finding());
                        td class=(class) title=(why(entry)) { button type="button" data-pair=(t * rims + entry.pair.rim) { span.shape aria-hidden="true" { (shape) } " " (finding(entry.finding())) } }
                    }
                }
            } }
        }
    };
    frame::scrolled("Matrix of tyres and rims", &body)
}
