//! One row of a study: what was found of one case.

use hoopwright_solver::result::{End, Finding};

use super::Key;
use crate::column::{Answer, COLUMNS, Number, index};

/// What was found of one case.
#[derive(Clone, Debug, PartialEq)]
pub struct Row {
    /// The key of the case.
    pub key: Key,
    /// Words that stand beside it for people and for the study's order, one for each of [`super::Layout`]'s; no part of the key.
    pub labels: Vec<String>,
    /// Values of the inputs that vary, in their units.
    pub inputs: Vec<f64>,
    /// One number for each of [`COLUMNS`]; none where it does not exist or was not found.
    pub numbers: Vec<Option<Number>>,
    /// Findings in order of danger; [`Finding::NoAnswer`] where the solve failed.
    pub findings: Vec<Finding>,
    /// How the paths at the given friction and without ended; why there is no path where the model cannot be built.
    pub ends: Ends,
}

/// How the paths of a row ended.
#[derive(Clone, Debug, PartialEq)]
pub enum Ends {
    /// At the given friction, and without where that was asked for.
    Paths(End, Option<End>),
    /// There is no path: what for, and the reason as a sentence.
    None(NoPath, String),
}

/// Why there is no path.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NoPath {
    /// The values of the inputs make no case.
    NoCase,
    /// The model of the case cannot be built.
    NoModel,
    /// The tension that the bead creeps under is not known.
    NoCreep,
}

/// How a row came out.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Outcome {
    /// Every stated limit is kept.
    Holds,
    /// A stated limit is not kept.
    LimitNotKept,
    /// No equilibrium was found.
    NoAnswer,
}

impl Row {
    /// The row of an answer. A number that is not finite is none.
    pub fn of(key: Key, inputs: Vec<f64>, answer: &Answer<'_>) -> Self {
        let finite = |number: &Number| number.value().is_finite();
        Self {
            key,
            labels: Vec::new(),
            inputs,
            numbers: COLUMNS.iter().map(|column| column.value(answer).filter(finite)).collect(),
            findings: answer.verdict.findings.clone(),
            ends: Ends::Paths(one_line(&answer.given.end), answer.frictionless.map(|run| one_line(&run.end))),
        }
    }

    /// The row of a case that has no path, for a reason.
    pub fn without_path(key: Key, inputs: Vec<f64>, cause: NoPath, reason: &str) -> Self {
        let (numbers, findings) = (vec![None; COLUMNS.len()], vec![Finding::NoAnswer]);
        Self { key, labels: Vec::new(), inputs, numbers, findings, ends: Ends::None(cause, broken(reason)) }
    }

    /// The same under some labels.
    #[must_use]
    pub fn labelled(self, labels: Vec<String>) -> Self {
        Self { labels, ..self }
    }

    /// A number by the name of its column.
    pub fn number(&self, name: &str) -> Option<Number> {
        index(name).and_then(|k| self.numbers.get(k).copied().flatten())
    }

    /// How it came out.
    pub fn outcome(&self) -> Outcome {
        if self.findings.is_empty() || self.findings.contains(&Finding::NoAnswer) {
            Outcome::NoAnswer
        } else if self.findings == [Finding::Holds] {
            Outcome::Holds
        } else {
            Outcome::LimitNotKept
        }
    }

    /// Whether what decides was found.
    pub fn is_answered(&self) -> bool {
        self.outcome() != Outcome::NoAnswer
    }
}

/// A reason on one line: one row is one line of a file, so that a torn last line shows.
fn broken(reason: &str) -> String {
    reason.replace(['\n', '\r'], " ")
}

fn one_line(end: &End) -> End {
    match end {
        End::Failed(reason) => End::Failed(broken(reason)),
        other => other.clone(),
    }
}
