//! The page of inflated sizes: width, height, outer diameter, and the room left.

use super::frame::{self, Given};
use crate::lines::number;
use crate::sizes::{COLUMNS, REMARKS, remarks, shown};
use crate::svg;
use hoopwright_case::Sizes;
use hoopwright_case::units::MM;
use hoopwright_study::sizes::Found;
use maud::html;

/// MPa in bar.
const BAR: f64 = 10.0;

/// The page.
pub fn page(given: &Given, sizes: &Sizes, found: &[Found]) -> String {
    let title = &given.case.title;
    let narrow = found.iter().flatten().filter(|size| !size.clears(sizes)).count();
    let missing = found.iter().filter(|found| found.is_err()).count();
    let all = found.len();
    let room = sizes.clear_width.is_some() || sizes.clear_radius.is_some();
    let verdict = match (missing, narrow) {
        (missing, _) if missing == all => "no size: no pair of rim and pressure has an answer".to_owned(),
        (_, 0) if !room => format!("sizes of {} of {all} pairs of rim and pressure; no frame was given", all - missing),
        (_, 0) => format!("the room wanted is there for {} of {all} pairs of rim and pressure", all - missing),
        (_, narrow) => format!("too little room for {narrow} of {all} pairs of rim and pressure"),
    };
    let columns = shown(found);
    let lead = ["rim inner width, mm", "pressure, bar"].map(str::to_owned);
    let heads: Vec<String> =
        lead.into_iter().chain(columns.iter().map(|c| format!("{}, {}", c.meaning, c.unit))).chain([String::new()]).collect();
    let pairs = sizes.grid.variants.iter().zip(found);
    let row = |(variant, found): (&hoopwright_case::Variant, &Found)| {
        let size = found.as_ref().ok();
        let cells = columns.iter().map(|column| size.and_then(column.value).map_or("-".to_owned(), |x| format!("{x:.1}")));
        let word = match size {
            None => "no size",
            Some(size) if !size.clears(sizes) => "too little room",
            Some(_) => "",
        };
        frame::row(
            number(variant.case.rim.inner_width),
            [number(BAR * variant.case.pressure.rated)].into_iter().chain(cells).chain([word.to_owned()]),
        )
    };
    let rows: Vec<_> = pairs.map(row).collect();
    let kinds = format!("nn{}t", "n".repeat(columns.len()));
    let mm = |length: Option<f64>| length.map_or("not given".to_owned(), |l| MM.format(l));
    let asked = [
        ["width between stays or fork blades", &mm(sizes.clear_width)],
        ["axle to the nearest part over the tread", &mm(sizes.clear_radius)],
        ["least room wanted", &mm(Some(sizes.clearance))],
    ]
    .map(|row| row.map(str::to_owned));
    frame::page(
        &format!("{title}: sizes"),
        &given.sources(),
        &html! {
            (frame::headline(title, narrow == 0 && missing == 0, &format!("Verdict: {verdict}"), &[]))
            h2 { "Sizes" }
            (frame::table("Sizes", &kinds, &heads, &rows))
            @for line in remarks(sizes, found) { p { (line) } }
            @for (file, picture) in svg::sizes::pictures(sizes, found) {
                @let column = COLUMNS.iter().find(|column| file == format!("sizes_{}.svg", column.name));
                (frame::picture(file.trim_end_matches(".svg"), &picture, &format!("{} over the rim's inner width, a line for each pressure.", column.map_or("", |c| c.meaning))))
            }
            h2 { "Room asked for" }
            (frame::table("Room asked for", "t", &["input", "value"], &asked))
            (frame::validity(&given.case, &REMARKS))
            (frame::inputs(given, "Rim inner width and rated pressure are those of the table above."))
            (frame::record_of_case(given, &[("pairs", format!("{all}, {missing} without a size, refinement {}", given.case.refinement))], ""))
        },
    )
}
