//! An inflation test as text and JSON.
//!
//! JSON schema `hoopwright/rig-hold/1`: `verdict`, `required_bar`, `floor_bar`, `highest_bar`, `reached_after_s`, `held_from_s`,
//! `held_for_s`, `hold_s`, `leak` (bar/min), `released_at_bar`, `events`, `noise_bar`, `notes`.

use hoopwright_solver::units::{BAR, Dimension, SECOND, Unit};
use hoopwright_study::rig::hold::events::{Event, Kind};
use hoopwright_study::rig::hold::{Hold, Verdict};
use serde_json::{Value, json};

use super::{Shown, bar, document, notes, paragraph};
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
pub(crate) fn reason(hold: &Hold) -> String {
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

/// The numbers, with their units.
pub(crate) fn facts(hold: &Hold) -> [(&'static str, String); 6] {
    let q = &hold.question;
    [
        ("required pressure", format!("{} = {} x {}", BAR.format(q.required()), q.factor, BAR.format(q.rated))),
        ("floor", format!("{:.3} bar", BAR.value_of(q.floor()))),
        ("highest pressure", format!("{:.3} bar", BAR.value_of(hold.highest))),
        ("reached after", hold.reached.map_or("not reached".to_owned(), |t| format!("{:.1} s", t - hold.series.time[0]))),
        ("held for", format!("{:.1} s of {}", hold.held_for(), SECOND.format(q.hold))),
        ("scatter of a reading", format!("{:.4} bar", BAR.value_of(hold.noise))),
    ]
}

/// The rate at which pressure was lost, if it is known.
pub(crate) fn leak(hold: &Hold) -> Option<Shown<'_>> {
    hold.leak.as_ref().map(|leak| Shown::new("leak while held", leak, &BAR_PER_MINUTE, 5))
}

/// What the test is one of, and who asks for it.
pub(crate) const REMARK: &str = "One test of one tyre on one rim. ISO 4210-2 asks for 110 % of the maximum pressure for 5 minutes (from \
     memory; read the edition in force), 16 CFR 1512.10 for 110 %; 150 % is common practice, no source.";

/// The table.
pub fn hold_text(log: &str, hold: &Hold) -> String {
    let mut text = format!("{log}: inflation test\n\n");
    text += &format!("Verdict: {}\n{}\n", hold_verdict(hold.verdict).to_uppercase(), paragraph("", &reason(hold)));
    for (name, value) in facts(hold) {
        text += &format!("{name:<34}{value:>12}\n");
    }
    text.extend(leak(hold).map(|leak| leak.line()));
    for event in &hold.events {
        let [name, from, long, before, after] = event_cells(event, hold.series.time[0]);
        text += &format!("{name:<34}after {from} s, {long} s long, from {before} to {after} bar\n");
    }
    text.push('\n');
    text += &notes(&hold.notes);
    for caution in words::cautions().into_iter().take(2) {
        text += &paragraph("Caution: ", caution);
    }
    text + &paragraph("", REMARK)
}

/// What a sudden event was; its begin after `start` and length, s; pressures before and after, bar.
pub(crate) fn event_cells(event: &Event, start: f64) -> [String; 5] {
    let [from, to] = event.time.map(|time| time - start);
    [
        event_word(event.kind).to_owned(),
        format!("{from:.1}"),
        format!("{:.1}", to - from),
        bar(event.before, 3),
        bar(event.after, 3),
    ]
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
