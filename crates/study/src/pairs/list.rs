//! The list itself: every pair with its answer, in the order of the tables.

use super::count::{Count, fit_all};
use super::judge::{Finding, Judged, Terms, judge};
use super::pairing::{Made, Pair, tests_on};
use super::probability::of_failing;
use super::rims::Rim;
use super::solve::{Answers, Solved, solve};
use super::tyres::{Test, Tyre};
use crate::column::Number;
use crate::workers::each;

/// A list of pairs.
#[derive(Clone, Debug)]
pub struct List<'a> {
    /// The tyres.
    pub tyres: &'a [Tyre],
    /// The rims.
    pub rims: &'a [Rim<'a>],
    /// What it goes by.
    pub terms: Terms,
    /// Every tyre with every rim, the rims fastest.
    pub entries: Vec<Entry>,
}

/// A pair with its answer.
#[derive(Clone, Debug)]
pub struct Entry {
    /// The pair.
    pub pair: Pair,
    /// Its answer; none where the sizes do not go together.
    pub answer: Option<Answered>,
}

/// The answer of a pair.
#[derive(Clone, Debug, PartialEq)]
pub struct Answered {
    /// What was found.
    pub solved: Solved,
    /// What that means.
    pub judged: Judged,
    /// The probability that a limit is not kept at the pressure told, by errors of measurement; none where none are told.
    pub failing: Option<f64>,
    /// Room on each side of the tyre at the listed pressure, mm, where the rim states a clear width.
    pub room_beside: Option<f64>,
    /// Room over the tread, mm, where the rim states a clear radius.
    pub room_over: Option<f64>,
}

impl Answered {
    /// Of a pair that was solved.
    pub fn of(made: &Made, solved: Solved, (tests, rim): (&[Test], &Rim<'_>), terms: &Terms) -> Self {
        let judged = judge(&made.case, &solved, tests, terms);
        let told = match judged.finding {
            Finding::FitsUpTo(pressure) => Some(pressure),
            Finding::Fits | Finding::TestFirst => Some(made.case.pressure.rated),
            Finding::DoesNotFit | Finding::NoAnswer => None,
        };
        let width = solved.new.number("inflated_width").map(Number::value);
        let clear = |clear: Option<f64>, taken: Option<f64>| Some(clear? - taken?);
        Self {
            failing: told.and_then(|pressure| of_failing(&made.case, &solved, pressure)),
            room_beside: clear(rim.room.clear_width, width).map(|both| 0.5 * both),
            room_over: clear(rim.room.clear_radius, solved.new.outer_diameter.map(|d| 0.5 * d)),
            solved,
            judged,
        }
    }
}

impl Entry {
    /// The finding; none where the sizes do not go together.
    pub fn finding(&self) -> Option<Finding> {
        self.answer.as_ref().map(|answer| answer.judged.finding)
    }
}

impl<'a> List<'a> {
    /// Solves what the pairs ask, several at a time, and judges it. `finished` hears of each pair, on the calling thread.
    ///
    /// # Errors
    /// The first error of `finished`; no further pair is begun then.
    pub fn solve<E>(
        (tyres, rims): (&'a [Tyre], &'a [Rim<'a>]),
        pairs: Vec<Pair>,
        terms: Terms,
        (answers, threads): (Answers<'_>, usize),
        finished: &mut dyn FnMut() -> Result<(), E>,
    ) -> Result<Self, E> {
        let open: Vec<usize> = (0..pairs.len()).filter(|i| pairs[*i].made.is_ok()).collect();
        let mut found: Vec<Option<Answered>> = vec![None; pairs.len()];
        let work = |i: usize| {
            let Pair { tyre, rim, made } = &pairs[i];
            let (made, tyre, rim) = (made.as_ref().ok()?, &tyres[*tyre], &rims[*rim]);
            let tests: Vec<Test> = tests_on(tyre, rim).into_iter().cloned().collect();
            Some(Answered::of(made, solve(made, tyre.errors, answers), (&tests, rim), &terms))
        };
        each(&open, threads, &work, &mut |i, answered| {
            found[i] = answered;
            finished()
        })?;
        let entries = pairs.into_iter().zip(found).map(|(pair, answer)| Entry { pair, answer }).collect();
        Ok(Self { tyres, rims, terms, entries })
    }

    /// The findings in the order of the pairs.
    pub fn findings(&self) -> Vec<Option<Finding>> {
        self.entries.iter().map(Entry::finding).collect()
    }

    /// How many tyres fit every rim at the listed pressure.
    pub fn fit_all(&self) -> usize {
        fit_all(&self.findings(), self.rims.len())
    }

    /// Findings of the pairs of a rim.
    pub fn of_rim(&self, rim: usize) -> Count {
        Count::of(self.entries.iter().filter(|entry| entry.pair.rim == rim).map(Entry::finding))
    }

    /// Findings of all pairs.
    pub fn of_all(&self) -> Count {
        Count::of(self.entries.iter().map(Entry::finding))
    }

    /// The pairs whose test and calculation disagree.
    pub fn disagreeing(&self) -> impl Iterator<Item = &Entry> {
        use super::judge::Against;
        let apart = |against| matches!(against, Against::CameOffBelow | Against::StayedBeyond);
        self.entries
            .iter()
            .filter(move |entry| entry.answer.iter().flat_map(|answer| &answer.judged.tests).any(|tested| apart(tested.against)))
    }
}
