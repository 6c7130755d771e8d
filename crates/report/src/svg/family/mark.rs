//! Lines, marks and labels of a family: told apart by shape and label, and by colour only besides.

use crate::svg::frame::Frame;
use crate::svg::{Canvas, INK, MUTED, WARM};

/// Colours of lines, dark enough on white, of different lightness, and apart for colour-blind eyes (after M. Okabe and K. Ito, Color
/// Universal Design, 2008, darkened).
const COLOURS: [&str; 6] = ["#1b3a63", "#b5541c", "#0a7d66", "#8a3f7c", "#5f6a1e", "#3f8fc4"];
/// Distance of two labels, and the size of their letters.
const GAP: f64 = 17.0;
const LETTERS: f64 = 12.0;

/// How the line of a series looks.
#[derive(Clone, Copy)]
pub(super) struct Look {
    number: usize,
}

/// A label at the right of the frame.
pub(super) struct Label {
    /// The end of what it belongs to.
    pub(super) from: [f64; 2],
    pub(super) text: String,
    /// The look of its series; none for a limit.
    pub(super) look: Option<Look>,
}

impl Look {
    /// The look of the series of a number: six shapes, each at first with a full line and then with a broken one.
    pub(super) fn of(number: usize) -> Self {
        Self { number }
    }

    fn colour(self) -> &'static str {
        COLOURS[self.number % COLOURS.len()]
    }

    /// Style of the line.
    pub(super) fn line(self) -> String {
        let dash = if self.number < COLOURS.len() { "" } else { " stroke-dasharray=\"8 4\"" };
        format!("stroke=\"{}\" stroke-width=\"2\" stroke-linejoin=\"round\"{dash}", self.colour())
    }

    /// Draws the mark, filled or hollow.
    pub(super) fn mark(self, canvas: &mut Canvas, [x, y]: [f64; 2], filled: bool) {
        let fill = if filled { self.colour() } else { "#ffffff" };
        let style = format!("fill=\"{fill}\" stroke=\"{}\" stroke-width=\"1.6\"", self.colour());
        let corners: &[[f64; 2]] = match self.number % COLOURS.len() {
            0 => return canvas.raw(format_args!("<circle cx=\"{x:.2}\" cy=\"{y:.2}\" r=\"4.4\" {style}/>")),
            1 => &[[-4.0, -4.0], [4.0, -4.0], [4.0, 4.0], [-4.0, 4.0]],
            2 => &[[-5.0, 4.0], [5.0, 4.0], [0.0, -5.0]],
            3 => &[[-5.5, 0.0], [0.0, -5.5], [5.5, 0.0], [0.0, 5.5]],
            4 => &[[-5.0, -4.0], [5.0, -4.0], [0.0, 5.0]],
            _ => &[
                [-1.8, -5.0],
                [1.8, -5.0],
                [1.8, -1.8],
                [5.0, -1.8],
                [5.0, 1.8],
                [1.8, 1.8],
                [1.8, 5.0],
                [-1.8, 5.0],
                [-1.8, 1.8],
                [-5.0, 1.8],
                [-5.0, -1.8],
                [-1.8, -1.8],
            ],
        };
        let points: Vec<[f64; 2]> = corners.iter().map(|corner| [x + corner[0], y + corner[1]]).collect();
        canvas.polygon(&points, &style);
    }
}

/// A lower bound: hollow, with an arrow upward.
pub(super) fn above(canvas: &mut Canvas, look: Look, [x, y]: [f64; 2]) {
    let style = format!("stroke=\"{}\" stroke-width=\"1.6\"", look.colour());
    canvas.line([x, y], [x, y - 18.0], &style);
    canvas.polyline(&[[x - 4.0, y - 13.0], [x, y - 18.0], [x + 4.0, y - 13.0]], &style);
    look.mark(canvas, [x, y], false);
}

/// No number: a cross on the axis.
pub(super) fn missing(canvas: &mut Canvas, [x, y]: [f64; 2]) {
    for slope in [-5.0, 5.0] {
        canvas.line([x - 5.0, y - slope], [x + 5.0, y + slope], &format!("stroke=\"{WARM}\" stroke-width=\"2\""));
    }
}

/// Puts the labels at the right of the frame, none over another, each with its mark and a thin line to where it belongs.
pub(super) fn place(canvas: &mut Canvas, frame: &Frame, mut labels: Vec<Label>, legend: &[String]) {
    labels.sort_by(|a, b| a.from[1].total_cmp(&b.from[1]));
    let wanted: Vec<f64> = labels.iter().map(|label| label.from[1]).collect();
    let left = frame.x[1] + 22.0;
    for (label, y) in labels.iter().zip(spread(&wanted, [frame.y[1], frame.y[0]])) {
        canvas.line([label.from[0] + 7.0, label.from[1]], [left - 2.0, y], &format!("stroke=\"{MUTED}\" stroke-width=\"0.6\""));
        let text_left = match label.look {
            Some(look) => {
                look.mark(canvas, [left + 6.0, y], true);
                left + 17.0
            }
            None => left + 2.0,
        };
        canvas.text([text_left, y + 4.0], "start", LETTERS, &label.text);
    }
    for (i, name) in legend.iter().enumerate() {
        let y = frame.y[1] - 14.0 * (legend.len() - i) as f64;
        canvas.raw(format_args!(
            "<text x=\"{left:.2}\" y=\"{y:.2}\" font-size=\"{LETTERS}\" font-weight=\"bold\" fill=\"{INK}\">{}</text>",
            crate::svg::escape(name)
        ));
    }
}

/// Places at least a gap apart, in the order of the wanted ones and near them, within the bounds if there is room.
fn spread(wanted: &[f64], [top, bottom]: [f64; 2]) -> Vec<f64> {
    let mut places: Vec<f64> = wanted.to_vec();
    for i in 1..places.len() {
        places[i] = places[i].max(places[i - 1] + GAP);
    }
    let mut limit = bottom;
    for place in places.iter_mut().rev() {
        *place = place.min(limit);
        limit = *place - GAP;
    }
    let over = (top - places.first().copied().unwrap_or(top)).max(0.0);
    places.iter().map(|place| place + over).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn labels_stand_apart_and_in_order() {
        for wanted in [vec![100.0, 101.0, 102.0], vec![395.0, 399.0, 400.0], vec![90.0; 12], vec![120.0, 200.0, 300.0]] {
            let places = spread(&wanted, [90.0, 400.0]);
            assert!(places.windows(2).all(|pair| pair[1] - pair[0] >= GAP - 1e-9), "{places:?}");
            assert!(places.iter().all(|y| (90.0..=400.0).contains(y)), "{places:?}");
        }
        assert_eq!(spread(&[120.0, 200.0], [90.0, 400.0]), [120.0, 200.0]);
    }
}
