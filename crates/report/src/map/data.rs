//! Every point of a map as a table of data.
//!
//! | column | holds |
//! |---|---|
//! | `point` | number from 1, the second axis fastest |
//! | `bead.stiffness [kN]`, ... | both axes, twelve digits |
//! | `origin` | `solved` by finite elements, or `interpolated` |
//! | `verdict`, `fails_first` | every limit that is not kept, and the one passed by the largest share of its value |
//! | `off_centre_release [bar]`, ... | each field, every digit; empty where there is no such number |
//! | `off_centre_release_reached` | behind a number that may be a lower bound only: `yes`, or `no` for a bound |
//! | `off_centre_release_error [bar]` | of an interpolated number: its error, estimated from held-out points, six digits |

use hoopwright_case::Vary;
use hoopwright_case::units::number;
use hoopwright_study::map::{Finished, Origin};
use hoopwright_study::rows::digits;

use super::{fails_first, verdict};
use crate::data::{Columns, Head, Table};

/// The table.
pub fn data(vary: &Vary, map: &Finished) -> Table {
    let mut columns = Columns::new().whole("point", |i: &usize| Some(i + 1));
    for (axis, varied) in vary.inputs.iter().enumerate() {
        columns = columns.filled(
            Head::of_input(varied.input),
            |value| value.to_string(),
            move |i| Some(vary.variants[*i].values[axis]),
        );
    }
    columns = columns
        .text("origin", |i| if map.points[*i].origin == Origin::Solved { "solved" } else { "interpolated" }.to_owned())
        .text("verdict", |i| verdict(map, &map.points[*i]))
        .text("fails_first", |i| fails_first(&map.limits, map.points[*i].state()).to_owned());
    for (k, field) in map.fields.iter().enumerate() {
        let (name, unit) = (field.column.name, field.column.unit);
        let value = move |i: &usize| map.points[*i].numbers[k];
        columns = if field.column.bounded {
            columns.bounded(name, unit, digits, value)
        } else {
            columns.number(name, unit, digits, move |i| value(i).map(|found| found.value()))
        };
        columns = columns.number(format!("{name}_error"), unit, number, move |i| map.points[*i].errors[k]);
    }
    columns.of(0..map.points.len())
}
