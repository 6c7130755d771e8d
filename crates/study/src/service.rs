//! Margins in service: cold and new, after a hold, after a life, and hot.
//!
//! Each condition is a case of its own ([`Condition::of`]): what heat and creep do to it is put into its bead, casing, friction and
//! pressure, and it is solved like any other.

use hoopwright_solver::case::{Case, Service};

pub use hoopwright_solver::case::service::{Condition, ELASTIC_SHARE, spoke_gain};

use crate::column::{COLUMNS, Number};
use crate::vary::Row;
use crate::workers::all;

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
}

impl Answered {
    /// A number by the name of its column.
    pub fn number(&self, name: &str) -> Option<Number> {
        COLUMNS.iter().position(|column| column.name == name).and_then(|k| self.row.numbers.get(k).copied().flatten())
    }
}

/// Solves every condition, several at a time; those with creep need the tension of the new bead, and are left out where that has none at
/// its rated pressure. `finished` hears of each, on the calling thread.
pub fn solve(case: &Case, service: &Service, threads: usize, finished: &mut dyn FnMut()) -> Vec<Answered> {
    let answer = |condition: Condition, case: Case| {
        let (row, notes) = Row::with_notes(&case);
        Answered { condition, case, row, notes }
    };
    let new = answer(Condition::New, case.clone());
    finished();
    let Some(tension) = new.number("bead_tension_rated").map(Number::value) else { return vec![new] };
    let rest = &Condition::ALL[1..];
    let found = all(rest.len(), threads, &|i| answer(rest[i], rest[i].of(case, service, tension)), finished);
    std::iter::once(new).chain(found).collect()
}
