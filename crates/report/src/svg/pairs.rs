//! Measured tyres of a rim in the plane of bead diameter and stiffness: the shape of a mark tells the finding, its shade the load on the rim.

use hoopwright_study::column::Number;
use hoopwright_study::pairs::judge::Finding;
use hoopwright_study::pairs::list::{Entry, List};

use super::frame::{Frame, range};
use super::map::palette::colour;
use super::{Canvas, INK, MUTED, escape, ticks};
use crate::pairs::finding;

const WIDTH: f64 = 900.0;
const HEIGHT: f64 = 560.0;
/// Shades of the load.
const SHADES: usize = 6;
/// Radius of a mark.
const MARK: f64 = 6.0;

/// A tyre on the chart.
struct Point<'l> {
    id: &'l str,
    at: [f64; 2],
    finding: Finding,
    /// Hoop force of the rim at the listed pressure, N, compression positive.
    load: Option<f64>,
}

/// The chart of a rim's tyres.
pub(crate) fn chart(list: &List<'_>, rim: usize) -> String {
    let points: Vec<Point<'_>> =
        list.entries.iter().filter(|entry| entry.pair.rim == rim).filter_map(|entry| point(list, entry)).collect();
    let frame = Frame {
        x: [80.0, 700.0],
        y: [490.0, 50.0],
        x_range: range(points.iter().map(|p| p.at[0]), 0.08),
        y_range: range(points.iter().map(|p| p.at[1]), 0.08),
    };
    let mut canvas = Canvas::new(WIDTH, HEIGHT);
    let axes = [ticks(frame.x_range[0], frame.x_range[1], 7.0), ticks(frame.y_range[0], frame.y_range[1], 6.0)];
    frame.axes(&mut canvas, [&axes[0], &axes[1]], ["bead diameter, mm", "bead stiffness, kN"], true);
    let loads = points.iter().filter_map(|p| p.load).fold([f64::INFINITY, 0.0_f64], |[low, high], l| [low.min(l), high.max(l)]);
    for point in &points {
        mark(&mut canvas, frame.at(point.at[0], point.at[1]), point, loads);
    }
    legend(&mut canvas, loads);
    let title = format!("Measured tyres on {}: bead diameter and stiffness, finding and load on the rim", list.rims[rim].id);
    canvas.finish(&title, "Full circle: fits. Half circle: fits up to a lower pressure. Triangle: test first. Cross: does not fit. Square: no answer.")
}

fn point<'l>(list: &'l List<'_>, entry: &Entry) -> Option<Point<'l>> {
    let (tyre, answer) = (&list.tyres[entry.pair.tyre], entry.answer.as_ref()?);
    let load = answer.solved.new.number("rim_hoop_force").map(Number::value).map(f64::abs);
    let at = [tyre.diameter, 1e-3 * tyre.stiffness];
    Some(Point { id: &tyre.id, at, finding: answer.judged.finding, load })
}

fn shade(load: Option<f64>, [low, high]: [f64; 2]) -> String {
    let Some(load) = load else { return "#ffffff".to_owned() };
    let share = if differ([low, high]) { (load - low) / (high - low) } else { 0.5 };
    colour(((share * SHADES as f64) as usize).min(SHADES - 1), SHADES)
}

/// Whether loads on the rim differ by more than what the legend's numbers show, N.
fn differ([low, high]: [f64; 2]) -> bool {
    high - low >= SHADES as f64
}

fn mark(canvas: &mut Canvas, [x, y]: [f64; 2], point: &Point<'_>, loads: [f64; 2]) {
    let fill = shade(point.load, loads);
    canvas.raw(format_args!("<g>"));
    shape(canvas, [x, y], point.finding, &fill);
    let load = point.load.map_or(String::new(), |load| format!(", rim hoop force {load:.0} N"));
    canvas.raw(format_args!("<title>{}: {}{load}</title>", escape(point.id), finding(Some(point.finding))));
    canvas.raw(format_args!(
        "<text class=\"ids\" x=\"{:.2}\" y=\"{:.2}\" font-size=\"8\" fill=\"{INK}\">{}</text>",
        x + MARK + 2.0,
        y + 3.0,
        escape(point.id)
    ));
    canvas.raw(format_args!("</g>"));
}

fn shape(canvas: &mut Canvas, [x, y]: [f64; 2], finding: Finding, fill: &str) {
    let r = MARK;
    let line = format!("stroke=\"{INK}\" stroke-width=\"1.2\"");
    match finding {
        Finding::Fits => canvas.raw(format_args!("<circle cx=\"{x:.2}\" cy=\"{y:.2}\" r=\"{r}\" fill=\"{fill}\" {line}/>")),
        Finding::FitsUpTo(_) => {
            canvas.raw(format_args!("<circle cx=\"{x:.2}\" cy=\"{y:.2}\" r=\"{r}\" fill=\"#ffffff\" {line}/>"));
            canvas.raw(format_args!("<path d=\"M{x:.2} {:.2}a{r} {r} 0 0 0 0 {:.2}z\" fill=\"{fill}\" {line}/>", y - r, 2.0 * r));
        }
        Finding::TestFirst => canvas.polygon(
            &[[x, y - 1.2 * r], [x + 1.1 * r, y + 0.8 * r], [x - 1.1 * r, y + 0.8 * r]],
            &format!("fill=\"{fill}\" {line}"),
        ),
        Finding::DoesNotFit => {
            let thick = format!("stroke=\"{INK}\" stroke-width=\"3.6\"");
            let thin = format!("stroke=\"{fill}\" stroke-width=\"1.6\"");
            for style in [thick, thin] {
                canvas.line([x - r, y - r], [x + r, y + r], &style);
                canvas.line([x - r, y + r], [x + r, y - r], &style);
            }
        }
        Finding::NoAnswer => canvas.polygon(
            &[[x - r, y - r], [x + r, y - r], [x + r, y + r], [x - r, y + r]],
            &format!("fill=\"#ffffff\" stroke-dasharray=\"2 2\" {line}"),
        ),
    }
}

fn legend(canvas: &mut Canvas, [low, high]: [f64; 2]) {
    let kinds = [Finding::Fits, Finding::FitsUpTo(0.0), Finding::TestFirst, Finding::DoesNotFit, Finding::NoAnswer];
    for (k, kind) in kinds.into_iter().enumerate() {
        let y = 70.0 + 24.0 * k as f64;
        shape(canvas, [730.0, y], kind, MUTED);
        canvas.text([746.0, y + 4.0], "start", 12.0, crate::pairs::kind(Some(kind)));
    }
    if !(low.is_finite() && high > 0.0) {
        return;
    }
    canvas.text([720.0, 220.0], "start", 12.0, "rim hoop force, N");
    let shades = if differ([low, high]) { 0..SHADES } else { SHADES / 2..SHADES / 2 + 1 };
    for (row, k) in shades.enumerate() {
        let y = 234.0 + 20.0 * row as f64;
        canvas.raw(format_args!(
            "<rect x=\"722\" y=\"{y}\" width=\"18\" height=\"18\" fill=\"{}\" stroke=\"{INK}\" stroke-width=\"0.5\"/>",
            colour(k, SHADES)
        ));
        let from = low + (high - low) * row as f64 / SHADES as f64;
        let label = if differ([low, high]) { format!("from {from:.0}") } else { format!("{low:.0}") };
        canvas.text([746.0, y + 13.0], "start", 12.0, &label);
    }
}
