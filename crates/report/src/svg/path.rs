//! Pressure against bead lift with the retention pressures, and bead tension and seat load against pressure.

use super::{Canvas, DEEP, GRID, INK, MUTED, WARM, ticks};
use hoopwright_solver::result::{Assessment, PathPoint, Run};

const WIDTH: f64 = 760.0;
const HEIGHT: f64 = 820.0;
const BAR: f64 = 10.0;

/// A plotting frame: place on the canvas and ranges.
struct Frame {
    x: [f64; 2],
    y: [f64; 2],
    to: [f64; 2],
}

impl Frame {
    fn at(&self, x: f64, y: f64) -> [f64; 2] {
        [self.x[0] + (self.x[1] - self.x[0]) * x / self.to[0], self.y[0] - (self.y[0] - self.y[1]) * y / self.to[1]]
    }

    fn axes(&self, canvas: &mut Canvas, x_title: &str, y_title: &str) {
        for t in ticks(0.0, self.to[0], 7.0) {
            let foot = self.at(t, 0.0);
            canvas.line(foot, [foot[0], self.y[1]], &format!("stroke=\"{GRID}\""));
            canvas.text([foot[0], foot[1] + 16.0], "middle", 12.0, &label(t));
        }
        for t in ticks(0.0, self.to[1], 6.0) {
            let left = self.at(0.0, t);
            canvas.line(left, [self.x[1], left[1]], &format!("stroke=\"{GRID}\""));
            canvas.text([left[0] - 6.0, left[1] + 4.0], "end", 12.0, &label(t));
        }
        canvas.line([self.x[0], self.y[0]], [self.x[1], self.y[0]], &format!("stroke=\"{INK}\""));
        canvas.line([self.x[0], self.y[0]], [self.x[0], self.y[1]], &format!("stroke=\"{INK}\""));
        canvas.text([0.5 * (self.x[0] + self.x[1]), self.y[0] + 36.0], "middle", 13.0, x_title);
        canvas.text([self.x[0], self.y[1] - 8.0], "start", 13.0, y_title);
    }
}

fn label(t: f64) -> String {
    let text = format!("{t:.2}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// The picture.
pub fn picture(a: &Assessment) -> String {
    let mut canvas = Canvas::new(WIDTH, HEIGHT);
    canvas.text([20.0, 26.0], "start", 16.0, &a.case.title);
    legend(a, &mut canvas);
    lift_panel(a, &mut canvas);
    let tension: Panel = ("bead tension, N", |p| p.bead_tension, [80.0, 370.0]);
    let seat: Panel = ("seat load, N/mm", |p| p.seat_load, [450.0, 740.0]);
    for panel in [tension, seat] {
        side_panel(a, &mut canvas, panel);
    }
    let description = "Gas pressure against bead lift along the loading path with first lift, local release, off-centre release and uniform blow-off; below, \
                       bead tension and seat load against pressure.";
    canvas.finish(&format!("Loading path: {}", a.case.title), description)
}

/// Runs with their line styles: the given friction solid, without friction dashed.
fn runs(a: &Assessment) -> Vec<(&Run, String)> {
    let mut all = vec![(&a.given, format!("stroke=\"{DEEP}\" stroke-width=\"2.2\""))];
    if a.given.friction != 0.0 {
        all.push((&a.frictionless, format!("stroke=\"{WARM}\" stroke-width=\"2.2\" stroke-dasharray=\"7 4\"")));
    }
    all
}

fn legend(a: &Assessment, canvas: &mut Canvas) {
    for (i, (run, style)) in runs(a).into_iter().enumerate() {
        let x = 20.0 + 170.0 * i as f64;
        canvas.line([x, 46.0], [x + 34.0, 46.0], &style);
        canvas.text([x + 42.0, 50.0], "start", 13.0, &format!("friction {}", run.friction));
    }
}

fn lift_panel(a: &Assessment, canvas: &mut Canvas) {
    let all = || runs(a).into_iter().flat_map(|(r, _)| r.path[r.fit.min(r.path.len())..].iter());
    let lift = all().map(|p| p.lift).fold(0.5, f64::max) * 1.05;
    let highest = all().map(|p| BAR * p.pressure).fold(BAR * a.case.required_pressure(), f64::max) * 1.08;
    let frame = Frame { x: [80.0, 560.0], y: [440.0, 90.0], to: [lift, highest] };
    frame.axes(canvas, "lift of the bundle since the fit, mm", "gas pressure, bar");
    let mut labels = Vec::new();
    for (pressure, name) in [(a.case.pressure.rated, "rated"), (a.case.required_pressure(), "required")] {
        let y = frame.at(0.0, BAR * pressure)[1];
        canvas.line([80.0, y], [560.0, y], &format!("stroke=\"{MUTED}\" stroke-dasharray=\"2 4\" stroke-width=\"1.5\""));
        labels.push((y, format!("{name} {:.2} bar", BAR * pressure)));
    }
    for (run, style) in runs(a) {
        let points: Vec<[f64; 2]> = run.path.iter().skip(run.fit).map(|p| frame.at(p.lift.max(0.0), BAR * p.pressure)).collect();
        canvas.polyline(&points, &style);
        labels.extend(marks(run, &frame, canvas));
    }
    place_labels(&mut labels);
    for (y, text) in labels {
        canvas.text([568.0, y + 4.0], "start", 12.0, &text);
    }
}

/// Marks the retention pressures of a run on its curve (square, triangle, circle) and returns their labels.
fn marks(run: &Run, frame: &Frame, canvas: &mut Canvas) -> Vec<(f64, String)> {
    let r = &run.retention;
    let colour = if run.friction == 0.0 { WARM } else { DEEP };
    let mut labels = Vec::new();
    for (shape, name, release) in [
        ("\u{25a0}", "first lift", r.first_lift),
        ("\u{25c6}", "local", r.local_release),
        ("\u{25b2}", "off-centre", r.off_centre_release),
        ("\u{25cf}", "uniform", r.uniform_blow_off),
    ] {
        let Some((pressure, above)) = release.known() else { continue };
        let at = frame.at(lift_at(run, pressure).max(0.0), BAR * pressure);
        if !above {
            canvas.raw(format_args!(
                "<text x=\"{:.2}\" y=\"{:.2}\" text-anchor=\"middle\" font-size=\"15\" fill=\"{colour}\" stroke=\"#fff\" stroke-width=\"0.6\">{shape}</text>",
                at[0],
                at[1] + 5.0
            ));
        }
        let sign = if above { "> " } else { "" };
        labels.push((at[1], format!("{shape} {name} {sign}{:.2} bar (f {})", BAR * pressure, run.friction)));
    }
    labels
}

/// Lift where the rising path first reaches a pressure.
fn lift_at(run: &Run, pressure: f64) -> f64 {
    let path = &run.path[run.fit.min(run.path.len())..];
    for pair in path.windows(2) {
        let (a, b) = (&pair[0], &pair[1]);
        if a.pressure <= pressure && pressure <= b.pressure && b.pressure > a.pressure {
            return a.lift + (b.lift - a.lift) * (pressure - a.pressure) / (b.pressure - a.pressure);
        }
    }
    path.last().map_or(0.0, |p| p.lift)
}

/// Moves labels apart so that none covers another.
fn place_labels(labels: &mut [(f64, String)]) {
    labels.sort_by(|a, b| b.0.total_cmp(&a.0));
    for i in 1..labels.len() {
        labels[i].0 = labels[i].0.min(labels[i - 1].0 - 15.0);
    }
}

/// Title, value and horizontal place of a small panel.
type Panel = (&'static str, fn(&PathPoint) -> f64, [f64; 2]);

fn side_panel(a: &Assessment, canvas: &mut Canvas, (title, value, x): Panel) {
    let points =
        |run: &Run| run.path[run.fit.min(run.path.len())..].iter().map(|p| (BAR * p.pressure, value(p))).collect::<Vec<_>>();
    let all: Vec<(f64, f64)> = runs(a).into_iter().flat_map(|(run, _)| points(run)).collect();
    let to = [all.iter().map(|p| p.0).fold(1.0, f64::max) * 1.05, all.iter().map(|p| p.1).fold(1e-3, f64::max) * 1.1];
    let frame = Frame { x, y: [760.0, 540.0], to };
    frame.axes(canvas, "gas pressure, bar", title);
    let rated = frame.at(BAR * a.case.pressure.rated, 0.0)[0];
    canvas.line(
        [rated, frame.y[0]],
        [rated, frame.y[1]],
        &format!("stroke=\"{MUTED}\" stroke-dasharray=\"2 4\" stroke-width=\"1.5\""),
    );
    canvas.text([rated + 4.0, frame.y[1] + 12.0], "start", 11.0, "rated");
    for (run, style) in runs(a) {
        let line: Vec<[f64; 2]> = points(run).into_iter().map(|(p, v)| frame.at(p, v.max(0.0))).collect();
        canvas.polyline(&line, &style);
    }
}
