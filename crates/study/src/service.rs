//! Margins in service: cold and new, after a hold, after a life, and hot.
//!
//! Each condition is a case of its own ([`Condition::of`]): what heat and creep do to it is put into its bead, casing, friction and
//! pressure, and it is solved like any other.

use hoopwright_case::{Case, Service};
use hoopwright_solver::allowed::round_down;
use hoopwright_solver::estimate::estimate;

pub use hoopwright_case::service::{Condition, ELASTIC_SHARE, spoke_gain};

use crate::column::Number;
use crate::rows::{Key, Row};
use crate::vary::whole;
use crate::workers::all;

/// A difference of the release to speak of, as a share of the required pressure.
const MATTERS: f64 = 0.01;

/// What was found under one condition.
#[derive(Clone, Debug)]
pub struct Answered {
    /// The condition.
    pub condition: Condition,
    /// Its case.
    pub case: Case,
    /// What was found.
    pub row: Row,
    /// What is to be said of it beyond the notes on the case, whole sentences.
    pub notes: Vec<String>,
    /// What it would be had the bead been measured at the other time; none where that makes no difference to speak of.
    pub otherwise: Option<Otherwise>,
}

/// A condition of a bead measured at the other time ([`Service::measured_otherwise`]).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Otherwise {
    /// Its unstretched diameter, mm.
    pub diameter: f64,
    /// Off-centre release less that of the condition as told, both by the closed form, MPa.
    pub release: f64,
}

impl Otherwise {
    /// Of a condition; `tension` is that of the new bead at the rated pressure, N.
    fn of(condition: Condition, case: &Case, service: &Service, tension: f64) -> Option<Self> {
        let under = |service: &Service| condition.of(case, service, tension);
        let (told, other) = (under(service), under(&service.measured_otherwise()));
        let release = |case: &Case| estimate(case).ok().map(|found| found.given.off_centre_release);
        let otherwise = Self { diameter: other.bead.diameter, release: release(&other)? - release(&told)? };
        (otherwise.release.abs() >= MATTERS * told.required_pressure()).then_some(otherwise)
    }
}

impl Answered {
    /// Highest working pressure under the condition at which every limit is kept, bar. That of a bead that has crept is not told beyond the
    /// working pressure it was solved for: under more pressure the bead would have crept more.
    pub fn allowed_pressure(&self) -> Option<Number> {
        let working = 10.0 * round_down(self.case.pressure.rated);
        let found = self.number("allowed_pressure")?;
        let beyond = self.condition.has_crept() && found.value() > working;
        Some(if beyond { Number::Above(working) } else { found })
    }

    /// A number by the name of its column.
    pub fn number(&self, name: &str) -> Option<Number> {
        self.row.number(name)
    }
}

/// Solves every condition, several at a time; those with creep need the tension of the new bead, and are left out where that has none at
/// its rated pressure. `finished` hears of each, on the calling thread.
pub fn solve(case: &Case, service: &Service, threads: usize, finished: &mut dyn FnMut()) -> Vec<Answered> {
    let answer = |condition: Condition, case: Case| {
        let (row, notes) = whole((Key::of(&case), Vec::new()), &case);
        Answered { condition, case, row, notes, otherwise: None }
    };
    let new = answer(Condition::New, case.clone());
    finished();
    let Some(tension) = new.number("bead_tension_rated").map(Number::value) else { return vec![new] };
    let rest = &Condition::ALL[1..];
    let crept = |condition: Condition| {
        let otherwise = Otherwise::of(condition, case, service, tension);
        Answered { otherwise, ..answer(condition, condition.of(case, service, tension)) }
    };
    let found = all(rest.len(), threads, &|i| crept(rest[i]), finished);
    std::iter::once(new).chain(found).collect()
}
