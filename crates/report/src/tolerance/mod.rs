//! What comes of a study of tolerances: table and JSON.

mod json;
pub(crate) mod tables;
mod text;
mod words;

pub use json::document;
pub use text::text;
pub(crate) use words::{at_most, chance, condition, left_out, limit_words, one_of, service, short, spread, with_interval};

use hoopwright_case::Tolerance;
use hoopwright_study::tolerance::limits::Limits;
use hoopwright_study::tolerance::probability::Probability;
use hoopwright_study::tolerance::{Findings, Plan};

/// A study of tolerances ready to be shown.
#[derive(Clone, Copy, Debug)]
pub struct Reported<'a> {
    /// The case with how its inputs scatter.
    pub tolerance: &'a Tolerance,
    /// What was asked.
    pub plan: &'a Plan,
    /// The limits, in the order of the findings.
    pub limits: &'a Limits,
    /// What was found.
    pub findings: &'a Findings,
    /// Number (from 1) and reason of every sample without an answer.
    pub unanswered: &'a [(usize, String)],
}

/// How the probability of any failure stands to the target.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Outcome {
    /// The upper end of its interval does not exceed the target.
    Met,
    /// The lower end of its interval exceeds the target.
    Missed,
    /// The target lies within the interval.
    NotShown,
    /// No target is given.
    NoTarget,
    /// Too few samples check what was learnt: nothing is known of the probability.
    NotKnown,
    /// No answer at the centre of all spreads, or for most samples.
    NoAnswer,
}

impl Reported<'_> {
    /// The probability that any limit is not kept; none without an answer, or where nothing is known of it.
    pub fn any(&self) -> Option<&Probability> {
        self.answered().filter(|any| any.is_known())
    }

    /// As [`Self::any`], known or not.
    pub(crate) fn answered(&self) -> Option<&Probability> {
        self.findings.probabilities.last().filter(|_| 2 * self.unanswered.len() <= self.findings.record.solved.len())
    }

    /// How it stands to the target.
    pub fn outcome(&self) -> Outcome {
        match (self.any(), self.plan.target) {
            (None, _) if self.answered().is_some() => Outcome::NotKnown,
            (None, _) => Outcome::NoAnswer,
            (Some(_), None) => Outcome::NoTarget,
            (Some(any), Some(target)) if any.high <= target => Outcome::Met,
            (Some(any), Some(target)) if any.low > target => Outcome::Missed,
            (Some(_), Some(_)) => Outcome::NotShown,
        }
    }

    /// Paths of the inputs that scatter.
    pub(crate) fn paths(&self) -> Vec<String> {
        self.tolerance.inputs.iter().map(|u| u.input.path()).collect()
    }

    /// Unit symbols of the inputs; `-` for pure numbers.
    pub(crate) fn units(&self) -> Vec<&'static str> {
        let symbol = |unit: Option<hoopwright_case::units::Unit>| unit.map_or("", |unit| unit.symbol);
        let each = self.tolerance.inputs.iter().map(|u| symbol(u.input.unit()));
        each.map(|symbol| if symbol.is_empty() { "-" } else { symbol }).collect()
    }
}
