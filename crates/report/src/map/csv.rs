//! Every point of a map as CSV.
//!
//! | column | holds |
//! |---|---|
//! | `point` | number from 1, the second axis fastest |
//! | `bead.stiffness [kN]`, ... | both axes, twelve digits |
//! | `origin` | `solved` by finite elements, or `interpolated` |
//! | `verdict`, `fails_first` | every limit that is not kept, and the one passed by the largest share of its value |
//! | `off_centre_release [bar]`, ... | each field, six digits; empty where there is no such number |
//! | `off_centre_release_reached` | behind a number that may be a lower bound only: `yes`, or `no` for a bound |
//! | `off_centre_release_error [bar]` | of an interpolated number: its error, estimated from held-out points |

use hoopwright_solver::case::Vary;
use hoopwright_solver::units::number;
use hoopwright_study::column::Number;
use hoopwright_study::map::{Finished, Origin};

use super::{fails_first, verdict};
use crate::study::{head_of, record};

/// The file.
pub fn file(vary: &Vary, map: &Finished) -> Vec<u8> {
    let mut head = vec!["point".to_owned()];
    head.extend(vary.inputs.iter().map(head_of));
    head.extend(["origin", "verdict", "fails_first"].map(str::to_owned));
    for field in &map.fields {
        let (name, unit) = (field.column.name, field.column.unit);
        head.push(format!("{name} [{unit}]"));
        head.extend(field.column.bounded.then(|| format!("{name}_reached")));
        head.push(format!("{name}_error [{unit}]"));
    }
    let mut bytes = record(&head);
    for (i, point) in map.points.iter().enumerate() {
        let mut cells = vec![(i + 1).to_string()];
        cells.extend(vary.variants[i].values.iter().map(f64::to_string));
        let origin = if point.origin == Origin::Solved { "solved" } else { "interpolated" };
        cells.extend([origin.to_owned(), verdict(map, point), fails_first(&map.limits, point.state()).to_owned()]);
        for ((field, found), error) in map.fields.iter().zip(&point.numbers).zip(&point.errors) {
            let shown = |value: f64| number(value);
            cells.push(found.map_or(String::new(), |found| shown(found.value())));
            let reached = |found: Number| if matches!(found, Number::Found(_)) { "yes" } else { "no" }.to_owned();
            cells.extend(field.column.bounded.then(|| found.map_or(String::new(), reached)));
            cells.push(error.map_or(String::new(), shown));
        }
        bytes.extend(record(&cells));
    }
    bytes
}
