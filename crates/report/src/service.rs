//! Margins in service: text, table of data, JSON.

use std::fmt::Write;

use hoopwright_case::units::{DAY, HOUR, NEWTON, number as plain};
use hoopwright_case::{Measured, SERVICE_INPUTS, Service};
use hoopwright_solver::result::Finding;
use hoopwright_study::column::Number;
use hoopwright_study::rows::Ends;
use hoopwright_study::service::{Answered, Condition, ELASTIC_SHARE, Otherwise, spoke_gain};
use serde_json::{Map, Value, json};

use crate::data::{Columns, Table};
use crate::lines::{number, paragraph};
use crate::words;

/// MPa in bar.
const BAR: f64 = 10.0;
/// Zero of the Celsius scale, K.
const FREEZING: f64 = 273.15;

/// What a row of the table shows of a condition: name in files, unit, phrase, value.
struct Line {
    name: &'static str,
    unit: &'static str,
    meaning: &'static str,
    /// Whether the number may be a lower bound only.
    bounded: bool,
    value: fn(&Answered) -> Option<Number>,
}

fn found(value: f64) -> Option<Number> {
    Some(Number::Found(value))
}

/// A retention pressure over the working pressure.
fn over(a: &Answered, name: &str) -> Option<Number> {
    let working = BAR * a.case.pressure.rated;
    a.number(name).map(|number| match number {
        Number::Found(p) => Number::Found(p / working),
        Number::Above(p) => Number::Above(p / working),
    })
}

const LINES: [Line; 17] = [
    Line {
        name: "bead_diameter",
        unit: "mm",
        meaning: "unstretched bead on the rim's scale",
        bounded: false,
        value: |a| found(a.case.bead.diameter),
    },
    Line {
        name: "bead_stiffness",
        unit: "kN",
        meaning: "bead stiffness",
        bounded: false,
        value: |a| found(a.case.bead.law.initial_stiffness() / 1e3),
    },
    Line { name: "friction", unit: "-", meaning: "friction", bounded: false, value: |a| found(a.case.friction) },
    Line {
        name: "working_pressure",
        unit: "bar",
        meaning: "working pressure",
        bounded: false,
        value: |a| found(BAR * a.case.pressure.rated),
    },
    Line {
        name: "required_pressure",
        unit: "bar",
        meaning: "required pressure: test factor x working pressure",
        bounded: false,
        value: |a| found(BAR * a.case.required_pressure()),
    },
    Line {
        name: "allowed_pressure",
        unit: "bar",
        meaning: "allowed working pressure",
        bounded: true,
        value: Answered::allowed_pressure,
    },
    Line { name: "first_lift", unit: "bar", meaning: "first lift", bounded: true, value: |a| a.number("first_lift") },
    Line {
        name: "off_centre_release",
        unit: "bar",
        meaning: "off-centre release",
        bounded: true,
        value: |a| a.number("off_centre_release"),
    },
    Line { name: "local_release", unit: "bar", meaning: "local release", bounded: true, value: |a| a.number("local_release") },
    Line {
        name: "uniform_blow_off",
        unit: "bar",
        meaning: "uniform blow-off",
        bounded: true,
        value: |a| a.number("uniform_blow_off"),
    },
    Line {
        name: "off_centre_release_frictionless",
        unit: "bar",
        meaning: "off-centre release without friction",
        bounded: true,
        value: |a| a.number("off_centre_release_frictionless"),
    },
    Line {
        name: "local_release_frictionless",
        unit: "bar",
        meaning: "local release without friction",
        bounded: true,
        value: |a| a.number("local_release_frictionless"),
    },
    Line {
        name: "release_over_working",
        unit: "-",
        meaning: "off-centre release over working pressure",
        bounded: true,
        value: |a| over(a, "off_centre_release"),
    },
    Line {
        name: "local_release_over_working",
        unit: "-",
        meaning: "local release over working pressure",
        bounded: true,
        value: |a| over(a, "local_release"),
    },
    Line {
        name: "seat_load_fitted",
        unit: "N/mm",
        meaning: "seat load, no pressure",
        bounded: false,
        value: |a| a.number("seat_load_fitted"),
    },
    Line {
        name: "bead_tension_rated",
        unit: "N",
        meaning: "bead tension at working pressure",
        bounded: false,
        value: |a| a.number("bead_tension_rated"),
    },
    Line {
        name: "spoke_tension_loss_share",
        unit: "%",
        meaning: "mean spoke tension loss by the tyre, of pretension",
        bounded: false,
        value: |a| a.number("spoke_tension_loss_share"),
    },
];

/// What the model of service leaves out.
pub(crate) const REMARKS: [&str; 3] = [
    "Creep is in proportion to the new bead's tension at rated pressure; it falls as the bead grows, so the growth is an upper bound. Rubber, glue and wear are left out.",
    "A hot rim that grows tightens the bead: do not count on it where the rim may be a laminate, cools faster than the bead, or heats unevenly. Rim strength when hot, above all of laminates, is not judged; the breaking forces of bundle and cords are taken to fall like their stiffnesses (assumption).",
    "Coefficients with a source \"from memory\", \"assumption\" or \"invented\" are no data: measure your own (`hoopwright rig growth` for creep).",
];

/// What the allowed pressure of a condition is.
const ALLOWED: &str = "The allowed working pressure is that in the tyre under the condition, hot air included. After creep it is told up to the working pressure only: under more the bead would have crept more.";

/// What tells when the bead was measured.
const MEASURED_AFTER_SAYS: &str = "`measured_after` in the table service tells which it is";

fn time(seconds: f64) -> String {
    (if DAY.value_of(seconds) < 2.0 { HOUR } else { DAY }).format(seconds)
}

/// Name of a condition, over two lines.
fn heads(condition: Condition, service: &Service) -> [String; 2] {
    match condition {
        Condition::New => ["new".to_owned(), "cold".to_owned()],
        Condition::Held => [format!("after {}", time(service.hold)), "cold".to_owned()],
        Condition::Aged => [format!("after {}", time(service.life)), "cold".to_owned()],
        Condition::HotNew => ["new".to_owned(), "hot".to_owned()],
        Condition::HotAged => [format!("after {}", time(service.life)), "hot".to_owned()],
    }
}

fn cell(number_of: Option<Number>, name: &str) -> String {
    let shown = |x: f64| if name == "bead_diameter" { format!("{x:.2}") } else { number(x) };
    match number_of {
        None => "-".to_owned(),
        Some(Number::Found(x)) => shown(x),
        Some(Number::Above(x)) => format!("> {}", shown(x)),
    }
}

/// Heads, then a row for each number and for the verdict: one column a condition.
pub(crate) fn rows(service: &Service, answers: &[Answered]) -> Vec<Vec<String>> {
    let names = answers.iter().map(|a| heads(a.condition, service).join(", "));
    let mut rows = vec![std::iter::once("In service".to_owned()).chain(names).collect()];
    // The local release is not asked for where it plays no part in the verdict.
    let asked = |line: &&Line| !line.name.starts_with("local") || answers.iter().any(|a| (line.value)(a).is_some());
    for line in LINES.iter().filter(asked) {
        let head = if line.unit == "-" { line.meaning.to_owned() } else { format!("{}, {}", line.meaning, line.unit) };
        rows.push(std::iter::once(head).chain(answers.iter().map(|a| cell((line.value)(a), line.name))).collect());
    }
    rows.push(std::iter::once("verdict".to_owned()).chain(answers.iter().map(verdict)).collect());
    rows
}

/// Widest label of the table for a terminal: five columns of numbers stand beside it.
const LABEL: usize = 35;
/// Width of a column of numbers.
const CELL: usize = 9;

/// The table for a terminal: one column a condition, its name over three lines; long labels are broken, verdicts stand below.
pub fn table(service: &Service, answers: &[Answered]) -> String {
    let Some(new) = answers.first() else { return String::new() };
    let mut text = String::new();
    paragraph("", &new.case.title, &mut text);
    text.push('\n');
    let names: Vec<[String; 3]> = answers.iter().map(|a| over_three_lines(heads(a.condition, service))).collect();
    for (k, label) in ["In service", "", ""].into_iter().enumerate() {
        line(label, names.iter().map(|name| name[k].as_str()), &mut text);
    }
    let all = rows(service, answers);
    // The first row holds the names, the last one the verdicts.
    for row in all.iter().skip(1).take(LINES.len()) {
        let broken = broken(&row[0]);
        let (last, before) = broken.split_last().map_or(("", &broken[..]), |(last, before)| (last.as_str(), before));
        before.iter().for_each(|part| line(part, std::iter::empty(), &mut text));
        line(last, row[1..].iter().map(String::as_str), &mut text);
    }
    text.push('\n');
    for a in answers {
        paragraph(&format!("Verdict, {}: ", heads(a.condition, service).join(", ")), &verdict(a), &mut text);
    }
    text.push('\n');
    for line in remarks(service, answers).iter().map(String::as_str).chain(REMARKS).chain(words::cautions()) {
        paragraph("", line, &mut text);
    }
    text
}

/// A line of the table: a label and cells to the right of their columns.
fn line<'c>(label: &str, cells: impl Iterator<Item = &'c str>, text: &mut String) {
    let cells: String = cells.map(|cell| format!("{cell:>CELL$}")).collect();
    let _ = writeln!(text, "{}", format!("{label:<LABEL$}{cells}").trim_end());
}

/// The name of a condition, with a time on a line of its own.
fn over_three_lines([first, second]: [String; 2]) -> [String; 3] {
    match first.split_once(' ') {
        Some((after, time)) => [after.to_owned(), time.to_owned(), second],
        None => [String::new(), first, second],
    }
}

/// A label in parts that fit the first column, the later ones indented.
fn broken(label: &str) -> Vec<String> {
    let mut parts = vec![String::new()];
    for word in label.split_whitespace() {
        let part = parts.last().map_or(0, |part| part.chars().count());
        if part > 0 && part + 1 + word.chars().count() > LABEL {
            parts.push(" ".to_owned());
        }
        if let Some(part) = parts.last_mut() {
            if !part.is_empty() {
                part.push(' ');
            }
            part.push_str(word);
        }
    }
    parts
}

/// Conditions without an answer, what hot means, how the bead creeps: one a line.
pub(crate) fn remarks(service: &Service, answers: &[Answered]) -> Vec<String> {
    let mut lines = Vec::new();
    if answers.len() < Condition::ALL.len() {
        lines.push("The new tyre has no equilibrium at its rated pressure: there is no tension to creep under, and nothing else was solved.".to_owned());
    }
    let unanswered = answers.iter().filter(|a| a.row.findings.contains(&Finding::NoAnswer));
    lines.extend(unanswered.map(|a| format!("{}: {}", heads(a.condition, service).join(", "), ends(a))));
    let noted =
        answers.iter().flat_map(|a| a.notes.iter().map(|note| format!("{}: {note}", heads(a.condition, service).join(", "))));
    lines.extend(noted);
    let [rim, bead, air] =
        [service.hot_rim, service.hot_bead, service.hot_air].map(|t| plain(((t - FREEZING) * 1e6).round() / 1e6));
    lines.extend(answers.first().map(|new| {
        format!(
            "Hot: rim {rim} degC, bead and casing {bead} degC, air {air} degC; the hot rim's growth adds {} N to the mean spoke tension, which is not counted above.",
            number(spoke_gain(&new.case, service))
        )
    }));
    lines.push(ALLOWED.to_owned());
    lines.push(format!("Creep of the bead: {}", creep(service)));
    lines.push(format!("Its diameter and stiffness count as measured {}.", measured(service)));
    let others = answers.iter().filter_map(|a| Some((a, a.otherwise?)));
    let others: Vec<String> = others.map(|(a, other)| otherwise(&heads(a.condition, service).join(", "), a, other)).collect();
    if !others.is_empty() {
        lines.push(format!(
            "Had they been measured {}, it would be ({MEASURED_AFTER_SAYS}): {}.",
            measured(&service.measured_otherwise()),
            others.join("; ")
        ));
    }
    lines
}

/// When the bead was measured, as a phrase.
fn measured(service: &Service) -> String {
    match service.measured {
        None => "before any pre-stretch".to_owned(),
        Some(Measured { after, tension }) => {
            let force = tension.map_or("the new bead's tension at rated pressure".to_owned(), |t| NEWTON.format(t));
            format!("after {} under {force}", time(after))
        }
    }
}

/// A condition of a bead measured at the other time, as a phrase.
fn otherwise(name: &str, a: &Answered, other: Otherwise) -> String {
    let more = if other.release < 0.0 { "lower" } else { "higher" };
    format!(
        "{name}: a bead of {:.2} mm in place of {:.2} mm, an off-centre release {} bar {more} by the closed form",
        other.diameter,
        a.case.bead.diameter,
        number(BAR * other.release.abs())
    )
}

fn creep(service: &Service) -> String {
    match service.bead_creep {
        Some([creep, tension]) => format!("{} % in a decade of time under {} N, as given.", plain(100.0 * creep), plain(tension)),
        None => format!(
            "{} % of the elastic strain in a decade of time from {} h on (published for para-aramid at 1830 MPa; not of this bead).",
            plain(100.0 * ELASTIC_SHARE),
            plain(HOUR.value_of(service.reference_time))
        ),
    }
}

pub(crate) fn verdict(a: &Answered) -> String {
    words::findings(&a.row.findings)
}

fn ends(a: &Answered) -> String {
    match &a.row.ends {
        Ends::Paths(given, _) => words::end(given),
        Ends::None(_, reason) => reason.clone(),
    }
}

/// The table as data: one row a condition.
pub fn data(service: &Service, answers: &[Answered]) -> Table {
    let mut columns = Columns::new().text("condition", |a: &&Answered| heads(a.condition, service).join(", "));
    for line in &LINES {
        columns = if line.bounded {
            columns.bounded(line.name, line.unit, plain, |a| (line.value)(a))
        } else {
            columns.number(line.name, line.unit, plain, |a| (line.value)(a).map(Number::value))
        };
    }
    columns.text("verdict", |a| verdict(a)).of(answers)
}

/// The table as JSON: schema `hoopwright/service/1.0`; `conditions` with `numbers` by name (null where there is none), `only_exceeded`
/// (names of lower bounds), `verdict`, `notes`; `units` by name; `sources` of every coefficient; `measured` says when the bead was measured and
/// `measured_otherwise` when else it might have been, of each condition what it would be then, by the closed form (null where that makes no
/// difference to speak of).
pub fn document(service: &Service, answers: &[Answered]) -> String {
    let units: Map<String, Value> = LINES.iter().map(|line| (line.name.to_owned(), json!(line.unit))).collect();
    let sources: Map<String, Value> = SERVICE_INPUTS.iter().map(|input| (input.key.to_owned(), json!(input.source))).collect();
    let row = |a: &Answered| {
        let numbers: Map<String, Value> =
            LINES.iter().map(|line| (line.name.to_owned(), json!((line.value)(a).map(Number::value)))).collect();
        let bounds: Vec<&str> =
            LINES.iter().filter(|line| matches!((line.value)(a), Some(Number::Above(_)))).map(|line| line.name).collect();
        json!({
            "condition": heads(a.condition, service).join(", "),
            "numbers": numbers,
            "only_exceeded": bounds,
            "verdict": a.row.findings.iter().map(|finding| words::finding(*finding)).collect::<Vec<_>>(),
            "measured_otherwise": a.otherwise.map(|o| json!({ "bead_diameter_mm": o.diameter, "off_centre_release_change_bar": BAR * o.release })),
            "end": ends(a),
            "notes": a.notes,
        })
    };
    let document = json!({
        "schema": "hoopwright/service/1.0",
        "program": "hoopwright",
        "version": env!("CARGO_PKG_VERSION"),
        "units": units,
        "conditions": answers.iter().map(row).collect::<Vec<_>>(),
        "spoke_tension_gained_by_heat_n": answers.first().map(|new| spoke_gain(&new.case, service)),
        "creep": creep(service),
        "measured": measured(service),
        "measured_otherwise": measured(&service.measured_otherwise()),
        "sources": sources,
        "remarks": REMARKS,
        "cautions": words::cautions(),
    });
    format!("{document:#}\n")
}
