//! An inflation test: pressure over time with the required pressure, the floor, the hold and what was sudden.

use hoopwright_bench::hold::Hold;
use hoopwright_case::units::{BAR, MINUTE};

use super::axes;
use crate::rig::pressure::Both;
use crate::rig::{bar, event_word, hold_verdict};
use crate::svg::frame::{Frame, range};
use crate::svg::{Canvas, DEEP, INK, MUTED, WARM};

/// Most points of the line; of more the least and greatest of each run are drawn.
const MOST_POINTS: usize = 1200;

/// The picture.
pub fn picture(log: &str, hold: &Hold) -> String {
    let mut canvas = Canvas::new(860.0, 520.0);
    let (q, both) = (&hold.question, Both::of(hold));
    canvas.text([20.0, 26.0], "start", 16.0, &format!("{log}: {}", hold_verdict(hold.verdict)));
    let held = format!(
        "{} required for {:.2} min; held for {:.2} min; highest {}",
        both.show(q.required(), 3),
        MINUTE.value_of(q.hold),
        MINUTE.value_of(hold.held_for()),
        both.show(hold.highest, 3)
    );
    canvas.text([20.0, 48.0], "start", 13.0, &held);
    let start = hold.series.start;
    let x = |time: f64| MINUTE.value_of(time - start);
    let pressures = hold.series.pressure.iter().copied().chain([0.0, q.required()]).map(|p| BAR.value_of(p));
    let last = hold.series.time.last().map_or(1.0, |t| x(*t)).max(1e-6);
    let frame = Frame { x: [84.0, 640.0], y: [440.0, 100.0], x_range: [0.0, last], y_range: range(pressures, 0.06) };
    axes(&mut canvas, &frame, ["time, min", "pressure, bar"]);
    canvas.polyline(&line(hold, &frame, &x), &format!("stroke=\"{DEEP}\" stroke-width=\"1.4\""));
    for (pressure, name, dash) in [(q.reached_at(), "required", "7 4"), (q.floor(), "floor", "2 4")] {
        let y = frame.at(0.0, BAR.value_of(pressure))[1];
        canvas.line([frame.x[0], y], [frame.x[1], y], &format!("stroke=\"{INK}\" stroke-dasharray=\"{dash}\""));
        let y = if name == "required" { y - 2.0 } else { y + 12.0 };
        canvas.text([frame.x[1] + 8.0, y], "start", 12.0, &format!("{name} {:.3} bar", BAR.value_of(pressure)));
    }
    if let Some([from, to]) = hold.held {
        bracket(&mut canvas, [frame.at(x(from), 0.0)[0], frame.at(x(to), 0.0)[0]], frame.y[1] - 12.0);
    }
    events(&mut canvas, hold, &frame, &x);
    canvas.finish(
        &format!("Inflation test: {log}"),
        "Pressure over time; required pressure and floor; the longest hold; sudden changes.",
    )
}

/// The readings, least and greatest of each run where there are many.
fn line(hold: &Hold, frame: &Frame, x: &dyn Fn(f64) -> f64) -> Vec<[f64; 2]> {
    let (time, pressure) = (&hold.series.time, &hold.series.pressure);
    let size = time.len().div_ceil(MOST_POINTS / 2).max(1);
    let rows: Vec<usize> = (0..time.len()).collect();
    let at = |row: usize| frame.at(x(time[row]), BAR.value_of(pressure[row]));
    let mut points = Vec::new();
    for run in rows.chunks(size) {
        let order = |a: &&usize, b: &&usize| pressure[**a].total_cmp(&pressure[**b]);
        let both = [run.iter().min_by(order), run.iter().max_by(order)];
        let mut ends: Vec<usize> = both.into_iter().flatten().copied().collect();
        ends.sort_unstable();
        ends.dedup();
        points.extend(ends.into_iter().map(at));
    }
    points
}

/// The time held, as a bracket over the frame.
fn bracket(canvas: &mut Canvas, [from, to]: [f64; 2], y: f64) {
    let style = format!("stroke=\"{INK}\" stroke-width=\"1.5\"");
    canvas.line([from, y], [to, y], &style);
    for x in [from, to] {
        canvas.line([x, y], [x, y + 8.0], &style);
    }
    canvas.text([0.5 * (from + to), y - 5.0], "middle", 12.0, "held");
}

/// A mark and a numbered label for everything sudden.
fn events(canvas: &mut Canvas, hold: &Hold, frame: &Frame, x: &dyn Fn(f64) -> f64) {
    for (i, event) in hold.events.iter().enumerate() {
        let [px, py] = frame.at(x(event.time[0]), BAR.value_of(event.before));
        let colour = if event.kind.is_fall() { WARM } else { MUTED };
        canvas.raw(format_args!(
            "<path d=\"M{px:.2} {py:.2}l-5 -10h10z\" fill=\"{colour}\" stroke=\"{INK}\" stroke-width=\"0.6\"/>"
        ));
        canvas.text([px, py - 13.0], "middle", 11.0, &(i + 1).to_string());
        if i < 12 {
            let y = 250.0 + 17.0 * i as f64;
            let text = format!("{} {}: {} to {} bar", i + 1, event_word(event.kind), bar(event.before, 2), bar(event.after, 2));
            canvas.text([frame.x[1] + 8.0, y], "start", 12.0, &text);
        }
    }
    if hold.events.len() > 12 {
        let more = format!("and {} more", hold.events.len() - 12);
        canvas.text([frame.x[1] + 8.0, 250.0 + 17.0 * 12.0], "start", 12.0, &more);
    }
}
