//! A bead's growth under tension as text and JSON.
//!
//! JSON schema `hoopwright/rig-growth/1.0`: `diameter_at_reference_time`, `growth_per_decade`, `creep_per_decade`, `diameter_at_end`,
//! `diameter_predicted`, `further_growth` (value, standard errors, interval), `reference_time_h`, `end_h`, `until_h`,
//! `reading_within_mm`, `limit_mm`, `settled`, `deviation_mm`, `memory_h`, `notes`.

use hoopwright_bench::growth::Growth;
use hoopwright_case::units::{HOUR, MM, PERCENT};
use serde_json::{Value, json};

use super::{Shown, UNKNOWN, caution, document, error_text, notes, paragraph, time};

/// The numbers in order.
pub(crate) fn numbers(g: &Growth) -> [Shown<'_>; 6] {
    let [reference, end] = g.times.map(time);
    [
        Shown::new(format!("diameter after {reference}"), &g.start, &MM, 4),
        Shown::new(format!("diameter after {end}"), &g.end, &MM, 4),
        Shown::new("growth in a decade of time", &g.per_decade, &MM, 4),
        Shown::new("creep in a decade of time", &g.creep, &PERCENT, 5),
        Shown::new(format!("diameter after {}", time(g.until)), &g.predicted, &MM, 4),
        Shown::new(format!("growth from {end} on"), &g.further, &MM, 4),
    ]
}

/// The verdict.
pub(crate) fn verdict(g: &Growth) -> &'static str {
    if g.settled { "settled" } else { "not settled" }
}

/// What decides.
pub(crate) fn rule(g: &Growth) -> String {
    format!(
        "the upper end of the interval of the growth still to come, {:.4} mm, {} the limit of {}.",
        g.further.value + g.further.half_width(),
        if g.settled { "keeps" } else { "exceeds" },
        MM.format(g.limit)
    )
}

/// Where a single reading is to be expected.
pub(crate) fn reading(g: &Growth) -> String {
    let within = error_text(g.reading, g.predicted.value, 4);
    if within == UNKNOWN {
        return format!(
            "How far a single reading after {} may lie from that diameter is {UNKNOWN}: nothing scatters.",
            time(g.until)
        );
    }
    format!("A single reading after {} is expected within {within} mm of that diameter (95 %).", time(g.until))
}

/// How it was found.
pub(crate) fn method(g: &Growth) -> String {
    format!(
        "{} rows fitted; diameter = line in the logarithm of time beyond {}; errors are correlated over {} (exponential, restricted \
         maximum likelihood; Newey and West's errors where they are larger).",
        g.time.len(),
        time(g.times[0]),
        time(g.memory)
    )
}

/// The table.
pub fn growth_text(log: &str, g: &Growth) -> String {
    let mut text = format!("{log}: growth of a bead under tension\n\n");
    text.extend(numbers(g).iter().map(Shown::line));
    text += &format!("\n{}\n", reading(g));
    text += &format!("\nVerdict: {}\n{}", verdict(g).to_uppercase(), paragraph("", &rule(g)));
    text += &paragraph("", &method(g));
    text.push('\n');
    text += &notes(&g.notes);
    text + &caution()
}

/// The JSON document.
pub fn growth_document(log: &str, g: &Growth) -> String {
    format!("{:#}\n", growth_value(log, g))
}

pub(super) fn growth_value(log: &str, g: &Growth) -> Value {
    let hours = |seconds: f64| HOUR.value_of(seconds);
    json!({
        "schema": "hoopwright/rig-growth/1.0",
        "program": "hoopwright",
        "version": env!("CARGO_PKG_VERSION"),
        "log": log,
        "diameter_at_reference_time": document(&g.start, &MM),
        "growth_per_decade": document(&g.per_decade, &MM),
        "creep_per_decade": document(&g.creep, &PERCENT),
        "diameter_at_end": document(&g.end, &MM),
        "diameter_predicted": document(&g.predicted, &MM),
        "further_growth": document(&g.further, &MM),
        "reference_time_h": hours(g.times[0]),
        "end_h": hours(g.times[1]),
        "until_h": hours(g.until),
        "reading_within_mm": g.reading,
        "limit_mm": g.limit,
        "settled": g.settled,
        "rows": g.time.len(),
        "deviation_mm": g.deviation,
        "memory_h": hours(g.memory),
        "notes": g.notes.iter().map(ToString::to_string).collect::<Vec<_>>(),
    })
}
