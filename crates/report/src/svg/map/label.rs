//! Labels within a map, none over another as far as there is room.

use crate::svg::{Canvas, INK, escape};

/// Width of a letter and height of a line as shares of the letters' size.
const LETTER: f64 = 0.56;
const LINE: f64 = 1.3;
/// Least distance of a label from the frame.
const EDGE: f64 = 3.0;
/// Largest number of places that are tried.
const TRIED: usize = 400;

/// Boxes taken so far: left, top, right, bottom.
pub(super) struct Labels {
    bounds: [f64; 4],
    taken: Vec<[f64; 4]>,
}

impl Labels {
    /// Within the frame of these bounds.
    pub(super) fn within(x: [f64; 2], y: [f64; 2]) -> Self {
        Self { bounds: [x[0], y[1], x[1], y[0]], taken: Vec::new() }
    }

    /// Writes lines of text centred at the place that leaves most room; nowhere if every place is taken.
    pub(super) fn put(&mut self, canvas: &mut Canvas, places: &[[f64; 2]], size: f64, lines: &[&str]) {
        let longest = lines.iter().map(|line| line.chars().count()).max().unwrap_or(0);
        let half = [0.5 * LETTER * size * longest as f64, 0.5 * LINE * size * lines.len() as f64];
        let box_at = |p: &[f64; 2]| [p[0] - half[0], p[1] - half[1], p[0] + half[0], p[1] + half[1]];
        let stride = places.len().div_ceil(TRIED).max(1);
        // A place on the border is moved in by as much as the text needs.
        let [left, top, right, bottom] = self.bounds;
        let inside = |low: f64, at: f64, high: f64| if low < high { at.clamp(low, high) } else { at };
        let moved = |p: &[f64; 2]| {
            let x = inside(left + half[0] + EDGE, p[0], right - half[0] - EDGE);
            [x, inside(top + half[1] + EDGE, p[1], bottom - half[1] - EDGE)]
        };
        let best = places
            .iter()
            .step_by(stride)
            .map(moved)
            .map(|place| (place, self.room(&box_at(&place))))
            .filter(|(_, room)| *room > 0.0)
            .reduce(|a, b| if b.1 > a.1 + 1e-6 { b } else { a });
        let Some((place, _)) = best else { return };
        self.taken.push(box_at(&place));
        let top = place[1] - half[1];
        for (i, line) in lines.iter().enumerate() {
            canvas.raw(format_args!(
                "<text x=\"{:.2}\" y=\"{:.2}\" text-anchor=\"middle\" font-size=\"{size}\" fill=\"{INK}\" stroke=\"#ffffff\" \
                 stroke-width=\"3.5\" stroke-linejoin=\"round\" paint-order=\"stroke\">{}</text>",
                place[0],
                top + (i as f64 + 0.78) * LINE * size,
                escape(line)
            ));
        }
    }

    /// Least distance from a box to those taken and to the bounds; negative where it lies over one.
    fn room(&self, new: &[f64; 4]) -> f64 {
        let inside = [new[0] - self.bounds[0], new[1] - self.bounds[1], self.bounds[2] - new[2], self.bounds[3] - new[3]];
        let apart = |old: &[f64; 4]| (old[0] - new[2]).max(new[0] - old[2]).max((old[1] - new[3]).max(new[1] - old[3]));
        self.taken.iter().map(apart).chain(inside).fold(60.0, f64::min)
    }
}
