//! Measured tyres with a row each: read from a table, all faults at once.

use std::collections::HashMap;

use hoopwright_case::inputs::{BEAD_CURVE, BEAD_DIAMETER, BEAD_STIFFNESS, CASING_SIZE, Input, Kind, LIMITS_TYRE_PRESSURE};
use hoopwright_case::units::{Dimension, MM, parse};
use hoopwright_case::{Entry, OpenCase, Put, Size, Typed};

use super::columns::{Meaning, Number, Side, columns};
use super::fault::{Fault, Faults, Place};
use super::join::{Joined, join};
use super::row::Row;
use crate::cells::Cells;
use hoopwright_case::table::{Table, factor_of};

/// A bead is within this share of the seat that its labelled size is for.
const UNLIKE: f64 = 0.03;

/// A measured tyre.
#[derive(Clone, Debug)]
pub struct Tyre {
    /// What it is called.
    pub id: String,
    /// Its row in the file.
    pub row: usize,
    /// What it puts into a case.
    pub put: Vec<Put>,
    /// Its labelled size, if it has one.
    pub size: Option<Size>,
    /// The label itself.
    pub label: Option<String>,
    /// Unstretched bead diameter, mm.
    pub diameter: f64,
    /// Hoop stiffness of the bead, N; of a curve the one at no strain.
    pub stiffness: f64,
    /// Whether the bead was measured before or after its pre-stretch, where that is told.
    pub measured: Option<Measured>,
    /// Standard errors of diameter, mm, and stiffness, N, where they are told.
    pub errors: [Option<f64>; 2],
    /// Its maximum pressure, MPa, where that is told.
    pub maximum: Option<f64>,
    /// What its tests say.
    pub tests: Vec<Test>,
    /// Heads and words that are carried along.
    pub notes: Vec<(String, String)>,
}

/// When a bead was measured.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Measured {
    /// Before its pre-stretch.
    Before,
    /// After it.
    After,
}

/// A test of a tyre on a rim.
#[derive(Clone, Debug, PartialEq)]
pub struct Test {
    /// The rim's name; none where it is not told.
    pub rim: Option<String>,
    /// What came of it.
    pub outcome: Outcome,
    /// Where that is from: the table, or the name of a log.
    pub from: String,
}

/// What came of a test.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Outcome {
    /// It came off at a pressure, MPa.
    Released(f64),
    /// It held a pressure, MPa.
    Held(f64),
}

/// Files with curves by the names that the table gives them: their bytes, or why they cannot be read.
pub type Curves = HashMap<String, Result<Vec<u8>, String>>;

/// The names of the files with curves that a table of tyres asks for.
pub fn curves_named(cells: &Cells) -> Vec<String> {
    let columns = columns(cells, Side::Tyres, &[], &mut Faults::default());
    let named = columns.iter().filter(|column| matches!(column.meaning, Meaning::Curve));
    let cell = |at: usize| (0..cells.rows.len()).map(move |row| cells.at(row, at)).filter(|cell| !cell.is_empty());
    let mut names: Vec<String> = named.flat_map(|column| cell(column.at)).map(|cell| cell.typed().into_owned()).collect();
    names.sort();
    names.dedup();
    names
}

/// Reads the tyres of a table that is called `file`, and what joins it; `notes` are the names of columns to be carried along.
///
/// # Errors
/// Every fault of the tables.
pub fn read(file: &str, cells: &Cells, notes: &[String], curves: &Curves, joined: &[Joined]) -> Result<Vec<Tyre>, Vec<Fault>> {
    let mut faults = Faults::of(file);
    let columns = columns(cells, Side::Tyres, notes, &mut faults);
    let mut rows: Vec<Row> = (0..cells.rows.len()).map(|i| Row::read(cells, i, &columns, &mut faults)).collect();
    twice(&rows, &mut faults);
    let others: Vec<Fault> = joined.iter().flat_map(|joined| join(&mut rows, joined, notes)).collect();
    if rows.is_empty() {
        faults.add(Place::File, "it has no row under its head", "give a row for every tyre");
    }
    let tyres: Vec<Tyre> = rows.into_iter().map(|row| tyre(row, &columns, curves, &mut faults)).collect();
    if faults.is_empty() && others.is_empty() { Ok(tyres) } else { Err(faults.into_list().into_iter().chain(others).collect()) }
}

/// Reports ids that stand twice.
pub(super) fn twice(rows: &[Row], faults: &mut Faults) {
    let mut known: HashMap<&str, usize> = HashMap::new();
    for row in rows.iter().filter(|row| !row.id.is_empty()) {
        if let Some(first) = known.insert(&row.id, row.number) {
            let sentence = format!("the id \"{}\" stands in row {first} too", row.id);
            faults.add(Place::Row(row.number), sentence, "give every row an id of its own");
            known.insert(&row.id, first);
        }
    }
}

fn tyre(mut row: Row, columns: &[super::columns::Column], curves: &Curves, faults: &mut Faults) -> Tyre {
    if let Some(name) = row.curve.take() {
        match curve(&name, curves) {
            Ok(value) => row.put.push((&BEAD_CURVE, value)),
            Err((sentence, remedy)) => {
                row.faulty.push(&BEAD_CURVE);
                faults.add(Place::Row(row.number), format!("curve {name}: {sentence}"), remedy);
            }
        }
    }
    let quantity = |input: &Input| quantity(&row.put, input);
    let label = row.put.iter().find(|(input, _)| input.path() == CASING_SIZE.path()).and_then(|(_, value)| text_of(value));
    let size = label.as_deref().and_then(Size::labelled);
    let diameter = quantity(&BEAD_DIAMETER);
    check_lengths(&row, size, diameter, faults);
    let stiffness = quantity(&BEAD_STIFFNESS).or_else(|| initial_stiffness(&row.put));
    for fault in OpenCase::faults_of_tyre(&row.put) {
        let head = columns.iter().find(|column| column.holds(&fault.key)).map(|column| column.head.clone());
        let place = head.map_or(Place::Row(row.number), |head| Place::Cell(row.number, head));
        faults.add(place, fault.message(), fault.remedy());
    }
    let mut tests = tests(&row, "the table");
    tests.append(&mut row.tests);
    let measured = measured(&row, faults);
    Tyre {
        errors: [Number::DiameterError, Number::StiffnessError].map(|n| row.number_of(n).filter(|error| *error > 0.0)),
        maximum: quantity(&LIMITS_TYRE_PRESSURE),
        diameter: diameter.unwrap_or(f64::NAN),
        stiffness: stiffness.unwrap_or(f64::NAN),
        id: row.id,
        row: row.number,
        put: row.put,
        size,
        label,
        measured,
        tests,
        notes: row.notes,
    }
}

fn text_of(value: &Typed) -> Option<String> {
    if let Typed::Text(text) = value { Some(text.clone()) } else { None }
}

/// A quantity of a row, in inner units.
pub(super) fn quantity(put: &[Put], input: &Input) -> Option<f64> {
    let (_, value) = put.iter().find(|(other, _)| other.path() == input.path())?;
    let Kind::Quantity { unit, .. } = input.kind else { return None };
    parse(&text_of(value)?, unit.dimension).ok()
}

/// Reports what is not there, and a diameter that is none of the labelled size.
fn check_lengths(row: &Row, size: Option<Size>, diameter: Option<f64>, faults: &mut Faults) {
    let place = || Place::Row(row.number);
    let named = row.put.iter().map(|(input, _)| input).chain(&row.faulty);
    let gives = |input: &Input| named.clone().any(|other| other.path() == input.path());
    if !gives(&BEAD_DIAMETER) {
        faults.add(place(), "it has no diameter", "give the unstretched diameter of its bead, as in a column `diameter [mm]`");
    }
    if !gives(&BEAD_STIFFNESS) && !gives(&BEAD_CURVE) {
        faults.add(place(), "it has no stiffness", "give it in a column `stiffness [kN]`, or a file's name in a column `curve`");
    }
    let (Some(size), Some(diameter)) = (size, diameter) else { return };
    if (diameter / size.seat_diameter - 1.0).abs() > UNLIKE {
        let sentence = format!(
            "a bead diameter of {} is none of the rim code {}, whose seat has {}",
            MM.show(diameter),
            size.code,
            MM.show(size.seat_diameter)
        );
        faults.add(place(), sentence, "correct size or diameter: a diameter is no circumference, and no other column's number");
    }
}

/// What the tests in a row told; where that is `from`.
pub(super) fn tests(row: &Row, from: &str) -> Vec<Test> {
    let of = |number: Number, outcome: fn(f64) -> Outcome| row.number_of(number).filter(|p| *p > 0.0).map(outcome);
    let all = [of(Number::Released, Outcome::Released), of(Number::Held, Outcome::Held)];
    let test = |outcome| Test { rim: row.tested_on.clone(), outcome, from: from.to_owned() };
    all.into_iter().flatten().map(test).collect()
}

fn measured(row: &Row, faults: &mut Faults) -> Option<Measured> {
    let word = row.measured.as_deref()?;
    match word.to_lowercase().as_str() {
        "before" => Some(Measured::Before),
        "after" => Some(Measured::After),
        _ => {
            let sentence = format!("\"{word}\" does not say when the bead was measured");
            faults.add(Place::Row(row.number), sentence, "write before or after (the pre-stretch), or leave the cell empty");
            None
        }
    }
}

/// Stiffness at no strain of a curve that was put in, N.
fn initial_stiffness(put: &[Put]) -> Option<f64> {
    let (_, value) = put.iter().find(|(input, _)| input.path() == BEAD_CURVE.path())?;
    let Typed::List(points) = value else { return None };
    let numbers = |entry: &Entry| {
        let Typed::List(pair) = &entry.value else { return None };
        let number = |at: usize, dimension| parse(&text_of(&pair.get(at)?.value)?, dimension).ok();
        Some([number(0, Dimension::Number)?, number(1, Dimension::Force)?])
    };
    let [first, second] = [numbers(points.first()?)?, numbers(points.get(1)?)?];
    Some((second[1] - first[1]) / (second[0] - first[0]))
}

/// A curve as it would be typed in a case, from a CSV file with the columns strain and force.
fn curve(name: &str, curves: &Curves) -> Result<Typed, (String, String)> {
    let told = |sentence: String| (sentence, "give a CSV file with the columns strain [%] and force [kN]".to_owned());
    let bytes = match curves.get(name) {
        Some(Ok(bytes)) => bytes,
        Some(Err(reason)) => return Err(told(reason.clone())),
        None => return Err(told("no file is at hand".to_owned())),
    };
    let mut table = Table::open(bytes).map_err(|error| told(error.to_string()))?;
    let place = |name: &str| table.place(&[name]).ok().flatten().ok_or_else(|| told(format!("its head has no column `{name}`")));
    let (strain, force) = (place("strain")?, place("force")?);
    let factor =
        |at: usize, dimension| factor_of(&table.head[at], dimension).map_err(|reason| told(format!("its unit: {reason}")));
    let factors = [factor(strain, Dimension::Number)?, factor(force, Dimension::Force)?];
    let mut points = Vec::new();
    while let Some(line) = table.advance().map_err(|error| told(error.to_string()))? {
        let number = |at: usize, factor: f64| {
            let text = table.text(at, line).map_err(|error| told(error.to_string()))?;
            let number = table.number(text).filter(|number| number.is_finite());
            number
                .map(|number| number * factor)
                .ok_or_else(|| told(format!("its line {line} has \"{text}\" where a number is needed")))
        };
        let pair = [number(strain, factors[0])?.to_string(), format!("{} N", number(force, factors[1])?)];
        points.push(entry(Typed::List(pair.map(|text| entry(Typed::Text(text))).to_vec())));
    }
    Ok(Typed::List(points))
}

fn entry(value: Typed) -> Entry {
    Entry { value, span: 0..0 }
}
