//! One row of a table of tyres or rims: its cells as inputs of a case, as numbers and as words.

use hoopwright_case::inputs::{Input, Kind};
use hoopwright_case::units::Dimension;
use hoopwright_case::{Put, Typed, check_value};

use super::columns::{Column, Meaning, Number};
use super::fault::{Faults, Place};
use super::tyres::Test;
use crate::cells::{Cell, Cells};

/// What a row says.
#[derive(Clone, Debug, Default)]
pub(super) struct Row {
    /// Its number in the file.
    pub(super) number: usize,
    /// What it is called.
    pub(super) id: String,
    /// Inputs with their values.
    pub(super) put: Vec<Put>,
    /// Inputs whose cells cannot be read.
    pub(super) faulty: Vec<&'static Input>,
    /// Numbers that are no input, in inner units.
    pub(super) numbers: Vec<(Number, f64)>,
    /// Name of the file with the bead's curve.
    pub(super) curve: Option<String>,
    /// The word on when the bead was measured.
    pub(super) measured: Option<String>,
    /// The rim that it was tested on.
    pub(super) tested_on: Option<String>,
    /// What tests of it told that stand in other tables.
    pub(super) tests: Vec<Test>,
    /// Heads and words that are carried along.
    pub(super) notes: Vec<(String, String)>,
}

impl Row {
    /// Reads the row of a number among the rows of a table; what is wrong with it is reported.
    pub(super) fn read(cells: &Cells, row: usize, columns: &[Column], faults: &mut Faults) -> Self {
        let number = cells.rows.get(row).map_or(0, |(number, _)| *number);
        let mut found = Self { number, ..Self::default() };
        for column in columns {
            let cell = cells.at(row, column.at);
            if !cell.is_empty() {
                found.take(cells, cell, column, faults);
            }
        }
        if found.id.is_empty() && columns.iter().any(|column| matches!(column.meaning, Meaning::Id)) {
            faults.add(Place::Row(number), "it has no id", "give every row an id of its own");
        }
        found
    }

    fn take(&mut self, cells: &Cells, cell: &Cell, column: &Column, faults: &mut Faults) {
        let place = || Place::Cell(self.number, column.head.clone());
        let words = || cell.typed().into_owned();
        match &column.meaning {
            Meaning::Id => self.id = words(),
            Meaning::Curve => self.curve = Some(words()),
            Meaning::Measured => self.measured = Some(words()),
            Meaning::TestedOn => self.tested_on = Some(words()),
            Meaning::Note => self.notes.push((column.head.clone(), words())),
            Meaning::Number(number, factor) => match cells.number(cell).filter(|value| *value >= 0.0) {
                Some(value) => self.numbers.push((*number, value * factor)),
                None => faults.add(
                    place(),
                    format!("\"{}\" is no number from zero up", cell.typed()),
                    "write a number in the unit of the head, or leave the cell empty",
                ),
            },
            Meaning::Input(input, unit, divisor) => {
                let value = typed(cells, cell, input, unit.as_deref(), *divisor);
                match check_value(input, &value) {
                    Ok(()) => self.put.push((input, value)),
                    Err(problem) => {
                        self.faulty.push(input);
                        faults.add(place(), problem.to_string(), problem.remedy());
                    }
                }
            }
        }
    }

    /// A number that is no input.
    pub(super) fn number_of(&self, wanted: Number) -> Option<f64> {
        self.numbers.iter().find(|(number, _)| *number == wanted).map(|(_, value)| *value)
    }
}

/// A cell as if it stood in a case.
fn typed(cells: &Cells, cell: &Cell, input: &Input, unit: Option<&str>, divisor: f64) -> Typed {
    let text = cell.typed();
    match (input.kind, cells.number(cell)) {
        (Kind::Count { .. }, Some(number)) if number.fract() == 0.0 && number.abs() < 1e15 => Typed::Integer(number as i64),
        (Kind::Flag, _) => flag(&text),
        (Kind::Text | Kind::Choice(_) | Kind::Size, _) => Typed::Text(text.into_owned()),
        (_, Some(number)) => match unit {
            Some(unit) => Typed::Text(format!("{} {unit}", number / divisor)),
            None if is_pure(input) => Typed::Float(number / divisor),
            None => Typed::Text(number.to_string()),
        },
        _ => Typed::Text(cells.with_point(&text).unwrap_or_else(|| text.into_owned())),
    }
}

/// Whether an input is typed as a number alone.
fn is_pure(input: &Input) -> bool {
    input.unit().is_some_and(|unit| unit.dimension == Dimension::Number)
}

fn flag(text: &str) -> Typed {
    match text.to_lowercase().as_str() {
        "true" | "yes" | "1" => Typed::Flag(true),
        "false" | "no" | "0" => Typed::Flag(false),
        _ => Typed::Text(text.to_owned()),
    }
}
