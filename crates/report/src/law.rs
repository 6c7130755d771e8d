//! The law of the bead that the local release goes by: which pressures are shown, and the table `law.csv`.

use hoopwright_case::geometry::bundle_radius;
use hoopwright_solver::law::{Law, LawPoint, Load};
use hoopwright_solver::result::Assessment;

use crate::data::{Columns, Table, decimals};
use hoopwright_case::units::BAR;

/// Pressures nearer to each other than this share of the higher one are shown once.
const APART: f64 = 0.05;

/// The law at one pressure.
#[derive(Clone, Debug)]
pub(crate) struct Shown {
    /// Pressure, MPa.
    pub(crate) pressure: f64,
    /// What pressure it is.
    pub(crate) name: &'static str,
    /// Loads over the lift.
    pub(crate) loads: Vec<Load>,
}

/// The law of an assessment, if it was found.
pub(crate) fn of(a: &Assessment) -> Option<&Law> {
    [&a.given, &a.frictionless].into_iter().find_map(|run| run.local.as_ref()?.law.as_deref())
}

/// The law at the pressures of interest within its range, rising.
pub(crate) fn shown(a: &Assessment) -> Vec<Shown> {
    let Some(law) = of(a) else { return Vec::new() };
    let local = |run: &hoopwright_solver::result::Run| run.retention.local_release.known().map(|known| known.0);
    let mut asked = vec![
        (local(&a.given), "local release"),
        (local(&a.frictionless), "local release, no friction"),
        (Some(a.case.pressure.rated), "rated"),
        (Some(a.case.required_pressure()), "required"),
        (law.range().map(|range| 0.999 * range[1]), "highest known"),
    ];
    if a.given.friction == 0.0 {
        asked.remove(1);
    }
    let mut list: Vec<Shown> = Vec::new();
    for (pressure, name) in asked {
        let Some(pressure) = pressure else { continue };
        let told = |other: &Shown| (other.pressure - pressure).abs() < APART * pressure.max(other.pressure);
        let Some(loads) = law.loads(&a.case.bead.law, bundle_radius(&a.case), pressure) else { continue };
        if !list.iter().any(told) {
            list.push(Shown { pressure, name, loads });
        }
    }
    list.sort_by(|a, b| a.pressure.total_cmp(&b.pressure));
    list
}

/// A row of the table: where it comes from, pressure, and the loads, as far as there are any.
struct Row {
    source: String,
    pressure: f64,
    lift: f64,
    outward: Option<f64>,
    rising: Option<f64>,
    inward: f64,
    more: Option<(f64, f64)>,
    contact: Option<[f64; 2]>,
}

/// The law as a table: the lines as solved by finite elements (`line 1`, ... each at one pressure, `path 1` along the path; `rising line 1`, ... with friction), then as read off
/// between them at the pressures shown (`between`).
pub fn table(a: &Assessment) -> Option<Table> {
    let law = of(a)?;
    let radius = bundle_radius(&a.case);
    let solved = |name: &str, rising: bool, lines: &[Vec<LawPoint>]| -> Vec<Row> {
        let row = |k: usize, p: &LawPoint| Row {
            source: format!("{name} {}", k + 1),
            pressure: p.pressure,
            lift: p.lift,
            outward: (!rising).then_some(p.hoop_force / radius),
            rising: rising.then_some(p.hoop_force / radius),
            inward: a.case.bead.law.force(p.strain).0 / radius,
            more: None,
            contact: Some([p.seat_load, p.wall_load]),
        };
        lines.iter().enumerate().flat_map(|(k, line)| line.iter().map(move |p| row(k, p))).collect()
    };
    let between = |shown: Shown| {
        let row = move |load: Load| Row {
            source: "between".to_owned(),
            pressure: shown.pressure,
            lift: load.lift,
            outward: Some(load.outward),
            rising: load.rising,
            inward: load.inward,
            more: Some((load.growth, load.two_waves)),
            contact: None,
        };
        shown.loads.into_iter().map(row)
    };
    let mut rows = solved("line", false, &law.frictionless);
    rows.extend(solved("path", false, std::slice::from_ref(&law.path)));
    rows.extend(solved("rising line", true, &law.rising));
    rows.extend(shown(a).into_iter().flat_map(between));
    Some(columns().of(rows))
}

fn columns<'a>() -> Columns<'a, Row> {
    Columns::new()
        .text("source", |row: &Row| row.source.clone())
        .number("pressure", "bar", decimals::<4>, |row| Some(BAR.value_of(row.pressure)))
        .number("lift", "mm", decimals::<4>, |row| Some(row.lift))
        .number("outward_load", "N/mm", decimals::<4>, |row| row.outward)
        .number("outward_load_with_friction", "N/mm", decimals::<4>, |row| row.rising)
        .number("tension_over_radius", "N/mm", decimals::<4>, |row| Some(row.inward))
        .number("growth_of_outward_load", "N/mm2", decimals::<4>, |row| row.more.map(|more| more.0))
        .number("ring_threshold_two_waves", "N/mm2", decimals::<4>, |row| row.more.map(|more| more.1))
        .number("seat_load", "N/mm", decimals::<4>, |row| row.contact.map(|c| c[0]))
        .number("wall_load", "N/mm", decimals::<4>, |row| row.contact.map(|c| c[1]))
}

/// How the picture is read.
pub(crate) const READING: &str = "Each numbered line is the outward load of casing, gas, wall and seat on one bead at one pressure; the thick \
    rising line of the same dashes is the inward load that the bead's own tension gives then. Where they cross, the even bead is in equilibrium: it stays there where the \
    bead's line is the steeper one (full dot) and leaves where the load's is (open dot). Where the outward load grows with the lift, an arc that \
    stands higher than the rest is pulled harder than the rest and runs ahead of it. Loads are for each millimetre of the bundle's circumference.";
