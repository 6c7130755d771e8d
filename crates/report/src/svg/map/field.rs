//! One field over the map: bands of colour with lines between them, and the outline of the window.

use hoopwright_case::units::number;

use super::facets::{Corner, clip};
use super::label::Labels;
use super::{NOTHING, Sheet, palette};
use crate::svg::{Canvas, INK, ticks};

/// About so many bands.
const BANDS: f64 = 8.0;

/// The picture; none where the field has no number, or only bounds.
pub(super) fn picture(sheet: &Sheet<'_>, field: usize) -> Option<String> {
    let column = sheet.map.fields[field].column;
    let values = sheet.values(field);
    let [low, high] = values.iter().flatten().fold([f64::INFINITY, f64::NEG_INFINITY], |[l, h], v| [l.min(*v), h.max(*v)]);
    if low > high {
        return None;
    }
    // A field that is the same all over is one band.
    let inner = if high - low > 1e-9 * high.abs().max(low.abs()) { ticks(low, high, BANDS) } else { Vec::new() };
    let edges: Vec<f64> = [f64::NEG_INFINITY].into_iter().chain(inner.iter().copied()).chain([f64::INFINITY]).collect();
    let mut canvas = sheet.begin(&format!("{}, {}", column.meaning, column.unit));
    let function = [sheet.facets.nodal(&values)];
    let bands = edges.len() - 1;
    for band in 0..bands {
        let colour = palette::colour(band, bands);
        let within = |triangle: Vec<Corner>| above(&below(&triangle, edges[band + 1]), edges[band]);
        let polygons: Vec<Vec<Corner>> = sheet.facets.with(&function).map(within).collect();
        sheet.areas(&mut canvas, &polygons, &colour, &colour);
    }
    let mut labels = Labels::within(sheet.frame.x, sheet.frame.y, Vec::new());
    for level in &inner {
        for line in sheet.facets.lines(&function[0], *level) {
            let places: Vec<[f64; 2]> = line.iter().map(|p| sheet.frame.at(p[0], p[1])).collect();
            canvas.polyline(&places, "stroke=\"#ffffff\" stroke-width=\"1\"");
            if places.len() > 2 {
                labels.put(&places, 11.0, &[&number(*level)]);
            }
        }
    }
    for limit in 0..sheet.map.limits.len() {
        Sheet::limit_line(&mut canvas, &sheet.limit_parts(limit), "stroke-width=\"2.6\"");
    }
    labels.draw(&mut canvas);
    sheet.axes(&mut canvas);
    legend(&mut canvas, sheet, &edges, values.iter().any(Option::is_none));
    let description = format!("{} over {} and {}.", column.meaning, sheet.axes[0], sheet.axes[1]);
    Some(canvas.finish(&format!("{}: {}", column.meaning, sheet.title), &description))
}

fn above(polygon: &[Corner], level: f64) -> Vec<Corner> {
    if level.is_finite() { clip(polygon, |v| v[0] - level) } else { polygon.to_vec() }
}

fn below(polygon: &[Corner], level: f64) -> Vec<Corner> {
    if level.is_finite() { clip(polygon, |v| level - v[0]) } else { polygon.to_vec() }
}

/// The bands from below, what the heavy line is, and what is not there.
fn legend(canvas: &mut Canvas, sheet: &Sheet<'_>, edges: &[f64], missing: bool) {
    let left = sheet.frame.x[1] + 24.0;
    let (bands, height) = (edges.len() - 1, 30.0);
    let bottom = sheet.frame.y[1] + height * bands as f64;
    for band in 0..bands {
        let (colour, y) = (palette::colour(band, bands), bottom - height * (band + 1) as f64);
        canvas.raw(format_args!(
            "<rect x=\"{left}\" y=\"{y:.1}\" width=\"26\" height=\"{height}\" fill=\"{colour}\" stroke=\"{INK}\" stroke-width=\"0.5\"/>"
        ));
        if band > 0 {
            canvas.text([left + 36.0, y + height + 4.0], "start", 12.0, &number(edges[band]));
        }
    }
    let mut y = bottom + 30.0;
    canvas.line([left, y], [left + 26.0, y], &format!("stroke=\"{INK}\" stroke-width=\"2.6\""));
    canvas.text([left + 36.0, y + 4.0], "start", 12.0, "bound of the window in which");
    canvas.text([left + 36.0, y + 19.0], "start", 12.0, "every stated limit is kept");
    if missing {
        y += 42.0;
        canvas.raw(format_args!(
            "<rect x=\"{left}\" y=\"{:.1}\" width=\"26\" height=\"16\" fill=\"url(#{NOTHING})\" stroke=\"{INK}\" stroke-width=\"0.6\"/>",
            y - 8.0
        ));
        canvas.text([left + 36.0, y + 4.0], "start", 12.0, "no number, or only a bound");
    }
}

/// A text in lines of at most so many letters, cut at blanks.
pub(super) fn wrapped(text: &str, most: usize) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for word in text.split_whitespace() {
        match lines.last_mut() {
            Some(line) if line.chars().count() + word.chars().count() < most => {
                line.push(' ');
                line.push_str(word);
            }
            _ => lines.push(word.to_owned()),
        }
    }
    lines
}
