//! A bead's growth under tension over the logarithm of time, with its extrapolation.

use hoopwright_bench::growth::Growth;
use hoopwright_bench::measured::quantile;
use hoopwright_case::units::{HOUR, number};

use crate::rig;

use super::{dot, thinned};
use crate::svg::frame::{Frame, range};
use crate::svg::{Canvas, DEEP, GRID, INK, MUTED, WARM, ticks};

/// The picture.
pub fn picture(log: &str, g: &Growth) -> String {
    let mut canvas = Canvas::new(860.0, 540.0);
    let word = if g.settled { "settled" } else { "not settled" };
    canvas.text([20.0, 26.0], "start", 16.0, &format!("{log}: growth under tension, {word}"));
    let creep = g.creep.scaled(100.0);
    let title = format!(
        "creep {:.4} +/- {} % in a decade of time (95 %); still to come by {}: {:.4} +/- {} mm, limit {:.4} mm",
        creep.value,
        rig::error_text(creep.half_width(), creep.value, 4),
        rig::time(g.until),
        g.further.value,
        rig::error_text(g.further.half_width(), g.start.value, 4),
        g.limit
    );
    canvas.text([20.0, 48.0], "start", 13.0, &title);
    let x = |seconds: f64| HOUR.value_of(seconds).log10();
    let (from, until) = (x(g.times[0]), x(g.until));
    let ends = [g.predicted.value - g.reading, g.predicted.value + g.reading];
    let y_range = range(g.diameter.iter().copied().chain(ends), 0.08);
    let frame = Frame { x: [84.0, 620.0], y: [470.0, 100.0], x_range: [from - 0.05, until + 0.05], y_range };
    decades(&mut canvas, &frame);
    let band = interval(g);
    let upper = band.iter().map(|(t, d, half)| frame.at(x(*t), d + half));
    let lower = band.iter().rev().map(|(t, d, half)| frame.at(x(*t), d - half));
    canvas.polygon(
        &upper.chain(lower).collect::<Vec<_>>(),
        &format!("fill=\"{DEEP}\" fill-opacity=\"0.12\" stroke=\"{DEEP}\" stroke-width=\"0.7\" stroke-dasharray=\"3 3\""),
    );
    for (time, diameter) in by_decades(g) {
        dot(&mut canvas, frame.at(x(time), diameter), MUTED);
    }
    canvas.line(
        frame.at(from, g.start.value),
        frame.at(x(g.times[1]), g.end.value),
        &format!("stroke=\"{INK}\" stroke-width=\"1.8\""),
    );
    canvas.line(
        frame.at(x(g.times[1]), g.end.value),
        frame.at(until, g.predicted.value),
        &format!("stroke=\"{INK}\" stroke-width=\"1.8\" stroke-dasharray=\"7 4\""),
    );
    let end = frame.at(x(g.times[1]), y_range[0])[0];
    canvas.line(
        [end, frame.y[0]],
        [end, frame.y[1]],
        &format!("stroke=\"{WARM}\" stroke-dasharray=\"2 4\" stroke-width=\"1.5\""),
    );
    canvas.text([end, frame.y[1] - 6.0], "middle", 12.0, "end of the log");
    legend(&mut canvas);
    canvas.finish(
        &format!("Growth log: {log}"),
        "Diameter over the logarithm of time: readings, fitted line, its extrapolation, and where 95 % of single readings lie.",
    )
}

/// Readings thinned so that every decade has as many.
fn by_decades(g: &Growth) -> Vec<(f64, f64)> {
    let mut kept = Vec::new();
    let mut next = f64::NEG_INFINITY;
    for (time, diameter) in g.time.iter().zip(&g.diameter) {
        if time.log10() >= next {
            next = time.log10() + 0.004;
            kept.push((*time, *diameter));
        }
    }
    thinned(&kept)
}

/// Time, s, diameter by the line, mm, and half the width of a reading's interval.
fn interval(g: &Growth) -> Vec<(f64, f64, f64)> {
    let q = quantile(g.per_decade.freedom);
    let [from, until] = [g.times[0], g.until].map(f64::log10);
    let (reference, slope) = (g.times[0].log10(), g.per_decade.value);
    // The line is best known at the middle of what it was fitted to; its variance there follows from those at both ends.
    let (a, b) = (g.start.error.powi(2), g.predicted.error.powi(2));
    let span = until - reference;
    let curvature = g.per_decade.error.powi(2);
    let linear = if span > 0.0 { (b - a - curvature * span * span) / span } else { 0.0 };
    (0..=40)
        .map(|k| {
            let t = from + (until - from) * f64::from(k) / 40.0;
            let x = t - reference;
            let variance = (a + linear * x + curvature * x * x).max(0.0);
            (10.0_f64.powf(t), g.start.value + slope * x, q * variance.sqrt().hypot(g.deviation))
        })
        .collect()
}

/// Grid with decades of hours.
fn decades(canvas: &mut Canvas, frame: &Frame) {
    let (first, last) = (frame.x_range[0].ceil() as i32, frame.x_range[1].floor() as i32);
    for decade in first..=last {
        let x = frame.at(f64::from(decade), frame.y_range[0])[0];
        canvas.line([x, frame.y[0]], [x, frame.y[1]], &format!("stroke=\"{GRID}\""));
        canvas.text([x, frame.y[0] + 18.0], "middle", 12.0, &number(10.0_f64.powi(decade)));
    }
    let rows = ticks(frame.y_range[0], frame.y_range[1], 5.0);
    frame.axes(canvas, [&[], &rows], ["time since the tension came on, h (logarithmic)", "diameter, mm"], true);
}

fn legend(canvas: &mut Canvas) {
    let x = 640.0;
    dot(canvas, [x + 14.0, 112.0], MUTED);
    canvas.text([x + 36.0, 116.0], "start", 12.0, "readings");
    canvas.line([x, 134.0], [x + 28.0, 134.0], &format!("stroke=\"{INK}\" stroke-width=\"1.8\""));
    canvas.text([x + 36.0, 138.0], "start", 12.0, "fit");
    canvas.line([x, 156.0], [x + 28.0, 156.0], &format!("stroke=\"{INK}\" stroke-width=\"1.8\" stroke-dasharray=\"7 4\""));
    canvas.text([x + 36.0, 160.0], "start", 12.0, "extrapolated");
    canvas.raw(format_args!(
        "<rect x=\"{x}\" y=\"170\" width=\"28\" height=\"14\" fill=\"{DEEP}\" fill-opacity=\"0.12\" stroke=\"{DEEP}\" stroke-width=\"0.7\" stroke-dasharray=\"3 3\"/>"
    ));
    canvas.text([x + 36.0, 182.0], "start", 12.0, "95 % of single readings");
}
