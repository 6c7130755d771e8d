//! Pictures of inflated sizes: one for each number, over the rim's inner width, a line for each pressure.

use hoopwright_case::{Case, Sizes};
use hoopwright_study::column::Number;
use hoopwright_study::sizes::Found;

use super::family::{Against, Plot, plot};
use crate::sizes::COLUMNS;

/// File name and picture of every number that some pair has and that is no mere rule.
pub fn pictures(sizes: &Sizes, found: &[Found]) -> Vec<(String, String)> {
    let by_rule = |case: &Case| sizes.width_by_rule(case.rim.inner_width);
    let wanted = |_: &Case| Some(sizes.clearance);
    let mut pictures = Vec::new();
    for column in COLUMNS.iter().filter(|column| column.name != "width_by_rule") {
        let numbers: Vec<Option<Number>> =
            found.iter().map(|found| found.as_ref().ok().and_then(column.value).map(Number::Found)).collect();
        if numbers.iter().all(Option::is_none) {
            continue;
        }
        let limit: Option<Against<'_>> = match column.name {
            "width" => Some(("by rule", &by_rule)),
            "room_beside" | "room_over" => Some(("wanted", &wanted)),
            _ => None,
        };
        let look = Plot { meaning: column.meaning, unit: column.unit, limit, file: "sizes.csv" };
        pictures.push((format!("sizes_{}.svg", column.name), plot(&sizes.grid, &look, &numbers)));
    }
    pictures
}
