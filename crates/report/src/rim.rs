//! Rows on the rim's meshed section, shared by the table for a terminal and the HTML report.

use crate::lines::number;
use hoopwright_solver::result::{Assessment, Moment, RimSection};
use hoopwright_solver::rim::stress::{Peak, RimPart, RimState};

/// What the air does alone, what the bead does alone, both together.
pub(crate) const PARTS: [&str; 3] = ["air alone", "bead alone", "both"];

/// A moment in words.
pub(crate) fn moment(moment: Moment) -> &'static str {
    match moment {
        Moment::Fitted => "fitted",
        Moment::Rated => "rated pressure",
        Moment::Highest => "highest pressure",
    }
}

/// The section in one line.
pub(crate) fn summary(section: &RimSection) -> String {
    format!(
        "area {:.1} mm2, mass {:.0} g without spokes, {} triangles of six nodes, {} modes carry the tyre side",
        section.area,
        section.mass,
        section.mesh.triangles.len(),
        section.modes
    )
}

/// Quantity of one cause: name with unit, value.
type Row = (&'static str, fn(&RimPart) -> f64);

const ROWS: [Row; 7] = [
    ("rim hoop force, N", |p| p.hoop_force),
    ("seat shrinkage (radial), mm", |p| -p.seat_displacement),
    ("mean spoke tension loss, N", |p| p.spoke_loss),
    ("flange spread (both walls, upper ends), mm", |p| p.flange_spread),
    ("von Mises stress in the seat corner, MPa", |p| p.corner.von_mises),
    ("von Mises stress at the flange root, MPa", |p| p.root.von_mises),
    ("largest von Mises stress, MPa", |p| p.anywhere.von_mises),
];

/// Every quantity of a state: name with unit; air, bead, both.
pub(crate) fn rows(a: &Assessment, state: &RimState) -> Vec<(String, [String; 3])> {
    let parts = [&state.air, &state.bead, &state.both];
    let spokes = &a.case.spokes;
    let all = |p: &RimPart| number(p.spoke_loss * spokes.count as f64);
    let share = |p: &RimPart| number(100.0 * p.spoke_loss / spokes.pretension);
    let mut rows: Vec<(String, [String; 3])> =
        ROWS.iter().map(|(name, value)| ((*name).to_owned(), parts.map(|p| number(value(p))))).collect();
    rows.insert(3, ("mean spoke tension loss, % of pretension".to_owned(), parts.map(share)));
    rows.insert(4, ("tension loss of all spokes together, N".to_owned(), parts.map(all)));
    let utilisation = |p: &RimPart| p.anywhere.utilisation.map_or("-".to_owned(), |u| number(100.0 * u));
    if state.both.anywhere.utilisation.is_some() {
        rows.push(("largest stress over strength, %".to_owned(), parts.map(utilisation)));
    }
    rows
}

/// Where the stresses of a state are largest.
pub(crate) fn places(state: &RimState) -> String {
    let place = |name: &str, peak: &Peak| format!("{name} r = {:.2} mm, z = {:.2} mm", peak.place[0], peak.place[1]);
    let both = &state.both;
    [place("corner", &both.corner), place("root", &both.root), place("largest", &both.anywhere)].join("; ")
}
