//! The page of a study of variants: which of them hold, every variant, the range of every number, pictures.

use super::frame::{self, Given};
use crate::study::{head as brief_head, legend, shown};
use crate::svg;
use crate::svg::family::series::axis;
use crate::words;
use hoopwright_case::units::number;
use hoopwright_case::{Combine, Varied, Vary};
use hoopwright_solver::result::Finding;
use hoopwright_study::column::{COLUMNS, Column, Number};
use hoopwright_study::rows::{Outcome, Row};
use maud::{Markup, html};

/// Most variants in the table; all are in the files.
const MOST_ROWS: usize = 200;
/// Most values of an input that are listed one by one.
const MOST_VALUES: usize = 12;
/// What a study of variants adds to the limits of the model.
const OF_A_STUDY: [&str; 2] = [
    "A study tells of the values that were tried. Nothing is said of those between them, and nothing of scatter: tyres and rims of one drawing differ.",
    "A line in a picture joins solved variants; it is no answer between them.",
];

/// The page.
pub fn page(given: &Given, vary: &Vary, rows: &[Row]) -> String {
    let title = &given.case.title;
    let holding = count(rows, Outcome::Holds);
    let verdict = match holding {
        0 => format!("no variant of {} keeps every stated limit", rows.len()),
        n => format!("every stated limit is kept in {n} of {} variants", rows.len()),
    };
    let ends = |row: &Row| words::ends(&row.ends).into_iter().filter(|end| !end.is_empty()).collect::<Vec<_>>();
    let unanswered: Vec<_> = rows.iter().enumerate().filter(|(_, row)| !row.is_answered()).collect();
    let record =
        [("variants", format!("{}, {} without an answer, refinement {}", rows.len(), unanswered.len(), given.case.refinement))];
    frame::page(
        &format!("{title}: variants"),
        &given.sources(),
        &html! {
            (frame::headline(title, holding == rows.len(), &format!("Verdict: {verdict}"), &verdicts(rows)))
            h2 { "What was varied" }
            (varied(vary))
            h2 { "Variants" }
            (variants(vary, rows))
            @if !unanswered.is_empty() {
                h3 { "Without an answer" }
                p { "That is no release and no hold." }
                ul { @for (i, row) in unanswered.iter().take(MOST_ROWS) { li { "Variant " (i + 1) ": " (ends(row).join("; without friction: ")) "." } } }
            }
            h2 { "Range of every number" }
            (ranges(rows))
            h2 { "Every number over the study" }
            @for (file, picture) in svg::family::pictures(vary, rows) {
                @let column = COLUMNS.iter().find(|column| file == format!("vary_{}.svg", column.name));
                (frame::picture(file.trim_end_matches(".svg"), &picture, &caption(column)))
            }
            (frame::notes(&notes(vary)))
            (frame::validity(&given.case, &OF_A_STUDY))
            (frame::inputs(given, "Inputs that were varied have the values of the table above in the place of these."))
            (frame::record_of_case(given, &record, ""))
        },
    )
}

fn count(rows: &[Row], outcome: Outcome) -> usize {
    rows.iter().filter(|row| row.outcome() == outcome).count()
}

/// How many variants came out in each way that is not well, in the order of their first.
fn verdicts(rows: &[Row]) -> Vec<String> {
    let mut found: Vec<(&[Finding], usize)> = Vec::new();
    for row in rows.iter().filter(|row| row.outcome() != Outcome::Holds) {
        match found.iter_mut().find(|(findings, _)| *findings == row.findings) {
            Some((_, n)) => *n += 1,
            None => found.push((&row.findings, 1)),
        }
    }
    found.into_iter().map(|(findings, n)| format!("{n} of {}: {}.", rows.len(), words::findings(findings))).collect()
}

/// Inputs and their values.
fn varied(vary: &Vary) -> Markup {
    let values = |varied: &Varied| {
        let all = &varied.values;
        let unit = varied.input.unit().map_or("", |unit| unit.symbol);
        let words = match (all.as_slice(), vary.combine) {
            ([first, .., last], Combine::Grid) if all.len() > MOST_VALUES => {
                format!("{} values from {} to {}", all.len(), number(*first), number(*last))
            }
            _ if all.len() > MOST_VALUES => format!("{} values, as in the table below", all.len()),
            _ => all.iter().map(|value| plain(*value)).collect::<Vec<_>>().join(", "),
        };
        format!("{words} {unit}").trim_end().to_owned()
    };
    let rows: Vec<_> = vary.inputs.iter().map(|v| [v.input.path(), values(v), v.input.meaning.to_owned()]).collect();
    html! {
        (frame::table("What was varied", "t", &["input", "values", "what it is"], &rows))
        @if vary.inputs.len() > 1 {
            p { @match vary.combine {
                Combine::Grid => "Every value with every value of the others.",
                Combine::List => "The first values together, then the second ones, and so on.",
            } }
        }
    }
}

/// A value as typed, to twelve digits.
fn plain(value: f64) -> String {
    value.to_string()
}

/// Every variant: its values, the numbers that decide, its verdict.
fn variants(vary: &Vary, rows: &[Row]) -> Markup {
    let numbers: Vec<(usize, String)> =
        COLUMNS.iter().enumerate().filter_map(|(k, column)| Some((k, brief(vary, column)?))).collect();
    let heads: Vec<String> = std::iter::once("variant".to_owned())
        .chain(vary.inputs.iter().map(axis))
        .chain(numbers.iter().map(|(_, head)| head.clone()))
        .chain(["verdict".to_owned()])
        .collect();
    let cells = |(i, row): (usize, &Row)| {
        let inputs = row.inputs.iter().map(f64::to_string);
        let found = numbers.iter().map(|(k, _)| shown(row.numbers[*k]));
        frame::row((i + 1).to_string(), inputs.chain(found).chain([words::findings(&row.findings)]))
    };
    let lines: Vec<_> = rows.iter().enumerate().take(MOST_ROWS).map(cells).collect();
    let kinds = format!("{}t", "n".repeat(heads.len() - 1));
    html! {
        (frame::table("Variants", &kinds, &heads, &lines))
        p { (capital(&legend(vary))) "; behind > it was not reached. All else at the given friction." }
        @if rows.len() > MOST_ROWS { p { "The first " (MOST_ROWS) " of " (rows.len()) "; all are in vary.csv and vary.parquet." } }
    }
}

/// The head of a column in the table of variants, as in the text; none where it is left out there.
fn brief(vary: &Vary, column: &Column) -> Option<String> {
    brief_head(vary, column).map(|[above, below]| format!("{above} {below}, {}", column.unit))
}

fn head(column: &Column) -> String {
    format!("{}, {}", column.meaning, column.unit)
}

/// Least and greatest of every number, with the variants that have them.
fn ranges(rows: &[Row]) -> Markup {
    let cells = |(k, column): (usize, &Column)| {
        let numbers: Vec<(usize, Number)> =
            rows.iter().enumerate().filter_map(|(i, row)| Some((i + 1, row.numbers[k]?))).collect();
        let found =
            || numbers.iter().filter_map(|(variant, n)| if let Number::Found(v) = n { Some((*variant, *v)) } else { None });
        let end = |end: Option<(usize, f64)>| {
            end.map_or(["-", "-"].map(str::to_owned), |(variant, v)| [shown(Some(Number::Found(v))), variant.to_string()])
        };
        // The first variant of several that are alike.
        let least = end(found().min_by(|a, b| a.1.total_cmp(&b.1)));
        let greatest = end(found().rev().max_by(|a, b| a.1.total_cmp(&b.1)));
        let bounds = numbers.len() - found().count();
        let rest = [bounds, rows.len() - numbers.len()].map(|n| n.to_string());
        (!numbers.is_empty()).then(|| frame::row(head(column), least.into_iter().chain(greatest).chain(rest)))
    };
    let lines: Vec<_> = COLUMNS.iter().enumerate().filter_map(cells).collect();
    let heads = ["number", "least", "variant", "greatest", "variant", "not reached", "none"];
    html! {
        (frame::table("Range of every number", "tn", &heads, &lines))
        p { "Not reached, none: how many variants have a lower bound in the place of the number, and how many have none." }
    }
}

fn caption(column: Option<&Column>) -> String {
    let Some(column) = column else { return String::new() };
    let limit = column.limit.map_or(String::new(), |limit| format!(" Dotted: {}.", limit.name));
    format!("{}, {}.{limit}", capital(column.meaning), column.unit)
}

/// With a capital first letter.
fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or(String::new(), |c| c.to_uppercase().collect()) + letters.as_str()
}

/// Notes on any variant, each once.
fn notes(vary: &Vary) -> Vec<String> {
    let mut all: Vec<String> = Vec::new();
    for note in vary.variants.iter().flat_map(|variant| &variant.notes) {
        if all.len() < MOST_ROWS && !all.contains(note) {
            all.push(note.clone());
        }
    }
    all
}
