//! A map of a case over two inputs: fields of numbers, the limits they are held against, and which of its points need to be solved.

pub mod field;
pub mod interpolate;
pub mod refine;
#[cfg(test)]
mod refine_tests;
pub mod standing;
pub mod statistics;
pub mod tyres;

use hoopwright_case::Vary;

use crate::column::Number;
use crate::rows::Row;
use field::{Field, Limit};

/// The points of a map, numbered with the second axis fastest.
#[derive(Clone, Debug, PartialEq)]
pub struct Grid {
    /// Values of the first axis, rising in equal steps.
    pub x: Vec<f64>,
    /// Values of the second axis, rising in equal steps.
    pub y: Vec<f64>,
}

/// What was solved at a point.
#[derive(Clone, Debug, PartialEq)]
pub struct Solved {
    /// One number for each field; none where there is none.
    pub numbers: Vec<Option<Number>>,
    /// Whether an equilibrium was found for what decides.
    pub answered: bool,
}

/// Where the numbers of a point come from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Origin {
    /// Finite elements.
    Solved,
    /// Between solved points.
    Interpolated,
}

/// A point of a finished map.
#[derive(Clone, Debug, PartialEq)]
pub struct Point {
    /// Where its numbers come from.
    pub origin: Origin,
    /// One number for each field.
    pub numbers: Vec<Option<Number>>,
    /// Estimated error of each number that was interpolated, in the field's unit, from held-out points; none where it is solved or no
    /// held-out point tells.
    pub errors: Vec<Option<f64>>,
    /// One margin for each limit ([`Limit::margin`]); none where the number is not there.
    pub margins: Vec<Option<f64>>,
    /// Whether there is an answer.
    pub answered: bool,
}

/// How a point stands to the limits.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum State {
    /// Every stated limit is kept.
    Holds,
    /// Limits are not kept; the number of the one that fails first: the one passed by the largest share of its value.
    Fails(usize),
    /// No equilibrium was found, here or beside.
    NoAnswer,
}

impl Solved {
    /// What a row says of some fields.
    pub fn of(row: &Row, fields: &[Field]) -> Self {
        Self { numbers: fields.iter().map(|field| row.numbers[field.index]).collect(), answered: row.is_answered() }
    }
}

impl Grid {
    /// The grid of a map's two axes.
    pub fn of(vary: &Vary) -> Self {
        let axis = |i: usize| vary.inputs.get(i).map_or(Vec::new(), |varied| varied.values.clone());
        Self { x: axis(0), y: axis(1) }
    }

    /// Number of the point of column `i` and row `j`.
    pub fn number(&self, i: usize, j: usize) -> usize {
        i * self.y.len() + j
    }

    /// Number of points.
    pub fn len(&self) -> usize {
        self.x.len() * self.y.len()
    }

    /// Whether it has no point.
    pub fn is_empty(&self) -> bool {
        self.len() == 0
    }

    /// Column, row and shares (0 to 1) within the cell that a place lies in; none outside the grid.
    pub fn locate(&self, x: f64, y: f64) -> Option<([usize; 2], [f64; 2])> {
        let along = |values: &[f64], v: f64| {
            let (first, last) = (*values.first()?, *values.last()?);
            let cells = values.len().checked_sub(1).filter(|n| *n > 0)?;
            let place = (v - first) / (last - first) * cells as f64;
            let inside = (-1e-9..=cells as f64 + 1e-9).contains(&place);
            let cell = (place.max(0.0) as usize).min(cells - 1);
            inside.then_some((cell, place - cell as f64))
        };
        let ((i, s), (j, t)) = (along(&self.x, x)?, along(&self.y, y)?);
        Some(([i, j], [s, t]))
    }
}

impl Point {
    /// How it stands to the limits.
    pub fn state(&self) -> State {
        let known = self.margins.iter().enumerate().filter_map(|(k, margin)| margin.map(|m| (k, m)));
        let worst = known.min_by(|a, b| a.1.total_cmp(&b.1));
        match worst {
            _ if !self.answered => State::NoAnswer,
            Some((k, margin)) if margin < 0.0 => State::Fails(k),
            Some(_) => State::Holds,
            None => State::NoAnswer,
        }
    }
}

/// Margins of some numbers against the limits.
pub(crate) fn margins(numbers: &[Option<Number>], limits: &[Limit], at: &[Option<f64>]) -> Vec<Option<f64>> {
    let margin = |(limit, value): (&Limit, &Option<f64>)| Some(limit.margin(numbers[limit.field]?.value(), (*value)?));
    limits.iter().zip(at).map(margin).collect()
}

/// A map ready to be shown.
#[derive(Clone, Debug)]
pub struct Finished {
    /// Its points' places.
    pub grid: Grid,
    /// The fields.
    pub fields: Vec<Field>,
    /// The limits.
    pub limits: Vec<Limit>,
    /// Value of each limit at each point, in its field's unit; none where the case states none.
    pub limit_values: Vec<Vec<Option<f64>>>,
    /// The points by their numbers.
    pub points: Vec<Point>,
    /// The closed-form value of each field at each point, in the field's unit.
    pub estimates: Vec<Vec<Option<f64>>>,
    /// Error of each field within each cell of the grid, by columns of cells, as held-out points tell it; none where none does.
    pub cell_errors: Vec<Vec<Option<f64>>>,
    /// What held-out points tell.
    pub held_out: Vec<refine::HeldOut>,
    /// How well each limit's line is known, as a share of the map's range; none where no line crosses it or all is solved.
    pub sharpness: Vec<Option<f64>>,
}

impl Finished {
    /// Number of a field by its column's name.
    pub fn field(&self, name: &str) -> Option<usize> {
        self.fields.iter().position(|field| field.column.name == name)
    }

    /// The field of the retention pressure that decides.
    pub fn deciding(&self) -> usize {
        self.limits.first().map_or(0, |limit| limit.field)
    }
}
