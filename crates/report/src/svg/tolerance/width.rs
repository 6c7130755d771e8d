//! The probability of any failure over the width of the sized spread.

use hoopwright_study::tolerance::sizing::Outcome;

use super::powers;
use crate::svg::frame::Frame;
use crate::svg::{Canvas, DEEP, INK, MUTED, WARM, ticks};
use crate::tolerance::{Reported, chance, short, spread, with_interval};
use crate::words;

/// Rarest probability that is drawn, as a power of ten.
const RAREST: f64 = -12.0;

/// The picture; none where no spread was sized.
pub(super) fn picture(r: &Reported<'_>) -> Option<String> {
    let sizing = r.findings.sizing.as_ref()?;
    let target = r.plan.target.filter(|_| sizing.outcome != Outcome::NotKnown)?;
    let uncertain = &r.tolerance.inputs[sizing.input];
    let title = &r.tolerance.case.title;
    let mut canvas = Canvas::new(760.0, 500.0);
    canvas.text([20.0, 26.0], "start", 16.0, title);
    let heading = format!("How wide may {} scatter? Stated: {}", words::input(uncertain.input), spread(uncertain));
    canvas.text([20.0, 48.0], "start", 13.0, &heading);
    let drawn = sizing.curve.iter().map(|(_, p)| *p).chain([target]).filter(|p| *p > 0.0);
    let [low, high] = drawn.map(f64::log10).fold([0.0_f64, RAREST], |[low, high], p| [low.min(p), high.max(p)]);
    let y_range = [(low - 0.4).floor().max(RAREST), (high + 0.4).ceil().min(0.0)];
    let widest = sizing.curve.last().map_or(1.0, |(multiple, _)| *multiple);
    let frame = Frame { x: [84.0, 640.0], y: [410.0, 96.0], x_range: [0.0, widest], y_range };
    powers(&mut canvas, &frame);
    let steps = ticks(0.0, widest, 8.0);
    let [_, deviation] = r.plan.joint.marginals()[sizing.input].moments();
    let unit = r.units()[sizing.input];
    frame.axes(
        &mut canvas,
        [&steps, &[]],
        ["spread as a multiple of the stated one", "probability that it may release or overload"],
        true,
    );
    canvas.text(
        [frame.x[0], frame.y[0] + 66.0],
        "start",
        12.0,
        &format!("1: a standard deviation of {} {unit}", short(deviation)),
    );
    let within = |p: f64| p.max(f64::MIN_POSITIVE).log10().clamp(y_range[0], y_range[1]);
    let [x, y] = frame.at(widest, within(target));
    canvas.line([frame.x[0], y], [x, y], &format!("stroke=\"{INK}\" stroke-dasharray=\"2 4\" stroke-width=\"1.6\""));
    canvas.text([x + 8.0, y + 4.0], "start", 12.0, &format!("target {}", chance(target)));
    let line: Vec<[f64; 2]> = sizing.curve.iter().map(|(multiple, p)| frame.at(*multiple, within(*p))).collect();
    canvas.polyline(&line, &format!("stroke=\"{DEEP}\" stroke-width=\"2\" stroke-linejoin=\"round\""));
    stated(&mut canvas, &frame, r, within);
    if let Outcome::Meets { safe, .. } = sizing.outcome {
        let [x, y] = frame.at(safe, within(target));
        canvas.line([x, y], [x, frame.y[0]], &format!("stroke=\"{WARM}\" stroke-width=\"1.8\""));
        canvas.polygon(&[[x, y - 6.0], [x + 6.0, y], [x, y + 6.0], [x - 6.0, y]], &format!("fill=\"{WARM}\""));
        let anchor = if safe > 0.6 * widest { "end" } else { "start" };
        let shift = if anchor == "end" { -8.0 } else { 8.0 };
        let text = format!("up to {safe:.2} x, {} {unit}", short(safe * deviation));
        canvas.text([x + shift, frame.y[0] - 10.0], anchor, 12.0, &text);
    }
    Some(
        canvas
            .finish(&format!("{heading}: {title}"), "Probability of any failure over the width of one spread, with the target."),
    )
}

/// The probability at the stated spread with its interval.
fn stated(canvas: &mut Canvas, frame: &Frame, r: &Reported<'_>, within: impl Fn(f64) -> f64) {
    let Some(any) = r.any() else { return };
    let ends = [any.low, any.high].map(|p| frame.at(1.0, within(p)));
    canvas.line(ends[0], ends[1], &format!("stroke=\"{INK}\" stroke-width=\"1.6\""));
    for [x, y] in ends {
        canvas.line([x - 6.0, y], [x + 6.0, y], &format!("stroke=\"{INK}\" stroke-width=\"1.6\""));
    }
    let [x, y] = frame.at(1.0, within(any.value));
    canvas.raw(format_args!("<circle cx=\"{x:.2}\" cy=\"{y:.2}\" r=\"4.4\" fill=\"{INK}\"/>"));
    canvas.line([x - 6.0, y - 3.0], [x - 26.0, y - 24.0], &format!("stroke=\"{MUTED}\" stroke-width=\"0.6\""));
    canvas.text([x - 28.0, y - 28.0], "end", 12.0, &format!("as stated: {}", with_interval(any)));
}
