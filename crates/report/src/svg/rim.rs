//! The rim's half section under a tyre: stress after von Mises on the deformed shape, enlarged displacements, contact pressure.

use super::bands::{Bands, Corner, RAMP};
use super::{Canvas, DEEP, INK, MUTED, View, ticks};
use crate::rim::moment;
use hoopwright_solver::result::{Assessment, Fields, Moment, RimSection};
use hoopwright_solver::rim::stress::{Peak, RimState};

const WIDTH: f64 = 900.0;
const HEIGHT: f64 = 640.0;
/// Length of the largest displacement as drawn, mm.
const DRAWN: f64 = 0.8;
/// Length of the longest bar of contact pressure, canvas units.
const LONGEST: f64 = 60.0;

/// A view in which displacements are enlarged.
struct Enlarged {
    view: View,
    by: f64,
}

impl Enlarged {
    fn at(&self, [r, z]: [f64; 2]) -> [f64; 2] {
        self.view.at(r, z)
    }

    fn moved(&self, [r, z]: [f64; 2], u: [f64; 2]) -> [f64; 2] {
        self.view.at(r + self.by * u[0], z + self.by * u[1])
    }
}

/// The picture of one state.
pub fn picture(a: &Assessment, section: &RimSection, (when, state): &(Moment, RimState)) -> String {
    let mut canvas = Canvas::new(WIDTH, HEIGHT);
    let view = view(section, state);
    canvas.text([20.0, 28.0], "start", 16.0, &a.case.title);
    let what = format!("Rim section at {:.2} bar, {}: stress after von Mises", 10.0 * state.pressure, moment(*when));
    canvas.text([20.0, 48.0], "start", 13.0, &what);
    let top =
        ticks(0.0, 1.02 * state.both.anywhere.von_mises, 4.0).last().copied().unwrap_or(0.0).max(state.both.anywhere.von_mises);
    let bands = stress(section, state, &view, top);
    canvas.raw(format_args!("{}", bands.markup()));
    outlines(section, state, &view, &mut canvas);
    if let Some(fields) = a.given.at(*when).and_then(|point| point.fields.as_deref()) {
        pressures(a, section, state, fields, &view, &mut canvas);
    }
    legend(&bands, top, &mut canvas);
    marks(state, &view, &mut canvas);
    canvas.text([20.0, HEIGHT - 16.0], "start", 12.0, &note(view.by));
    canvas.finish(&format!("Rim section: {}", a.case.title), &what)
}

/// What is drawn how; displacements to scale need no word.
fn note(enlarged: f64) -> String {
    let scale = if enlarged > 1.0 { format!("Displacements drawn {enlarged:.0} times as large. ") } else { String::new() };
    format!("{scale}Dashes: unloaded. Bars: contact pressure of the bead.")
}

fn view(section: &RimSection, state: &RimState) -> Enlarged {
    let range = |i: usize| {
        let values = section.mesh.nodes.iter().map(|x| x[i]);
        (values.clone().fold(f64::INFINITY, f64::min), values.fold(f64::NEG_INFINITY, f64::max))
    };
    let ((low, high), (_, wide)) = (range(0), range(1));
    let largest = state.displacement.iter().map(|u| u[0].hypot(u[1])).fold(1e-12, f64::max);
    let by = ticks(0.0, DRAWN / largest, 2.0).last().copied().unwrap_or(1.0).max(1.0);
    let scale = (500.0 / (high - low + 2.0)).min(430.0 / (wide + 1.0));
    Enlarged { view: View { origin: [70.0, 590.0 + scale * (low - 0.5)], scale, side: 1.0 }, by }
}

/// Each quadratic triangle as four small straight ones.
fn stress(section: &RimSection, state: &RimState, view: &Enlarged, top: f64) -> Bands {
    let mut bands = Bands::new(top);
    let corner = |n: usize| -> Corner { (view.moved(section.mesh.nodes[n], state.displacement[n]), state.von_mises(n)) };
    for t in &section.mesh.triangles {
        for part in [[0, 3, 5], [3, 1, 4], [5, 4, 2], [3, 4, 5]] {
            bands.add(part.map(|k| corner(t[k])));
        }
    }
    bands
}

/// The boundary at rest, dashed, and as loaded; the mid-plane is not drawn.
fn outlines(section: &RimSection, state: &RimState, view: &Enlarged, canvas: &mut Canvas) {
    for edge in &section.mesh.boundary {
        let [first, last, middle] = edge.nodes;
        let at_middle = section.mesh.nodes[middle];
        if at_middle[1].abs() < 1e-9 {
            continue;
        }
        let chain = [first, middle, last];
        let rest = chain.map(|n| view.at(section.mesh.nodes[n]));
        canvas.curve(&rest, false, &format!("fill=\"none\" stroke=\"{MUTED}\" stroke-width=\"0.8\" stroke-dasharray=\"3 3\""));
        let loaded = chain.map(|n| view.moved(section.mesh.nodes[n], state.displacement[n]));
        canvas.curve(&loaded, false, &format!("fill=\"none\" stroke=\"{INK}\" stroke-width=\"1.1\""));
    }
}

/// Bars of contact pressure standing on the tyre side.
fn pressures(a: &Assessment, section: &RimSection, state: &RimState, fields: &Fields, view: &Enlarged, canvas: &mut Canvas) {
    let peak = fields.contact_pressure.iter().copied().fold(0.0, f64::max);
    if peak <= 0.0 {
        return;
    }
    for ((arc, pressure), wetted) in fields.foot.iter().zip(&fields.contact_pressure).zip(&fields.wetted) {
        if *pressure <= 0.0 || *wetted {
            continue;
        }
        let ([r, z], [tr, tz]) = (a.rim_profile.point(*arc), a.rim_profile.tangent(*arc));
        let u = nearest_displacement(section, state, [r, z]);
        let foot = view.moved([r, z], u);
        // The tyre lies to the right of the profile, along (t_z, -t_r) in (r, z).
        let bar = LONGEST * pressure / peak;
        let end = [foot[0] - bar * tr, foot[1] - bar * tz];
        canvas.line(foot, end, &format!("stroke=\"{DEEP}\" stroke-width=\"2\""));
    }
    let note = format!("Largest contact pressure {peak:.1} MPa.");
    canvas.text([520.0, 400.0], "start", 12.0, &note);
}

fn nearest_displacement(section: &RimSection, state: &RimState, x: [f64; 2]) -> [f64; 2] {
    let distance = |n: usize| {
        let y = section.mesh.nodes[n];
        (y[0] - x[0]).hypot(y[1] - x[1])
    };
    let nodes = section.mesh.boundary.iter().flat_map(|e| e.nodes);
    nodes.min_by(|a, b| distance(*a).total_cmp(&distance(*b))).map_or([0.0; 2], |n| state.displacement[n])
}

fn legend(bands: &Bands, top: f64, canvas: &mut Canvas) {
    let (x, y, w, h) = (520.0, 90.0, 34.0, 26.0);
    canvas.text([x, y - 12.0], "start", 13.0, "stress after von Mises, MPa");
    for (k, colour) in RAMP.iter().enumerate() {
        let upper = y + h * (RAMP.len() - 1 - k) as f64;
        canvas.raw(format_args!(
            "<rect x=\"{x}\" y=\"{upper}\" width=\"{w}\" height=\"{h}\" fill=\"{colour}\" stroke=\"{INK}\" stroke-width=\"0.6\"/>"
        ));
        canvas.text([x + w + 8.0, upper + h + 4.0], "start", 12.0, &format!("{:.1}", bands.from(k)));
    }
    canvas.text([x + w + 8.0, y + 4.0], "start", 12.0, &format!("{top:.1}"));
}

/// The largest stresses: numbered marks, and what they are.
fn marks(state: &RimState, view: &Enlarged, canvas: &mut Canvas) {
    let peaks: [(&str, &Peak); 3] =
        [("seat corner", &state.both.corner), ("flange root", &state.both.root), ("largest", &state.both.anywhere)];
    for (k, (name, peak)) in peaks.into_iter().enumerate() {
        let at = view.at(peak.place);
        canvas.raw(format_args!(
            "<circle cx=\"{:.1}\" cy=\"{:.1}\" r=\"8\" fill=\"#ffffff\" fill-opacity=\"0.85\" stroke=\"{INK}\"/>",
            at[0], at[1]
        ));
        canvas.text([at[0], at[1] + 4.0], "middle", 11.0, &format!("{}", k + 1));
        let share = peak.utilisation.map_or(String::new(), |u| format!(", {:.0} % of the strength", 100.0 * u));
        let line = format!("{}  {name}: {:.1} MPa{share}", k + 1, peak.von_mises);
        canvas.text([520.0, 336.0 + 19.0 * k as f64], "start", 12.0, &line);
    }
    let both = &state.both;
    let numbers = [
        format!(
            "seat shrinkage {:.3} mm (air {:.3}, bead {:.3})",
            -both.seat_displacement, -state.air.seat_displacement, -state.bead.seat_displacement
        ),
        format!(
            "flange spread {:.3} mm (air {:.3}, bead {:.3})",
            both.flange_spread, state.air.flange_spread, state.bead.flange_spread
        ),
        format!(
            "spoke tension loss {:.0} N (air {:.0}, bead {:.0})",
            both.spoke_loss, state.air.spoke_loss, state.bead.spoke_loss
        ),
        format!("rim hoop force {:.0} N (air {:.0}, bead {:.0})", both.hoop_force, state.air.hoop_force, state.bead.hoop_force),
    ];
    for (k, line) in numbers.iter().enumerate() {
        canvas.text([520.0, 430.0 + 19.0 * k as f64], "start", 12.0, line);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn displacements_to_scale_are_not_told_as_enlarged() {
        assert_eq!(note(1.0), "Dashes: unloaded. Bars: contact pressure of the bead.");
        assert!(note(50.0).starts_with("Displacements drawn 50 times as large. Dashes"));
    }
}
