//! The page of a list: a matrix of tyres and rims, a pair's numbers by a click, a chart of the measured tyres, and a list to print and sign.

mod details;
mod matrix;
mod printed;

use hoopwright_study::pairs::list::List;
use hoopwright_study::rows::KeyMaker;
use maud::{Markup, PreEscaped, html};

use super::frame;
use crate::pairs::{headline, terms};
use crate::source::Source;
use crate::{svg, words};

const STYLE: &str = include_str!("pairs.css");
const SCRIPT: &str = include_str!("pairs.js");

/// What a list adds to the cautions.
const OF_A_LIST: [&str; 2] = [
    "A list approves nothing. It says for which pairs the calculation found every stated limit kept; the very pair must be tested, on the very \
     rim, at the pressure that the test factor asks for.",
    "Measured values are those of one tyre of a kind. The next one of the same kind is another tyre.",
];

/// The page; `sources` are the files that it rests on, `hashes` those of each pair, `date` as it was given.
pub fn page(list: &List<'_>, sources: &[Source], hashes: &[String], date: Option<&str>) -> String {
    let all = list.of_all();
    let title = &title(list);
    let mut record = vec![
        ("pairs", format!("{}, {} of them solved", list.entries.len(), list.entries.len() - all.apart)),
        ("hash of all pairs", whole(hashes)),
    ];
    record.extend(date.map(|date| ("date of the list", date.to_owned())));
    let well = all.fits_up_to + all.test_first + all.does_not_fit + all.no_answer == 0;
    frame::page(
        title,
        sources,
        &html! {
            style { (PreEscaped(STYLE)) (PreEscaped(dated(date))) }
            (frame::headline(title, well, &headline(list), &[terms(list, all)]))
            (matrix::counts(list))
            h2 { "Matrix" }
            (matrix::controls(list))
            (matrix::table(list))
            div #detail aria-live="polite" { p.hint { "Choose a pair for its numbers." } }
            @for (rim, entry) in list.rims.iter().enumerate() {
                h2 { "Measured tyres on " (entry.id) }
                (frame::picture(&format!("tyres{rim}"), &svg::pairs::chart(list, rim), CHART))
            }
            (disagreeing(list))
            h2 { "List" }
            (printed::table(list, hashes))
            (printed::apart(list))
            (frame::limits("Limits of the model, cautions", &words::cautions().into_iter().chain(OF_A_LIST).collect::<Vec<_>>()))
            (frame::record(sources, &record, ""))
            script { (PreEscaped(format!("const pairs={};\n{SCRIPT}", details::data(list)))) }
        },
    )
}

const CHART: &str = "Diameter and stiffness of each tyre that goes with the rim. Shape: the finding. Shade: hoop force of the rim at the listed \
                     pressure, darker for more. Hover over a mark for its tyre; on paper each mark has its name. \
                     The tyres differ in more than these two numbers, so that no outline of a window holds for all of them: `hoopwright map` \
                     draws the one of a single casing.";

/// What the list is called.
fn title(list: &List<'_>) -> String {
    let rims: Vec<&str> = list.rims.iter().map(|rim| rim.id.as_str()).collect();
    format!("{} tyres on {}", list.tyres.len(), if rims.len() > 4 { format!("{} rims", rims.len()) } else { rims.join(", ") })
}

/// The date, as it was given, on each printed sheet.
fn dated(date: Option<&str>) -> String {
    date.map_or(String::new(), |date| format!("@page {{ @top-right {{ content: \"{}\"; }} }}", frame::quoted(date)))
}

/// One key of all pairs.
fn whole(hashes: &[String]) -> String {
    hashes.iter().fold(KeyMaker::default(), |maker, hash| maker.word(hash)).key().to_string()
}

/// The pairs whose test and calculation disagree, if there are any.
fn disagreeing(list: &List<'_>) -> Markup {
    let found: Vec<[String; 4]> = list
        .disagreeing()
        .map(|entry| {
            let tests = entry.answer.iter().flat_map(|answer| &answer.judged.tests);
            let told: Vec<String> = tests
                .map(|tested| format!("{}: {}", crate::pairs::tested(tested), crate::pairs::against(tested.against)))
                .collect();
            let [tyre, rim] = details::names(list, entry);
            [tyre.to_owned(), rim.to_owned(), crate::pairs::finding(entry.finding()), told.join("; ")]
        })
        .collect();
    html! {
        @if !found.is_empty() {
            h2 { "Test and calculation disagree" }
            p { "Both are told, the lower pressure stands. Find out which one is wrong before such a pair is used." }
            (frame::table("Test and calculation disagree", "t", &["tyre", "rim", "finding", "tests"], &found))
        }
    }
}
