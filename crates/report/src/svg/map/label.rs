//! Labels within a map, none over another as far as there is room.

use crate::svg::Canvas;

/// Width of a letter and height of a line as shares of the letters' size.
const LETTER: f64 = 0.56;
const LINE: f64 = 1.3;
/// Least distance of a label from the frame.
const EDGE: f64 = 3.0;
/// Least distance of a label from a mark.
const MARK: f64 = 5.0;
/// Largest number of places that are tried.
const TRIED: usize = 400;
/// Room beyond which more does not count along a line.
const AMPLE: f64 = 60.0;

/// A box: left, top, right, bottom.
type Extent = [f64; 4];

/// How a label may be written: size of the letters, and lines.
pub(super) type Form<'a> = (f64, &'a [&'a str]);

/// Labels, with what they must not lie over.
pub(super) struct Labels {
    bounds: Extent,
    marks: Vec<[f64; 2]>,
    taken: Vec<Extent>,
    /// Place, size and text of every line written.
    written: Vec<([f64; 2], f64, String)>,
}

impl Labels {
    /// Within the frame of these bounds, and clear of marks where there is room.
    pub(super) fn within(x: [f64; 2], y: [f64; 2], marks: Vec<[f64; 2]>) -> Self {
        Self { bounds: [x[0], y[1], x[1], y[0]], marks, taken: Vec::new(), written: Vec::new() }
    }

    /// A label centred at the place along a line that leaves most room; none if every place is taken.
    pub(super) fn put(&mut self, places: &[[f64; 2]], size: f64, lines: &[&str]) {
        let half = half(&(size, lines));
        // A place on the border is moved in by as much as the text needs.
        let [left, top, right, bottom] = self.bounds;
        let inside = |low: f64, at: f64, high: f64| if low < high { at.clamp(low, high) } else { at };
        let moved = |p: &[f64; 2]| {
            let x = inside(left + half[0] + EDGE, p[0], right - half[0] - EDGE);
            [x, inside(top + half[1] + EDGE, p[1], bottom - half[1] - EDGE)]
        };
        let places: Vec<[f64; 2]> = tried(places).map(moved).collect();
        let clear = |at: &Extent| self.room(at).min(AMPLE).min(room_beside(at, &self.marks) - MARK);
        let best = roomiest(&places, half, clear).or_else(|| roomiest(&places, half, |at| self.room(at).min(AMPLE)));
        if let Some(place) = best {
            self.write(place, half, (size, lines));
        }
    }

    /// A label in an area, at the place that is farthest from what lies around it, in the first of the forms for which there is room;
    /// clear of marks where that is possible.
    pub(super) fn put_in(&mut self, places: &[[f64; 2]], around: &[[f64; 2]], forms: &[Form<'_>]) {
        let places: Vec<[f64; 2]> = tried(places).copied().collect();
        for form in forms {
            let half = half(form);
            let within = |at: &Extent| self.room(at).min(room_beside(at, around) - EDGE);
            let clear = |at: &Extent| within(at).min(room_beside(at, &self.marks) - MARK);
            if let Some(place) = roomiest(&places, half, clear).or_else(|| roomiest(&places, half, within)) {
                self.write(place, half, *form);
                return;
            }
        }
    }

    /// Draws all labels.
    pub(super) fn draw(&self, canvas: &mut Canvas) {
        self.written.iter().for_each(|(at, size, line)| canvas.text_over(*at, "middle", *size, line));
    }

    fn write(&mut self, place: [f64; 2], half: [f64; 2], (size, lines): Form<'_>) {
        self.taken.push(around(place, half));
        let top = place[1] - half[1];
        let at = |i: usize| [place[0], top + (i as f64 + 0.78) * LINE * size];
        self.written.extend(lines.iter().enumerate().map(|(i, line)| (at(i), size, (*line).to_owned())));
    }

    /// Least distance from a box to those taken and to the bounds; negative where it lies over one.
    fn room(&self, new: &Extent) -> f64 {
        let inside = [new[0] - self.bounds[0], new[1] - self.bounds[1], self.bounds[2] - new[2], self.bounds[3] - new[3]];
        self.taken.iter().map(|old| apart(old, new)).chain(inside).fold(f64::INFINITY, f64::min)
    }
}

/// At most [`TRIED`] of the places, evenly among them.
fn tried(places: &[[f64; 2]]) -> impl Iterator<Item = &[f64; 2]> {
    places.iter().step_by(places.len().div_ceil(TRIED).max(1))
}

/// Half the width and height of a label.
fn half((size, lines): &Form<'_>) -> [f64; 2] {
    let longest = lines.iter().map(|line| line.chars().count()).max().unwrap_or(0);
    [0.5 * LETTER * size * longest as f64, 0.5 * LINE * size * lines.len() as f64]
}

fn around(place: [f64; 2], half: [f64; 2]) -> Extent {
    [place[0] - half[0], place[1] - half[1], place[0] + half[0], place[1] + half[1]]
}

/// Distance of two boxes, along the axis on which they lie farther apart; negative where one lies over the other.
fn apart(old: &Extent, new: &Extent) -> f64 {
    (old[0] - new[2]).max(new[0] - old[2]).max((old[1] - new[3]).max(new[1] - old[3]))
}

/// Least distance from a box to some places; negative where it lies over one.
fn room_beside(new: &Extent, places: &[[f64; 2]]) -> f64 {
    places.iter().map(|p| apart(&[p[0], p[1], p[0], p[1]], new)).fold(f64::INFINITY, f64::min)
}

/// The place with most room, the first of equal ones; none where there is no room.
fn roomiest(places: &[[f64; 2]], half: [f64; 2], room: impl Fn(&Extent) -> f64) -> Option<[f64; 2]> {
    let with_room = places.iter().map(|place| (*place, room(&around(*place, half)))).filter(|(_, room)| *room > 0.0);
    with_room.reduce(|a, b| if b.1 > a.1 + 1e-6 { b } else { a }).map(|(place, _)| place)
}

#[cfg(test)]
mod tests {
    use super::*;

    const AREA: &[[f64; 2]] = &[[30.0, 20.0], [60.0, 60.0], [90.0, 70.0]];

    #[test]
    fn a_label_in_an_area_keeps_clear_of_what_lies_around_it_or_is_written_shorter() {
        let forms: [Form<'_>; 2] = [(10.0, &["holds", "every limit"]), (10.0, &["holds"])];
        let written = |around: &[[f64; 2]], marks: &[[f64; 2]]| {
            let mut labels = Labels::within([0.0, 200.0], [100.0, 0.0], marks.to_vec());
            labels.put_in(AREA, around, &forms);
            (labels.written.len(), labels.taken.first().map(|at| [0.5 * (at[0] + at[2]), 0.5 * (at[1] + at[3])]))
        };
        assert_eq!(written(&[[0.0, 0.0]], &[]), (2, Some([60.0, 60.0])), "whole, where there is most room");
        assert_eq!(written(&[[0.0, 0.0]], &[[40.0, 60.0]]), (2, Some([90.0, 70.0])), "clear of a mark");
        assert_eq!(written(&[[70.0, 55.0]], &[]), (1, Some([30.0, 20.0])), "one line where two would touch");
        let all: Vec<[f64; 2]> = AREA.to_vec();
        assert_eq!(written(&all, &[]).0, 0, "none where there is no room");
        assert_eq!(written(&[[0.0, 0.0]], &all).0, 2, "over a mark rather than not at all");
    }

    #[test]
    fn labels_of_lines_do_not_lie_over_one_another() {
        let mut labels = Labels::within([0.0, 200.0], [100.0, 0.0], Vec::new());
        (0..9).for_each(|_| labels.put(AREA, 10.0, &["8 bar"]));
        assert_eq!(labels.taken.len(), 3, "{:?}", labels.taken);
        let pairs = labels.taken.iter().enumerate().flat_map(|(i, a)| labels.taken[..i].iter().map(move |b| apart(a, b)));
        assert!(pairs.fold(f64::INFINITY, f64::min) > 0.0);
    }
}
