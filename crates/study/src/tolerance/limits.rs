//! The limits of a case as margins of its samples, and the further numbers whose extremes are told.

use hoopwright_case::Case;
use hoopwright_solver::result::Finding;

use super::sample::Sample;
use crate::column::{COLUMNS, Column, Number};
use crate::map::field::{self, Field, Limit};

/// Columns that tell the load on the rim.
const LOADS: [&str; 2] = ["seat_load_fitted", "rim_hoop_force"];

/// What the samples of a case are held against.
#[derive(Clone, Debug)]
pub struct Limits {
    limits: Vec<(Limit, Field)>,
    loads: Vec<usize>,
}

impl Limits {
    /// The required pressure and the spoke loss: what may injure. Mounting is left out. A probability is that of the numbers found: their
    /// numerical error, which all samples share, is no scatter.
    pub fn of(case: &Case) -> Self {
        let fields = field::fields(case);
        let limits = field::stated_limits(case, &fields);
        let safety = limits.into_iter().filter(|limit| limit.finding != Finding::HardToMount);
        let limits = safety.map(|limit| (limit, fields[limit.field])).collect();
        let loads = LOADS.iter().filter_map(|name| COLUMNS.iter().position(|column| column.name == *name)).collect();
        Self { limits, loads }
    }

    /// Number of limits.
    pub fn len(&self) -> usize {
        self.limits.len()
    }

    /// Whether there is none.
    pub fn is_empty(&self) -> bool {
        self.limits.is_empty()
    }

    /// The column that a limit is on.
    pub fn column(&self, limit: usize) -> &'static Column {
        self.limits[limit].1.column
    }

    /// The verdict where a limit is not kept.
    pub fn finding(&self, limit: usize) -> Finding {
        self.limits[limit].0.finding
    }

    /// The limit's value for a case, in its column's unit.
    pub fn value(&self, limit: usize, case: &Case) -> Option<f64> {
        self.limits[limit].0.value(case)
    }

    /// The columns of the loads.
    pub fn loads(&self) -> Vec<&'static Column> {
        self.loads.iter().map(|k| &COLUMNS[*k]).collect()
    }

    /// A sample of a case from its numbers, one for each of [`COLUMNS`]; `answered` says whether what decides was found.
    ///
    /// A bound that passes its limit keeps it, though the margin is not known. A number of the rated pressure that is missing because the
    /// tyre came off before belongs to no failure of the rim.
    pub fn sample(&self, case: &Case, numbers: &[Option<Number>], answered: bool) -> Sample {
        let mut sample = Sample { margins: Vec::new(), fails: Vec::new(), loads: Vec::new() };
        for (limit, field) in &self.limits {
            let (number, value) = (numbers.get(field.index).copied().flatten(), limit.value(case));
            let margin = |number: f64| value.map(|value| if limit.at_least { number - value } else { value - number });
            let (known, fails) = match number {
                Some(Number::Found(found)) => (margin(found), margin(found).map(|m| m < 0.0)),
                Some(Number::Above(bound)) => (None, margin(bound).filter(|m| limit.at_least && *m >= 0.0).map(|_| false)),
                None => (None, answered.then_some(false)),
            };
            let deciding = limit.finding == Finding::MayRelease;
            // Of a path that broke off only what lies before its end is known.
            let open = deciding && !answered && fails != Some(false);
            sample.margins.push(known.filter(|_| !open));
            sample.fails.push(fails.filter(|_| !open));
        }
        sample.loads = self.loads.iter().map(|k| numbers.get(*k).copied().flatten().map(Number::value)).collect();
        sample
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use hoopwright_case as case;

    #[test]
    fn what_is_not_known_is_neither_a_release_nor_a_hold() {
        let case = case::read(&case::starter()).unwrap().0;
        let limits = Limits::of(&case);
        let release = COLUMNS.iter().position(|c| c.name == "lower_release").unwrap();
        let spokes = COLUMNS.iter().position(|c| c.name == "spoke_tension_loss_share").unwrap();
        let sample = |number: Option<Number>, loss: Option<f64>, answered: bool| {
            let mut numbers = vec![None; COLUMNS.len()];
            numbers[release] = number;
            numbers[spokes] = loss.map(Number::Found);
            limits.sample(&case, &numbers, answered)
        };
        let required = 10.0 * case.required_pressure();
        let found = sample(Some(Number::Found(required - 1.0)), Some(15.0), true);
        assert!((found.margins[0].unwrap() + 1.0).abs() < 1e-9 && found.fails == [Some(true), Some(false)]);
        assert_eq!(found.event(2), Some(true));
        // A bound beyond what is required holds, whatever ended the path; below it nothing is known.
        let bound = sample(Some(Number::Above(required + 1.0)), Some(15.0), true);
        assert_eq!((bound.margins[0], bound.fails[0]), (None, Some(false)));
        let broken = sample(Some(Number::Above(required - 1.0)), Some(15.0), false);
        assert_eq!((broken.fails[0], broken.event(2), broken.unanswered()), (None, None, true));
        assert_eq!(broken.fails[1], Some(false), "the rated pressure was reached");
        assert_eq!(sample(None, None, false).fails, [None, None]);
        // Off before the rated pressure: no number of the rim, and no failure of it.
        assert_eq!(sample(Some(Number::Found(2.0)), None, true).fails, [Some(true), Some(false)]);
    }
}
