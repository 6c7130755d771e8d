//! The page of a study of tolerances: how often, how well that is known, what matters, how wide a spread may be.

use super::frame::{self, Given};
use crate::svg;
use crate::tolerance::tables::{self, REMARK, Table};
use crate::tolerance::{Outcome, Reported, at_most, chance, one_of, spread};
use maud::{Markup, html};

/// What a study of tolerances adds to the limits of the model.
const OF_TOLERANCES: [&str; 2] = [
    REMARK,
    "The interval holds the errors of sampling and of the stand-in that was learnt from solved pairs. It does not hold those of the spreads as stated: a spread that was guessed makes a probability that was guessed.",
];

/// The page.
pub fn page(given: &Given, r: &Reported<'_>) -> String {
    let title = &given.case.title;
    let sentences: Vec<String> = tables::answer(r).into_iter().skip(1).map(|line| unbroken(r, &line)).collect();
    let well = matches!(r.outcome(), Outcome::Met | Outcome::NoTarget);
    let pictures = svg::tolerance::pictures(r);
    let mut solved = tables::solved(r).into_iter();
    let record = [("samples", solved.next().unwrap_or_default()), ("seed", r.plan.seed.to_string())];
    frame::page(
        &format!("{title}: tolerances"),
        &given.sources(),
        &html! {
            (frame::headline(title, well, &format!("Verdict: {}", verdict(r)), &sentences))
            @if !r.findings.probabilities.is_empty() {
                h2 { "How often" }
                (table(&tables::probabilities(r)))
                (shown(&pictures, "tolerance_margin_", "Distribution of the margin, and the probability of less on a logarithmic scale: by the stand-in, and as solved, with its 95 % interval."))
            }
            h2 { "Worst case" }
            (table(&tables::worst_case(r)))
            @if !r.findings.probabilities.is_empty() {
                h2 { "Margins, and how well they are known" }
                p { "Most margins come from a stand-in that was learnt from solved pairs; others, solved afterwards where it is least known, correct the probabilities." }
                (table(&tables::margins(r)))
                h2 { "What matters" }
                @for k in 0..r.limits.len() { @if let Some(found) = tables::matters(r, k) { (table(&found)) } }
                (shown(&pictures, "tolerance_importance_", "Share of each input in the distance of the design point and in the variance of the margin."))
                (sizing(r, &pictures))
            }
            (spreads(r))
            (frame::notes(&given.notes))
            (frame::validity(&given.case, &OF_TOLERANCES))
            (frame::inputs(given, "Inputs that scatter have their spreads in the place of these values."))
            (frame::record_of_case(given, &record, ""))
        },
    )
}

/// A sentence in which "one of 2 400" is not broken between its digits.
fn unbroken(r: &Reported<'_>, line: &str) -> String {
    let Some(words) = r.any().and_then(|any| one_of(any.value)) else { return line.to_owned() };
    line.replace(&words, &words.replace(' ', "\u{a0}"))
}

fn verdict(r: &Reported<'_>) -> String {
    let target = r.plan.target.map_or(String::new(), chance);
    match r.outcome() {
        Outcome::Met => format!("the target of {target} is met"),
        Outcome::Missed => format!("the target of {target} is missed"),
        Outcome::NotShown => format!("the target of {target} is not shown to be met"),
        Outcome::NoTarget => r.any().map_or(String::new(), |any| {
            let share = if any.is_bound() { at_most(any.high) } else { format!("of {}", chance(any.value)) };
            format!("a share {share} may release or overload the rim; no target is given")
        }),
        Outcome::NotKnown => "not known: too few solves".to_owned(),
        Outcome::NoAnswer => "no answer".to_owned(),
    }
}

fn table(table: &Table) -> Markup {
    html! {
        (frame::table(table.heads.first().map_or("", String::as_str), "tn", &table.heads, &table.rows))
        @for line in table.remarks.iter().chain(&table.lines) { p { (capital(line)) "." } }
    }
}

/// A phrase with a capital at its head, without brackets round the whole.
fn capital(phrase: &str) -> String {
    let bare = phrase.strip_prefix('(').and_then(|rest| rest.strip_suffix(')')).unwrap_or(phrase);
    let mut letters = bare.chars();
    let first = letters.next().map_or(String::new(), |c| c.to_uppercase().collect());
    first + letters.as_str()
}

/// The pictures whose files begin so.
fn shown(pictures: &[(String, String)], begin: &str, caption: &str) -> Markup {
    let found = pictures.iter().filter_map(|(file, picture)| file.strip_suffix(".svg").map(|name| (name, picture)));
    html! { @for (name, picture) in found.filter(|(name, _)| name.starts_with(begin)) { (frame::picture(name, picture, caption)) } }
}

fn sizing(r: &Reported<'_>, pictures: &[(String, String)]) -> Markup {
    let lines = tables::sizing(r);
    html! {
        @if !lines.is_empty() {
            h2 { "How wide one spread may be" }
            @for line in &lines { p { (capital(line)) "." } }
            (shown(pictures, "tolerance_width", "Probability that any limit is not kept over the width of that spread, with the target."))
        }
    }
}

/// How the inputs scatter, and samples without an answer.
fn spreads(r: &Reported<'_>) -> Markup {
    let rows: Vec<_> = r.tolerance.inputs.iter().map(|u| [u.input.path(), spread(u)]).collect();
    let paths = r.paths();
    html! {
        h2 { "How the inputs scatter" }
        (frame::table("Spreads", "t", &["input", "spread, as stated"], &rows))
        @for (a, b, rho) in &r.tolerance.correlation { p { "Correlation of " (paths[*a]) " and " (paths[*b]) ": " (rho) "." } }
        @if !r.unanswered.is_empty() {
            h2 { "Samples without an answer" }
            ul { @for (number, reason) in r.unanswered { li { "Sample " (number) ": " (reason) } } }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn phrases_become_sentences() {
        assert_eq!(capital("(by the middle (so))"), "By the middle (so)");
        assert_eq!(capital("sized: x (stated: y)"), "Sized: x (stated: y)");
    }
}
