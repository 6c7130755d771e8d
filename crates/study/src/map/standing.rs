//! How a place between the points of a map stands to the limits: by the numbers that are interpolated there, as the pictures are, and by how
//! far these may be off.
//!
//! A cell of the grid is cut into four triangles round its middle, which has the mean of the four points; over each of them numbers are
//! straight. The pictures cut their areas from the same triangles.

use super::{Finished, Grid, State};
use crate::column::Number;
use crate::map::field::Limit;

/// How a place stands to the limits.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Standing {
    /// Every stated limit is kept, and would be if the numbers were off by their error.
    Holds,
    /// Limits are not kept, one of them by more than its error; the number of the one passed by the largest share of its value.
    Fails(usize),
    /// So near to this limit that the error of what is interpolated decides: neither kept nor failed.
    Near(usize),
    /// No equilibrium was found at a point beside it.
    NoAnswer,
}

/// A place within the triangle in which it lies.
#[derive(Clone, Copy, Debug)]
pub struct Place {
    /// Column and row of the cell.
    cell: [usize; 2],
    /// The points round the cell: the two of the triangle first.
    ring: [usize; 4],
    /// Shares of these two and of the cell's middle.
    shares: [f64; 3],
}

impl Place {
    /// Within a grid; none outside.
    pub fn of(grid: &Grid, [x, y]: [f64; 2]) -> Option<Self> {
        let (cell, [s, t]) = grid.locate(x, y)?;
        let [i, j] = cell;
        let around = [(i, j), (i + 1, j), (i + 1, j + 1), (i, j + 1)].map(|(i, j)| grid.number(i, j));
        // Depth from each side of the cell, and how far along that side: it lies in the triangle on the nearest one.
        let sides = [(t, s), (1.0 - s, t), (1.0 - t, 1.0 - s), (s, 1.0 - t)];
        let (side, (depth, along)) = sides.into_iter().enumerate().min_by(|a, b| a.1.0.total_cmp(&b.1.0))?;
        let ring = [0, 1, 2, 3].map(|k| around[(side + k) % 4]);
        Some(Self { cell, ring, shares: [1.0 - along - depth, along - depth, 2.0 * depth] })
    }

    /// What has some values at the points is here; none where one of the cell's points has none.
    pub fn value(&self, of: impl Fn(usize) -> Option<f64>) -> Option<f64> {
        let [a, b, c, d] = self.ring.map(of);
        Some(self.straight([a?, b?, 0.25 * (a? + b? + c? + d?)]))
    }

    fn straight(&self, nodes: [f64; 3]) -> f64 {
        self.shares.iter().zip(nodes).map(|(share, value)| share * value).sum()
    }

    /// As [`Self::value`], a corner of the triangle that has no value counting as 1: a limit without a number does not bound anything.
    fn open(&self, of: impl Fn(usize) -> Option<f64>) -> f64 {
        let [a, b, c, d] = self.ring.map(of);
        let middle = [a, b, c, d].into_iter().sum::<Option<f64>>().map_or(1.0, |sum| 0.25 * sum);
        self.straight([a.unwrap_or(1.0), b.unwrap_or(1.0), middle])
    }
}

impl Finished {
    /// A field at a place; none where a point round it has no number or only a bound.
    pub fn at(&self, field: usize, place: &Place) -> Option<f64> {
        place.value(|point| match self.points[point].numbers[field] {
            Some(Number::Found(value)) => Some(value),
            _ => None,
        })
    }

    /// How far a field may be off at a place, in its unit: the error that held-out points tell, and what straight lines between the points
    /// leave out of a curve. None where no held-out point tells.
    pub fn error(&self, field: usize, place: &Place) -> Option<f64> {
        let [i, j] = place.cell;
        let of_cell = self.cell_errors.get(i * (self.grid.y.len() - 1) + j)?;
        let held_out = of_cell.get(field).copied().flatten()?;
        Some(held_out + self.curved(field, place.cell))
    }

    /// The largest difference of a field from straight lines between its points within a cell: an eighth of the second differences along
    /// both axes (of a parabola through three points), and a sixteenth of the mixed one (of triangles in place of a saddle).
    fn curved(&self, field: usize, [i, j]: [usize; 2]) -> f64 {
        let number = |i: usize, j: usize| self.points[self.grid.number(i, j)].numbers[field].map_or(f64::NAN, Number::value);
        let second = |before: Option<f64>, at: f64, after: Option<f64>| before.zip(after).map(|(b, a)| (b - 2.0 * at + a).abs());
        let column = |i: usize, j: usize| (i < self.grid.x.len() && j < self.grid.y.len()).then(|| number(i, j));
        let along_x =
            |(i, j): (usize, usize)| second(i.checked_sub(1).and_then(|i| column(i, j)), number(i, j), column(i + 1, j));
        let along_y =
            |(i, j): (usize, usize)| second(j.checked_sub(1).and_then(|j| column(i, j)), number(i, j), column(i, j + 1));
        let corners = [(i, j), (i + 1, j), (i, j + 1), (i + 1, j + 1)];
        let largest = |values: [Option<f64>; 4]| values.into_iter().flatten().filter(|v| v.is_finite()).fold(0.0, f64::max);
        let [a, b, c, d] = corners.map(|(i, j)| number(i, j));
        let saddle = Some((a - b - c + d).abs()).filter(|v| v.is_finite()).unwrap_or(0.0);
        (largest(corners.map(along_x)) + largest(corners.map(along_y))) / 8.0 + saddle / 16.0
    }

    /// How a place stands to the limits.
    pub fn standing(&self, place: &Place) -> Standing {
        let ranges: Vec<[f64; 2]> = (0..self.limits.len()).map(|k| self.range(k, place)).collect();
        match self.area(place) {
            State::NoAnswer => Standing::NoAnswer,
            State::Fails(k) if ranges.iter().any(|[_, most]| *most < 0.0) => Standing::Fails(k),
            State::Fails(k) => Standing::Near(k),
            State::Holds => {
                let worst = ranges.iter().enumerate().min_by(|a, b| a.1[0].total_cmp(&b.1[0]));
                worst.filter(|(_, [least, _])| *least < 0.0).map_or(Standing::Holds, |(k, _)| Standing::Near(k))
            }
        }
    }

    /// The margin to a limit at each point that has an answer.
    fn margin(&self, limit: usize) -> impl Fn(usize) -> Option<f64> {
        move |point| self.points[point].margins[limit].filter(|_| self.points[point].answered)
    }

    /// The area of the picture in which a place lies.
    pub fn area(&self, place: &Place) -> State {
        let all = 0..self.limits.len();
        let open: Vec<f64> = all.clone().map(|k| place.open(self.margin(k))).collect();
        let known = |k: usize| place.value(self.margin(k));
        let first = |k: &usize| known(*k).is_some_and(|own| own < 0.0 && open.iter().all(|other| own <= *other));
        match all.clone().find(first) {
            Some(k) => State::Fails(k),
            None if !all.is_empty() && known(0).is_some() && open.iter().all(|margin| *margin >= 0.0) => State::Holds,
            None => State::NoAnswer,
        }
    }

    /// Least and largest margin to a limit that the error of its number leaves; no end where the error is not known. A limit whose number
    /// some of the points round a place lack has no largest one, and the least of the others.
    fn range(&self, k: usize, place: &Place) -> [f64; 2] {
        let margin = self.margin(k);
        let around: Vec<f64> = place.ring.iter().filter_map(|point| margin(*point)).collect();
        let Some(least) = around.iter().copied().min_by(f64::total_cmp) else { return [f64::INFINITY; 2] };
        let share = |limit: &Limit| {
            let value = self.limit_values[place.ring[0]][k].filter(|value| *value != 0.0)?;
            Some(self.error(limit.field, place)? / value.abs())
        };
        let error = share(&self.limits[k]).unwrap_or(f64::INFINITY);
        match place.value(margin) {
            Some(own) => [own - error, own + error],
            None => [least - error, f64::INFINITY],
        }
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    #[test]
    fn a_place_has_the_shares_of_its_triangle() {
        let grid = Grid { x: vec![1.0, 2.0, 3.0], y: vec![10.0, 20.0] };
        // A plane is met anywhere; a saddle at the middle has the mean of the corners, and is straight from there to each side.
        let plane = |n: usize| Some(grid.x[n / 2] + 0.1 * grid.y[n % 2]);
        let saddle = |n: usize| Some((grid.x[n / 2] - 1.0) * (grid.y[n % 2] - 10.0) / 10.0);
        for [x, y] in [[1.3, 11.0], [1.9, 14.0], [1.4, 19.0], [1.05, 13.0], [2.0, 20.0], [1.0, 10.0], [2.7, 15.5]] {
            let place = Place::of(&grid, [x, y]).unwrap();
            assert!((place.value(plane).unwrap() - x - 0.1 * y).abs() < 1e-12, "{x} {y}");
        }
        let at = |x: f64, y: f64| Place::of(&grid, [x, y]).unwrap().value(saddle).unwrap();
        assert!((at(1.5, 15.0) - 0.25).abs() < 1e-12 && (at(1.5, 12.5) - 0.125).abs() < 1e-12);
        // On the diagonal beside the middle a saddle has 0.75 x 0.25, the triangles 0.125.
        assert!((at(1.75, 12.5) - 0.125).abs() < 1e-12);
        assert!(Place::of(&grid, [0.9, 15.0]).is_none());
    }
}
