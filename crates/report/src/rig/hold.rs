//! An inflation test as text and JSON.
//!
//! JSON schema `hoopwright/rig-hold/1.0`: `verdict`, `required_bar`, `floor_bar`, `highest_bar`, `reached_after_s`, `held_from_s`,
//! `held_for_s`, `hold_s`, `leak` (bar/min), `released_at_bar`, `unseen` (the gap that leaves the answer open, or null), `events`, `noise_bar`,
//! `in_unit_of_log` (the pressures once more where the log is not in bar, or null), `notes`.

use hoopwright_bench::hold::events::{Event, Kind};
use hoopwright_bench::hold::gaps::ALLOWED;
use hoopwright_bench::hold::signal::Why;
use hoopwright_bench::hold::{Hold, Verdict};
use hoopwright_case::units::{BAR, SECOND};
use serde_json::{Value, json};

use super::pressure::{BAR_PER_MINUTE, Both, per_minute};
use super::{Shown, bar, document, notes, paragraph};
use crate::words;

/// The verdict in words.
pub fn hold_verdict(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Held => "held",
        Verdict::HeldBurped => "held, but burped",
        Verdict::NotReached => "required pressure not reached",
        Verdict::Leaked => "leaked",
        Verdict::Burped => "burped",
        Verdict::Released => "released",
        Verdict::LetDown => "let down too early",
        Verdict::SignalLost => "signal lost",
        Verdict::NotShown => "not shown to be held",
        Verdict::Ended => "log ends too early",
    }
}

/// An event in words.
pub(crate) fn event_word(kind: Kind) -> &'static str {
    match kind {
        Kind::Lost => "signal lost",
        Kind::Gap => "no readings",
        Kind::Burp => "burp",
        Kind::Release => "release",
        Kind::LetDown => "let down",
        Kind::Leak => "fast leak",
    }
}

/// Why there is no pressure, in words.
fn why_word(why: Why) -> &'static str {
    match why {
        Why::NoReadings => "there are no readings",
        Why::Vacuum => "readings are below -1 bar, less than no air at all",
        Why::Frozen => "the readings are frozen",
        Why::AtEnd => "the gauge is at its end",
        Why::Away => "the signal was away",
    }
}

/// The number that decides, in a sentence.
pub(crate) fn reason(hold: &Hold) -> String {
    let (q, both) = (&hold.question, Both::of(hold));
    let (required, wanted) = (both.format(q.required()), SECOND.format(q.hold));
    let held = format!("{:.1} s", hold.held_for());
    let before = |kind: Kind| hold.fall(kind).map_or(String::new(), |event| both.show(event.before, 3));
    match hold.verdict {
        Verdict::Held => format!("{required} was reached and held for {held}, {wanted} were required."),
        Verdict::HeldBurped => format!(
            "{required} was reached and held for {held}, {wanted} were required, but {}: the bead let some of it past.",
            losses(hold.burps())
        ),
        Verdict::NotReached => {
            format!("the highest pressure was {}, {required} were required.", both.show(hold.highest, 3))
        }
        Verdict::Leaked => {
            let before = |event: &&Event| event.kind == Kind::Burp && hold.held.is_some_and(|[_, until]| event.time[1] <= until);
            let burps = match hold.events.iter().filter(before).count() {
                0 => String::new(),
                n => format!(" Before that, {}.", losses(n)),
            };
            format!("the pressure fell below {} after {held}, {wanted} were required.{burps}", both.show(q.floor(), 3))
        }
        Verdict::Burped => format!(
            "the pressure fell at once below {} after {held}, {wanted} were required: the bead let air past ({}).",
            both.show(q.floor(), 3),
            losses(hold.burps())
        ),
        Verdict::Released => format!(
            "all went at once from {}; {required} for {wanted} were required, held for {held}.",
            hold.released.map_or(String::new(), |p| both.show(p, 3))
        ),
        Verdict::LetDown => format!(
            "the pressure fell from {} to nearly nothing, too slowly for a release, after {held}; {wanted} were required. If nobody opened the \
             valve, it leaked.",
            before(Kind::LetDown)
        ),
        Verdict::SignalLost | Verdict::NotShown => unseen(hold, &both),
        Verdict::Ended => format!("the log ends after {held} above the floor, {wanted} were required."),
    }
}

/// So many sudden losses.
fn losses(n: usize) -> String {
    format!("{n} sudden {} of pressure", if n == 1 { "loss" } else { "losses" })
}

/// The gap that leaves open whether the pressure was held, and the rule.
fn unseen(hold: &Hold, both: &Both) -> String {
    let Some((gap, made_up)) = hold.unseen else { return String::new() };
    let (wanted, allowed) = (SECOND.format(hold.question.hold), SECOND.format(ALLOWED * hold.question.hold));
    let from = gap.from - hold.series.start;
    let long = gap.time[1] - gap.from;
    let told = format!(
        "from {from:.1} s on, for {long:.1} s, {}: what the pressure did then is not known. It is seen above the floor for {:.1} s, {wanted} were \
         required.",
        why_word(gap.why),
        hold.held_for()
    );
    let rule = if gap.after.is_none() || hold.reached.is_none() {
        String::new()
    } else {
        format!(
            " In {made_up:.1} s or more a fall below {} could be pumped up again unseen, at the fastest rise of the log; such gaps may take {allowed} \
             in all.",
            both.show(hold.question.floor(), 3)
        )
    };
    told + &rule
}

/// The numbers, with their units.
pub(crate) fn facts(hold: &Hold) -> [(&'static str, String); 6] {
    let (q, both) = (&hold.question, Both::of(hold));
    [
        ("required pressure", format!("{} = {} x {}", both.format(q.required()), q.factor, both.format(q.rated))),
        ("floor", both.show(q.floor(), 3)),
        ("highest pressure", both.show(hold.highest, 3)),
        ("reached after", hold.reached.map_or("not reached".to_owned(), |t| format!("{:.1} s", t - hold.series.start))),
        ("held for", format!("{:.1} s of {}", hold.held_for(), SECOND.format(q.hold))),
        ("scatter of a reading", both.show(hold.noise, 4)),
    ]
}

/// The rate at which pressure was lost, if it is known: in bar, and in the log's unit.
pub(crate) fn leak(hold: &Hold) -> Vec<Shown<'_>> {
    let units = [Some(&BAR_PER_MINUTE), per_minute(&hold.series.unit)];
    let shown = |leak| units.into_iter().flatten().map(move |unit| Shown::new("leak while held", leak, unit, 5));
    hold.leak.as_ref().into_iter().flat_map(shown).collect()
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
    text.extend(leak(hold).iter().map(Shown::line));
    for event in &hold.events {
        let [name, from, long, before, after] = event_cells(event, hold.series.start);
        let also = Both::of(hold).also(&[event.before, event.after], 3);
        text += &format!("{name:<34}after {from} s, {long} s long, from {before} to {after} bar{also}\n");
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

/// The gap that leaves the answer open.
fn unseen_document(hold: &Hold) -> Option<Value> {
    let (gap, made_up) = hold.unseen?;
    Some(json!({
        "why": why_word(gap.why),
        "from_s": gap.from - hold.series.start,
        "to_s": gap.time[1] - hold.series.start,
        "made_up_within_s": made_up,
        "allowed_in_all_s": ALLOWED * hold.question.hold,
    }))
}

/// The JSON document.
pub fn hold_document(log: &str, hold: &Hold) -> String {
    format!("{:#}\n", hold_value(log, hold))
}

pub(super) fn hold_value(log: &str, hold: &Hold) -> Value {
    let q = &hold.question;
    let start = hold.series.start;
    let event = |event: &Event| -> Value {
        json!({
            "kind": event_word(event.kind),
            "from_s": event.time[0] - start,
            "to_s": event.time[1] - start,
            "before_bar": BAR.value_of(event.before),
            "after_bar": BAR.value_of(event.after),
        })
    };
    json!({
        "schema": "hoopwright/rig-hold/1.0",
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
        "unseen": unseen_document(hold),
        "events": hold.events.iter().map(event).collect::<Vec<_>>(),
        "noise_bar": BAR.value_of(hold.noise),
        "in_unit_of_log": Both::of(hold).document(hold),
        "notes": hold.notes.iter().map(ToString::to_string).collect::<Vec<_>>(),
    })
}
