//! Between solved points: the closed form carries the curvature, what it misses is interpolated.
//!
//! In a cell of the map the difference of finite elements and closed form is bilinear between the four corners, and the closed form is
//! added at the place itself (a control variate). Where the closed form has no answer the number itself is bilinear.

use hoopwright_case::Vary;
use hoopwright_solver::estimate::estimate;

use super::field::Field;
use super::{Grid, Solved};
use crate::column::Number;

/// A rectangle of grid points: first and last column, first and last row.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Cell {
    /// First and last column.
    pub x: [usize; 2],
    /// First and last row.
    pub y: [usize; 2],
}

impl Cell {
    /// Its corners: columns first, then rows.
    pub fn corners(&self) -> [[usize; 2]; 4] {
        [[self.x[0], self.y[0]], [self.x[1], self.y[0]], [self.x[0], self.y[1]], [self.x[1], self.y[1]]]
    }

    /// The middle column and row, nearer to the first where there is no middle one.
    pub fn middle(&self) -> [usize; 2] {
        [self.x[0].midpoint(self.x[1]), self.y[0].midpoint(self.y[1])]
    }

    /// Every point of it, corners and edges too.
    pub fn points(&self) -> impl Iterator<Item = [usize; 2]> + use<> {
        let y = self.y;
        (self.x[0]..=self.x[1]).flat_map(move |i| (y[0]..=y[1]).map(move |j| [i, j]))
    }
}

/// The closed-form values of each field at each point of a map; none where there is none.
pub fn estimates(vary: &Vary, fields: &[Field]) -> Vec<Vec<Option<f64>>> {
    let at = |case| {
        let found = estimate(case).ok();
        fields.iter().map(|field| found.as_ref().and_then(|e| field.estimate(case, e))).collect()
    };
    vary.variants.iter().map(|variant| at(&variant.case)).collect()
}

/// A field at a point of a cell from the cell's corners. None where a corner has no number; a lower bound where one has only a bound.
pub fn between(
    grid: &Grid,
    cell: &Cell,
    (solved, estimates): (&[Option<Solved>], &[Vec<Option<f64>>]),
    field: usize,
    [i, j]: [usize; 2],
) -> Option<Number> {
    let share = |[first, last]: [usize; 2], at: usize| (at - first) as f64 / (last - first).max(1) as f64;
    let (s, t) = (share(cell.x, i), share(cell.y, j));
    let weights = [(1.0 - s) * (1.0 - t), s * (1.0 - t), (1.0 - s) * t, s * t];
    let corners = cell.corners().map(|[i, j]| grid.number(i, j));
    let mut bound = false;
    let (mut plain, mut difference, mut carried) = (0.0, 0.0, estimates[grid.number(i, j)][field]);
    for (corner, weight) in corners.into_iter().zip(weights) {
        let number = solved[corner].as_ref().filter(|point| point.answered)?.numbers[field]?;
        bound |= matches!(number, Number::Above(_));
        plain += weight * number.value();
        match estimates[corner][field] {
            Some(estimate) => difference += weight * (number.value() - estimate),
            None => carried = None,
        }
    }
    let value = carried.map_or(plain, |estimate| estimate + difference);
    Some(if bound { Number::Above(value) } else { Number::Found(value) })
}
