//! The numbers of each pair, as the page's script shows them.

use hoopwright_case::units::BAR;
use hoopwright_study::column::Number;
use hoopwright_study::pairs::judge::Finding;
use hoopwright_study::pairs::list::{Answered, Entry, List};
use hoopwright_study::pairs::pairing::Made;
use serde_json::{Value, json};

use crate::lines::number;
use crate::pairs::{against, finding, near, reason, tested};
use crate::study::shown;

/// The names of tyre and rim.
pub(super) fn names<'l>(list: &'l List<'_>, entry: &Entry) -> [&'l str; 2] {
    [&list.tyres[entry.pair.tyre].id, &list.rims[entry.pair.rim].id]
}

/// What decides a pair, or what it is near to.
pub(super) fn why(entry: &Entry) -> String {
    if entry.finding() == Some(Finding::TestFirst) { near(entry) } else { reason(entry) }
}

/// All pairs as a script's list. Nothing in it ends a script.
pub(super) fn data(list: &List<'_>) -> String {
    let all: Vec<Value> = list.entries.iter().map(|entry| pair(list, entry)).collect();
    json!(all).to_string().replace("</", "<\\/")
}

fn pair(list: &List<'_>, entry: &Entry) -> Value {
    let [tyre, rim] = names(list, entry);
    let mut rows = vec![["finding".to_owned(), finding(entry.finding())], ["because".to_owned(), why(entry)]];
    let mut marks = Value::Null;
    if let (Some(answer), Ok(made)) = (&entry.answer, &entry.pair.made) {
        rows.extend(numbers(made, answer));
        let release = answer.solved.new.release(&made.case).map(Number::value);
        let bar = |pressure: f64| BAR.value_of(pressure);
        let mut all = vec![
            ("listed".to_owned(), Some(bar(made.case.pressure.rated))),
            ("allowed".to_owned(), answer.judged.allowed.map(bar)),
            ("required".to_owned(), Some(bar(made.case.required_pressure()))),
            ("release".to_owned(), release),
        ];
        for hot in answer.solved.service.iter().flatten() {
            all.push((format!("required, {}", hot.condition.name()), Some(hot.required)));
            all.push((format!("release, {}", hot.condition.name()), hot.release.map(Number::value)));
        }
        marks = json!(all);
        rows.extend(made.notes.iter().map(|note| ["note".to_owned(), note.clone()]));
    }
    let carried = list.tyres[entry.pair.tyre].notes.iter().chain(&list.rims[entry.pair.rim].notes);
    rows.extend(carried.map(|(head, words)| [head.clone(), words.clone()]));
    json!({ "name": format!("{tyre} on {rim}"), "rows": rows, "marks": marks })
}

fn numbers(made: &Made, answer: &Answered) -> Vec<[String; 2]> {
    let new = &answer.solved.new;
    let of = |name: &str| shown(new.number(name));
    let mut rows: Vec<(&str, String)> = vec![
        ("diameter mismatch, mm", number(made.case.diameter_mismatch())),
        ("deciding release, bar", shown(new.release(&made.case))),
        ("required release, bar", number(BAR.value_of(made.case.required_pressure()))),
        ("first lift, bar", of("first_lift")),
        ("local release, bar", of("local_release")),
        ("off-centre release, bar", of("off_centre_release")),
        ("uniform blow-off, bar", of("uniform_blow_off")),
        ("local release without friction, bar", of("local_release_frictionless")),
        ("bead tension at the listed pressure, N", of("bead_tension_rated")),
        ("seat load, fitted, N/mm", of("seat_load_fitted")),
        ("rim hoop force, N", of("rim_hoop_force")),
        ("spokes lose, % of their pretension", of("spoke_tension_loss_share")),
        ("inflated width, mm", of("inflated_width")),
        ("outer diameter, mm", new.outer_diameter.map_or("-".to_owned(), number)),
        ("hoop force to mount, N", of("mounting_force")),
    ];
    rows.extend(answer.room_beside.map(|room| ("room on each side, mm", number(room))));
    rows.extend(answer.room_over.map(|room| ("room over the tread, mm", number(room))));
    rows.extend(
        answer.failing.map(|p| ("probability that a limit is not kept (first order, slopes solved), %", number(100.0 * p))),
    );
    // What the case does not ask for has no number.
    let asked = rows.into_iter().filter(|(_, value)| value != "-");
    let mut rows: Vec<[String; 2]> = asked.map(|(name, value)| [name.to_owned(), value]).collect();
    for hot in answer.solved.service.iter().flatten() {
        let name = hot.condition.name();
        rows.push([
            format!("{name}: release over required, bar"),
            format!("{} over {}", shown(hot.release), number(hot.required)),
        ]);
    }
    for test in &answer.judged.tests {
        rows.push(["test".to_owned(), format!("{}: {}", tested(test), against(test.against))]);
    }
    rows
}
