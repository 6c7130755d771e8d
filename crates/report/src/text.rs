//! Tables for a terminal, plain text: 80 columns.

use crate::lines::{BAR, PSI, WIDTH, number, paragraph, pressure, with_cells, within};
use crate::meant::{errors, with_error};
use crate::{allowed, band, local, rim, words};
use hoopwright_case::{Varied, Vary};
use hoopwright_solver::estimate::{Estimate, Pressures, STUCK, USUAL, USUAL_BLOW_OFF, USUAL_FIRST_LIFT, USUAL_LOCAL};
use hoopwright_solver::quantities::{self as q, Quantity};
use hoopwright_solver::result::{Assessment, Check, Finding, Judged, Moment, PathPoint, Release, Run, Verdict};
use std::fmt::Write;

pub use crate::lines::wrapped;
pub use crate::words::cautions;

/// Width of a table's columns of numbers, each behind a space, and of the column of labels before three of them.
const CELL: usize = 11;
const LABEL: usize = WIDTH - 3 * (CELL + 1);

/// The whole answer to `assess`.
pub fn assessment(a: &Assessment) -> String {
    let mut out = String::new();
    headline(a, &mut out);
    checks(a, &mut out);
    retention(a, &mut out);
    states(a, &mut out);
    rim_section(a, &mut out);
    effort(a, &mut out);
    for note in &a.notes {
        paragraph("Note: ", note, &mut out);
    }
    out.push('\n');
    for caution in words::cautions_of(&a.case) {
        paragraph("Caution: ", caution, &mut out);
    }
    out
}

/// A paragraph of its own.
fn paragraph_of(label: &str, sentence: &str) -> String {
    let mut out = String::new();
    paragraph(label, sentence, &mut out);
    out
}

fn line(out: &mut String, text: std::fmt::Arguments<'_>) {
    // Writing to a String cannot fail.
    let _ = out.write_fmt(text);
    out.push('\n');
}

/// A table's row: a label, and cells to the right of their columns. A label that is too long takes further lines, the cells the last one.
fn row(out: &mut String, label: &str, cells: &[&str]) {
    let cells: String = cells.iter().map(|cell| format!(" {cell:>CELL$}")).collect();
    // What is broken anyway is broken before its column is full: a sign of per cent stays with what it is of.
    let width = if label.chars().count() > LABEL { LABEL - 1 } else { LABEL };
    line(out, format_args!("{}", with_cells(&within(width, "", 2, label), LABEL, &cells)));
}

fn headline(a: &Assessment, out: &mut String) {
    paragraph("", &a.case.title, out);
    let findings: Vec<_> = a.verdict.findings.iter().map(|f| words::finding(*f)).collect();
    line(out, format_args!("Verdict: {}", findings.join("; ").to_uppercase()));
    paragraph("Allowed pressure: ", &allowed::words(&a.verdict.allowed), out);
    out.push('\n');
}

/// The limits: what with its unit, found, limit, whether it is kept.
pub(crate) fn check_rows(a: &Assessment) -> Vec<[String; 4]> {
    let row = |check: &Check| {
        let [unit, found, limit] = check_numbers(check);
        let kept = match a.verdict.kept(check) {
            Some(true) => "kept",
            Some(false) if check.finding == Finding::TooClose => "TOO CLOSE",
            Some(false) => "NOT KEPT",
            None => "unknown",
        };
        [format!("{}, {unit}", check.what), found, limit, kept.to_owned()]
    };
    a.verdict.checks.iter().map(row).collect()
}

/// Unit, number found and limit of a check as shown: pressures are asked for and quoted in bar.
fn check_numbers(check: &Check) -> [String; 3] {
    let (unit, scale) =
        if matches!(check.judged, Judged::Release | Judged::RatedPressure) { ("bar", BAR) } else { (check.judged.unit(), 1.0) };
    let sign = if check.lower_bound { "> " } else { "" };
    let found = match (check.found(), check.error) {
        (None, _) => "-".to_owned(),
        (Some(value), Some(error)) => with_error(scale * value, scale * error),
        (Some(value), None) => format!("{sign}{}", number(scale * value)),
    };
    [unit.to_owned(), found, number(scale * check.limit)]
}

/// The limits that are not kept with their numbers, a phrase each.
pub(crate) fn not_kept(verdict: &Verdict) -> Vec<String> {
    let phrase = |check: &Check| {
        let [unit, found, limit] = check_numbers(check);
        let [sense, word] = if check.judged == Judged::Release { ["at least", "required"] } else { ["at most", "allowed"] };
        let close = if check.finding == Finding::TooClose { ", which the numerical error leaves open" } else { "" };
        format!("{}: {found} {unit}, {sense} {limit} {word}{close}", check.what)
    };
    verdict.checks.iter().filter(|check| verdict.kept(check) == Some(false)).map(phrase).collect()
}

fn checks(a: &Assessment, out: &mut String) {
    row(out, "Limit", &["found", "limit"]);
    for [what, found, limit, kept] in check_rows(a) {
        row(out, &what, &[&found, &limit, &kept]);
    }
    let p = &a.case.pressure;
    let required = format!("{}, {} times the rated {}", pressure(a.case.required_pressure()), p.test_factor, pressure(p.rated));
    paragraph("Required pressure: ", &required, out);
    paragraph("Allowed: ", &allowed::method(), out);
    out.push('\n');
}

fn retention(a: &Assessment, out: &mut String) {
    let given = format!("friction {}", a.given.friction);
    line(out, format_args!("{:<19} {given:<30}no friction", "Retention pressure"));
    let heads = format!("{:>12} {:>6}", "bar", "psi");
    line(out, format_args!("{:<19} {heads:<30}{heads}", ""));
    let required = a.case.required_pressure();
    let columns = [&a.given, &a.frictionless].map(|run| (run.retention.from_below(), errors(run)));
    for (k, name) in ["first lift", "local release", "off-centre release", "uniform blow-off"].iter().enumerate() {
        let cell = |(releases, errors): &([Release; 4], [Option<f64>; 4])| {
            let Some((p, _)) = releases[k].known() else { return format!("{:>12}", "-") };
            let bar = errors[k].map_or_else(|| format!("> {:.2}", BAR * p), |error| with_error(BAR * p, BAR * error));
            format!("{bar:>12} {:6.1} x{:<4.2}", p * PSI, p / required)
        };
        let [given, frictionless] = columns.each_ref().map(cell);
        line(out, format_args!("{name:<19} {given:<30}{}", frictionless.trim_end()));
    }
    line(out, format_args!("(+-: numerical error in 19 of 20 cases; x: multiple of the required pressure;"));
    line(out, format_args!(">: not reached up to there; -: not known)"));
    line(out, format_args!("Retention is judged by the {}", words::criterion(a.verdict.criterion)));
    for (friction, local) in locals(a) {
        paragraph(&format!("Local release at friction {friction}: "), &local, out);
    }
    for (friction, end) in ends(a) {
        paragraph(&format!("At friction {friction}: "), &end, out);
    }
    if let Some(hint) = band::hint(a) {
        paragraph("", hint, out);
    }
    out.push('\n');
    beside(a, out);
    if let Some(e) = &a.estimate {
        out.push_str(&estimate(e));
        out.push('\n');
    }
}

/// What plausible changes do to the local release.
fn beside(a: &Assessment, out: &mut String) {
    let rows = band::rows(a);
    if rows.is_empty() {
        return;
    }
    narrow_table(&band::heads(a), &rows, out);
    for sentence in band::sentences(a) {
        paragraph("", &sentence, out);
    }
    out.push('\n');
}

/// A table whose columns are as wide as what they hold; heads stand a word a line, the first one whole in the last line.
fn narrow_table(heads: &[String], rows: &[Vec<String>], out: &mut String) {
    let words: Vec<Vec<&str>> =
        heads.iter().enumerate().map(|(i, head)| if i == 0 { vec![head.as_str()] } else { head.split(' ').collect() }).collect();
    let height = words.iter().map(Vec::len).max().unwrap_or(0);
    let head = |at: usize| -> Vec<&str> {
        words.iter().map(|words| (at + words.len()).checked_sub(height).map_or("", |word| words[word])).collect()
    };
    let mut lines: Vec<Vec<&str>> = (0..height).map(head).collect();
    lines.extend(rows.iter().map(|row| row.iter().map(String::as_str).collect()));
    let width = |column: usize| lines.iter().map(|cells| cells[column].chars().count()).max().unwrap_or(0);
    let widths: Vec<usize> = (0..heads.len()).map(width).collect();
    for cells in &lines {
        let rest: String = cells[1..].iter().zip(&widths[1..]).map(|(cell, width)| format!("  {cell:>width$}")).collect();
        line(out, format_args!("{}", format!("{:<first$}{rest}", cells[0], first = widths[0]).trim_end()));
    }
}

/// What stands behind the local release of both paths.
pub(crate) fn locals(a: &Assessment) -> Vec<(f64, String)> {
    let mut runs = vec![&a.given];
    if a.given.friction > 0.0 {
        runs.push(&a.frictionless);
    }
    runs.into_iter().filter_map(|run| Some((run.friction, local::sentences(&a.case, run)?))).collect()
}

/// What the closed form is good for.
pub fn estimate_guards() -> String {
    let [[low, high], [least, greatest]] = [USUAL, USUAL_BLOW_OFF];
    let [[slipped_low, slipped_high], [stuck_low, stuck_high]] = USUAL_FIRST_LIFT;
    let [[free_low, free_high], [held_low, held_high]] = USUAL_LOCAL;
    format!(
        "A membrane that lies on the crest, bead and rim as rings: a guard against blunders, which decides nothing. It leaves out the casing's \
         bending stiffness and the bead's rotation. Its local release is that of one arc of a string ring that reaches the crest. It leaves out \
         the stated unevenness, the casing's stiffness along the wheel and friction along the seat: by finite elements it is {free_low} to \
         {free_high} times as high without friction, {held_low} to {held_high} times with it. By finite elements the off-centre release is {low} to {high} times, the uniform blow-off \
         {least} to {greatest} times as high as a rule, the first lift {slipped_low} to {slipped_high} times ({stuck_low} to {stuck_high} \
         times where friction exceeds {STUCK})."
    )
}

/// The closed-form answers: what with its unit, with friction, without (empty where friction has no part in it).
pub(crate) fn estimate_rows(e: &Estimate) -> Vec<(&'static str, String, String)> {
    let rows: [(&str, Value<Pressures>); 7] = [
        ("first lift, bar", |p| BAR * p.first_lift),
        ("local release (one arc), bar", |p| BAR * p.local_release),
        ("off-centre release, bar", |p| BAR * p.off_centre_release),
        ("uniform blow-off, bar", |p| BAR * p.uniform_blow_off),
        ("bead tension at rated pressure, N", |p| p.rated_tension),
        ("bead lift at rated pressure, mm", |p| p.rated_lift),
        ("mean spoke tension loss at rated pressure, N", |p| p.rated_spoke_loss),
    ];
    let mut list: Vec<_> =
        rows.into_iter().map(|(name, value)| (name, number(value(&e.given)), number(value(&e.frictionless)))).collect();
    list.push(("fitted bead tension, N", number(e.fit_tension), String::new()));
    list.push(("lift that clears the crest, mm", number(e.clearance), String::new()));
    list
}

/// What mounting asks of the bead.
pub(crate) fn mounting(e: &Estimate) -> String {
    let [limp, stiff] = [e.mounting.limp_force, e.mounting.stiff_force].map(number);
    format!("Hoop force to mount: {limp} N (limp strip) to {stiff} N (stiff round hoop)")
}

/// The closed-form answers as a table.
pub fn estimate(e: &Estimate) -> String {
    let mut out = String::new();
    row(&mut out, "Closed-form estimate", &["friction", "no friction"]);
    for (name, given, without) in estimate_rows(e) {
        let cells: Vec<&str> = [given.as_str(), &without].into_iter().filter(|cell| !cell.is_empty()).collect();
        row(&mut out, name, &cells);
    }
    line(&mut out, format_args!("{}", mounting(e)));
    paragraph("Estimate: ", &estimate_guards(), &mut out);
    out
}

/// What a case is run over, in one line.
pub fn variants(vary: &Vary) -> String {
    let each = |varied: &Varied| match varied.values.len() {
        1 => format!("{} with 1 value", varied.input.path()),
        n => format!("{} with {n} values", varied.input.path()),
    };
    let inputs: Vec<String> = vary.inputs.iter().map(each).collect();
    let sentence = format!("{}, a {} of {}", vary.variants.len(), vary.combine.name(), inputs.join(", "));
    paragraph_of("Variants for `hoopwright vary`: ", &sentence)
}

/// How many points a case has on its map.
pub fn map(map: &hoopwright_case::Map) -> String {
    let axes: Vec<String> =
        map.grid.inputs.iter().map(|axis| format!("{} with {} values", axis.input.path(), axis.values.len())).collect();
    paragraph_of("Map for `hoopwright map`: ", &format!("{} points, {}", map.grid.variants.len(), axes.join(" by ")))
}

/// What of a case scatters, in one line.
pub fn tolerance(tolerance: &hoopwright_case::Tolerance) -> String {
    let inputs: Vec<String> =
        tolerance.inputs.iter().map(|u| format!("{} ({})", u.input.path(), crate::tolerance::spread(u))).collect();
    let condition = crate::tolerance::condition(tolerance).map_or_else(String::new, |line| paragraph_of("", &line));
    paragraph_of("Tolerances for `hoopwright tolerance`: ", &inputs.join("; ")) + &condition
}

/// How many sizes are asked of a case.
pub fn sizes(sizes: &hoopwright_case::Sizes) -> String {
    let axes: Vec<String> =
        sizes.grid.inputs.iter().map(|axis| format!("{} of {}", axis.values.len(), axis.input.path())).collect();
    paragraph_of("Sizes for `hoopwright sizes`: ", &format!("{}, {}", sizes.grid.variants.len(), axes.join(" by ")))
}

fn runs(a: &Assessment) -> Vec<&Run> {
    if a.given.friction == 0.0 { vec![&a.given] } else { vec![&a.given, &a.frictionless] }
}

/// Takes a number out of a result.
type Value<T> = fn(&T) -> f64;

/// A row of the table of states.
enum Row {
    /// A quantity, as people read it.
    Of(&'static Quantity),
    /// A number of its own: name, unit, value of a point.
    Own(&'static str, &'static str, fn(&Assessment, &PathPoint) -> f64),
}

const ROWS: [Row; 19] = [
    Row::Of(&q::PRESSURE),
    Row::Of(&q::BEAD_TENSION),
    Row::Of(&q::BEAD_STRAIN),
    Row::Of(&q::LIFT),
    Row::Of(&q::BUNDLE_ROTATION),
    Row::Of(&q::SEAT_LOAD),
    Row::Of(&q::FLANGE_LOAD),
    Row::Of(&q::RADIAL_REACTION),
    Row::Of(&q::RIM_HOOP_FORCE),
    Row::Own("rim shrinkage (radial)", "mm", |_, p| -(q::RIM_DISPLACEMENT.value)(p)),
    Row::Of(&q::SPOKE_TENSION_LOSS),
    Row::Own(q::FLANGE_SPREAD.meaning, q::FLANGE_SPREAD.unit, |a, p| {
        if a.rim_section.is_some() { (q::FLANGE_SPREAD.value)(p) } else { f64::NAN }
    }),
    Row::Own("seal margin (peak contact / gas pressure)", "-", |_, p| p.seal_margin.unwrap_or(f64::NAN)),
    Row::Of(&q::WIDTH),
    Row::Of(&q::OUTER_DIAMETER),
    Row::Of(&q::CORD_FORCE),
    Row::Own("bead tension over the breaking force", "%", |a, p| {
        a.case.bead.breaking_force.map_or(f64::NAN, |limit| 100.0 * p.bead_tension / limit)
    }),
    Row::Of(&q::BALANCE_AXLE_CUT),
    Row::Of(&q::BALANCE_AXIAL),
];

impl Row {
    /// What it is, with its unit.
    fn name(&self) -> String {
        let (name, unit) = match self {
            Self::Of(quantity) => (quantity.meaning, quantity.shown.0),
            Self::Own(name, unit, _) => (*name, *unit),
        };
        format!("{name}, {unit}")
    }

    fn value(&self, a: &Assessment, p: &PathPoint) -> f64 {
        match self {
            Self::Of(quantity) => quantity.shown.1 * (quantity.value)(p),
            Self::Own(_, _, value) => value(a, p),
        }
    }
}

/// The states fitted, rated and highest: what with its unit, and their numbers; rows without any number are left out.
pub(crate) fn state_rows(a: &Assessment) -> Vec<(String, [String; 3])> {
    let points = Moment::ALL.map(|moment| a.given.at(moment));
    ROWS.iter()
        .map(|row| (row.name(), points.map(|p| p.map_or("-".into(), |p| number(row.value(a, p))))))
        .filter(|(_, cells)| cells.iter().any(|c| c != "-"))
        .collect()
}

/// Friction and end of each path, in words.
pub(crate) fn ends(a: &Assessment) -> Vec<(f64, String)> {
    runs(a).into_iter().map(|run| (run.friction, words::end(&run.end))).collect()
}

fn states(a: &Assessment, out: &mut String) {
    row(out, &format!("State at friction {}", a.given.friction), &["fitted", "rated", "highest"]);
    for (name, cells) in state_rows(a) {
        row(out, &name, &cells.each_ref().map(String::as_str));
    }
    let rated = a.given.at(Moment::Rated);
    if rated.is_none() {
        line(out, format_args!("The rated pressure was not reached."));
    }
    if rated.is_some_and(|p| p.leaks) {
        line(out, format_args!("The joint leaks at rated pressure: no point presses harder than the gas."));
    }
    out.push('\n');
}

fn rim_section(a: &Assessment, out: &mut String) {
    let Some(section) = &a.rim_section else { return };
    paragraph("Rim section: ", &rim::summary(section), out);
    for (moment, state) in &section.states {
        let pressure = format!("Rim at {:.2} bar, {}", BAR * state.pressure, rim::moment(*moment));
        row(out, &pressure, &rim::PARTS);
        for (name, cells) in rim::rows(a, state) {
            row(out, &name, &cells.each_ref().map(String::as_str));
        }
        paragraph("Places: ", &rim::places(state), out);
    }
    out.push('\n');
}

fn effort(a: &Assessment, out: &mut String) {
    for run in runs(a) {
        let e = &run.effort;
        line(
            out,
            format_args!(
                "Solved at friction {}: {} unknowns, {} steps, {} Newton iterations",
                run.friction, e.dofs, e.steps, e.iterations
            ),
        );
    }
}

/// How long the solves took. Not part of the answer, which is the same on every run.
pub fn timing(a: &Assessment) -> String {
    let times: Vec<String> = runs(a).into_iter().map(one_timing).collect();
    times.join("\n")
}

fn one_timing(run: &Run) -> String {
    let e = &run.effort;
    let each = 1e3 / e.iterations.max(1) as f64;
    format!(
        "friction {}: solved in {:.2} s ({:.2} ms assembly and {:.2} ms solution an iteration)",
        run.friction,
        e.total_s,
        e.assembly_s * each,
        e.solve_s * each
    )
}
