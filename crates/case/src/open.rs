//! A case with its tyre left open: a rim, its spokes, pressures and limits, into which tyres are put one after another.
//!
//! What is put in is read by the same reader under the same rules as what is typed, so that a pair that is made here is the case that a file
//! with these values would be. What is missing is then told input by input, at the end of the text.

use crate::case::{Case, Pressure, Rim};
use crate::check::{case_of, part_of};
use crate::error::{CaseError, CaseErrors, Problem};
use crate::file::Attached;
use crate::file::{CaseFile, Entry, Typed};
use crate::inputs::service::SERVICE_TABLE;
use crate::inputs::{self as i, Input, Kind};
use crate::notes::WIDTH_GAP;
use crate::service::{Service, service_of};
use crate::size::{SizeLabel, size_of};
use crate::typed::quantity_of;
use crate::vary::Room;
use crate::vary::room_of;

/// Inputs of which one takes the place of the other.
static INSTEAD: [[&Input; 2]; 5] = [
    [&i::BEAD_STIFFNESS, &i::BEAD_CURVE],
    [&i::CASING_SIZE, &i::CASING_BEAD_TO_BEAD],
    [&i::CASING_PLY_STIFFNESS, &i::CASING_CORD_STIFFNESS],
    [&i::RIM_HOOP_STIFFNESS, &i::RIM_AREA],
    [&i::SPOKES_STIFFNESS, &i::SPOKES_DIAMETER],
];

/// An input with a value as typed.
pub type Put = (&'static Input, Typed);

/// A case with its tyre left open.
#[derive(Clone, Debug)]
pub struct OpenCase<'a> {
    file: CaseFile<'a>,
}

/// A labelled size against a rim.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Size {
    /// Labelled width, mm.
    pub width: f64,
    /// Rim code.
    pub code: f64,
    /// Seat diameter of that code, mm.
    pub seat_diameter: f64,
}

impl Size {
    /// A size as labelled, as in `28-622`; none where it is none.
    pub fn labelled(text: &str) -> Option<Self> {
        let label = size_of(&i::CASING_SIZE, &Typed::Text(text.to_owned())).ok()?;
        Some(Self { width: label.width, code: label.code, seat_diameter: label.seat_diameter() })
    }

    /// Whether a seat, mm, is one of its rim code.
    pub fn is_of_seat(&self, seat_diameter: f64) -> bool {
        SizeLabel { width: self.width, code: self.code }.has_seat(seat_diameter)
    }

    /// Least labelled width on a rim of an inner width, mm, by the width rule of 2023.
    pub fn least_width(inner_width: f64) -> f64 {
        inner_width + WIDTH_GAP
    }
}

impl<'a> OpenCase<'a> {
    /// Parses a text; tables that are missing are filled by what is put in.
    ///
    /// # Errors
    /// The text is no TOML, or holds tables and keys that no case has.
    pub fn parse(text: &'a str, attached: Attached) -> Result<Self, CaseErrors> {
        let (file, mut faults) = CaseFile::parse(text)?;
        faults.retain(|fault| !matches!(fault.problem, Problem::MissingTable { .. }));
        if !faults.is_empty() {
            return Err(CaseErrors(faults));
        }
        Ok(Self { file: file.with_attached(attached).with_all_tables() })
    }

    /// Whether an input is given.
    pub fn gives(&self, input: &Input) -> bool {
        self.file.get(input).is_some()
    }

    /// A quantity that is put in, or else given, in inner units; none where there is none that can be read.
    pub fn quantity(&self, input: &Input, put: &[Put]) -> Option<f64> {
        let value = put.iter().find(|(other, _)| same(other, input)).map(|(_, value)| value);
        quantity_of(input, value.or_else(|| self.file.get(input).map(|entry| &entry.value))?).ok()
    }

    /// The rim and the pressures with what is put in.
    ///
    /// # Errors
    /// Every fault that is there without a tyre.
    pub fn rim(&self, put: &[Put]) -> Result<(Rim, Pressure), CaseErrors> {
        let (case, mut faults) = part_of(&self.filled(put));
        faults.retain(|fault| !is_of_tyre(fault));
        if faults.is_empty() { Ok((case.rim, case.pressure)) } else { Err(CaseErrors(faults)) }
    }

    /// The faults of a tyre that is put in which are there without a rim, but for what is missing: a rim's file may have it.
    pub fn faults_of_tyre(put: &[Put]) -> Vec<CaseError> {
        let Ok(nothing) = Self::parse("", Attached::new()) else { return Vec::new() };
        let mut faults = part_of(&nothing.filled(put)).1;
        faults.retain(|fault| is_of_tyre(fault) && !is_missing(&fault.problem));
        faults
    }

    /// The case with what is put in, and its notes.
    ///
    /// # Errors
    /// Every fault of that case.
    pub fn with(&self, put: &[Put]) -> Result<(Case, Vec<String>), CaseErrors> {
        case_of(&self.filled(put), Vec::new())
    }

    /// The service that the case with what is put in states; none where it has no table of it.
    ///
    /// # Errors
    /// Every fault of that table.
    pub fn service(&self, put: &[Put]) -> Result<Option<Service>, CaseErrors> {
        let stated = self.file.has(SERVICE_TABLE.0) || put.iter().any(|(input, _)| input.section == SERVICE_TABLE.0);
        stated.then(|| service_of(&self.filled(put), Vec::new())).transpose()
    }

    /// The room that its table of sizes says that a frame leaves.
    ///
    /// # Errors
    /// Every fault of that.
    pub fn room(&self) -> Result<Room, CaseErrors> {
        room_of(&self.file)
    }

    /// The file with what is put in, and without what that takes the place of.
    fn filled(&self, put: &[Put]) -> CaseFile<'a> {
        let end = self.file.text.len();
        let is_put = |input: &Input| put.iter().any(|(other, _)| same(other, input));
        let replaced = INSTEAD.iter().flat_map(|[a, b]| [(*a, *b), (*b, *a)]).filter(|(new, _)| is_put(new));
        let file = self.file.without(&replaced.map(|(_, old)| old).filter(|old| !is_put(old)).collect::<Vec<_>>());
        file.with(put.iter().map(|(input, value)| (*input, Entry { value: value.clone(), span: end..end })))
    }
}

/// Whether a fault lies in what a tyre is told by.
fn is_of_tyre(fault: &CaseError) -> bool {
    ["bead.", "casing.", "rubber."].iter().any(|table| fault.key.starts_with(table))
}

/// Whether a fault is that something is not given.
pub fn is_missing(problem: &Problem) -> bool {
    matches!(problem, Problem::Missing { .. } | Problem::Neither { .. } | Problem::Alone { .. })
}

/// Whether two are the same input.
fn same(a: &Input, b: &Input) -> bool {
    (a.section, a.key) == (b.section, b.key)
}

/// Checks one value of an input by itself: its type, its unit and its range.
///
/// # Errors
/// What is wrong with it.
pub fn check_value(input: &'static Input, value: &Typed) -> Result<(), Problem> {
    match input.kind {
        Kind::Quantity { .. } | Kind::Modulus { .. } => quantity_of(input, value).map(|_| ()),
        Kind::Count { .. } => crate::typed::count_of(input, value).map(|_| ()),
        Kind::Size => size_of(input, value).map(|_| ()),
        Kind::WordOr { word, .. } if *value == Typed::Text(word.to_owned()) => Ok(()),
        Kind::WordOr { .. } => quantity_of(input, value).map(|_| ()),
        // Their reader tells what is wrong with them together with the rest of the case.
        Kind::Flag | Kind::Text | Kind::Choice(_) | Kind::Curve | Kind::Quantities { .. } => Ok(()),
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::float_cmp)]
    use super::*;
    use crate::starter::starter;

    fn text(value: &str) -> Typed {
        Typed::Text(value.to_owned())
    }

    /// The starter case without its tyre.
    fn rim_alone() -> String {
        let whole = starter();
        let [from, to] = ["[bead]", "[rubber]"].map(|head| whole.find(head).unwrap());
        whole[..from].to_owned() + &whole[to..]
    }

    fn tyre() -> Vec<Put> {
        vec![
            (&i::BEAD_DIAMETER, text("620.4 mm")),
            (&i::BEAD_STIFFNESS, text("320 kN")),
            (&i::CASING_BEAD_TO_BEAD, text("70 mm")),
            (&i::CASING_PLIES, Typed::Integer(1)),
            (&i::CASING_PLY_STIFFNESS, text("145 N/mm")),
        ]
    }

    #[test]
    fn a_tyre_put_into_a_rim_is_the_case_of_a_whole_file() {
        let (rim, whole) = (rim_alone(), starter());
        let open = OpenCase::parse(&rim, Attached::new()).unwrap();
        assert_eq!(open.with(&tyre()).unwrap().0, crate::check::read(&whole).unwrap().0);
        // A whole case gives its own tyre up.
        let other = OpenCase::parse(&whole, Attached::new()).unwrap();
        let put: Vec<Put> = vec![(&i::CASING_SIZE, text("28-622")), (&i::BEAD_STIFFNESS, text("300 kN"))];
        let case = other.with(&put).unwrap().0;
        assert!(case.casing.bead_to_bead != 70.0 && case.bead.law == crate::case::HoopLaw::Linear(300e3));
    }

    #[test]
    fn what_is_missing_is_told_by_its_input() {
        let rim = rim_alone();
        let open = OpenCase::parse(&rim, Attached::new()).unwrap();
        let put: Vec<Put> = tyre().into_iter().skip(2).collect();
        let faults = open.with(&put).unwrap_err();
        let keys: Vec<&str> = faults.0.iter().map(|fault| fault.key.as_str()).collect();
        assert_eq!(keys, ["bead.diameter", "bead.stiffness"]);
        let none = OpenCase::parse("", Attached::new()).unwrap().with(&tyre()).unwrap_err();
        for key in ["rim.seat_diameter", "rim.inner_width", "rim.hoop_stiffness", "spokes.count", "pressure.rated"] {
            assert!(none.0.iter().any(|fault| fault.key == key), "{key}: {none}");
        }
        assert!(OpenCase::parse("[rims]\n", Attached::new()).is_err());
    }

    #[test]
    fn sizes_go_by_their_rim_code() {
        let size = Size::labelled("28-622").unwrap();
        assert!(size.is_of_seat(621.95) && !size.is_of_seat(583.9) && Size::labelled("28").is_none());
        assert_eq!((size.width, size.seat_diameter, Size::least_width(25.0)), (28.0, 621.95, 30.0));
    }
}
