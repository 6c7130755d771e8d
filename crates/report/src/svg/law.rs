//! The law of the bead: outward load over the lift at several pressures, and the inward load of the bead's own tension.

use super::frame::Frame;
use super::{Canvas, DEEP, INK, MUTED, WARM, ticks};
use crate::law::{self, Shown};
use hoopwright_case::units::BAR;
use hoopwright_solver::law::{Load, equilibria};
use hoopwright_solver::result::Assessment;
use hoopwright_solver::retention::clearance;

const WIDTH: f64 = 760.0;
const HEIGHT: f64 = 520.0;
/// Lift at which the picture begins, mm: the seat's load rises steeply below.
const START: f64 = -0.05;
/// Lift from which on loads say how high the picture must be, mm: below it the seat presses.
const FLOATS: f64 = 0.15;
/// Height of a line of labels.
const LINE: f64 = 16.0;
/// Dashes of the pressures by rising pressure.
const DASHES: [&str; 5] = ["", "10 4", "4 3", "1.5 3", "12 3 3 3"];

/// The picture; none where the law was not found.
pub fn picture(a: &Assessment) -> Option<String> {
    let shown = law::shown(a);
    let crest = clearance(&a.case, &a.frictionless.path);
    let frame = frame(&shown, crest)?;
    let mut canvas = Canvas::new(WIDTH, HEIGHT);
    canvas.text([20.0, 26.0], "start", 16.0, &a.case.title);
    let [columns, rows] = [ticks(0.0, frame.x_range[1], 6.0), ticks(0.0, frame.y_range[1], 6.0)];
    frame.axes(&mut canvas, [&columns, &rows], ["lift of the bundle since the fit, mm", "radial load on one bead, N/mm"], true);
    level(&frame, crest, &mut canvas);
    let friction = a.given.friction > 0.0;
    legend(friction.then_some(a.given.friction), &mut canvas);
    let mut labels = Vec::new();
    for (k, shown) in shown.iter().enumerate() {
        lines(&frame, shown, k, &mut canvas);
        let end = shown.loads.last().map_or(0.0, |load| load.outward);
        labels.push((frame.at(0.0, end)[1], format!("{}  {:.2} bar, {}", k + 1, BAR.value_of(shown.pressure), shown.name)));
    }
    let tension = shown.last()?.loads.last()?.inward;
    labels.push((frame.at(0.0, tension.min(frame.y_range[1]))[1], "inward, tension / radius".to_owned()));
    for shown in &shown {
        dots(&frame, shown, &mut canvas);
    }
    apart(&mut labels, frame.y[0]);
    for (y, text) in labels {
        canvas.text_over([frame.x[1] + 8.0, y + 4.0], "start", 12.0, &text);
    }
    let description = "Outward radial load on one bead against its lift at several pressures, and the inward load of the bead's own tension; \
                       crossings are equilibria of the even bead; the lift level with the crest is marked.";
    Some(canvas.finish(&format!("Law of the bead: {}", a.case.title), description))
}

/// Room for the loads of a floating bead up to the crest.
fn frame(shown: &[Shown], crest: f64) -> Option<Frame> {
    let loads = || shown.iter().flat_map(|shown| &shown.loads);
    let floating = loads().filter(|load| load.lift > FLOATS);
    let top = floating.map(|load| load.outward.max(load.inward)).fold(0.0, f64::max);
    let last = loads().map(|load| load.lift).fold(crest, f64::max);
    (top > 0.0).then_some(Frame { x: [70.0, 530.0], y: [465.0, 132.0], x_range: [START, last], y_range: [0.0, 1.08 * top] })
}

/// The lift at which the bundle is level with the crest.
fn level(frame: &Frame, crest: f64, canvas: &mut Canvas) {
    let [x, _] = frame.at(crest, 0.0);
    canvas.line([x, frame.y[0]], [x, frame.y[1]], &format!("stroke=\"{INK}\" stroke-width=\"1.5\" stroke-dasharray=\"2 4\""));
    canvas.text_over([x - 5.0, frame.y[0] - 8.0], "end", 12.0, &format!("level with the crest: {crest:.2} mm"));
}

fn legend(friction: Option<f64>, canvas: &mut Canvas) {
    let mut entries =
        vec![(style(0, INWARD), "inward, tension / radius".to_owned()), (style(0, FREE), "outward, no friction".to_owned())];
    entries.extend(friction.map(|friction| (style(0, RISING), format!("outward, friction {friction}, rising"))));
    for (i, (style, text)) in entries.into_iter().enumerate() {
        let x = 20.0 + 225.0 * i as f64;
        canvas.line([x, 52.0], [x + 34.0, 52.0], &style);
        canvas.text([x + 42.0, 56.0], "start", 12.0, &text);
    }
    canvas.text(
        [20.0, 78.0],
        "start",
        12.0,
        "\u{25cf} the even bead stays there, \u{25cb} it leaves; dashes and numbers tell the pressures",
    );
}

/// Width and colour of a load: of the bead's tension, of the rest without friction and with it. They are told apart by width and slope too.
type Look = (f64, &'static str);
const INWARD: Look = (3.2, WARM);
const FREE: Look = (2.2, DEEP);
const RISING: Look = (1.0, MUTED);

/// Of the k-th pressure.
fn style(k: usize, (width, colour): Look) -> String {
    format!("stroke=\"{colour}\" stroke-width=\"{width}\" stroke-dasharray=\"{}\"", DASHES[k % DASHES.len()])
}

/// The loads at a pressure, numbered above the line.
fn lines(frame: &Frame, shown: &Shown, k: usize, canvas: &mut Canvas) {
    let draw = |canvas: &mut Canvas, load: &dyn Fn(&Load) -> Option<f64>, style: &str| {
        for line in inside(frame, &shown.loads, load) {
            canvas.polyline(&line, style);
        }
    };
    draw(canvas, &|load| load.rising, &style(k, RISING));
    draw(canvas, &|load| Some(load.outward), &style(k, FREE));
    // The rim gives way to the pressure, which moves the bead's line a little.
    draw(canvas, &|load| Some(load.inward), &style(k, INWARD));
    let Some(load) = shown.loads.iter().find(|load| load.lift >= (0.6 + 0.08 * k as f64) * frame.x_range[1]) else { return };
    let [x, y] = frame.at(load.lift, load.outward);
    canvas.text_over([x, y - 5.0], "middle", 12.0, &(k + 1).to_string());
}

/// The parts of a line within the frame.
fn inside(frame: &Frame, loads: &[Load], value: &dyn Fn(&Load) -> Option<f64>) -> Vec<Vec<[f64; 2]>> {
    let within = |load: &&Load| load.lift >= frame.x_range[0] - 1e-9;
    let points: Vec<[f64; 2]> = loads.iter().filter(within).filter_map(|load| Some([load.lift, value(load)?])).collect();
    let top = frame.y_range[1];
    let mut parts: Vec<Vec<[f64; 2]>> = Vec::new();
    for (i, &[x, y]) in points.iter().enumerate() {
        let cut = |other: [f64; 2]| frame.at(x + (top - y) * (other[0] - x) / (other[1] - y), top);
        if y <= top {
            let entered = i.checked_sub(1).map(|before| points[before]).filter(|before| before[1] > top);
            if i == 0 || entered.is_some() {
                parts.push(entered.map(cut).into_iter().collect());
            }
            if let Some(part) = parts.last_mut() {
                part.push(frame.at(x, y.max(0.0)));
                part.extend(points.get(i + 1).filter(|after| after[1] > top).map(|after| cut(*after)));
            }
        }
    }
    parts
}

/// Equilibria of the even bead: full where it stays.
fn dots(frame: &Frame, shown: &Shown, canvas: &mut Canvas) {
    let alone = equilibria(&shown.loads, |load| Some(load.outward));
    let with = equilibria(&shown.loads, |load| load.rising);
    for (lift, load, stays) in alone.into_iter().chain(with) {
        if lift < frame.x_range[0] || load > frame.y_range[1] {
            continue;
        }
        let [x, y] = frame.at(lift, load);
        let fill = if stays { INK } else { "#ffffff" };
        canvas.raw(format_args!(
            "<circle cx=\"{x:.2}\" cy=\"{y:.2}\" r=\"4\" fill=\"{fill}\" stroke=\"{INK}\" stroke-width=\"1.4\"/>"
        ));
    }
}

/// Moves labels up so that none covers another.
fn apart(labels: &mut [(f64, String)], lowest: f64) {
    labels.sort_by(|a, b| b.0.total_cmp(&a.0));
    let mut below = lowest + LINE;
    for label in labels {
        label.0 = label.0.min(below - LINE);
        below = label.0;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_end_at_the_edge_of_the_frame() {
        let load = |lift: f64, outward: f64| Load { lift, outward, rising: None, inward: 0.0, growth: 0.0, two_waves: 0.0 };
        let frame = Frame { x: [0.0, 100.0], y: [100.0, 0.0], x_range: [0.0, 4.0], y_range: [0.0, 10.0] };
        let loads = [load(0.0, 20.0), load(1.0, 5.0), load(2.0, 5.0), load(3.0, 15.0)];
        let parts = inside(&frame, &loads, &|load| Some(load.outward));
        assert_eq!(parts.len(), 1);
        let (first, last) = (parts[0][0], parts[0][parts[0].len() - 1]);
        assert!((first[0] - 100.0 / 6.0).abs() < 1e-9 && first[1].abs() < 1e-9, "{first:?}");
        assert!((last[0] - 62.5).abs() < 1e-9 && last[1].abs() < 1e-9, "{last:?}");
    }

    #[test]
    fn labels_stand_one_above_the_other_within_the_frame() {
        let mut labels = [(100.0, "a".to_owned()), (98.0, "b".to_owned()), (130.0, "c".to_owned())];
        apart(&mut labels, 120.0);
        for ((y, _), expected) in labels.iter().zip([120.0, 100.0, 84.0]) {
            assert!((y - expected).abs() < 1e-9, "{labels:?}");
        }
    }
}
