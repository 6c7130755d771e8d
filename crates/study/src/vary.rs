//! Runs the variants of a case, several at a time.

use std::panic::resume_unwind;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::sync::mpsc::{Sender, channel};
use std::thread;

use hoopwright_solver::assess::assess;
use hoopwright_solver::case::{Case, Variant};
use hoopwright_solver::result::{Assessment, End, Finding};

use crate::column::{COLUMNS, Number};

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
    /// At the given friction and without.
    Paths(End, End),
    /// The model cannot be built: the reason.
    NoModel(String),
}

impl Row {
    /// Solves one variant.
    pub fn solve(case: &Case, notes: Vec<String>) -> Self {
        match assess(case, notes, &mut |_| ()) {
            Ok(assessment) => Self::of(&assessment),
            Err(reason) => Self {
                numbers: vec![None; COLUMNS.len()],
                findings: vec![Finding::NoAnswer],
                ends: Ends::NoModel(reason.to_string()),
            },
        }
    }

    /// The row of an assessment. A number that is not finite is none.
    pub fn of(a: &Assessment) -> Self {
        let finite = |number: &Number| number.value().is_finite();
        Self {
            numbers: COLUMNS.iter().map(|column| (column.value)(a).filter(finite)).collect(),
            findings: a.verdict.findings.clone(),
            ends: Ends::Paths(a.given.end.clone(), a.frictionless.end.clone()),
        }
    }
}

/// Solves the variants with the given numbers on `threads` threads (at least one) and hands over each row as it is finished, on the
/// calling thread. Rows depend on their cases alone, not on the threads; only their order does.
///
/// # Errors
/// The first error of `finished`; no further variant is begun then.
pub fn solve<E>(
    variants: &[Variant],
    numbers: &[usize],
    threads: usize,
    finished: &mut dyn FnMut(usize, Row) -> Result<(), E>,
) -> Result<(), E> {
    let (next, stop) = (AtomicUsize::new(0), AtomicBool::new(false));
    let shared = (&next, &stop);
    thread::scope(|scope| {
        let (sender, rows) = channel();
        let workers: Vec<_> = (0..threads.clamp(1, numbers.len().max(1)))
            .map(|_| {
                let sender = sender.clone();
                scope.spawn(move || work(variants, numbers, shared, &sender))
            })
            .collect();
        drop(sender);
        // Ends when the last worker has dropped its sender.
        let result = rows.iter().try_for_each(|(number, row)| finished(number, row));
        stop.store(true, Ordering::Relaxed);
        for worker in workers {
            if let Err(panic) = worker.join() {
                resume_unwind(panic);
            }
        }
        result
    })
}

fn work(variants: &[Variant], numbers: &[usize], (next, stop): (&AtomicUsize, &AtomicBool), sender: &Sender<(usize, Row)>) {
    while !stop.load(Ordering::Relaxed) {
        let Some(&number) = numbers.get(next.fetch_add(1, Ordering::Relaxed)) else { return };
        let Some(variant) = variants.get(number) else { continue };
        let row = Row::solve(&variant.case, variant.notes.clone());
        if sender.send((number, row)).is_err() {
            return;
        }
    }
}
