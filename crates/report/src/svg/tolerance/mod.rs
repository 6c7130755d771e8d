//! Pictures of a study of tolerances: the margins against their limits, what matters, and the probability over the width of a spread.

mod bars;
mod margin;
mod width;

use super::frame::Frame;
use super::{Canvas, GRID};
use crate::tolerance::Reported;

/// File name and picture of all there is to show.
pub fn pictures(r: &Reported<'_>) -> Vec<(String, String)> {
    let mut pictures = Vec::new();
    for (k, distribution) in r.findings.distributions.iter().enumerate() {
        let name = r.limits.column(k).name;
        let margin = distribution.as_ref().map(|d| margin::picture(r, k, d));
        pictures.extend(margin.map(|picture| (format!("tolerance_margin_{name}.svg"), picture)));
        pictures.extend(bars::picture(r, k).map(|picture| (format!("tolerance_importance_{name}.svg"), picture)));
    }
    pictures.extend(width::picture(r).map(|picture| ("tolerance_width.svg".to_owned(), picture)));
    pictures
}

/// Lines and labels of whole powers of ten on an axis of their logarithms.
fn powers(canvas: &mut Canvas, frame: &Frame) {
    let [low, high] = frame.y_range.map(|p| p as i32);
    let every = ((high - low) / 8).max(1);
    for power in (low..=high).filter(|p| p.rem_euclid(every) == 0) {
        let [x, y] = frame.at(frame.x_range[0], f64::from(power));
        if y > frame.y[0] + 0.1 || y < frame.y[1] - 0.1 {
            continue;
        }
        canvas.line([x, y], [frame.x[1], y], &format!("stroke=\"{GRID}\""));
        let label = if power == 0 { "1".to_owned() } else { format!("1e{power}") };
        canvas.text([x - 8.0, y + 4.0], "end", 12.0, &label);
    }
}
