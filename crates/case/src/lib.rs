//! The case: one tyre on one rim at one rated pressure, checked and in inner units.
//!
//! Inner units: N, mm, MPa, radians, kelvin; forces per circumference in N/mm. A [`Case`] is valid or does not exist.
//!
//! [`read`] turns a text into a [`CaseFile`] (as typed) and that into a [`Case`] (checked), or into all the faults found.
//! What may stand in a case is told by one table, [`mod@inputs`].
//!
//! A file may name values to run the case over: [`variants`] reads the same file once for each variant with those values in place,
//! [`map()`] once for each point of a map; [`tolerance()`] reads how its inputs scatter.

mod bare;
mod case;
mod check;
mod curve;
mod drawing;
#[cfg(test)]
mod drawing_tests;
pub mod edit;
mod error;
mod file;
pub mod geometry;
mod heights;
pub mod inputs;
mod nearest;
mod neighbours;
mod notes;
mod open;
mod origin;
mod reader;
mod resolved;
mod rider;
mod rules;
mod seating;
#[cfg(test)]
mod seating_tests;
pub mod service;
mod settled;
mod size;
mod starter;
pub mod table;
#[cfg(test)]
mod tests;
mod text;
mod typed;
pub mod units;
mod vary;

pub use case::{
    Bead, Case, Casing, Changes, Criterion, Dip, Drawing, DrawnOutline, Heights, HoopLaw, Limits, Maxima, MaximumOf, Pressure,
    RiderLoad, Rim, Rubber, Seating, Section, SectionShape, Spokes, Stands, TurnUp,
};
pub use check::{read, read_with, service, stated_service};
pub use drawing::{LARGEST_DRAWING, drawing_named};
pub use error::{CaseError, CaseErrors, Problem};
pub use file::{Attached, CaseFile, Entry, Named, SIZE_LIMIT, Typed, decode};
pub use heights::heights_named;
pub use inputs::service::{SERVICE_INPUTS, SERVICE_TABLE};
pub use nearest::nearest;
pub use neighbours::{Neighbour, neighbours};
pub use notes::WIDTH_GAP;
pub use open::{OpenCase, Put, Size, check_value, is_missing};
pub use origin::{Origin, origin};
pub use reader::Reader;
pub use resolved::{Row, resolved};
pub use rider::{Patch, patch};
pub use service::{Condition, InService, Measured, Service};
pub use settled::{Settled, Value, settled};
pub use size::size_named;
pub use starter::{commented, starter};
pub use text::Text;
pub use typed::{quantity_of, text_of};
pub use vary::{
    BEAD_CIRCUMFERENCE, Combine, GAUGE_ERROR, MISMATCH, MOST_UNCERTAIN, MOST_VARIANTS, Map, NamedFile, OneInput, OneInputError,
    Room, SEAT_CIRCUMFERENCE, SIZE_SETTINGS, STAND_INS, Sizes, Spread, Tolerance, Uncertain, Variant, Varied, Vary, WIDTH_RULE,
    map, one_input, sizes, stated_sizes, tolerance, variants,
};
