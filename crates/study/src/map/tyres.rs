//! Measured tyres on a map: read from CSV with units in the head, placed on the axes, their tests held against the map.

use std::f64::consts::PI;

use hoopwright_case::inputs::{BEAD_DIAMETER, BEAD_STIFFNESS};
use hoopwright_case::units::{BAR, Dimension, KN, MM};
use hoopwright_case::{MISMATCH, Vary};

use super::Finished;
use super::standing::{Place, Standing};
use super::statistics::{Comparison, compare};
use hoopwright_case::table::{RowError, Table, Twice, factor_of, name_of};

/// Largest number of tyres.
pub const MOST_TYRES: usize = 100_000;
/// Names of the columns in the head, with what they measure.
const ID: &str = "id";
const DIAMETER: (&str, Dimension) = ("diameter", Dimension::Length);
const STIFFNESS: (&str, Dimension) = ("stiffness", Dimension::Force);
const TESTED: (&str, Dimension) = ("tested release pressure", Dimension::Pressure);
/// Beads are within this share of their seat: beyond it no case is read.
const UNLIKE: f64 = 0.03;
/// Name of the column of labelled sizes, as in `28-622`.
const SIZE: &str = "size";
/// Names of a column that is for people.
const REMARK: [&str; 2] = ["note", "remark"];
/// A head as it may be.
const EXAMPLE: &str = "id,diameter [mm],stiffness [kN],tested release pressure [bar]";

/// A measured tyre.
#[derive(Clone, Debug, PartialEq)]
pub struct Tyre {
    /// What it is called.
    pub id: String,
    /// Unstretched bead diameter, mm.
    pub diameter: f64,
    /// Hoop stiffness E A of the bead, N.
    pub stiffness: f64,
    /// Pressure at which it came off in a test, MPa.
    pub tested: Option<f64>,
    /// Labelled size, if the file has it.
    pub size: Option<String>,
}

/// Why a file of tyres cannot be used.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum TyreError {
    /// A column is missing.
    #[error("its head has no column `{0}`; a head may be {EXAMPLE}")]
    NoColumn(&'static str),
    /// A column has no unit, or a wrong one.
    #[error("the unit of column `{column}` in its head cannot be used: {reason}; a head may be {EXAMPLE}")]
    Unit {
        /// The column.
        column: String,
        /// What is wrong.
        reason: String,
    },
    /// Two columns of the same name.
    #[error("its head has column `{0}` twice")]
    Twice(&'static str),
    /// A row that cannot be read.
    #[error(transparent)]
    Row(#[from] RowError),
    /// A cell that is no positive number.
    #[error("its line {line} has \"{cell}\" for {column}, where a positive number is needed")]
    Cell {
        /// Line of the file from 1.
        line: usize,
        /// The column.
        column: &'static str,
        /// As typed.
        cell: String,
    },
    /// Diameters under the head of stiffnesses.
    #[error(
        "its columns diameter and stiffness look swapped: at {count} of {all} tyres not the diameter but the number for the stiffness is that of a \
         bead for a seat of {}; change places of the two names in its head", MM.format(*.seat)
    )]
    Swapped {
        /// Such tyres.
        count: usize,
        /// All of them.
        all: usize,
        /// Diameter of the seat, mm.
        seat: f64,
    },
    /// Circumferences under the head of diameters.
    #[error(
        "its column diameter holds circumferences by the look of it: at {count} of {all} tyres the number over pi, as {} at the first, is the \
         diameter of a bead for a seat of {}; divide them by pi", MM.format(*.first), MM.format(*.seat)
    )]
    Circumferences {
        /// Such tyres.
        count: usize,
        /// All of them.
        all: usize,
        /// Diameter of the first, mm.
        first: f64,
        /// Diameter of the seat, mm.
        seat: f64,
    },
    /// Too many rows.
    #[error("it has more than {MOST_TYRES} rows")]
    TooMany,
    /// The axes say nothing of a tyre.
    #[error("measured tyres lie over bead.stiffness and mismatch (or bead.diameter), and the map's axes are {0}")]
    Axes(String),
}

/// A column of the file: where it is, and its unit.
struct Source {
    name: &'static str,
    at: usize,
    factor: f64,
}

/// Heads of the columns of a CSV file that nothing is read of, as typed, but for remarks; none where it cannot be read.
pub fn unused_columns(bytes: &[u8]) -> Vec<String> {
    let names = [ID, DIAMETER.0, STIFFNESS.0, TESTED.0, SIZE, REMARK[0], REMARK[1]];
    let Ok(table) = Table::open(bytes) else { return Vec::new() };
    table.head.iter().filter(|head| !head.is_empty() && !names.contains(&name_of(head).as_str())).cloned().collect()
}

/// Refuses tyres most of which have no bead for a seat, mm, but would have if diameter and stiffness changed places, or if their diameters
/// were circumferences.
///
/// # Errors
/// [`TyreError::Swapped`], [`TyreError::Circumferences`].
pub fn check_lengths(tyres: &[Tyre], seat: f64) -> Result<(), TyreError> {
    let fits = |diameter: f64| (diameter / seat - 1.0).abs() < UNLIKE;
    let swapped = |tyre: &&Tyre| !fits(tyre.diameter) && (fits(tyre.stiffness) || fits(KN.value_of(tyre.stiffness)));
    let count = tyres.iter().filter(swapped).count();
    if 2 * count > tyres.len() {
        return Err(TyreError::Swapped { count, all: tyres.len(), seat });
    }
    let around: Vec<f64> = tyres
        .iter()
        .filter(|tyre| !fits(tyre.diameter))
        .map(|tyre| tyre.diameter / PI)
        .filter(|diameter| fits(*diameter))
        .collect();
    match around.first() {
        Some(&first) if 2 * around.len() > tyres.len() => {
            Err(TyreError::Circumferences { count: around.len(), all: tyres.len(), first, seat })
        }
        _ => Ok(()),
    }
}

/// Tyres of other sizes than a map is drawn for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct OtherSizes {
    /// How many tyres.
    pub count: usize,
    /// Their sizes, each once, in the order of the file.
    pub sizes: Vec<String>,
}

/// Tyres of another size than the one that a map is drawn for, as labelled. None where all are of that size or tell none.
pub fn of_other_sizes(tyres: &[Tyre], drawn_for: &str) -> Option<OtherSizes> {
    let mut other = OtherSizes { count: 0, sizes: Vec::new() };
    for size in tyres.iter().filter_map(|tyre| tyre.size.as_ref()).filter(|size| *size != drawn_for) {
        other.count += 1;
        if !other.sizes.contains(size) {
            other.sizes.push(size.clone());
        }
    }
    (other.count > 0).then_some(other)
}

/// Reads tyres from a CSV file's bytes. An empty cell of the tested pressure says that there was no test; other columns are left alone.
///
/// # Errors
/// The first fault found.
pub fn read(bytes: &[u8]) -> Result<Vec<Tyre>, TyreError> {
    let mut table = Table::open(bytes)?;
    let id = column(&table, ID)?.ok_or(TyreError::NoColumn(ID))?;
    let needed = |wanted| source(&table, wanted)?.ok_or(TyreError::NoColumn(wanted.0));
    let (diameter, stiffness, tested) = (needed(DIAMETER)?, needed(STIFFNESS)?, source(&table, TESTED)?);
    let size = column(&table, SIZE)?;
    let mut tyres = Vec::new();
    while let Some(line) = table.advance()? {
        let tested = match &tested {
            Some(source) if !table.text(source.at, line)?.is_empty() => Some(number(&table, source, line)?),
            _ => None,
        };
        let (diameter, stiffness) = (number(&table, &diameter, line)?, number(&table, &stiffness, line)?);
        let size = size.map(|at| table.text(at, line).map(str::to_owned)).transpose()?.filter(|size| !size.is_empty());
        tyres.push(Tyre { id: table.text(id, line)?.to_owned(), diameter, stiffness, tested, size });
        if tyres.len() > MOST_TYRES {
            return Err(TyreError::TooMany);
        }
    }
    Ok(tyres)
}

fn column(table: &Table<'_>, name: &'static str) -> Result<Option<usize>, TyreError> {
    table.place(&[name]).map_err(|Twice| TyreError::Twice(name))
}

fn source(table: &Table<'_>, (name, dimension): (&'static str, Dimension)) -> Result<Option<Source>, TyreError> {
    let Some(at) = column(table, name)? else { return Ok(None) };
    let refused = |reason: String| TyreError::Unit { column: table.head[at].clone(), reason };
    let factor = factor_of(&table.head[at], dimension).map_err(refused)?;
    Ok(Some(Source { name, at, factor }))
}

fn number(table: &Table<'_>, source: &Source, line: usize) -> Result<f64, TyreError> {
    let cell = table.text(source.at, line)?;
    let value = table.number(cell).map(|value| value * source.factor).filter(|v| v.is_finite() && *v > 0.0);
    value.ok_or_else(|| TyreError::Cell { line, column: source.name, cell: cell.to_owned() })
}

/// A tyre on the map.
#[derive(Clone, Debug, PartialEq)]
pub struct Placed {
    /// What it is called.
    pub id: String,
    /// Place along both axes, in their units.
    pub place: [f64; 2],
    /// How its place stands to the limits; none outside the map.
    pub standing: Option<Standing>,
    /// Deciding retention pressure by the map, bar; none outside it or where it has none.
    pub predicted: Option<f64>,
    /// How far that may be off, bar; none where no held-out point tells.
    pub error: Option<f64>,
    /// Tested release pressure, bar.
    pub tested: Option<f64>,
}

/// What an axis says of a tyre on a seat of a diameter, mm; none where it says nothing.
fn along(path: &str, tyre: &Tyre, seat: f64) -> Option<f64> {
    if path == BEAD_STIFFNESS.path() {
        Some(KN.value_of(tyre.stiffness))
    } else if path == MISMATCH.path() {
        Some(seat - tyre.diameter)
    } else if path == BEAD_DIAMETER.path() {
        Some(tyre.diameter)
    } else {
        None
    }
}

/// Checks that the axes of a map are those of tyres.
///
/// # Errors
/// [`TyreError::Axes`] where they are not.
pub fn check_axes(vary: &Vary) -> Result<(), TyreError> {
    let paths: Vec<String> = vary.inputs.iter().map(|varied| varied.input.path()).collect();
    let known = [BEAD_STIFFNESS.path(), MISMATCH.path(), BEAD_DIAMETER.path()];
    let fit = paths.iter().all(|path| known.contains(path)) && paths.contains(&known[0]);
    if fit { Ok(()) } else { Err(TyreError::Axes(paths.join(" and "))) }
}

/// Places tyres on a map whose axes are those of tyres. On an axis of mismatch a tyre is fitted to the seat of the case.
pub fn place(tyres: &[Tyre], vary: &Vary, map: &Finished) -> Vec<Placed> {
    let seat = vary.variants.first().map_or(0.0, |variant| variant.case.rim.seat_diameter);
    let at = |axis: usize, tyre: &Tyre| along(&vary.inputs.get(axis)?.input.path(), tyre, seat);
    let one = |tyre: &Tyre| {
        let place = [at(0, tyre)?, at(1, tyre)?];
        let (within, deciding) = (Place::of(&map.grid, place), map.deciding());
        let predicted = within.as_ref().and_then(|within| map.at(deciding, within));
        Some(Placed {
            id: tyre.id.clone(),
            place,
            standing: within.as_ref().map(|within| map.standing(within)),
            predicted,
            error: within.as_ref().and_then(|within| map.error(deciding, within)).filter(|_| predicted.is_some()),
            tested: tyre.tested.map(|pressure| BAR.value_of(pressure)),
        })
    };
    tyres.iter().filter_map(one).collect()
}

/// Prediction against measurement for the tyres that have both; bar.
pub fn against_tests(placed: &[Placed]) -> Option<Comparison> {
    compare(&placed.iter().filter_map(|tyre| Some((tyre.predicted?, tyre.tested?))).collect::<Vec<_>>())
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    #[test]
    fn tyres_are_read_in_any_unit_and_order() {
        let text = "stiffness [kN],note,ID,tested_release_pressure [psi],diameter [in]\n300,good,a,72.5,24.43\n0.31e3,,b,,24.5\n";
        let tyres = read(text.as_bytes()).unwrap();
        assert_eq!((tyres[0].id.as_str(), tyres[1].id.as_str(), tyres[1].tested), ("a", "b", None));
        assert!((tyres[0].diameter - 24.43 * 25.4).abs() < 1e-9 && (tyres[1].stiffness - 310e3).abs() < 1e-6);
        assert!((tyres[0].tested.unwrap() - 0.499_87).abs() < 1e-5);
    }

    #[test]
    fn cells_parted_by_semicolons_may_hold_decimal_commas() {
        let tyres = read(b"# invented\nid;diameter [mm];stiffness [kN]\na;620,4;300\n").unwrap();
        assert!((tyres[0].diameter - 620.4).abs() < 1e-12 && tyres.len() == 1);
    }

    #[test]
    fn columns_that_are_not_used_are_known() {
        let head = "id,diameter [mm],maker,stiffness [kN],Note,width,max pressure [bar],tested_release_pressure [bar]\n";
        assert_eq!(unused_columns(head.as_bytes()), ["maker", "width", "max pressure [bar]"]);
        assert!(unused_columns(b"id,diameter [mm],stiffness [kN]\n").is_empty() && unused_columns(b"").is_empty());
    }

    #[test]
    fn swapped_columns_are_noticed() {
        let file = |rows: &str| read(format!("id,diameter [mm],stiffness [kN]\n{rows}").as_bytes()).unwrap();
        let fault = check_lengths(&file("a,320,620.4\nb,300,621\nc,620,300\n"), 621.95).unwrap_err().to_string();
        assert!(fault.contains("look swapped: at 2 of 3 tyres") && fault.contains("change places of the two names"), "{fault}");
        assert_eq!(check_lengths(&file("a,320,620.4\nb,620,300\n"), 621.95), Ok(()));
        // A stiffness that is the number of a diameter by chance.
        assert_eq!(check_lengths(&file("a,620.4,620\nb,620,630\n"), 621.95), Ok(()));
        assert_eq!(check_lengths(&file(""), 621.95), Ok(()));
    }

    #[test]
    fn circumferences_are_noticed() {
        let file = |rows: &str| read(format!("id,diameter [mm],stiffness [kN]\n{rows}").as_bytes()).unwrap();
        let fault = check_lengths(&file("a,1949.0,300\nb,1951,310\nc,620.4,300\n"), 621.95).unwrap_err().to_string();
        assert!(fault.contains("at 2 of 3 tyres") && fault.contains("as 620.386 mm at the first"), "{fault}");
        assert_eq!(check_lengths(&file("a,1949.0,300\nb,620.4,310\n"), 621.95), Ok(()));
    }

    #[test]
    fn other_sizes_are_counted() {
        let text = b"id,size,diameter [mm],stiffness [kN]\na,28-622,620,300\nb,38-622,620,300\nc,,620,300\nd,38-622,620,300\n";
        let tyres = read(text).unwrap();
        assert_eq!(of_other_sizes(&tyres, "28-622"), Some(OtherSizes { count: 2, sizes: vec!["38-622".to_owned()] }));
        assert_eq!(of_other_sizes(&tyres[..1], "28-622"), None);
    }

    #[test]
    fn faults_say_where_and_what() {
        let fault = |text: &str| read(text.as_bytes()).unwrap_err().to_string();
        assert!(fault("").contains("no column `id`"));
        assert!(fault("id,diameter [mm]\n").contains("no column `stiffness`"));
        assert!(fault("id,diameter,stiffness [kN]\n").contains("column `diameter` in its head cannot be used: there is none"));
        assert!(fault("id,diameter [bar],stiffness [kN]\n").contains("column `diameter [bar]`"));
        let head = "id,diameter [mm],stiffness [kN],tested release pressure [bar]\na,620,300,8\n";
        assert!(fault(&format!("{head}b,620,-3,\n")).contains("line 3 has \"-3\" for stiffness"));
        assert!(fault(&format!("{head}b,NaN,3,\n")).contains("line 3 has \"NaN\" for diameter"));
        assert!(fault(&format!("{head}b,620,4,300,8\n")).contains("line 3 has 5 cells, its head 4"));
        assert!(fault("id,id,diameter [mm],stiffness [kN]\n").contains("column `id` twice"));
        assert!(fault(&format!("{head}b\n")).contains("line 3 has \"\" for diameter"));
    }
}
