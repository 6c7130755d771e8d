//! The page of a stretched bead, and that of many.

use super::{Bench, inputs, measured, notes, validity};
use crate::html::frame;
use crate::rig::stretch::{CYCLE_HEADS, cycle_cells, method, numbers, shares};
use crate::rig::{Row, error_text, spread};
use crate::svg;
use hoopwright_bench::fixture::{Compliance, Fixture, FixtureKind};
use hoopwright_bench::stretch::{CycleResult, Law, Stretch};
use hoopwright_case::units::{KN, MM, NEWTON, PERCENT};
use maud::{Markup, html};

/// What stretched beads do not tell.
const LIMITS: [&str; 2] = [
    "Standard errors come from the scatter of the cycles and from the uncertainties of the fixture as given. What the fixture file leaves at nothing (diameter, gap, scale of the force) is not in them.",
    "The bead at the temperature and in the time of the log: it creeps, and softens with heat.",
];

/// The page of one bead.
pub fn page(bench: &Bench, fixture: &Fixture, log: &str, s: &Stretch) -> String {
    let title = format!("{log}: bead stretched on its fixture");
    let unstretched = if let Law::Curve { unstretched, .. } = &s.law { unstretched } else { &s.unstretched };
    let answer =
        format!("Found: diameter {:.3} mm unstretched, stiffness {:.2} kN", unstretched.value, KN.value_of(s.stiffness.value));
    frame::page(
        &title,
        &bench.sources,
        &html! {
            (frame::headline(&title, true, &answer, &[method(s)]))
            (frame::picture("stretch", &svg::rig::stretch(log, s), "Hoop tension over diameter: readings, fitted loading and unloading, the line without friction; below, readings less fit."))
            h2 { "Numbers, and how well they are known" }
            (measured(numbers(s)))
            (further(s))
            h2 { "Cycles" }
            (cycles(s))
            (notes(&s.notes))
            (validity(&LIMITS))
            (inputs(bench))
            (resolved(fixture))
            (frame::record(&bench.sources, &[("cycles fitted", s.fitted().to_string())], ""))
        },
    )
}

/// Shares, and the curve of a bead that is not straight.
fn further(s: &Stretch) -> Markup {
    let or = |error: Option<String>| error.unwrap_or("-".to_owned());
    let rows: Vec<_> = shares(s).into_iter().map(|(name, share, error)| [format!("{name}, %"), share, or(error)]).collect();
    let points: Vec<_> = match &s.law {
        Law::Curve { points, .. } => {
            points.iter().map(|(strain, force)| [format!("{:.4}", 100.0 * strain), format!("{force:.1}")]).collect()
        }
        Law::Line => Vec::new(),
    };
    html! {
        @if !rows.is_empty() { (frame::table("Shares", "tn", &["share", "value", "standard error"], &rows)) }
        @if !points.is_empty() {
            p { "The bead is not straight: its curve takes the place of one stiffness." }
            (frame::table("Curve", "n", &["strain, %", "hoop force, N"], &points))
        }
    }
}

fn cycles(s: &Stretch) -> Markup {
    let row = |(i, cycle): (usize, &CycleResult)| {
        let (cells, words) = cycle_cells(cycle).map_or_else(|words| (Default::default(), words), |cells| (cells, String::new()));
        frame::row((i + 1).to_string(), cells.into_iter().chain([words]))
    };
    let rows: Vec<_> = s.cycles.iter().enumerate().map(row).collect();
    let heads = CYCLE_HEADS.map(|head| if head == "unstretched" { "unstretched, mm" } else { head });
    frame::table("Cycles", "nnnnnnnnt", &[&heads[..], &[""]].concat(), &rows)
}

/// The fixture with its defaults.
fn resolved(f: &Fixture) -> Markup {
    let kind = match f.kind {
        FixtureKind::HalfDiscs => "two half discs".to_owned(),
        FixtureKind::Segments { count, one: false } => format!("{count} segments, force of all"),
        FixtureKind::Segments { count, one: true } => format!("{count} segments, force of one"),
    };
    let give = match &f.compliance {
        Compliance::Rigid => "none".to_owned(),
        Compliance::Stiffness { value, error } => {
            format!("stiffness {value} N/mm, standard uncertainty {}", PERCENT.format(*error))
        }
        Compliance::Dummy(name) => format!("by the log of a dummy, {name}"),
    };
    let yes = |flag: bool| if flag { "yes" } else { "no" }.to_owned();
    let rows = [
        ("kind", kind),
        ("diameter when closed", MM.format(f.diameter)),
        ("standard uncertainty of the diameter", MM.format(f.diameter_error)),
        ("gap at travel zero", MM.format(f.gap)),
        ("standard uncertainty of the gap", MM.format(f.gap_error)),
        ("bundle's centre above the bead's base", MM.format(f.bundle_height)),
        ("friction", f.friction.map_or("found from the log".to_owned(), |friction| friction.to_string())),
        ("give of the fixture", give),
        ("standard uncertainty of the force's scale", PERCENT.format(f.force_error)),
        ("largest force of the sensor", f.force_limit.map_or("not given".to_owned(), |force| NEWTON.format(force))),
        ("tension negative in the log", yes(f.reverse_force)),
        ("travel falls as the bead is stretched", yes(f.reverse_travel)),
        ("hoop force of the quoted diameter", NEWTON.format(f.reference_force)),
        ("fitted range, of the largest hoop force", f.range.map(|end| PERCENT.format(end)).join(" to ")),
        ("cycles that settle the bead", f.conditioning.to_string()),
        ("cycles expected", f.cycles.map_or("not given".to_owned(), |n| n.to_string())),
    ];
    let rows = rows.map(|(name, value)| [name.to_owned(), value]);
    html! { h3 { "Fixture, as resolved" } (frame::table("Fixture", "t", &["input", "value"], &rows)) }
}

/// The page of many beads; `pictures` are those that it shows, by file name.
pub fn batch(bench: &Bench, fixture: &Fixture, rows: &[Row], pictures: &[(String, String)]) -> String {
    let title = "Beads stretched on their fixture";
    let answered = rows.iter().filter(|row| row.found.is_ok()).count();
    let verdict = format!("Found: {answered} of {} logs have an answer", rows.len());
    let between = spread(rows).map(|[(diameter, d), (stiffness, s)]| {
        format!(
            "Between tyres: unstretched diameter {diameter:.3} mm, standard deviation {} mm; stiffness {:.2} kN, standard deviation {} kN.",
            error_text(d, diameter, 3),
            KN.value_of(stiffness),
            error_text(KN.value_of(s), KN.value_of(stiffness), 2)
        )
    });
    frame::page(
        title,
        &bench.sources,
        &html! {
            (frame::headline(title, answered == rows.len(), &verdict, &between.into_iter().collect::<Vec<_>>()))
            h2 { "Tyres, and how well they are known" }
            (tyres(rows))
            @for row in rows { @if let Err(reason) = &row.found { p { (row.log) ": no answer: " (reason) } } }
            @for (file, picture) in pictures { (frame::picture(file.trim_end_matches(".svg"), picture, &format!("{file}: hoop tension over diameter."))) }
            @if pictures.len() < answered { p { "The pictures of the first " (pictures.len()) "; those of all stand beside this page." } }
            (noted(rows))
            (validity(&LIMITS))
            (inputs(bench))
            (resolved(fixture))
            (frame::record(&bench.sources, &[], ""))
        },
    )
}

fn tyres(rows: &[Row]) -> Markup {
    let row = |row: &Row| {
        let s = row.found.as_ref().ok()?;
        Some([
            row.id.clone(),
            format!("{:.3}", s.unstretched.value),
            error_text(s.unstretched.total(), s.unstretched.value, 3),
            format!("{:.2}", KN.value_of(s.stiffness.value)),
            error_text(KN.value_of(s.stiffness.total()), KN.value_of(s.stiffness.value), 2),
            s.friction.map_or("given".to_owned(), |f| format!("{:.4}", f.value)),
            s.fitted().to_string(),
        ])
    };
    let rows: Vec<_> = rows.iter().filter_map(row).collect();
    let heads = ["tyre", "diameter, mm", "standard error, mm", "stiffness, kN", "standard error, kN", "friction", "cycles"];
    frame::table("Tyres", "tn", &heads, &rows)
}

fn noted(rows: &[Row]) -> Markup {
    let each = rows.iter().filter_map(|row| row.found.as_ref().ok().map(|s| (&row.log, s)));
    let notes: Vec<String> = each.flat_map(|(log, s)| s.notes.iter().map(move |note| format!("{log}: {note}"))).collect();
    frame::notes(&notes)
}
