//! Rims without a tyre: rows of a table, or case files.

use hoopwright_case::inputs::{
    Input, LIMITS_LAW_PRESSURE, LIMITS_RIM_PRESSURE, PRESSURE_RATED, RIM_INNER_WIDTH, RIM_SEAT_DIAMETER,
};
use hoopwright_case::units::MPA;
use hoopwright_case::{Attached, CaseError, CaseErrors, OpenCase, Put, Room, Typed};

use super::columns::{Column, Number, Side, columns};
use super::fault::{Fault, Faults, Place};
use super::row::Row;
use super::tyres::{quantity, twice};
use crate::cells::Cells;

/// A rim with its spokes, pressures and limits.
#[derive(Clone, Debug)]
pub struct Rim<'a> {
    /// What it is called.
    pub id: String,
    /// Where it is from.
    pub source: Source,
    /// The case with its tyre left open.
    pub open: OpenCase<'a>,
    /// What its row puts into that.
    pub put: Vec<Put>,
    /// Seat diameter and inner width, mm.
    pub seat_diameter: f64,
    /// Distance between the walls, mm.
    pub inner_width: f64,
    /// The room that the frame leaves.
    pub room: Room,
    /// Heads and words that are carried along.
    pub notes: Vec<(String, String)>,
}

/// Where a rim is from.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Source {
    /// A row of a table.
    Row {
        /// Name of the table.
        file: String,
        /// Number of the row.
        row: usize,
    },
    /// A case file.
    Case {
        /// Its name.
        file: String,
    },
}

/// A case file of a rim.
#[derive(Clone, Debug)]
pub struct RimFile {
    /// Its name, for messages.
    pub file: String,
    /// What the rim is called.
    pub id: String,
    /// Its text.
    pub text: String,
    /// The files that it names.
    pub attached: Attached,
}

/// Reads the rims of a table that is called `file`; `notes` are the names of columns to be carried along.
///
/// # Errors
/// Every fault of the table.
pub fn read(file: &str, cells: &Cells, notes: &[String]) -> Result<Vec<Rim<'static>>, Vec<Fault>> {
    let mut faults = Faults::of(file);
    let columns = columns(cells, Side::Rims, notes, &mut faults);
    let rows: Vec<Row> = (0..cells.rows.len()).map(|i| Row::read(cells, i, &columns, &mut faults)).collect();
    twice(&rows, &mut faults);
    if rows.is_empty() {
        faults.add(Place::File, "it has no row under its head", "give a row for every rim");
    }
    let rims: Vec<Rim<'static>> = rows.into_iter().filter_map(|row| of_row(file, row, &columns, &mut faults)).collect();
    if faults.is_empty() { Ok(rims) } else { Err(faults.into_list()) }
}

fn of_row(file: &str, row: Row, columns: &[Column], faults: &mut Faults) -> Option<Rim<'static>> {
    let open = OpenCase::parse("", Attached::new()).ok()?;
    let put = rated(&open, row.put.clone());
    let room = Room {
        clear_width: row.number_of(Number::ClearWidth),
        clear_radius: row.number_of(Number::ClearRadius),
        clearance: row.number_of(Number::Clearance).unwrap_or(0.0),
    };
    let found = open.rim(&put);
    let service = open.service(&put).err().map_or_else(Vec::new, |faults| faults.0);
    let told = |fault: &&CaseError| row.faulty.iter().any(|input| input.path() == fault.key);
    for fault in found.as_ref().err().map_or(&[][..], |faults| &faults.0).iter().chain(&service).filter(|fault| !told(fault)) {
        let head = columns.iter().find(|column| column.holds(&fault.key)).map(|column| column.head.clone());
        let place = head.map_or(Place::Row(row.number), |head| Place::Cell(row.number, head));
        faults.add(place, fault.message(), in_table(&fault.remedy(), &fault.key));
    }
    let (rim, _) = found.ok()?;
    let source = Source::Row { file: file.to_owned(), row: row.number };
    let [seat_diameter, inner_width] = [rim.seat_diameter, rim.inner_width];
    Some(Rim { id: row.id, source, open, put, seat_diameter, inner_width, room, notes: row.notes })
}

/// A remedy that is meant for a case, for a table.
fn in_table(remedy: &str, key: &str) -> String {
    if remedy.starts_with("add it, as in") || remedy.starts_with("add one of them, as in") {
        let name = key.replace(['.', '_'], " ");
        return format!("add a column `{name}` with its unit in square brackets");
    }
    remedy.to_owned()
}

/// Reads the rim of a case file, whose tyre, if it has one, gives way to those of the table.
///
/// # Errors
/// Every fault of the file.
pub fn of_case(file: &RimFile) -> Result<Rim<'_>, Vec<Fault>> {
    let told = |errors: CaseErrors| {
        let mut faults = Faults::of(&file.file);
        for fault in errors.0 {
            faults.add(Place::Text(fault.line, fault.column), fault.message(), fault.remedy());
        }
        faults.into_list()
    };
    let open = OpenCase::parse(&file.text, file.attached.clone()).map_err(told)?;
    let put = rated(&open, Vec::new());
    let rim = open.rim(&put);
    let service = open.service(&put);
    let room = open.room();
    match (rim, service, room) {
        (Ok((rim, _)), Ok(_), Ok(room)) => Ok(Rim {
            id: file.id.clone(),
            source: Source::Case { file: file.file.clone() },
            seat_diameter: rim.seat_diameter,
            inner_width: rim.inner_width,
            open,
            put,
            room,
            notes: Vec::new(),
        }),
        (rim, service, room) => {
            let all = [rim.err(), service.err(), room.err()];
            let mut list: Vec<Fault> = Vec::new();
            for fault in all.into_iter().flatten().flat_map(told) {
                if !list.contains(&fault) {
                    list.push(fault);
                }
            }
            Err(list)
        }
    }
}

/// What is put in, with the rim's own maximum, or that by law, as rated pressure where none is stated.
fn rated(open: &OpenCase<'_>, mut put: Vec<Put>) -> Vec<Put> {
    let maxima = [&LIMITS_RIM_PRESSURE, &LIMITS_LAW_PRESSURE].into_iter().filter_map(|input| open.quantity(input, &put));
    let lowest = maxima.reduce(f64::min);
    let stated = open.quantity(&PRESSURE_RATED, &put).is_some() || open.gives(&PRESSURE_RATED);
    if let (false, Some(pressure)) = (stated, lowest) {
        put.push((&PRESSURE_RATED, Typed::Text(format!("{pressure} {}", MPA.symbol))));
    }
    put
}

impl Rim<'_> {
    /// A quantity that its row or its file gives, in inner units.
    pub fn quantity(&self, input: &Input) -> Option<f64> {
        quantity(&self.put, input).or_else(|| self.open.quantity(input, &[]))
    }

    /// The inputs that tell a rim from others, for tables.
    pub fn shown(&self) -> [(&'static Input, f64); 2] {
        [(&RIM_SEAT_DIAMETER, self.seat_diameter), (&RIM_INNER_WIDTH, self.inner_width)]
    }
}
