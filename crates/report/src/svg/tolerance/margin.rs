//! The distribution of a margin: how often it takes each value, and how often less than it.

use hoopwright_study::tolerance::distribution::{BARS, Distribution};

use super::powers;
use crate::svg::frame::{Frame, range};
use crate::svg::{Canvas, DEEP, INK, METAL, MUTED, WARM, ticks};
use crate::tolerance::{Reported, chance, with_interval};
use crate::words;

/// Rarest probability that is drawn, as a power of ten.
const RAREST: f64 = -12.0;
/// Width that the words on the side of a failure need.
const ROOM: f64 = 64.0;

/// The picture of limit `k`, whose margin is so distributed.
pub(super) fn picture(r: &Reported<'_>, k: usize, d: &Distribution) -> String {
    let column = r.limits.column(k);
    let title = &r.tolerance.case.title;
    let mut canvas = Canvas::new(760.0, 640.0);
    canvas.text([20.0, 26.0], "start", 16.0, title);
    let heading = format!("Margin of {}, {}", column.meaning, column.unit);
    canvas.text([20.0, 48.0], "start", 13.0, &heading);
    let corners = r.findings.ranges.get(k).and_then(|range| range.extremes);
    let shown = d.ends.into_iter().chain([0.0]).chain(corners.into_iter().flatten());
    let x_range = range(shown, 0.05);
    histogram(&mut canvas, d, x_range, corners);
    less(&mut canvas, r, (k, d), x_range);
    let description = format!("{heading}: how often each value is taken, and how often less than it, with the limit at zero.");
    canvas.finish(&format!("{heading}: {title}"), &description)
}

fn histogram(canvas: &mut Canvas, d: &Distribution, x_range: [f64; 2], corners: Option<[f64; 2]>) {
    let top = 1.12 * d.bars.iter().copied().fold(0.0, f64::max).max(1e-9);
    let frame = Frame { x: [84.0, 720.0], y: [300.0, 112.0], x_range, y_range: [0.0, 100.0 * top] };
    limit(canvas, &frame);
    frame.axes(
        canvas,
        [&ticks(x_range[0], x_range[1], 8.0), &ticks(0.0, 100.0 * top, 6.0)],
        ["", "% of the pairs in each column"],
        true,
    );
    let width = (d.ends[1] - d.ends[0]) / BARS as f64;
    for (i, share) in d.bars.iter().enumerate().filter(|(_, share)| **share > 0.0) {
        let left = d.ends[0] + width * i as f64;
        let ([x0, y0], [x1, y1]) = (frame.at(left, 0.0), frame.at(left + width, 100.0 * share));
        canvas.polygon(
            &[[x0, y0], [x1, y0], [x1, y1], [x0, y1]],
            &format!("fill=\"{METAL}\" stroke=\"{DEEP}\" stroke-width=\"0.8\""),
        );
    }
    for (value, word) in corners.into_iter().flatten().zip(["least solved", "greatest solved"]) {
        let [x, y] = frame.at(value, 0.0);
        canvas.polygon(&[[x - 5.0, y + 1.0], [x + 5.0, y + 1.0], [x, y - 9.0]], &format!("fill=\"#ffffff\" stroke=\"{INK}\""));
        let anchor = if word == "least solved" { "start" } else { "end" };
        canvas.text_over([if anchor == "start" { x - 5.0 } else { x + 5.0 }, y - 14.0], anchor, 11.0, word);
    }
}

/// The limit at zero and the side where it is not kept.
fn limit(canvas: &mut Canvas, frame: &Frame) {
    if frame.x_range[0] < 0.0 {
        let ([x0, y0], [x1, _]) = (frame.at(frame.x_range[0], frame.y_range[0]), frame.at(0.0, frame.y_range[0]));
        let corners = [[x0, y0], [x1, y0], [x1, frame.y[1]], [x0, frame.y[1]]];
        canvas.polygon(&corners, &format!("fill=\"{WARM}\" fill-opacity=\"0.10\""));
    }
    let x = frame.at(0.0, frame.y_range[0])[0];
    canvas.line([x, frame.y[0]], [x, frame.y[1]], &format!("stroke=\"{WARM}\" stroke-width=\"1.8\""));
    if x - frame.x[0] > ROOM {
        canvas.text([x - 5.0, frame.y[1] - 4.0], "end", 11.0, "not kept");
    }
    canvas.text([x + 5.0, frame.y[1] - 4.0], "start", 11.0, "kept");
}

fn less(canvas: &mut Canvas, r: &Reported<'_>, (k, d): (usize, &Distribution), x_range: [f64; 2]) {
    let drawn: Vec<[f64; 2]> =
        d.tail.iter().filter(|[x, p]| *p > 0.0 && (x_range[0]..=x_range[1]).contains(x)).copied().collect();
    let p = r.findings.probabilities[k];
    let told = [p.low, p.value].into_iter().chain(r.plan.target).filter(|p| *p > 0.0).fold(1e-3, f64::min).log10().floor() - 1.0;
    let frame = Frame { x: [84.0, 720.0], y: [576.0, 366.0], x_range, y_range: [told.max(RAREST), 0.0] };
    limit(canvas, &frame);
    powers(canvas, &frame);
    frame.axes(
        canvas,
        [&ticks(x_range[0], x_range[1], 8.0), &[]],
        [&format!("margin, {}", r.limits.column(k).unit), "probability of less"],
        true,
    );
    let inside = |p: f64| p.log10().max(frame.y_range[0]);
    let line: Vec<[f64; 2]> =
        drawn.iter().filter(|[_, p]| p.log10() >= frame.y_range[0]).map(|[x, p]| frame.at(*x, inside(*p))).collect();
    canvas.polyline(&line, &format!("stroke=\"{DEEP}\" stroke-width=\"2\""));
    if let Some(target) = r.plan.target.filter(|t| t.log10() >= frame.y_range[0]) {
        let [x, y] = frame.at(x_range[1], target.log10());
        canvas.line([frame.x[0], y], [x, y], &format!("stroke=\"{INK}\" stroke-dasharray=\"2 4\" stroke-width=\"1.4\""));
        canvas.text_over([x - 4.0, y - 5.0], "end", 11.0, &format!("target {} for all limits together", chance(target)));
    }
    // The solved answer with its interval, at the limit.
    let text = format!("{}: {}", words::finding(r.limits.finding(k)), with_interval(&p));
    if p.value.max(f64::MIN_POSITIVE).log10() < frame.y_range[0] {
        let at = frame.at(0.0, frame.y_range[0]);
        let (side, anchor) = beside(&frame, at[0]);
        canvas.text_over([at[0] + 8.0 * side, at[1] - 8.0], anchor, 12.0, &text);
        return;
    }
    let ends = [p.low.max(1e-300), p.high].map(|p| frame.at(0.0, inside(p)));
    canvas.line(ends[0], ends[1], &format!("stroke=\"{INK}\" stroke-width=\"1.6\""));
    for [x, y] in ends {
        canvas.line([x - 6.0, y], [x + 6.0, y], &format!("stroke=\"{INK}\" stroke-width=\"1.6\""));
    }
    let [x, y] = frame.at(0.0, inside(p.value));
    canvas.raw(format_args!("<circle cx=\"{x:.2}\" cy=\"{y:.2}\" r=\"4.4\" fill=\"{INK}\"/>"));
    let (side, anchor) = beside(&frame, x);
    canvas.line([x + 6.0 * side, y], [x + 26.0 * side, y + 22.0], &format!("stroke=\"{MUTED}\" stroke-width=\"0.6\""));
    canvas.text_over([x + 28.0 * side, y + 28.0], anchor, 12.0, &text);
}

/// On which side of a place a label has the more room: the sign of x and how the text is anchored.
fn beside(frame: &Frame, x: f64) -> (f64, &'static str) {
    if x > 0.5 * (frame.x[0] + frame.x[1]) { (-1.0, "end") } else { (1.0, "start") }
}
