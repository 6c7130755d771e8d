//! The summary of a map as JSON: schema `hoopwright/map/1.0`.
//!
//! | key | holds |
//! |---|---|
//! | `axes` | for each axis its `input`, `unit` (`-` for pure numbers), `from`, `to`, `count` |
//! | `points`, `solved`, `holds`, `no_answer` | numbers of points |
//! | `limits` | `field`, `unit`, `verdict` where it fails, `least` and `greatest` value over the map, `fails_first` (points), `line_known_within` (share of the range, or null) |
//! | `fields` | for each field `unit`, `least` and `greatest` number (bounds left out), `held_out` (`points`, `rms_error`, `largest_error`, or null) |
//! | `finite_elements_over_closed_form` | `least`, `middle`, `greatest` ratio of what decides over the solved points, or null |
//! | `tyres` | `measured`, `on_map`, `tested`, `bias_bar`, `scatter_bar`, `rank_correlation`, `findings` (tyres on the map by verdict), and `placed`: `id`, `place`, `verdict` (null outside the map), `near` (the verdict of the limit where the error of the map decides), `predicted_bar`, `predicted_error_bar`, `tested_bar`; null without tyres |

use hoopwright_case::Vary;
use hoopwright_study::column::Number;
use hoopwright_study::map::Finished;
use hoopwright_study::map::statistics::spread;
use hoopwright_study::map::tyres::Placed;
use serde_json::{Map, Value, json};

use super::{Summary, limit_range, near, standing};
use crate::words;

/// The document as text.
pub fn document(vary: &Vary, map: &Finished, tyres: &[Placed]) -> String {
    let summary = Summary::of(map, tyres);
    let document = json!({
        "schema": "hoopwright/map/1.0",
        "program": "hoopwright",
        "version": env!("CARGO_PKG_VERSION"),
        "axes": axes(vary),
        "points": summary.points[0],
        "solved": summary.points[1],
        "holds": summary.holding,
        "no_answer": summary.unanswered,
        "limits": limits(map, &summary),
        "fields": fields(map, &summary),
        "finite_elements_over_closed_form":
            summary.over_estimate.map(|[least, middle, greatest]| json!({ "least": least, "middle": middle, "greatest": greatest })),
        "tyres": if tyres.is_empty() { Value::Null } else { tests(map, &summary, tyres) },
    });
    format!("{document:#}\n")
}

fn axes(vary: &Vary) -> Value {
    let axis = |varied: &hoopwright_case::Varied| {
        let symbol = varied.input.unit().map_or("", |unit| unit.symbol);
        json!({
            "input": varied.input.path(),
            "unit": if symbol.is_empty() { "-" } else { symbol },
            "from": varied.values.first(),
            "to": varied.values.last(),
            "count": varied.values.len(),
        })
    };
    vary.inputs.iter().map(axis).collect()
}

fn limits(map: &Finished, summary: &Summary) -> Value {
    let limit = |k: usize| {
        let limit = &map.limits[k];
        let range = limit_range(map, k);
        json!({
            "field": map.fields[limit.field].column.name,
            "unit": map.fields[limit.field].column.unit,
            "verdict": words::finding(limit.finding),
            "least": range.map(|r| r[0]),
            "greatest": range.map(|r| r[1]),
            "fails_first": summary.failing[k],
            "line_known_within": map.sharpness[k],
        })
    };
    (0..map.limits.len()).map(limit).collect()
}

fn fields(map: &Finished, summary: &Summary) -> Value {
    let mut all = Map::new();
    for (k, field) in map.fields.iter().enumerate() {
        let found = map.points.iter().filter_map(|point| match point.numbers[k] {
            Some(Number::Found(value)) => Some(value),
            _ => None,
        });
        let range = spread(&found.collect::<Vec<_>>());
        let held =
            summary.held_out[k].map(|(n, rms, largest)| json!({ "points": n, "rms_error": rms, "largest_error": largest }));
        let (least, greatest) = (range.map(|r| r[0]), range.map(|r| r[2]));
        all.insert(
            field.column.name.to_owned(),
            json!({ "unit": field.column.unit, "least": least, "greatest": greatest, "held_out": held }),
        );
    }
    Value::Object(all)
}

fn tests(map: &Finished, summary: &Summary, tyres: &[Placed]) -> Value {
    let placed = |tyre: &Placed| {
        json!({
            "id": tyre.id,
            "place": tyre.place,
            "verdict": tyre.standing.map(|found| standing(&map.limits, found)),
            "near": tyre.standing.and_then(|found| near(&map.limits, found)),
            "predicted_bar": tyre.predicted,
            "predicted_error_bar": tyre.error,
            "tested_bar": tyre.tested,
        })
    };
    let [measured, on_map, tested] = summary.tyres;
    json!({
        "measured": measured,
        "on_map": on_map,
        "tested": tested,
        "findings": summary.tyre_findings.iter().map(|(word, n)| ((*word).to_owned(), json!(n))).collect::<Map<_, _>>(),
        "bias_bar": summary.tested.map(|c| c.bias),
        "scatter_bar": summary.tested.and_then(|c| c.scatter),
        "rank_correlation": summary.tested.and_then(|c| c.rank_correlation),
        "placed": tyres.iter().map(placed).collect::<Vec<_>>(),
    })
}
