//! Two results over one another: their paths, and their retention pressures on one scale.

use super::frame::{Frame, range};
use super::{Canvas, DEEP, GRID, INK, MUTED, WARM, ticks};
use crate::compare::Side;
use hoopwright_case::units::BAR;

const WIDTH: f64 = 820.0;
const HEIGHT: f64 = 520.0;
/// Height of a row of the scale.
const ROW: f64 = 44.0;

/// Letters and colours of the two sides.
const LOOKS: [(&str, &str); 2] = [("A", DEEP), ("B", WARM)];
/// The two paths of a side: block of the result, and what is said of it.
const PATHS: [(&str, &str); 2] = [("path", "its friction"), ("path_frictionless", "no friction")];
/// The retention pressures of a side: block, and what is said of it.
const BLOCKS: [(&str, &str); 2] = [("retention", "its friction"), ("retention_frictionless", "no friction")];
/// Marks of the retention pressures by their keys.
const MARKS: [(&str, &str); 4] = [
    ("first_lift", "\u{25a0}"),
    ("local_release", "\u{25c6}"),
    ("off_centre_release", "\u{25b2}"),
    ("uniform_blow_off", "\u{25cf}"),
];

/// Gas pressure against bead lift of both: solid with friction, dashed without.
pub fn paths(a: &Side, b: &Side) -> String {
    let mut lines = Vec::new();
    for (side, (letter, colour)) in [a, b].into_iter().zip(LOOKS) {
        for ((path, friction), dash) in PATHS.into_iter().zip(["", " stroke-dasharray=\"7 4\""]) {
            let points: Vec<[f64; 2]> = side.path(path, "lift_mm").into_iter().map(|[p, lift]| [lift.max(0.0), p]).collect();
            lines.push((points, format!("{letter}, {friction}"), format!("stroke=\"{colour}\" stroke-width=\"2.2\"{dash}")));
        }
    }
    let to = |k: usize| {
        let values = lines.iter().flat_map(|(points, ..)| points.iter().map(move |p| p[k]));
        [0.0, range(values, 0.05)[1].max(0.1)]
    };
    let frame = Frame { x: [70.0, 780.0], y: [450.0, 90.0], x_range: to(0), y_range: to(1) };
    let mut canvas = Canvas::new(WIDTH, HEIGHT);
    for (i, (_, name, style)) in lines.iter().enumerate() {
        let x = 20.0 + 195.0 * i as f64;
        canvas.line([x, 26.0], [x + 34.0, 26.0], style);
        canvas.text([x + 42.0, 30.0], "start", 13.0, name);
    }
    let [columns, rows] = [ticks(0.0, frame.x_range[1], 8.0), ticks(0.0, frame.y_range[1], 7.0)];
    frame.axes(&mut canvas, [&columns, &rows], ["lift of the bundle since the fit, mm", "gas pressure, bar"], true);
    for (points, _, style) in &lines {
        let line: Vec<[f64; 2]> = points.iter().map(|p| frame.at(p[0], p[1])).collect();
        canvas.polyline(&line, style);
    }
    canvas.finish(
        "Loading paths of two cases",
        "Gas pressure against bead lift, two cases over one another, each with its friction and without.",
    )
}

/// The retention pressures of both on one scale: a row for each side and friction, with the required pressure of each.
pub fn scale(a: &Side, b: &Side) -> String {
    let rows: Vec<_> = BLOCKS
        .into_iter()
        .flat_map(|(block, friction)| [a, b].into_iter().zip(LOOKS).map(move |(side, look)| (side, look, block, friction)))
        .collect();
    let required = |side: &Side| BAR.value_of(side.number("/required_pressure_mpa").unwrap_or(0.0));
    let pressures = rows.iter().flat_map(|(side, _, block, _)| MARKS.iter().filter_map(|(key, _)| side.release(block, key)));
    let end = 1.08 * pressures.map(|(p, _)| p).fold(required(a).max(required(b)).max(0.1), f64::max);
    let foot = 60.0 + ROW * rows.len() as f64;
    let x = |p: f64| 150.0 + 630.0 * p / end;
    let mut canvas = Canvas::new(WIDTH, foot + 50.0);
    for tick in ticks(0.0, end, 8.0) {
        canvas.line([x(tick), 40.0], [x(tick), foot], &format!("stroke=\"{GRID}\""));
        canvas.text([x(tick), foot + 16.0], "middle", 12.0, &crate::lines::short(tick));
    }
    canvas.line([x(0.0), foot], [x(end), foot], &format!("stroke=\"{INK}\""));
    canvas.text([x(0.5 * end), foot + 34.0], "middle", 12.0, "gauge pressure, bar");
    for (i, (side, (letter, colour), block, friction)) in rows.iter().enumerate() {
        let y = 70.0 + ROW * i as f64;
        canvas.text([140.0, y + 4.0], "end", 13.0, &format!("{letter}, {friction}"));
        canvas.line([x(0.0), y], [x(end), y], &format!("stroke=\"{GRID}\""));
        let at = x(required(side));
        canvas.line([at, y - 15.0], [at, y + 15.0], &format!("stroke=\"{MUTED}\" stroke-width=\"2\""));
        // Numbers stand above and below in turn, as neighbours may lie close together.
        for ((key, mark), beside) in MARKS.into_iter().zip([-9.0, 19.0].into_iter().cycle()) {
            let Some((p, bound)) = side.release(block, key) else { continue };
            let fill = if bound { "none" } else { colour };
            canvas.raw(format_args!(
                "<text x=\"{:.2}\" y=\"{:.2}\" text-anchor=\"middle\" font-size=\"16\" fill=\"{fill}\" stroke=\"{colour}\">{mark}</text>",
                x(p),
                y + 5.0
            ));
            canvas.text([x(p), y + beside], "middle", 11.0, &format!("{}{p:.2}", if bound { "> " } else { "" }));
        }
    }
    canvas.finish("Retention pressures of two cases", "Square: first lift. Diamond: local release. Triangle: off-centre release. Circle: uniform blow-off. Open: not reached up to there. Upright: required pressure.")
}
