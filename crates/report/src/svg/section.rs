//! The deformed tyre on the rim to scale, and one bead enlarged with contact pressure and gas.

use super::body::{lowest, rim};
use super::{Canvas, DEEP, INK, MUTED, View, WARM};
use hoopwright_solver::meshing::Region;
use hoopwright_solver::result::{Assessment, Fields, PathPoint};

const WIDTH: f64 = 1000.0;
const HEIGHT: f64 = 620.0;

/// The picture of one path point, if its fields were kept.
pub fn picture(a: &Assessment, point: &PathPoint) -> Option<String> {
    let fields = point.fields.as_deref()?;
    let mut canvas = Canvas::new(WIDTH, HEIGHT);
    canvas.text([20.0, 28.0], "start", 16.0, &a.case.title);
    let state = format!(
        "{:.2} bar, bead tension {:.0} N, lift {:.2} mm, friction {}",
        10.0 * point.pressure,
        point.bead_tension,
        point.lift,
        a.given.friction
    );
    canvas.text([20.0, 48.0], "start", 13.0, &state);
    whole(a, point, fields, &mut canvas);
    detail(a, fields, &mut canvas);
    Some(
        canvas.finish(
            &format!("Section: {}", a.case.title),
            &format!("Deformed tyre section on its rim at {state}; right: one bead."),
        ),
    )
}

fn whole(a: &Assessment, point: &PathPoint, fields: &Fields, canvas: &mut Canvas) {
    let low = lowest(a);
    let width = point.width.max(a.case.rim.inner_width + 2.0 * a.case.rim.wall_thickness);
    let scale = (430.0 / (width + 4.0)).min(450.0 / (point.crown_radius - low + 4.0));
    let origin = [245.0, 590.0 - 30.0 + scale * (low - 1.0)];
    for side in [1.0, -1.0] {
        let view = View { origin, scale, side };
        rim(a, fields, &view, canvas);
        tyre(a, fields, &view, canvas);
    }
    let view = View { origin, scale, side: 1.0 };
    dimension(
        canvas,
        view.at(low - 1.2, -0.5 * point.width),
        view.at(low - 1.2, 0.5 * point.width),
        &format!("tyre width {:.2} mm", point.width),
    );
    let crown = view.at(point.crown_radius, 0.0);
    canvas.text([crown[0], crown[1] - 8.0], "middle", 12.0, &format!("outer diameter {:.1} mm", 2.0 * point.crown_radius));
}

/// The bead of the right half, enlarged, with the pressure on its outer face.
fn detail(a: &Assessment, fields: &Fields, canvas: &mut Canvas) {
    let rim_case = &a.case.rim;
    let (low, high) = (0.5 * rim_case.seat_diameter - 2.2, rim_case.crest_radius_from_axis() + 6.0);
    let wall = rim_case.wall();
    let scale = 470.0 / (high - low);
    let frame = [500.0, 70.0, 480.0, 510.0];
    let view = View { origin: [frame[0] + 330.0 - scale * wall, frame[1] + frame[3] + scale * low], scale, side: 1.0 };
    // A picture within the picture clips without a name, of which a page with several pictures would have doubles.
    let [x, y, w, h] = frame;
    canvas.raw(format_args!("<svg x=\"{x}\" y=\"{y}\" width=\"{w}\" height=\"{h}\" viewBox=\"{x} {y} {w} {h}\">"));
    rim(a, fields, &view, canvas);
    tyre(a, fields, &view, canvas);
    pressures(a, fields, &view, canvas);
    canvas.raw(format_args!("</svg>"));
    canvas.raw(format_args!(
        "<rect x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\" fill=\"none\" stroke=\"{MUTED}\"/>",
        frame[0], frame[1], frame[2], frame[3]
    ));
    let peak = fields.contact_pressure.iter().copied().fold(0.0, f64::max);
    let note = format!("Bars: contact pressure, peak {peak:.1} MPa. Thick dashes: wetted by gas.");
    canvas.text([frame[0], frame[1] + frame[3] + 18.0], "start", 12.0, &note);
    canvas.text([frame[0], frame[1] + frame[3] + 34.0], "start", 12.0, "Dark square: bundle. Tints: bead rubber, casing, tread.");
}

fn tint(region: Region) -> &'static str {
    match region {
        Region::Bundle => DEEP,
        Region::Bead => "#d9b48f",
        Region::Casing => "#efe0cd",
        Region::Tread => "#a5a9ad",
    }
}

fn tyre(a: &Assessment, fields: &Fields, view: &View, canvas: &mut Canvas) {
    let at = |n: usize| {
        let (x, u) = (a.mesh.nodes[n], fields.displacement[n]);
        view.at(x[0] + u[0], x[1] + u[1])
    };
    for (quad, region) in a.mesh.quads.iter().zip(&a.mesh.regions) {
        // Corners and mid-sides in order.
        let ring = [quad[0], quad[4], quad[1], quad[5], quad[2], quad[6], quad[3], quad[7]].map(at);
        let fill = tint(*region);
        canvas.curve(&ring, true, &format!("fill=\"{fill}\" stroke=\"{fill}\" stroke-width=\"0.4\""));
    }
    for face in [&a.mesh.outer_face, &a.mesh.inner_face] {
        let points: Vec<[f64; 2]> = face.iter().map(|n| at(*n)).collect();
        canvas.curve(&points, false, &format!("fill=\"none\" stroke=\"{INK}\" stroke-width=\"1.1\""));
    }
}

/// Bars of contact pressure standing on the outer face, and the wetted part of it.
fn pressures(a: &Assessment, fields: &Fields, view: &View, canvas: &mut Canvas) {
    let face: Vec<[f64; 2]> = a
        .mesh
        .outer_face
        .iter()
        .map(|n| {
            let (x, u) = (a.mesh.nodes[*n], fields.displacement[*n]);
            view.at(x[0] + u[0], x[1] + u[1])
        })
        .collect();
    let peak = fields.contact_pressure.iter().copied().fold(0.0, f64::max);
    for i in 1..face.len().saturating_sub(1) {
        let pressure = fields.contact_pressure[i];
        if pressure <= 0.0 || peak <= 0.0 {
            continue;
        }
        let along = [face[i + 1][0] - face[i - 1][0], face[i + 1][1] - face[i - 1][1]];
        let size = along[0].hypot(along[1]).max(1e-9);
        // The face runs with the tyre on its left as drawn; bars point into the rim.
        let out = [-along[1] / size, along[0] / size];
        let bar = 90.0 * pressure / peak;
        let end = [face[i][0] + bar * out[0], face[i][1] + bar * out[1]];
        canvas.line(face[i], end, &format!("stroke=\"{WARM}\" stroke-width=\"2\""));
    }
    let wetted: Vec<[f64; 2]> = face.iter().zip(&fields.wetted).take_while(|(_, w)| **w).map(|(p, _)| *p).collect();
    if wetted.len() > 1 {
        canvas.polyline(&wetted, &format!("stroke=\"{DEEP}\" stroke-width=\"3.5\" stroke-dasharray=\"6 4\""));
    }
}

fn dimension(canvas: &mut Canvas, a: [f64; 2], b: [f64; 2], text: &str) {
    canvas.line(a, b, &format!("stroke=\"{INK}\" stroke-width=\"1\""));
    for end in [a, b] {
        canvas.line([end[0], end[1] - 5.0], [end[0], end[1] + 5.0], &format!("stroke=\"{INK}\" stroke-width=\"1\""));
    }
    canvas.text([0.5 * (a[0] + b[0]), a[1] + 18.0], "middle", 12.0, text);
}
