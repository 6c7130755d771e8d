//! The page of a search for the values of one input that just keep every limit.

use super::frame::{self, Given};
use crate::limit::Answer;
use hoopwright_study::column::COLUMNS;
use maud::html;

/// What a search adds to the limits of the model.
const OF_A_SEARCH: &str = "Between the values of the scan nothing was solved but at the edges: a stretch that is narrower than the scan's steps \
                           may be missed. Nothing is said of scatter.";

/// The page.
pub fn page(given: &Given, answer: &Answer<'_>) -> String {
    let (title, path) = (&given.case.title, answer.vary.inputs[0].input.path());
    let mut sentences: Vec<String> = answer.sentences().into_iter().map(|sentence| format!("{sentence}.")).collect();
    let first = sentences.remove(0);
    let caption = |file: &str| {
        let of = COLUMNS.iter().find(|column| file == format!("limit_{}.svg", column.name));
        of.map_or(String::new(), |column| format!("{}, {}, over {path}.", column.meaning, column.unit))
    };
    let record = [("values", format!("{} solved, refinement {}", answer.rows.len(), given.case.refinement))];
    frame::page(
        &format!("{title}: {path} at its limit"),
        &given.sources(),
        &html! {
            (frame::headline(title, answer.keeps(), &first, &sentences))
            h2 { "Values solved" }
            (frame::table("Values solved", "nnnt", &answer.heads(), &answer.rows()))
            p { "Least margin: what is left to the nearest limit, as a share of it." }
            @for (file, picture) in answer.pictures() {
                (frame::picture(file.trim_end_matches(".svg"), &picture, &caption(&file)))
            }
            (frame::notes(&given.notes))
            (frame::validity(&given.case, &[OF_A_SEARCH]))
            (frame::inputs(given, &format!("{path} has the values of the table above in the place of this one.")))
            (frame::record_of_case(given, &record, ""))
        },
    )
}
