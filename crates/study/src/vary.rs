//! Runs the variants of a case, several at a time.

use std::sync::Arc;

use hoopwright_solver::assess::{Paths, assess, decide};
use hoopwright_solver::case::{Case, Variant};
use hoopwright_solver::model::ModelError;
use hoopwright_solver::result::{End, Finding};
use hoopwright_solver::rim::RimModel;
use hoopwright_solver::stages::inflate;

use crate::column::{Answer, COLUMNS, Number};
use crate::workers::each;

/// What was found of one variant.
#[derive(Clone, Debug, PartialEq)]
pub struct Row {
    /// One number for each of [`COLUMNS`]; none where it does not exist or was not found.
    pub numbers: Vec<Option<Number>>,
    /// Findings in order of danger; [`Finding::NoAnswer`] where the solve failed.
    pub findings: Vec<Finding>,
    /// How the paths at the given friction and without ended; why there is no path where the model cannot be built.
    pub ends: Ends,
}

/// How a variant's paths ended.
#[derive(Clone, Debug, PartialEq)]
pub enum Ends {
    /// At the given friction, and without where that was asked for.
    Paths(End, Option<End>),
    /// The model cannot be built: the reason.
    NoModel(String),
}

/// How much of a variant is solved.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Scope {
    /// Both paths, with and without friction.
    Whole,
    /// What decides.
    Deciding,
}

impl Row {
    /// Solves one variant.
    pub fn solve(variant: &Variant, scope: Scope) -> Self {
        let case = &match judged(variant) {
            Ok(case) => case,
            Err(reason) => return Self::unanswered(reason),
        };
        match scope {
            Scope::Whole => Self::with_notes(case).0,
            Scope::Deciding => decide(case, &mut |_| ())
                .map_or_else(|reason| Self::without_model(&reason), |d| Self::of(&Answer::decided(case, &d))),
        }
    }

    /// Solves a case with both paths: its row, and what is to be said of what was found.
    pub(crate) fn with_notes(case: &Case) -> (Self, Vec<String>) {
        match assess(case, Vec::new(), Paths::InTurn, &mut |_| ()) {
            Ok(a) => (Self::of(&Answer::from(&a)), a.notes),
            Err(reason) => (Self::without_model(&reason), Vec::new()),
        }
    }

    fn without_model(reason: &ModelError) -> Self {
        Self::unanswered(reason.to_string())
    }

    /// The row of a variant that has no path, for a reason.
    pub fn unanswered(reason: String) -> Self {
        Self { numbers: vec![None; COLUMNS.len()], findings: vec![Finding::NoAnswer], ends: Ends::NoModel(reason) }
    }

    /// The row of an answer. A number that is not finite is none.
    pub fn of(answer: &Answer<'_>) -> Self {
        let finite = |number: &Number| number.value().is_finite();
        Self {
            numbers: COLUMNS.iter().map(|column| (column.value)(answer).filter(finite)).collect(),
            findings: answer.verdict.findings.clone(),
            ends: Ends::Paths(answer.given.end.clone(), answer.frictionless.map(|run| run.end.clone())),
        }
    }
}

/// The case of a variant under the condition that is judged: a crept bead has grown by the tension of the new one, which is inflated for
/// it.
///
/// # Errors
/// The reason why that tension is not known.
fn judged(variant: &Variant) -> Result<Case, String> {
    let Some(service) = &variant.in_service else { return Ok(variant.case.clone()) };
    if !service.condition.has_crept() {
        return Ok(service.of(&variant.case, 0.0));
    }
    let rim = RimModel::new(&variant.case).map_err(|reason| ModelError::from(reason).to_string())?;
    let rated = [variant.case.pressure.rated];
    let inflated = inflate(&variant.case, &Arc::new(rim), &rated, &mut |_| ()).map_err(|reason| reason.to_string())?;
    let unknown = || "the new tyre has no equilibrium at its rated pressure, so that its creep is not known".to_owned();
    inflated.points.first().map(|point| service.of(&variant.case, point.bead_tension)).ok_or_else(unknown)
}

/// Solves the variants with the given numbers on `threads` threads (at least one) and hands over each row as it is finished, on the
/// calling thread. Rows depend on their cases alone, not on the threads; only their order does.
///
/// # Errors
/// The first error of `finished`; no further variant is begun then.
pub fn solve<E>(
    (variants, scope): (&[Variant], Scope),
    numbers: &[usize],
    threads: usize,
    finished: &mut dyn FnMut(usize, Row) -> Result<(), E>,
) -> Result<(), E> {
    let known: Vec<usize> = numbers.iter().copied().filter(|number| *number < variants.len()).collect();
    each(&known, threads, &|number| Row::solve(&variants[number], scope), finished)
}
