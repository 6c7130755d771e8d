//! Runs the variants of a case, several at a time.

use std::sync::Arc;

use hoopwright_case::{Case, Variant};
use hoopwright_solver::assess::{Paths, assess, decide};
use hoopwright_solver::model::ModelError;
use hoopwright_solver::rim::RimModel;
use hoopwright_solver::stages::inflate;

use crate::column::Answer;
use crate::rows::{Key, NoPath, Row, Scope};
use crate::workers::each;

/// Solves one variant.
pub fn solve_one(variant: &Variant, scope: Scope) -> Row {
    let (key, inputs) = (Key::of_variant(variant), variant.values.clone());
    let case = &match judged(variant) {
        Ok(case) => case,
        Err((cause, reason)) => return Row::without_path(key, inputs, cause, &reason),
    };
    match scope {
        Scope::Whole => whole((key, inputs), case).0,
        Scope::Deciding => match decide(case, &mut |_| ()) {
            Ok(decision) => Row::of(key, inputs, &Answer::decided(case, &decision)),
            Err(reason) => Row::without_path(key, inputs, NoPath::NoModel, &reason.to_string()),
        },
    }
}

/// Solves a case with both paths: its row, and what is to be said of what was found.
pub(crate) fn whole((key, inputs): (Key, Vec<f64>), case: &Case) -> (Row, Vec<String>) {
    match assess(case, Vec::new(), Paths::InTurn, &mut |_| ()) {
        Ok(a) => (Row::of(key, inputs, &Answer::from(&a)), a.notes),
        Err(reason) => (Row::without_path(key, inputs, NoPath::NoModel, &reason.to_string()), Vec::new()),
    }
}

/// The case of a variant under the condition that is judged: a crept bead has grown by the tension of the new one, which is inflated for
/// it.
///
/// # Errors
/// Why that tension is not known.
fn judged(variant: &Variant) -> Result<Case, (NoPath, String)> {
    let Some(service) = &variant.in_service else { return Ok(variant.case.clone()) };
    if !service.condition.has_crept() {
        return Ok(service.of(&variant.case, 0.0));
    }
    let no_model = |reason: ModelError| (NoPath::NoModel, reason.to_string());
    let rim = RimModel::new(&variant.case).map_err(|reason| no_model(reason.into()))?;
    let rated = [variant.case.pressure.rated];
    let inflated = inflate(&variant.case, &Arc::new(rim), &rated, &mut |_| ()).map_err(no_model)?;
    let sentence = "the new tyre has no equilibrium at its rated pressure, so that its creep is not known";
    let unknown = || (NoPath::NoCreep, sentence.to_owned());
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
    each(&known, threads, &|number| solve_one(&variants[number], scope), finished)
}
