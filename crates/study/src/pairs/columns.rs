//! What the columns of a table of tyres or rims hold: each head is found to mean one thing, or is refused.

use std::f64::consts::PI;

use hoopwright_case::SERVICE_INPUTS;
use hoopwright_case::inputs::{
    BEAD_DIAMETER, BEAD_STIFFNESS, CASING_BEAD_TO_BEAD, CASING_SIZE, INPUTS, Input, Kind, LIMITS_LAW_PRESSURE,
    LIMITS_RIM_PRESSURE, LIMITS_TYRE_PRESSURE, PRESSURE_RATED, RIM_SEAT_DIAMETER,
};
use hoopwright_case::units::Dimension;

use super::fault::{Faults, Place};
use crate::cells::Cells;
use hoopwright_case::table::{factor_of, name_of, unit_of};

/// Which table a column stands in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Side {
    /// That of the tyres.
    Tyres,
    /// That of the rims.
    Rims,
}

/// What a column holds.
#[derive(Clone, Debug)]
pub(super) enum Meaning {
    /// What a row is called.
    Id,
    /// An input of the case, in the unit of the head if it has one, and by how much a number is to be divided.
    Input(&'static Input, Option<String>, f64),
    /// Names of files with the bead's curve.
    Curve,
    /// Whether the bead was measured before or after its pre-stretch.
    Measured,
    /// A number of the row, in inner units by this factor.
    Number(Number, f64),
    /// The rim that a tyre was tested on.
    TestedOn,
    /// Words that are carried along.
    Note,
}

/// Numbers that are no input of a case.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Number {
    /// Standard error of the bead's diameter.
    DiameterError,
    /// Standard error of the bead's stiffness.
    StiffnessError,
    /// Pressure at which it came off in a test.
    Released,
    /// Pressure that it held in a test.
    Held,
    /// Width between stays or fork blades.
    ClearWidth,
    /// Distance from the axle to the nearest part over the tread.
    ClearRadius,
    /// Least room wanted.
    Clearance,
}

impl Number {
    /// Whether it is what a test told.
    pub(super) fn is_of_test(self) -> bool {
        matches!(self, Self::Released | Self::Held)
    }
}

/// A column of a table.
#[derive(Clone, Debug)]
pub(super) struct Column {
    /// Its place.
    pub(super) at: usize,
    /// Its head.
    pub(super) head: String,
    /// What it holds.
    pub(super) meaning: Meaning,
}

type Named = (&'static [&'static str], &'static Input, f64);

/// Names for inputs of a tyre beside their paths.
const OF_TYRES: &[Named] = &[
    (&["size"], &CASING_SIZE, 1.0),
    (&["diameter"], &BEAD_DIAMETER, 1.0),
    (&["circumference", "bead circumference"], &BEAD_DIAMETER, PI),
    (&["stiffness"], &BEAD_STIFFNESS, 1.0),
    (&["bead to bead"], &CASING_BEAD_TO_BEAD, 1.0),
    (&["maximum pressure", "max pressure"], &LIMITS_TYRE_PRESSURE, 1.0),
    (&["maximum pressure by law"], &LIMITS_LAW_PRESSURE, 1.0),
];
/// The same of a rim; those of its section have their keys alone.
const OF_RIMS: &[Named] = &[
    (&["seat circumference"], &RIM_SEAT_DIAMETER, PI),
    (&["maximum pressure", "max pressure"], &LIMITS_RIM_PRESSURE, 1.0),
    (&["maximum pressure by law"], &LIMITS_LAW_PRESSURE, 1.0),
    (&["rated pressure"], &PRESSURE_RATED, 1.0),
];
/// Tables of a case whose inputs may stand in each table.
const TABLES: [&[&str]; 2] = [
    &["bead", "casing", "rubber", "contact", "local", "limits"],
    &["rim", "section", "spokes", "pressure", "limits", "contact", "local", "mesh", "service"],
];
/// Names for numbers that are no input.
const NUMBERS: [&[(&str, Number, Dimension)]; 2] = [
    &[
        ("diameter standard error", Number::DiameterError, Dimension::Length),
        ("stiffness standard error", Number::StiffnessError, Dimension::Force),
        ("tested release pressure", Number::Released, Dimension::Pressure),
        ("tested hold pressure", Number::Held, Dimension::Pressure),
    ],
    &[
        ("clear width", Number::ClearWidth, Dimension::Length),
        ("clear radius", Number::ClearRadius, Dimension::Length),
        ("clearance", Number::Clearance, Dimension::Length),
    ],
];
/// Names of columns that are for people.
const NOTES: [&str; 2] = ["note", "remark"];

/// The columns of a table; `notes` are the names of columns to be carried along. Heads that mean nothing are reported.
pub(super) fn columns(cells: &Cells, side: Side, notes: &[String], faults: &mut Faults) -> Vec<Column> {
    let mut found: Vec<Column> = Vec::new();
    for (at, head) in cells.head.iter().enumerate() {
        match meaning(head, side, notes) {
            Ok(meaning) => found.push(Column { at, head: head.clone(), meaning }),
            Err(_) if head.is_empty() && cells.rows.iter().all(|(_, row)| row.get(at).is_none_or(|cell| cell.is_empty())) => {}
            Err((sentence, remedy)) => faults.add(Place::Head(head.clone()), sentence, remedy),
        }
    }
    for (i, column) in found.iter().enumerate() {
        if let Some(other) = found[..i].iter().find(|other| other.meaning.clashes(&column.meaning)) {
            let sentence = format!("it says the same as column \"{}\"", other.head);
            faults.add(Place::Head(column.head.clone()), sentence, "drop one of the two");
        }
    }
    if !found.iter().any(|column| matches!(column.meaning, Meaning::Id)) {
        faults.add(Place::File, "its head has no column `id`", "add one with a name for every row");
    }
    found
}

impl Column {
    /// Whether it holds the input of a key path.
    pub(super) fn holds(&self, path: &str) -> bool {
        matches!(&self.meaning, Meaning::Input(input, ..) if input.path() == path)
    }
}

impl Meaning {
    /// Whether no table may have both.
    fn clashes(&self, other: &Self) -> bool {
        match (self, other) {
            (Self::Id, Self::Id)
            | (Self::Curve, Self::Curve)
            | (Self::Measured, Self::Measured)
            | (Self::TestedOn, Self::TestedOn) => true,
            (Self::Input(a, ..), Self::Input(b, ..)) => a.path() == b.path(),
            (Self::Number(a, _), Self::Number(b, _)) => a == b,
            _ => false,
        }
    }
}

/// Sentence and remedy of a head that cannot be used.
type Refused = (String, String);

fn meaning(head: &str, side: Side, notes: &[String]) -> Result<Meaning, Refused> {
    let name = plain(head);
    if notes.iter().any(|note| plain(note) == name) || NOTES.contains(&name.as_str()) {
        return Ok(Meaning::Note);
    }
    match (name.as_str(), side) {
        ("id", _) => return Ok(Meaning::Id),
        ("curve" | "bead curve", Side::Tyres) => return Ok(Meaning::Curve),
        ("measured", Side::Tyres) => return Ok(Meaning::Measured),
        ("tested on", Side::Tyres) => return Ok(Meaning::TestedOn),
        _ => {}
    }
    if let Some((_, number, dimension)) = NUMBERS[side as usize].iter().find(|(known, ..)| *known == name) {
        return Ok(Meaning::Number(*number, factor_of(head, *dimension).map_err(|reason| no_unit(&reason, *dimension))?));
    }
    let (input, divisor) = input_of(&name, side).ok_or_else(|| unknown(head, &name, side))?;
    unit(head, input).map(|unit| Meaning::Input(input, unit, divisor))
}

/// A head's name in lower case, its words parted by blanks, without its unit.
fn plain(head: &str) -> String {
    name_of(head).replace('.', " ")
}

/// The input that a name is for, and by how much its numbers are to be divided.
fn input_of(name: &str, side: Side) -> Option<(&'static Input, f64)> {
    let named = if side == Side::Tyres { OF_TYRES } else { OF_RIMS };
    if let Some((_, input, divisor)) = named.iter().find(|(names, ..)| names.contains(&name)) {
        return Some((input, *divisor));
    }
    let key_alone = |input: &&&Input| side == Side::Rims && input.section == "rim" && input.key.replace('_', " ") == name;
    let inputs = || INPUTS.iter().chain(SERVICE_INPUTS).filter(|input| may_stand(input, side));
    inputs().find(|input| plain(&input.path()) == name).or_else(|| inputs().find(key_alone)).map(|input| (*input, 1.0))
}

fn may_stand(input: &Input, side: Side) -> bool {
    let one = TABLES[side as usize].contains(&input.section);
    one && !matches!(input.kind, Kind::Curve | Kind::Quantities { .. }) && input.key != "heights" && input.key != "drawing"
}

fn no_unit(reason: &str, dimension: Dimension) -> Refused {
    let example = dimension.example().split_once(' ').map_or("", |(_, unit)| unit);
    (format!("its unit cannot be used: {reason}"), format!("write it in square brackets, as in [{example}]"))
}

/// The unit of a head as its cells' numbers are typed with it; none where there is none, or where an input has none.
fn unit(head: &str, input: &Input) -> Result<Option<String>, Refused> {
    let Some(unit) = unit_of(head).filter(|unit| !unit.is_empty() && *unit != "-") else { return Ok(None) };
    let known = match input.kind {
        Kind::Quantity { unit, .. } | Kind::WordOr { unit, .. } => factor_of(head, unit.dimension).map(|_| ()),
        Kind::Modulus { .. } => {
            factor_of(head, Dimension::Hardness).or_else(|_| factor_of(head, Dimension::Pressure)).map(|_| ())
        }
        _ => Err("it holds no quantity".to_owned()),
    };
    let dimension = input.unit().map_or(Dimension::Number, |unit| unit.dimension);
    known.map_err(|reason| no_unit(&reason, dimension))?;
    Ok(Some(unit.to_owned()))
}

/// The fault of a head that means nothing, with the name that may have been meant.
fn unknown(head: &str, name: &str, side: Side) -> Refused {
    if head.is_empty() {
        return ("it has cells and no head".to_owned(), "give it a name, or drop the column".to_owned());
    }
    let named = if side == Side::Tyres { OF_TYRES } else { OF_RIMS };
    let words = ["id", "curve", "measured", "tested on"].map(str::to_owned).into_iter();
    let names: Vec<String> = words
        .chain(named.iter().flat_map(|(names, ..)| names.iter().map(|name| (*name).to_owned())))
        .chain(NUMBERS[side as usize].iter().map(|(name, ..)| (*name).to_owned()))
        .chain(INPUTS.iter().filter(|input| may_stand(input, side)).map(|input| plain(&input.path())))
        .collect();
    let meant = hoopwright_case::nearest(name, names.iter().map(String::as_str));
    let meant = meant.map_or(String::new(), |meant| format!("did you mean `{meant}`? if not, "));
    let what = if side == Side::Tyres { "a tyre" } else { "a rim" };
    (
        format!("nothing of {what} is read under this name"),
        format!("{meant}carry it along by --note \"{head}\", or drop the column"),
    )
}
