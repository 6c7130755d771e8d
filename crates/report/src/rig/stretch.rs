//! A stretched bead as text, JSON and a table of its cycles.
//!
//! JSON schema `hoopwright/rig-stretch/1.0`:
//!
//! | key | holds |
//! |---|---|
//! | `log`, `fitted_cycles`, `method` | file, number of cycles, how errors were found |
//! | `diameter_at_reference`, `diameter_unstretched`, `stiffness`, `friction` | value, standard errors (null where nothing tells them, as of calibration where none is stated), interval of 95 %; friction null where given |
//! | `reference_force_n`, `fitted_range_n` | hoop forces |
//! | `loss`, `change_of_stiffness` | share and its standard error, or null |
//! | `curve`, `diameter_unstretched_by_curve` | (strain, force in N) points of a bead that is not straight and where they begin, or null; `diameter_at_reference` is then the curve's |
//! | `compliance_mm_per_n`, `compliance_error_mm_per_n` | what the fixture gives |
//! | `cycles` | for each its numbers, or why it has none |
//! | `notes` | sentences |

use hoopwright_bench::stretch::{CycleFit, CycleResult, Law, Method, Stretch};
use hoopwright_case::units::{KN, MM, NEWTON, ONE};
use serde_json::{Value, json};

use super::{Shown, UNKNOWN, caution, document, error_text, notes, paragraph};
use crate::data::{Columns, Head, Table, decimals};

/// The measured numbers in order.
pub(crate) fn numbers(s: &Stretch) -> Vec<Shown<'_>> {
    let reference = NEWTON.format(s.reference_force);
    let mut all = vec![Shown::new(format!("diameter at {reference} hoop force"), &s.diameter, &MM, 3)];
    if let Law::Curve { unstretched, .. } = &s.law {
        all.push(Shown::new("diameter unstretched, by curve", unstretched, &MM, 3));
        all.push(Shown::new("diameter unstretched, by line", &s.unstretched, &MM, 3));
    } else {
        all.push(Shown::new("diameter unstretched", &s.unstretched, &MM, 3));
    }
    all.push(Shown::new("stiffness E A", &s.stiffness, &KN, 2));
    all.extend(s.friction.as_ref().map(|friction| Shown::new("friction on the fixture", friction, &ONE, 4)));
    all
}

/// Shares in % that are known: what, share, standard error where there is one.
pub(crate) fn shares(s: &Stretch) -> Vec<(&'static str, String, Option<String>)> {
    let percent = |v: f64| format!("{:.2}", 100.0 * v);
    let named = [("work not given back", s.loss), ("change of stiffness in the range", s.change)];
    named
        .into_iter()
        .filter_map(|(name, found)| found.map(|(v, e)| (name, percent(v), e.map(|e| error_text(100.0 * e, 100.0 * v, 2)))))
        .collect()
}

/// The table.
pub fn stretch_text(log: &str, s: &Stretch) -> String {
    let mut text = format!("{log}: bead stretched on its fixture\n\n");
    text.extend(numbers(s).iter().map(Shown::line));
    for (name, share, error) in shares(s) {
        let error = error.map_or(String::new(), |e| format!(", standard error {e}{}", if e == UNKNOWN { "" } else { " %" }));
        text += &format!("{name:<34}{share:>12} %{error}\n");
    }
    text += &format!("\n{}", paragraph("", &method(s)));
    text += &format!("\n{}\n", table(s));
    text += &notes(&s.notes);
    text + &caution()
}

/// How it was found, in a sentence or two.
pub(crate) fn method(s: &Stretch) -> String {
    let [from, to] = s.range.map(|force| format!("{force:.0} N"));
    let errors = match s.method {
        Method::Repeats(n) => format!("standard errors from the scatter of {n} cycles (Student's t)"),
        Method::Residuals(n) => format!(
            "standard errors from the residuals of {n} {} and their correlation in time (exponential; Newey and West's where larger)",
            if n == 1 { "cycle" } else { "cycles" }
        ),
    };
    let give = if s.compliance.value > 0.0 {
        format!(" The fixture's own give of {:.3} um/N was taken off.", 1e3 * s.compliance.value)
    } else {
        String::new()
    };
    format!("Lines without friction fitted between {from} and {to} of hoop force on loading, less on unloading; {errors}.{give}")
}

/// Heads of the cycles' columns.
pub(crate) const CYCLE_HEADS: [&str; 8] =
    ["cycle", "reference, mm", "unstretched", "stiffness, kN", "friction", "off line, N", "rows", "left out"];

/// The cells of a fitted cycle below the heads but for its number, or why there are none.
pub(crate) fn cycle_cells(cycle: &CycleResult) -> Result<[String; 7], String> {
    match cycle {
        CycleResult::Conditioning => Err("settles the bead, not fitted".to_owned()),
        CycleResult::Failed(fault) => Err(format!("no answer: {fault}")),
        CycleResult::Fitted(fit) => Ok([
            format!("{:.3}", fit.diameter),
            format!("{:.3}", fit.unstretched),
            format!("{:.2}", KN.value_of(fit.stiffness)),
            format!("{:.4}", fit.friction),
            format!("{:.2}", fit.deviation),
            fit.rows[0].to_string(),
            fit.rows[1].to_string(),
        ]),
    }
}

/// The cycles in aligned columns.
fn table(s: &Stretch) -> String {
    let row = |[a, b, c, d, e, f, g, h]: [&str; 8]| format!("{a:>5} {b:>13} {c:>13} {d:>14} {e:>9} {f:>12} {g:>7} {h:>9}\n");
    let mut text = row(CYCLE_HEADS);
    for (i, cycle) in s.cycles.iter().enumerate() {
        let number = (i + 1).to_string();
        text += &match cycle_cells(cycle) {
            Err(words) => format!("{number:>5} {words}\n"),
            Ok([b, c, d, e, f, g, h]) => row([&number, &b, &c, &d, &e, &f, &g, &h]),
        };
    }
    text
}

/// The JSON document.
pub fn stretch_document(log: &str, s: &Stretch) -> String {
    format!("{:#}\n", value(log, s))
}

pub(super) fn value(log: &str, s: &Stretch) -> Value {
    let (method, fitted) = match s.method {
        Method::Repeats(n) => ("scatter of cycles", n),
        Method::Residuals(n) => ("residuals correlated in time", n),
    };
    let share = |found: Option<(f64, Option<f64>)>| found.map(|(v, e)| json!({ "share": v, "standard_error": e }));
    json!({
        "schema": "hoopwright/rig-stretch/1.0",
        "program": "hoopwright",
        "version": env!("CARGO_PKG_VERSION"),
        "log": log,
        "method": method,
        "fitted_cycles": fitted,
        "diameter_at_reference": document(&s.diameter, &MM),
        "diameter_unstretched": document(&s.unstretched, &MM),
        "stiffness": document(&s.stiffness, &KN),
        "friction": s.friction.map(|f| document(&f, &ONE)),
        "reference_force_n": s.reference_force,
        "fitted_range_n": s.range,
        "loss": share(s.loss),
        "change_of_stiffness": share(s.change),
        "curve": match &s.law { Law::Curve { points, .. } => Some(points), Law::Line => None },
        "diameter_unstretched_by_curve": match &s.law { Law::Curve { unstretched, .. } => Some(document(unstretched, &MM)), Law::Line => None },
        "compliance_mm_per_n": s.compliance.value,
        "compliance_error_mm_per_n": s.compliance.error,
        "cycles": s.cycles.iter().map(cycle).collect::<Vec<_>>(),
        "notes": s.notes.iter().map(ToString::to_string).collect::<Vec<_>>(),
    })
}

fn cycle(cycle: &CycleResult) -> Value {
    match cycle {
        CycleResult::Conditioning => json!({ "state": "conditioning" }),
        CycleResult::Failed(fault) => json!({ "state": "no answer", "reason": fault.to_string() }),
        CycleResult::Fitted(fit) => json!({
            "state": "fitted",
            "diameter_at_reference_mm": fit.diameter,
            "diameter_unstretched_mm": fit.unstretched,
            "stiffness_kn": KN.value_of(fit.stiffness),
            "friction": fit.friction,
            "loss": fit.loss,
            "change_of_stiffness": fit.change,
            "zero_n": fit.zero,
            "largest_tension_n": fit.peak,
            "deviation_n": fit.deviation,
            "rows": fit.rows[0],
            "rows_left_out": fit.rows[1],
        }),
    }
}

/// The cycles as a table of data; those that are not fitted have their reason alone.
pub fn cycles(s: &Stretch) -> Table {
    type Row<'a> = (usize, &'a CycleResult);
    fn fit<'a>((_, cycle): &Row<'a>) -> Option<&'a CycleFit> {
        if let CycleResult::Fitted(fit) = cycle { Some(fit) } else { None }
    }
    let state = |(_, cycle): &Row<'_>| match cycle {
        CycleResult::Conditioning => "conditioning".to_owned(),
        CycleResult::Failed(fault) => format!("no answer: {fault}"),
        CycleResult::Fitted(_) => "fitted".to_owned(),
    };
    Columns::<Row<'_>>::new()
        .whole("cycle", |(i, _)| Some(i + 1))
        .text("state", state)
        .number("diameter_at_reference", "mm", decimals::<5>, |row| fit(row).map(|f| f.diameter))
        .number("diameter_unstretched", "mm", decimals::<5>, |row| fit(row).map(|f| f.unstretched))
        .number("stiffness", "kN", decimals::<4>, |row| fit(row).map(|f| KN.value_of(f.stiffness)))
        .filled(Head::bare("friction"), decimals::<5>, |row| fit(row).map(|f| f.friction))
        .number("loss", "%", decimals::<4>, |row| fit(row).and_then(|f| f.loss).map(|share| 100.0 * share))
        .number("change_of_stiffness", "%", decimals::<4>, |row| fit(row).and_then(|f| f.change).map(|share| 100.0 * share))
        .number("zero", "N", decimals::<4>, |row| fit(row).and_then(|f| f.zero))
        .number("largest_tension", "N", decimals::<2>, |row| fit(row).map(|f| f.peak))
        .number("deviation", "N", decimals::<4>, |row| fit(row).map(|f| f.deviation))
        .whole("rows", |row| fit(row).map(|f| f.rows[0]))
        .whole("rows_left_out", |row| fit(row).map(|f| f.rows[1]))
        .of(s.cycles.iter().enumerate())
}
