//! The list to print: a row for each pair that the sizes allow, and those that they do not.

use hoopwright_case::units::BAR;
use hoopwright_study::pairs::list::{Entry, List};
use maud::{Markup, html};

use super::details::{names, why};
use super::matrix::look;
use crate::html::frame;
use crate::lines::number;
use crate::pairs::finding;
use crate::study::shown;

/// Digits of a pair's hash that are printed; the files have all.
const DIGITS: usize = 12;

/// The table of the pairs that the sizes allow.
pub(super) fn table(list: &List<'_>, hashes: &[String]) -> Markup {
    let heads = [
        "tyre",
        "rim",
        "finding",
        "because",
        "listed, bar",
        "release, bar",
        "required, bar",
        "spokes lose, %",
        "width, mm",
        "hash begins",
    ];
    let rows: Vec<Vec<String>> = list.entries.iter().zip(hashes).filter_map(|(entry, hash)| row(list, entry, hash)).collect();
    frame::table("The list", "ttttnnnnnt", &heads, &rows)
}

fn row(list: &List<'_>, entry: &Entry, hash: &str) -> Option<Vec<String>> {
    let (answer, made) = (entry.answer.as_ref()?, entry.pair.made.as_ref().ok()?);
    let ([tyre, rim], new, case) = (names(list, entry), &answer.solved.new, &made.case);
    let said = format!("{} {}", look(entry.finding()).1, finding(entry.finding()));
    Some(vec![
        tyre.to_owned(),
        rim.to_owned(),
        said,
        why(entry),
        number(BAR.value_of(case.pressure.rated)),
        shown(new.release(case)),
        number(BAR.value_of(case.required_pressure())),
        shown(new.number("spoke_tension_loss_share")),
        shown(new.number("inflated_width")),
        hash.chars().take(DIGITS).collect(),
    ])
}

/// The pairs of sizes that do not go together, by their reasons.
pub(super) fn apart(list: &List<'_>) -> Markup {
    let mut reasons: Vec<(String, Vec<String>)> = Vec::new();
    for entry in list.entries.iter().filter(|entry| entry.answer.is_none()) {
        let [tyre, rim] = names(list, entry);
        let reason = format!("{rim}: {}", why(entry));
        match reasons.iter_mut().find(|(known, _)| *known == reason) {
            Some((_, tyres)) => tyres.push(tyre.to_owned()),
            None => reasons.push((reason, vec![tyre.to_owned()])),
        }
    }
    let rows: Vec<[String; 2]> = reasons.into_iter().map(|(reason, tyres)| [reason, tyres.join(", ")]).collect();
    html! {
        @if !rows.is_empty() {
            h2 { "Sizes that do not go together" }
            (frame::table("Sizes that do not go together", "t", &["why", "tyres"], &rows))
        }
    }
}
