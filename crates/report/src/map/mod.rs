//! A map's files: every point as a table, the summary as JSON and as text, the fields as VTK image data.

mod data;
mod image;
mod json;
mod summary;

pub use data::data;
pub use image::image;
pub use json::document;
pub use summary::{Summary, text};

use hoopwright_case::units::number;
use hoopwright_study::map::field::Limit;
use hoopwright_study::map::standing::Standing;
use hoopwright_study::map::statistics::spread;
use hoopwright_study::map::{Finished, Point, State};

use crate::words;

/// The verdict of a point in words: every limit that is not kept.
pub(crate) fn verdict(map: &Finished, point: &Point) -> String {
    let failing = map.limits.iter().zip(&point.margins).filter(|(_, margin)| margin.is_some_and(|m| m < 0.0));
    match point.state() {
        State::Holds => "holds".to_owned(),
        State::NoAnswer => "no answer".to_owned(),
        State::Fails(_) => failing.map(|(limit, _)| words::finding(limit.finding)).collect::<Vec<_>>().join("; "),
    }
}

/// An error to two digits, where more would say nothing.
pub(crate) fn error(value: f64) -> String {
    number(format!("{value:.1e}").parse().unwrap_or(value))
}

/// Least and greatest value of a limit over the map, in its number's unit; none where the case states none.
pub(crate) fn limit_range(map: &Finished, limit: usize) -> Option<[f64; 2]> {
    let values: Vec<f64> = map.limit_values.iter().filter_map(|values| values[limit]).collect();
    spread(&values).map(|[least, _, greatest]| [least, greatest])
}

/// A limit in words, as in `3 to 7.5 bar`; one number where it is the same all over the map, none where the case states none.
pub(crate) fn limit_words(map: &Finished, limit: usize) -> Option<String> {
    let unit = map.fields[map.limits[limit].field].column.unit;
    let [least, greatest] = limit_range(map, limit)?.map(|value| number(to_four_digits(value)));
    Some(if least == greatest { format!("{least} {unit}") } else { format!("{least} to {greatest} {unit}") })
}

/// A limit from which a numerical error is kept back has digits that nobody typed.
fn to_four_digits(value: f64) -> f64 {
    if value == 0.0 { 0.0 } else { format!("{value:.3e}").parse().unwrap_or(value) }
}

/// The word for the limit that fails first; empty where all are kept.
pub(crate) fn fails_first(limits: &[Limit], state: State) -> &'static str {
    match state {
        State::Holds => "",
        State::NoAnswer => "no answer",
        State::Fails(k) => limits.get(k).map_or("", |limit| words::finding(limit.finding)),
    }
}

/// What a measured tyre is found to be: what the area of the picture says in which it lies, unless the error of what is interpolated there
/// decides.
pub(crate) fn standing(limits: &[Limit], standing: Standing) -> &'static str {
    match standing {
        Standing::Holds => "holds",
        Standing::Near(_) => NEAR,
        Standing::Fails(k) => fails_first(limits, State::Fails(k)),
        Standing::NoAnswer => fails_first(limits, State::NoAnswer),
    }
}

/// Finding of a tyre of which the map cannot tell whether a limit is kept.
pub(crate) const NEAR: &str = "near the limit: assess it";

/// The verdict of the limit that a standing is about; none where it is about none.
pub(crate) fn near(limits: &[Limit], standing: Standing) -> Option<&'static str> {
    let Standing::Near(k) = standing else { return None };
    limits.get(k).map(|limit| words::finding(limit.finding))
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use hoopwright_case as case;
    use hoopwright_study::map::Grid;
    use hoopwright_study::map::field::{fields, limits};
    use hoopwright_study::map::refine::Scheme;

    #[test]
    fn errors_have_two_digits() {
        assert_eq!([0.000_683_269, 0.12345, 17.26].map(error), ["0.00068", "0.12", "17"]);
    }

    /// A map over the rated pressure: the required one rises with it.
    #[test]
    fn a_limit_that_varies_over_the_map_is_told_from_least_to_greatest() {
        let case = case::read(&case::starter()).unwrap().0;
        let fields = fields(&case);
        let limits = limits(&case, &fields);
        let grid = Grid { x: vec![2.0, 5.0], y: vec![1.0, 2.0] };
        let at = |required: f64| (0..limits.len()).map(|k| Some(if k == 0 { required } else { 20.0 })).collect();
        let estimates = vec![vec![None; fields.len()]; 4];
        let values = vec![at(3.0), at(3.0), at(7.5), at(7.5)];
        let map = Scheme::new(grid, (fields, limits), values, estimates).finish(&[None, None, None, None]);
        assert_eq!(limit_words(&map, 0).unwrap(), "3 to 7.5 bar");
        assert_eq!(limit_words(&map, 1).unwrap(), "20 %");
    }
}
