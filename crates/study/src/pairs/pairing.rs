//! Which tyre goes with which rim by its size, and the case of each pair.

use std::collections::BTreeSet;

use hoopwright_case::inputs::{LIMITS_LAW_PRESSURE, LIMITS_RIM_PRESSURE, LIMITS_TYRE_PRESSURE, PRESSURE_RATED, TITLE};
use hoopwright_case::units::{MM, MPA};
use hoopwright_case::{Case, CaseError, Measured as After, Put, Service, Size, Typed, is_missing};

use super::fault::{Fault, Faults, Place};
use super::rims::{Rim, Source};
use super::tyres::{Measured, Tyre};

/// A bead of no labelled size goes with seats within this share of its diameter: the seats of two rim codes differ by more.
const SAME_SEAT: f64 = 0.01;
/// Longest name in a title.
const LONGEST_NAME: usize = 50;

/// A tyre on a rim.
#[derive(Clone, Debug)]
pub struct Pair {
    /// Number of the tyre.
    pub tyre: usize,
    /// Number of the rim.
    pub rim: usize,
    /// The case, or why there is none.
    pub made: Result<Box<Made>, Apart>,
}

/// A pair that the sizes allow.
#[derive(Clone, Debug)]
pub struct Made {
    /// The case, rated for the listed pressure.
    pub case: Case,
    /// Whole sentences on inputs outside common practice.
    pub notes: Vec<String>,
    /// Time and heat in service, where the rim states them.
    pub service: Option<Service>,
}

/// Why a tyre does not go with a rim before anything is solved.
#[derive(Clone, Debug, PartialEq)]
pub enum Apart {
    /// Its labelled size is for another rim code.
    Code {
        /// The code.
        code: f64,
        /// Diameter of the rim's seat, mm.
        seat: f64,
    },
    /// Its labelled width is too small for the rim's inner width, by the width rule of 2023.
    Width {
        /// Labelled width, mm.
        labelled: f64,
        /// Inner width of the rim, mm.
        inner: f64,
    },
    /// It has no labelled size, and its bead is none of the rim's seat.
    Bead {
        /// Unstretched diameter, mm.
        diameter: f64,
        /// Diameter of the rim's seat, mm.
        seat: f64,
    },
    /// Tyre and rim cannot be put together: a sentence.
    Measures(String),
}

/// How sizes are matched.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Widths {
    /// By the width rule.
    ByRule,
    /// Any width that can be built.
    Any,
}

impl std::fmt::Display for Apart {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Code { code, seat } => write!(f, "labelled for rim code {code}, the seat has {}", MM.show(*seat)),
            Self::Width { labelled, inner } => write!(
                f,
                "labelled width {}: on an inner width of {} the width rule of 2023 asks for {} or more",
                MM.show(*labelled),
                MM.show(*inner),
                MM.show(Size::least_width(*inner))
            ),
            Self::Bead { diameter, seat } => {
                write!(f, "no labelled size, and a bead of {} is none of a seat of {}", MM.show(*diameter), MM.show(*seat))
            }
            Self::Measures(sentence) => f.write_str(sentence),
        }
    }
}

/// Every tyre with every rim, the rims fastest. `file` is the name of the tyres' table.
///
/// # Errors
/// Every fault that shows only when tyre and rim come together.
pub fn pairs(file: &str, tyres: &[Tyre], rims: &[Rim<'_>], widths: Widths) -> Result<Vec<Pair>, Vec<Fault>> {
    let mut faults = Faults::of(file);
    tests_name_rims(tyres, rims.len(), &mut faults);
    let mut found = Vec::with_capacity(tyres.len() * rims.len());
    for (t, tyre) in tyres.iter().enumerate() {
        for (r, rim) in rims.iter().enumerate() {
            let made = match apart(tyre, rim, widths) {
                Some(apart) => Err(apart),
                None => made(tyre, rim, &mut faults),
            };
            found.push(Pair { tyre: t, rim: r, made });
        }
    }
    if faults.is_empty() { Ok(found) } else { Err(faults.into_list()) }
}

/// Reports tests of which nobody can tell on which rim they were made.
fn tests_name_rims(tyres: &[Tyre], rims: usize, faults: &mut Faults) {
    let unnamed = |tyre: &&Tyre| tyre.tests.iter().any(|test| test.rim.is_none());
    for tyre in tyres.iter().filter(unnamed).filter(|_| rims > 1) {
        let remedy = "name the rim's id, or another word for another rim, in a column `tested on`";
        faults.add(Place::Row(tyre.row), "it was tested, and there are several rims it may have been tested on", remedy);
    }
}

/// The tests of a tyre that were made on a rim.
pub fn tests_on<'t>(tyre: &'t Tyre, rim: &Rim<'_>) -> Vec<&'t super::tyres::Test> {
    tyre.tests.iter().filter(|test| test.rim.as_ref().is_none_or(|name| *name == rim.id)).collect()
}

/// The names of rims that tests were made on and that are not on the list.
pub fn other_rims<'t>(tyres: &'t [Tyre], rims: &[Rim<'_>]) -> BTreeSet<&'t str> {
    let named = tyres.iter().flat_map(|tyre| &tyre.tests).filter_map(|test| test.rim.as_deref());
    named.filter(|name| rims.iter().all(|rim| rim.id != *name)).collect()
}

/// Why the sizes do not allow a pair; none where they do.
fn apart(tyre: &Tyre, rim: &Rim<'_>, widths: Widths) -> Option<Apart> {
    let (seat, inner) = (rim.seat_diameter, rim.inner_width);
    let Some(size) = tyre.size else {
        let far = (tyre.diameter / seat - 1.0).abs() > SAME_SEAT;
        return far.then_some(Apart::Bead { diameter: tyre.diameter, seat });
    };
    if !size.is_of_seat(seat) {
        return Some(Apart::Code { code: size.code, seat });
    }
    let narrow = widths == Widths::ByRule && size.width < Size::least_width(inner) - 1e-9;
    narrow.then_some(Apart::Width { labelled: size.width, inner })
}

/// What a pair puts into the rim's case: the tyre's values over the rim's, and the listed pressure as rated one.
fn put_of(tyre: &Tyre, rim: &Rim<'_>) -> Vec<Put> {
    let mut put: Vec<Put> = tyre.put.clone();
    put.extend(rim.put.iter().filter(|(input, _)| !tyre.put.iter().any(|(own, _)| own.path() == input.path())).cloned());
    // What both tell the stricter value counts of.
    for input in [&LIMITS_LAW_PRESSURE, &LIMITS_TYRE_PRESSURE, &LIMITS_RIM_PRESSURE] {
        let told = [super::tyres::quantity(&tyre.put, input), rim.quantity(input)].into_iter().flatten();
        if let Some(lowest) = told.reduce(f64::min) {
            place(&mut put, (input, Typed::Text(format!("{lowest} {}", MPA.symbol))));
        }
    }
    let listed = [&PRESSURE_RATED, &LIMITS_TYRE_PRESSURE, &LIMITS_RIM_PRESSURE, &LIMITS_LAW_PRESSURE];
    if let Some(lowest) = listed.into_iter().filter_map(|input| rim.open.quantity(input, &put)).reduce(f64::min) {
        place(&mut put, (&PRESSURE_RATED, Typed::Text(format!("{lowest} {}", MPA.symbol))));
    }
    place(&mut put, (&TITLE, Typed::Text(title(&tyre.id, &rim.id))));
    put
}

fn place(put: &mut Vec<Put>, new: Put) {
    put.retain(|(input, _)| input.path() != new.0.path());
    put.push(new);
}

/// What a pair is called in pictures and reports.
fn title(tyre: &str, rim: &str) -> String {
    let short = |name: &str| name.chars().filter(|c| !c.is_control()).take(LONGEST_NAME).collect::<String>();
    format!("{} on {}", short(tyre), short(rim))
}

fn made(tyre: &Tyre, rim: &Rim<'_>, faults: &mut Faults) -> Result<Box<Made>, Apart> {
    let put = put_of(tyre, rim);
    match rim.open.with(&put) {
        Ok((case, notes)) => {
            // What the service states was found without faults when the rim was read.
            let service = rim.open.service(&put).ok().flatten().map(|service| as_measured(service, tyre.measured));
            Ok(Box::new(Made { case, notes, service }))
        }
        Err(errors) => {
            let missing: Vec<&CaseError> = errors.0.iter().filter(|error| is_missing(&error.problem)).collect();
            for error in &missing {
                let name = error.key.replace(['.', '_'], " ");
                let remedy = format!("add a column `{name}`, or give it in the rims' cases for all tyres");
                faults.add(Place::File, format!("{} on rim {}", error.message(), rim_name(rim)), remedy);
            }
            let sentences: Vec<String> = errors.0.iter().map(CaseError::message).collect();
            Err(Apart::Measures(sentences.join("; ")))
        }
    }
}

fn rim_name(rim: &Rim<'_>) -> String {
    match &rim.source {
        Source::Row { file, row } => format!("{} ({file}, row {row})", rim.id),
        Source::Case { file } => format!("{} ({file})", rim.id),
    }
}

/// A service with what the table of the tyres says of when the bead was measured.
fn as_measured(mut service: Service, measured: Option<Measured>) -> Service {
    service.measured = match measured {
        None => service.measured,
        Some(Measured::Before) => None,
        Some(Measured::After) => service.measured.or(Some(After { after: service.hold, tension: None })),
    };
    service
}
