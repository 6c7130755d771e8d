//! The page of a map: the window in which every limit is kept, the fields, what is interpolated and how well, measured tyres.

use super::frame::{self, Given};
use crate::map::{Summary, error, limit_words, near, standing};
use crate::svg::family::series::axis;
use crate::{svg, words};
use hoopwright_case::units::number;
use hoopwright_case::{Varied, Vary};
use hoopwright_study::column::{Column, Number};
use hoopwright_study::map::Finished;
use hoopwright_study::map::statistics::spread;
use hoopwright_study::map::tyres::Placed;
use maud::{Markup, html};

/// Most tyres in the table; all are in the JSON.
const MOST_TYRES: usize = 200;
/// What a map adds to the limits of the model.
const OF_A_MAP: [&str; 2] = [
    "The window is that of the model, for all other inputs as given. A tyre near its edge is decided by scatter of tyre and rim, and by its test.",
    "What is interpolated is no solution: assess the pair that is to be used.",
];

/// The page.
pub fn page(given: &Given, vary: &Vary, map: &Finished, tyres: &[Placed]) -> String {
    let summary = Summary::of(map, tyres);
    let title = &given.case.title;
    let pictures = svg::map::pictures(vary, map, tyres);
    let axes: Vec<String> = vary.inputs.iter().map(range).collect();
    let [all, solved] = summary.points;
    let record = [
        ("points", format!("{all}, {solved} of them solved by finite elements, refinement {}", given.case.refinement)),
        ("axes", axes.join("; ")),
    ];
    frame::page(
        &format!("{title}: map"),
        &given.sources(),
        &html! {
            (frame::headline(title, summary.holding > 0, &format!("Verdict: {}", verdict(&summary)), &sentences(given, map, &summary, &axes)))
            h2 { "Window" }
            (shown(&pictures, |name| name == "map", "Where every limit is kept, which one fails first elsewhere. Dots: solved points; between them the numbers are interpolated."))
            h2 { "Limits" }
            (limits(map, &summary))
            (known(map, &summary))
            (measured(vary, map, &summary, tyres))
            (shown(&pictures, |name| name == "map_tests", "Predicted over tested release pressure, a mark for each tyre."))
            h2 { "Fields" }
            (fields(map))
            @for (k, field) in map.fields.iter().enumerate() {
                @let file = format!("map_{}", map.fields[k].column.name);
                (shown(&pictures, |name| name == file, &format!("{}, {}.", field.column.meaning, field.column.unit)))
            }
            (frame::notes(&given.notes))
            (frame::validity(&given.case, &OF_A_MAP))
            (frame::inputs(given, &format!("The map takes the place of some of these: {}.", axes.join("; "))))
            (frame::record_of_case(given, &record, ""))
        },
    )
}

/// The pictures whose file, without its ending, is `wanted`.
fn shown(pictures: &[(String, String)], wanted: impl Fn(&str) -> bool, caption: &str) -> Markup {
    let found = pictures.iter().filter_map(|(file, picture)| file.strip_suffix(".svg").map(|name| (name, picture)));
    html! { @for (name, picture) in found.filter(|(name, _)| wanted(name)) { (frame::picture(name, picture, caption)) } }
}

/// An axis with its range.
fn range(axis: &Varied) -> String {
    let symbol = axis.input.unit().map_or("", |unit| unit.symbol);
    let end = |value: Option<&f64>| value.map_or(String::new(), |v| format!("{} {symbol}", number(*v)).trim_end().to_owned());
    let (from, to) = (end(axis.values.first()), end(axis.values.last()));
    format!("{} from {from} to {to}, {} values", axis.input.path(), axis.values.len())
}

fn share(n: usize, all: usize) -> String {
    format!("{:.1} %", 100.0 * n as f64 / all.max(1) as f64)
}

fn verdict(summary: &Summary) -> String {
    let [all, _] = summary.points;
    match summary.holding {
        _ if summary.unanswered == all => "no answer: no equilibrium was found at any point".to_owned(),
        0 => "no point of the map keeps every stated limit".to_owned(),
        n => format!("every stated limit is kept at {n} of {all} points ({})", share(n, all)),
    }
}

fn sentences(given: &Given, map: &Finished, summary: &Summary, axes: &[String]) -> Vec<String> {
    let friction = if given.case.limits.without_friction {
        "without friction".to_owned()
    } else {
        format!("at friction {}", given.case.friction)
    };
    let mut all = vec![
        format!("Mapped over {}.", axes.join(" and ")),
        format!(
            "What decides is the {} {friction}, unless the map varies that: it must reach {} times the rated pressure, whatever its \
             numerical error.",
            words::criterion(given.case.limits.criterion),
            given.case.pressure.test_factor
        ),
    ];
    let failing = map.limits.iter().zip(&summary.failing).max_by_key(|(_, n)| **n).filter(|(_, n)| **n > 0);
    if let Some((limit, n)) = failing {
        let meaning = map.fields[limit.field].column.meaning;
        all.push(format!(
            "Outside the window the first limit to fail is mostly the {meaning} ({n} points: {}).",
            words::finding(limit.finding)
        ));
    }
    if summary.unanswered > 0 {
        all.push(format!("{} points have no answer: that is no release and no hold.", summary.unanswered));
    }
    all
}

fn limits(map: &Finished, summary: &Summary) -> Markup {
    let row = |k: usize| {
        let (limit, n) = (&map.limits[k], summary.failing[k]);
        let column = map.fields[limit.field].column;
        let word = if limit.at_least { "at least" } else { "at most" };
        let line = map.sharpness[k].map_or("-".to_owned(), |s| format!("{:.2} %", 100.0 * s));
        [
            column.meaning.to_owned(),
            format!("{word} {}", limit_words(map, k).unwrap_or_else(|| "-".to_owned())),
            words::finding(limit.finding).to_owned(),
            n.to_string(),
            share(n, summary.points[0]),
            line,
        ]
    };
    let rows: Vec<_> = (0..map.limits.len()).map(row).collect();
    let heads = [
        "number",
        "limit, the numerical error kept back",
        "where it is not kept",
        "points where it fails first",
        "share of points",
        "line known within, of the range",
    ];
    html! {
        (frame::table("Limits", "tttn", &heads, &rows))
        p { "A dash in the last column: no line of that limit crosses the map, or every point is solved." }
    }
}

/// How much is interpolated and how well that is known.
fn known(map: &Finished, summary: &Summary) -> Markup {
    let [all, solved] = summary.points;
    let held: Vec<_> =
        map.fields.iter().zip(&summary.held_out).filter_map(|(field, held)| held.map(|h| (field.column, h))).collect();
    let row = |(column, (n, rms, largest)): &(&Column, (usize, f64, f64))| {
        [format!("{}, {}", column.meaning, column.unit), n.to_string(), error(*rms), error(*largest)]
    };
    let rows: Vec<_> = held.iter().map(row).collect();
    html! {
        h2 { "What is interpolated" }
        @if solved == all {
            p { "Every point is solved by finite elements." }
        } @else {
            p { (solved) " of " (all) " points are solved by finite elements, " (all - solved) " lie between solved ones: the closed form there, corrected by what it missed at the corners of the cell. map.csv marks each point and gives its error." }
        }
        @if !rows.is_empty() {
            p { "Solved points that were held out and compared with what would have been interpolated there:" }
            (frame::table("Held-out points", "tn", &["number", "points", "error, root mean square", "largest error"], &rows))
        }
        @if let Some([least, middle, greatest]) = summary.over_estimate {
            p { "Finite elements over closed form, for what decides: " (format!("{least:.2} to {greatest:.2}, middle {middle:.2}")) ". The closed form leaves out the casing's bending stiffness and the bead's rotation." }
        }
    }
}

fn fields(map: &Finished) -> Markup {
    let row = |k: usize| {
        let column = map.fields[k].column;
        let found =
            map.points.iter().filter_map(|point| if let Some(Number::Found(v)) = point.numbers[k] { Some(v) } else { None });
        let bounds = map.points.iter().filter(|point| matches!(point.numbers[k], Some(Number::Above(_)))).count();
        let range = spread(&found.collect::<Vec<_>>());
        let cell = |i: usize| range.map_or("-".to_owned(), |r| number(r[i]));
        [format!("{}, {}", column.meaning, column.unit), cell(0), cell(2), bounds.to_string()]
    };
    let rows: Vec<_> = (0..map.fields.len()).map(row).collect();
    html! {
        (frame::table("Fields", "tn", &["number", "least", "greatest", "points where it was not reached"], &rows))
    }
}

fn measured(vary: &Vary, map: &Finished, summary: &Summary, tyres: &[Placed]) -> Markup {
    if tyres.is_empty() {
        return html! {};
    }
    let bar = |value: Option<f64>| value.map_or("-".to_owned(), |v| format!("{v:.2}"));
    let row = |tyre: &Placed| {
        let word = tyre.standing.map_or("outside the map".to_owned(), |found| {
            let limit = near(&map.limits, found).map_or(String::new(), |word| format!(" ({word}?)"));
            format!("{}{limit}", standing(&map.limits, found))
        });
        [
            tyre.id.clone(),
            word,
            number(tyre.place[0]),
            number(tyre.place[1]),
            bar(tyre.predicted),
            bar(tyre.error),
            bar(tyre.tested),
        ]
    };
    let rows: Vec<_> = tyres.iter().take(MOST_TYRES).map(row).collect();
    let [all, on, tested] = summary.tyres;
    let axes: Vec<String> = vary.inputs.iter().map(axis).collect();
    let ends = ["predicted, bar", "+-, bar", "tested, bar"].map(str::to_owned);
    let heads: Vec<String> = ["tyre", "by the map"].map(str::to_owned).into_iter().chain(axes).chain(ends).collect();
    let or = |value: Option<f64>| value.map_or("-".to_owned(), |v| format!("{v:.3}"));
    html! {
        h2 { "Measured tyres" }
        p { (all) " measured, " (on) " on the map, " (tested) " of them tested. What stands beside a tyre is what the window's picture shows at its place. Where the error of what is interpolated decides whether a limit is kept, it counts neither as kept nor as failed: assess that tyre." }
        @if let Some(c) = &summary.tested {
            p { "Prediction less test: bias " (format!("{:.3}", c.bias)) " bar, scatter " (or(c.scatter)) " bar, rank correlation " (or(c.rank_correlation)) "." }
        }
        (frame::table("Measured tyres", "ttn", &heads, &rows))
        @if all > MOST_TYRES { p { "The first " (MOST_TYRES) "; all are in map.json." } }
    }
}
