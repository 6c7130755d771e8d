//! Settles probabilities: places are drawn where the stand-in does not know, solved, and compared with it, until the interval is narrow
//! enough.

use rand_pcg::Pcg64;

use super::Plan;
use super::joint::Joint;
use super::learn::{self, Learnt, NEGLIGIBLE, survey};
use super::pool::Pool;
use super::probability::{Correction, FEWEST_CHECKS, MATTERS, Probability};
use super::sample::{Ask, Purpose, Record, Sample};
use super::sequence::seed_for;
use hoopwright_statistics::normal::below;

/// Places of the pool behind a probability.
const POOL: usize = 1 << 15;
/// Checks of the first round and of those after it.
const FIRST: usize = 32;
const FURTHER: usize = 16;
/// Most passes, and the further checks that a pass may need without being given up for a better stand-in.
const PASSES: u64 = 4;
const PATIENCE: usize = 32;

/// Probabilities as settled.
pub struct Settled {
    /// Of each limit not being kept, then of any.
    pub probabilities: Vec<Probability>,
    /// Whether the intervals became as narrow as wanted.
    pub narrow: bool,
    /// The pool and the stand-in's margins at its places.
    pub pool: Pool,
    /// What the stand-in missed at the checks.
    pub held_out: Vec<Option<HeldOut>>,
    /// Whether so many checks would be needed that a better stand-in is cheaper.
    given_up: bool,
}

/// What a stand-in missed of one margin at samples that it had not seen.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HeldOut {
    /// Number of samples.
    pub count: usize,
    /// Root mean square of the differences, in the limit's unit.
    pub rms: f64,
    /// Largest difference.
    pub largest: f64,
    /// Share of them within two of the deviations that were told; a good stand-in has about 0.95.
    pub within_two: f64,
}

/// Settles the probabilities of a plan. Where the stand-in turns out to know too little it learns what the checks have told, and others
/// are drawn: those of a pass that was given up would be checks of what has seen them.
///
/// # Errors
/// What `ask` fails with.
pub fn settle<E>(
    plan: &Plan,
    mut learnt: Learnt,
    record: &mut Record,
    ask: Ask<'_, E>,
    random: &mut Pcg64,
) -> Result<(Learnt, Settled), E> {
    // The probability comes first: a spread that is to be sized gets what is left.
    let most = plan.most_solves;
    let mut pass = 1;
    loop {
        let patience = if pass == PASSES { usize::MAX } else { PATIENCE };
        let checks = Checks { joint: &plan.joint, purpose: Purpose::Check, seed: 300 + 2 * pass, most, patience };
        let settled = checks.settle(plan, &learnt, record, ask, random)?;
        if !settled.given_up {
            return Ok((learnt, settled));
        }
        learnt = learn::again(plan, &learnt, record, ask, random, pass)?;
        pass += 1;
    }
}

/// Settles the probability of any failure for a joint distribution with a stretched spread.
///
/// # Errors
/// What `ask` fails with.
pub fn settle_sized<E>(
    plan: &Plan,
    joint: &Joint,
    learnt: &Learnt,
    record: &mut Record,
    ask: Ask<'_, E>,
    random: &mut Pcg64,
) -> Result<Settled, E> {
    let (purpose, most, patience) = (Purpose::SizedCheck, plan.most_solves, usize::MAX);
    Checks { joint, purpose, seed: 301, most, patience }.settle(plan, learnt, record, ask, random)
}

/// One pass of checks.
struct Checks<'a> {
    joint: &'a Joint,
    purpose: Purpose,
    seed: u64,
    /// Most samples of the study.
    most: usize,
    /// So many further checks are made before the pass is given up.
    patience: usize,
}

impl Checks<'_> {
    /// Draws, solves and compares.
    fn settle<E>(
        &self,
        plan: &Plan,
        learnt: &Learnt,
        record: &mut Record,
        ask: Ask<'_, E>,
        random: &mut Pcg64,
    ) -> Result<Settled, E> {
        let (pool, correction) = survey(self.joint, learnt, POOL, seed_for(plan.seed, self.seed));
        let negligible = correction.by_stand_in().last().is_none_or(|any| *any < NEGLIGIBLE);
        let (mut numbers, mut samples): (Vec<usize>, Vec<Sample>) = (Vec::new(), Vec::new());
        loop {
            let count = match (negligible, numbers.is_empty()) {
                // A probability too small to be refined is checked no more than it must.
                (true, _) => FEWEST_CHECKS,
                (false, true) => FIRST,
                (false, false) => FURTHER,
            };
            let drawn = correction.draw(count.min(self.most.saturating_sub(record.solved.len())), random);
            let places: Vec<Vec<f64>> = drawn.iter().map(|k| self.joint.at(&pool.places[*k])).collect();
            samples.extend(record.solve(self.purpose, &places, ask)?);
            numbers.extend(&drawn);
            let probabilities = told(&correction, &pool, &numbers, &samples);
            let widest = self.widest(&probabilities) / plan.interval;
            let missing = (numbers.len() as f64 * (widest * widest - 1.0).max(0.0)) as usize;
            let given_up = missing > self.patience && record.solved.len() + missing.min(FIRST) < self.most;
            if widest <= 1.0 || negligible || drawn.len() < count || given_up {
                let places: Vec<Vec<f64>> = numbers.iter().map(|k| self.joint.at(&pool.places[*k])).collect();
                let held_out = (0..plan.limits).map(|k| held_out(learnt, k, &places, &samples)).collect();
                return Ok(Settled { probabilities, narrow: widest <= 1.0, pool, held_out, given_up });
            }
        }
    }

    /// Half the interval, as a share of its probability, of any failure and of each limit that matters in it unless only the whole is
    /// asked for: the widest. A limit that matters by the stand-in still does where the checks say that it does not: they may err too.
    fn widest(&self, probabilities: &[Probability]) -> f64 {
        let Some((any, limits)) = probabilities.split_last() else { return f64::INFINITY };
        let matters = |p: &&Probability| self.purpose == Purpose::Check && p.value.max(p.by_stand_in) > MATTERS * any.value;
        limits.iter().filter(matters).map(Probability::half_width).fold(any.half_width(), f64::max)
    }
}

/// The probability of each event by the samples at drawn places.
fn told(correction: &Correction, pool: &Pool, numbers: &[usize], samples: &[Sample]) -> Vec<Probability> {
    let pairs: Vec<(usize, &Sample)> = numbers.iter().copied().zip(samples).collect();
    (0..correction.by_stand_in().len()).map(|event| correction.probability(event, pool, &pairs)).collect()
}

fn held_out(learnt: &Learnt, limit: usize, places: &[Vec<f64>], samples: &[Sample]) -> Option<HeldOut> {
    let told = learnt.surrogate.margins(places);
    let missed = |(told, sample): (&Vec<(f64, f64)>, &Sample)| Some((sample.margins[limit]? - told[limit].0, told[limit].1));
    let missed: Vec<(f64, f64)> = told.iter().zip(samples).filter_map(missed).collect();
    let n = missed.len() as f64;
    (!missed.is_empty()).then(|| HeldOut {
        count: missed.len(),
        rms: (missed.iter().map(|(e, _)| e * e).sum::<f64>() / n).sqrt(),
        largest: missed.iter().map(|(e, _)| e.abs()).fold(0.0, f64::max),
        within_two: missed.iter().filter(|(e, d)| e.abs() <= 2.0 * d).count() as f64 / n,
    })
}

/// What the nearest design point alone says: the normal tail beyond its distance (first-order reliability).
pub fn first_order(index: f64) -> f64 {
    below(-index)
}
