//! An inflation test as text and JSON.
//!
//! JSON schema `hoopwright/rig-hold/1`: `verdict`, `required_bar`, `floor_bar`, `highest_bar`, `reached_after_s`, `held_from_s`,
//! `held_for_s`, `hold_s`, `leak` (bar/min), `released_at_bar`, `events`, `noise_bar`, `notes`.

use hoopwright_solver::units::{BAR, Dimension, SECOND, Unit};
use hoopwright_study::rig::hold::events::{Event, Kind};
use hoopwright_study::rig::hold::{Hold, Verdict};
use serde_json::{Value, json};

use super::{bar, document, line, notes, paragraph};
use crate::words;

/// Bar in a minute, from MPa in a second.
const BAR_PER_MINUTE: Unit =
    Unit { symbol: "bar/min", aliases: &[], dimension: Dimension::Pressure, factor: 0.1 / 60.0, offset: 0.0 };

/// The verdict in words.
pub fn hold_verdict(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Held => "held",
        Verdict::Burped => "held, but burped",
        Verdict::NotReached => "required pressure not reached",
        Verdict::Leaked => "leaked",
        Verdict::Released => "released",
        Verdict::LetDown => "let down too early",
        Verdict::Ended => "log ends too early",
    }
}

/// An event in words.
pub(crate) fn event_word(kind: Kind) -> &'static str {
    match kind {
        Kind::Lost => "signal lost",
        Kind::Burp => "burp",
        Kind::Release => "release",
        Kind::LetDown => "let down",
    }
}

/// The number that decides, in a sentence.
fn reason(hold: &Hold) -> String {
    let q = &hold.question;
    let (required, wanted) = (BAR.format(q.required()), SECOND.format(q.hold));
    let held = format!("{:.1} s", hold.held_for());
    let at = hold.released.map_or(String::new(), |p| format!("{:.3} bar", BAR.value_of(p)));
    match hold.verdict {
        Verdict::Held => format!("{required} was reached and held for {held}, {wanted} were required."),
        Verdict::Burped => format!(
            "{required} was reached and held for {held}, {wanted} were required, but {} sudden {} of pressure: the bead let some of it past.",
            hold.burps(),
            if hold.burps() == 1 { "loss" } else { "losses" }
        ),
        Verdict::NotReached => {
            format!("the highest pressure was {:.3} bar, {required} were required.", BAR.value_of(hold.highest))
        }
        Verdict::Leaked => {
            format!("the pressure fell below {:.3} bar after {held}, {wanted} were required.", BAR.value_of(q.floor()))
        }
        Verdict::Released => format!("all went at once from {at}; {required} for {wanted} were required, held for {held}."),
        Verdict::LetDown => {
            format!(
                "the pressure fell from {at} to nearly nothing, too slowly for a release, after {held}; {wanted} were required."
            )
        }
        Verdict::Ended => format!("the log ends after {held} above the floor, {wanted} were required."),
    }
}

/// The table.
pub fn hold_text(log: &str, hold: &Hold) -> String {
    let q = &hold.question;
    let mut text = format!("{log}: inflation test\n\n");
    text += &format!("Verdict: {}\n{}\n", hold_verdict(hold.verdict).to_uppercase(), paragraph("", &reason(hold)));
    let mut row = |name: &str, value: String| text += &format!("{name:<34}{value:>12}\n");
    row("required pressure", format!("{} = {} x {}", BAR.format(q.required()), q.factor, BAR.format(q.rated)));
    row("floor", format!("{:.3} bar", BAR.value_of(q.floor())));
    row("highest pressure", format!("{:.3} bar", BAR.value_of(hold.highest)));
    row("reached after", hold.reached.map_or("not reached".to_owned(), |t| format!("{:.1} s", t - hold.series.time[0])));
    row("held for", format!("{:.1} s of {}", hold.held_for(), SECOND.format(q.hold)));
    row("scatter of a reading", format!("{:.4} bar", BAR.value_of(hold.noise)));
    if let Some(leak) = &hold.leak {
        text += &line("leak while held", leak, &BAR_PER_MINUTE, 5);
    }
    for event in &hold.events {
        text += &told(event, hold.series.time[0]);
    }
    text.push('\n');
    text += &notes(&hold.notes);
    for caution in words::cautions().into_iter().take(2) {
        text += &paragraph("Caution: ", caution);
    }
    text + &paragraph(
        "",
        "One test of one tyre on one rim. ISO 4210-2 asks for 110 % of the maximum pressure for 5 minutes (from memory; read the edition \
         in force), 16 CFR 1512.10 for 110 %; 150 % is common practice, no source.",
    )
}

fn told(event: &Event, start: f64) -> String {
    let [from, to] = event.time.map(|time| time - start);
    format!(
        "{:<34}after {from:.1} s, {:.1} s long, from {} to {} bar\n",
        event_word(event.kind),
        to - from,
        bar(event.before, 3),
        bar(event.after, 3)
    )
}

/// The JSON document.
pub fn hold_document(log: &str, hold: &Hold) -> String {
    let q = &hold.question;
    let start = hold.series.time[0];
    let event = |event: &Event| -> Value {
        json!({
            "kind": event_word(event.kind),
            "from_s": event.time[0] - start,
            "to_s": event.time[1] - start,
            "before_bar": BAR.value_of(event.before),
            "after_bar": BAR.value_of(event.after),
        })
    };
    let document = json!({
        "schema": "hoopwright/rig-hold/1",
        "program": "hoopwright",
        "version": env!("CARGO_PKG_VERSION"),
        "log": log,
        "verdict": hold_verdict(hold.verdict),
        "reason": reason(hold),
        "rated_bar": BAR.value_of(q.rated),
        "factor": q.factor,
        "required_bar": BAR.value_of(q.required()),
        "floor_bar": BAR.value_of(q.floor()),
        "hold_s": q.hold,
        "highest_bar": BAR.value_of(hold.highest),
        "reached_after_s": hold.reached.map(|t| t - start),
        "held_from_s": hold.held.map(|[from, _]| from - start),
        "held_for_s": hold.held_for(),
        "leak": hold.leak.map(|leak| document(&leak, &BAR_PER_MINUTE)),
        "released_at_bar": hold.released.map(|p| BAR.value_of(p)),
        "events": hold.events.iter().map(event).collect::<Vec<_>>(),
        "noise_bar": BAR.value_of(hold.noise),
        "notes": hold.notes.iter().map(ToString::to_string).collect::<Vec<_>>(),
    });
    format!("{document:#}\n")
}
