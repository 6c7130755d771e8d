//! A list as JSON, schema `hoopwright/pairs/1.0`. Pressures in bar, lengths in mm, forces in N.
//!
//! | key | holds |
//! |---|---|
//! | `headline`, `caution` | sentences |
//! | `terms` | what the list goes by: error of the model as a share, least pressure of use |
//! | `counts` | tyres, rims, tyres that fit every rim, and how many pairs have which finding |
//! | `units` | unit of each number by its name |
//! | `pairs` | a row a pair: names, finding, pressures, what decides, numbers, service, tests, hash |

use std::collections::BTreeMap;

use hoopwright_case::units::BAR;
use hoopwright_study::column::{COLUMNS, Number};
use hoopwright_study::pairs::count::Count;
use hoopwright_study::pairs::judge::{Against, Tested};
use hoopwright_study::pairs::list::{Answered, Entry, List};
use hoopwright_study::pairs::solve::Hot;
use hoopwright_study::pairs::tyres::Outcome;
use serde_json::{Map, Value, json};

use super::text::headline;
use super::words;

/// Units of the numbers of a pair that stand beside those of every study.
const UNITS: [(&str, &str); 11] = [
    ("listed_pressure", "bar"),
    ("required_release", "bar"),
    ("deciding_release", "bar"),
    ("release", "bar"),
    ("allowed_cold_pressure", "bar"),
    ("pressure", "bar"),
    ("margin", "-"),
    ("outer_diameter", "mm"),
    ("room_beside", "mm"),
    ("room_over", "mm"),
    ("probability_of_failing", "-"),
];

/// The document; `hashes` are those of what each pair rests on.
pub fn document(list: &List<'_>, hashes: &[String]) -> String {
    let rims: Vec<Value> =
        list.rims.iter().enumerate().map(|(i, rim)| json!({ "id": rim.id, "counts": count(list.of_rim(i)) })).collect();
    let pairs = list.entries.iter().zip(hashes).map(|(entry, hash)| pair(list, entry, hash));
    let document = json!({
        "schema": "hoopwright/pairs/1.0",
        "version": env!("CARGO_PKG_VERSION"),
        "headline": headline(list),
        "caution": words::CAUTION,
        "terms": { "model_error": list.terms.model_error, "least_pressure_bar": BAR.value_of(list.terms.least) },
        "counts": { "tyres": list.tyres.len(), "fit_every_rim": list.fit_all(), "pairs": count(list.of_all()), "rims": rims },
        "units": COLUMNS.iter().map(|column| (column.name, column.unit)).chain(UNITS).collect::<BTreeMap<_, _>>(),
        "pairs": pairs.collect::<Vec<_>>(),
    });
    format!("{document:#}\n")
}

fn count(count: Count) -> Value {
    json!({
        "fits": count.fits,
        "fits_up_to": count.fits_up_to,
        "test_first": count.test_first,
        "does_not_fit": count.does_not_fit,
        "no_answer": count.no_answer,
        "other_size": count.apart,
    })
}

fn pair(list: &List<'_>, entry: &Entry, hash: &str) -> Value {
    let (tyre, rim) = (&list.tyres[entry.pair.tyre], &list.rims[entry.pair.rim]);
    let made = entry.pair.made.as_ref().ok();
    let mut value = json!({
        "tyre": tyre.id,
        "rim": rim.id,
        "row": tyre.row,
        "finding": words::kind(entry.finding()),
        "in_words": words::finding(entry.finding()),
        "reason": words::reason(entry),
        "listed_pressure": made.map(|made| BAR.value_of(made.case.pressure.rated)),
        "required_release": made.map(|made| BAR.value_of(made.case.required_pressure())),
        "notes": made.map_or(&[][..], |made| &made.notes),
        "carried": carried(tyre.notes.iter().chain(&rim.notes)),
        "hash": hash,
    });
    if let (Some(answer), Some(made)) = (&entry.answer, made) {
        answered(&mut value, answer, answer.solved.new.release(&made.case));
    }
    value
}

/// Words by their heads; those of a head that stands several times one after the other.
fn carried<'n>(notes: impl Iterator<Item = &'n (String, String)>) -> BTreeMap<&'n str, String> {
    let mut all: BTreeMap<&str, String> = BTreeMap::new();
    for (head, words) in notes {
        all.entry(head).and_modify(|known| *known += &format!("; {words}")).or_insert_with(|| words.clone());
    }
    all
}

fn answered(value: &mut Value, answer: &Answered, release: Option<Number>) {
    let found = |name: &str| answer.solved.new.number(name);
    let numbers: Map<String, Value> =
        COLUMNS.iter().map(|column| (column.name.to_owned(), json!(found(column.name).map(Number::value)))).collect();
    let bounds = COLUMNS.iter().filter(|column| matches!(found(column.name), Some(Number::Above(_))));
    value["allowed_pressure"] = json!(answer.judged.allowed.map(|pressure| BAR.value_of(pressure)));
    value["deciding_release"] = json!(release.map(Number::value));
    value["margin"] = json!(answer.judged.margin);
    value["numbers"] = Value::Object(numbers);
    value["only_exceeded"] = json!(bounds.map(|column| column.name).collect::<Vec<_>>());
    value["outer_diameter"] = json!(answer.solved.new.outer_diameter);
    value["room_beside"] = json!(answer.room_beside);
    value["room_over"] = json!(answer.room_over);
    value["probability_of_failing"] = json!(answer.failing);
    value["service"] = json!(answer.solved.service.as_ref().map(|all| all.iter().map(service).collect::<Vec<_>>()));
    value["tests"] = json!(answer.judged.tests.iter().map(test).collect::<Vec<_>>());
}

fn service(hot: &Hot) -> Value {
    let findings: Vec<&str> = hot.findings.iter().map(|finding| crate::words::finding(*finding)).collect();
    json!({
        "condition": hot.condition.name(),
        "release": hot.release.map(Number::value),
        "required_release": hot.required,
        "verdict": findings,
        "decides": hot.decides,
        "allowed_cold_pressure": hot.allowed.map(|pressure| BAR.value_of(pressure)),
    })
}

fn test(tested: &Tested) -> Value {
    let (outcome, pressure) = match tested.test.outcome {
        Outcome::Released(pressure) => ("released", pressure),
        Outcome::Held(pressure) => ("held", pressure),
    };
    let against = match tested.against {
        Against::Agrees => "agrees",
        Against::CameOffBelow => "came off below",
        Against::StayedBeyond => "stayed beyond",
        Against::Unknown => "unknown",
    };
    json!({ "outcome": outcome, "pressure": BAR.value_of(pressure), "from": tested.test.from, "against_calculation": against })
}
