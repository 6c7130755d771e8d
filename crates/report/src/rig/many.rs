//! Many inflation tests, or many logs of growth, in one table of verdicts: text, JSON, and the table that a list of pairs takes by the tyres'
//! names. A log without an answer is a row with its fault.

use hoopwright_bench::growth::Growth;
use hoopwright_bench::hold::events::Kind;
use hoopwright_bench::hold::{Hold, Verdict};
use hoopwright_case::units::{BAR, MM, SECOND};
use serde_json::{Value, json};

use super::growth::{growth_value, verdict};
use super::hold::{hold_value, hold_verdict};
use super::{caution, paragraph};
use crate::data::{Columns, Table, decimals};

/// Widest name of a tyre in the text.
const NAME: usize = 16;

/// A log and what it tells, or why it tells nothing.
#[derive(Clone, Debug)]
pub struct Told<T> {
    /// What the tyre is called.
    pub id: String,
    /// The rim that it was on, where that is told.
    pub rim: Option<String>,
    /// The file.
    pub log: String,
    /// The answer.
    pub found: Result<T, String>,
}

impl<T> Told<T> {
    fn answer(&self) -> Option<&T> {
        self.found.as_ref().ok()
    }

    fn fault(row: &&Self) -> String {
        row.found.as_ref().err().cloned().unwrap_or_default()
    }

    fn verdict(&self, of: impl Fn(&T) -> &'static str) -> &'static str {
        self.answer().map_or("no answer", of)
    }
}

/// The pressure that a test shows to be held, MPa, readings counted as low as the gauge may err.
fn held(hold: &Hold) -> Option<f64> {
    (hold.verdict == Verdict::Held).then(|| hold.question.required())
}

/// The pressure from which the bead let go, wholly or past itself, MPa, readings counted as low as the gauge may err.
fn let_go(hold: &Hold) -> Option<f64> {
    let from = match hold.verdict {
        Verdict::Released => hold.released,
        Verdict::Burped => hold.fall(Kind::Burp).map(|burp| burp.before),
        _ => None,
    };
    from.map(|pressure| (pressure - hold.question.gauge_error).max(0.0))
}

/// Verdicts of inflation tests, a row a log.
pub fn hold_table(rows: &[Told<Hold>]) -> Table {
    let bar = |pressure: f64| BAR.value_of(pressure);
    Columns::<&Told<Hold>>::new()
        .text("id", |row| row.id.clone())
        .text("tested on", |row| row.rim.clone().unwrap_or_default())
        .text("hold", |row| row.verdict(|hold| hold_verdict(hold.verdict)).to_owned())
        .number("tested hold pressure", "bar", decimals::<3>, move |row| held(row.answer()?).map(bar))
        .number("tested release pressure", "bar", decimals::<3>, move |row| let_go(row.answer()?).map(bar))
        .number("required pressure", "bar", decimals::<3>, move |row| Some(bar(row.answer()?.question.required())))
        .number("highest pressure", "bar", decimals::<3>, move |row| Some(bar(row.answer()?.highest)))
        .number("held for", "s", decimals::<1>, |row| Some(row.answer()?.held_for()))
        .text("hold log", |row| row.log.clone())
        .text("hold fault", Told::<Hold>::fault)
        .of(rows)
}

/// Verdicts on growth, a row a log.
pub fn growth_table(rows: &[Told<Growth>]) -> Table {
    Columns::<&Told<Growth>>::new()
        .text("id", |row| row.id.clone())
        .text("growth", |row| row.verdict(verdict).to_owned())
        .number("growth per decade", "mm", decimals::<4>, |row| Some(row.answer()?.per_decade.value))
        .number("growth to come", "mm", decimals::<4>, |row| Some(row.answer()?.further.value))
        .number("growth to come at most", "mm", decimals::<4>, |row| Some(at_most(row.answer()?)))
        .number("growth allowed", "mm", decimals::<4>, |row| Some(row.answer()?.limit))
        .text("growth log", |row| row.log.clone())
        .text("growth fault", Told::<Growth>::fault)
        .of(rows)
}

/// Upper end of the interval of the growth still to come, mm.
fn at_most(growth: &Growth) -> f64 {
    growth.further.value + growth.further.half_width()
}

/// Verdicts of inflation tests in a terminal's width.
pub fn holds_text(rows: &[Told<Hold>]) -> String {
    let cells = |hold: &Hold| {
        let pressure = |pressure: f64| format!("{:.3}", BAR.value_of(pressure));
        [
            hold_verdict(hold.verdict).to_owned(),
            pressure(hold.highest),
            let_go(hold).map_or("-".to_owned(), pressure),
            format!("{:.0}", SECOND.value_of(hold.held_for())),
        ]
    };
    let required = rows.iter().find_map(Told::answer).map_or(String::new(), |hold| {
        let q = &hold.question;
        format!("Required: {} for {}.", BAR.format(q.required()), SECOND.format(q.hold))
    });
    text(rows, (&["verdict", "highest, bar", "let go, bar", "held, s"], [29, 12, 11, 7]), &cells, &required)
}

/// Verdicts on growth in a terminal's width.
pub fn growths_text(rows: &[Told<Growth>]) -> String {
    let cells = |growth: &Growth| {
        let mm = |length: f64| format!("{length:.4}");
        [verdict(growth).to_owned(), mm(growth.per_decade.value), mm(growth.further.value), mm(at_most(growth))]
    };
    let limit = rows.iter().find_map(Told::answer).map_or(String::new(), |growth| {
        format!("Settled: the growth still to come, in mm, is {} at most.", MM.format(growth.limit))
    });
    text(rows, (&["verdict", "a decade, mm", "to come", "at most"], [13, 12, 9, 9]), &cells, &limit)
}

fn text<T>(
    rows: &[Told<T>],
    (heads, widths): (&[&str; 4], [usize; 4]),
    cells: &dyn Fn(&T) -> [String; 4],
    asked: &str,
) -> String {
    let name = rows.iter().map(|row| row.id.chars().count()).max().unwrap_or(0).clamp(4, NAME);
    let cut = |text: &str| text.chars().take(name).collect::<String>();
    let line = |id: &str, cells: [String; 4]| {
        let [first, rest @ ..] = cells;
        let rest: String = rest.iter().zip(&widths[1..]).map(|(cell, width)| format!(" {cell:>width$}")).collect();
        format!("{:<name$} {first:<width$}{rest}\n", cut(id), width = widths[0])
    };
    let mut out = line("tyre", heads.map(str::to_owned));
    for row in rows {
        match &row.found {
            Ok(found) => out += &line(&row.id, cells(found)),
            Err(reason) => out += &paragraph(&format!("{:<name$} no answer: ", cut(&row.id)), reason),
        }
    }
    let failed = rows.iter().filter(|row| row.found.is_err()).count();
    out += &format!("\n{} logs, {} with an answer, {failed} without\n", rows.len(), rows.len() - failed);
    if !asked.is_empty() {
        out += &paragraph("", asked);
    }
    out + &caution()
}

/// The JSON document of inflation tests: schema `hoopwright/rig-hold-logs/1.0`; `logs` holds for each log its `id`, `tested_on` and `answer`, as
/// the document for one alone, or its `reason`.
pub fn holds_document(rows: &[Told<Hold>]) -> String {
    batch("hoopwright/rig-hold-logs/1.0", rows, &|row, hold| hold_value(&row.log, hold))
}

/// The same of growth: schema `hoopwright/rig-growth-logs/1.0`.
pub fn growths_document(rows: &[Told<Growth>]) -> String {
    batch("hoopwright/rig-growth-logs/1.0", rows, &|row, growth| growth_value(&row.log, growth))
}

fn batch<T>(schema: &str, rows: &[Told<T>], value: &dyn Fn(&Told<T>, &T) -> Value) -> String {
    let one = |row: &Told<T>| match &row.found {
        Ok(found) => json!({ "id": row.id, "tested_on": row.rim, "answer": value(row, found) }),
        Err(reason) => json!({ "id": row.id, "tested_on": row.rim, "log": row.log, "reason": reason }),
    };
    let document = json!({
        "schema": schema,
        "program": "hoopwright",
        "version": env!("CARGO_PKG_VERSION"),
        "logs": rows.iter().map(one).collect::<Vec<_>>(),
        "failed": rows.iter().filter(|row| row.found.is_err()).count(),
    });
    format!("{document:#}\n")
}
