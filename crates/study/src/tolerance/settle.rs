//! Settles probabilities: places are drawn where the stand-in does not know, solved, and compared with it, until the interval is narrow
//! enough.

use rand_pcg::Pcg64;

use super::Plan;
use super::joint::Joint;
use super::learn::{Learnt, NEGLIGIBLE, survey};
use super::normal::below;
use super::pool::Pool;
use super::probability::{MATTERS, Probability};
use super::sample::{Ask, Purpose, Record, Sample};
use super::sequence::seed_for;

/// Places of the pool behind a probability.
const POOL: usize = 1 << 15;
/// Checks of the first round and of those after it.
const FIRST: usize = 48;
const FURTHER: usize = 24;
/// Checks that are made of a probability too small to be refined.
const FOR_NOTHING: usize = 16;

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

/// Draws, solves and compares. `sized` says that the joint distribution is one with a stretched spread.
///
/// # Errors
/// What `ask` fails with.
pub fn settle<E>(
    plan: &Plan,
    joint: &Joint,
    learnt: &Learnt,
    record: &mut Record,
    ask: Ask<'_, E>,
    random: &mut Pcg64,
    sized: bool,
) -> Result<Settled, E> {
    let (pool, correction) = survey(joint, learnt, POOL, seed_for(plan.seed, 300 + u64::from(sized)));
    let events = plan.limits + 1;
    let negligible = correction.by_stand_in().last().is_none_or(|any| *any < NEGLIGIBLE);
    // A spread that is to be sized needs checks of its own.
    let kept_back = if sized || plan.chosen.is_none() { 0 } else { FOR_NOTHING };
    let most = plan.most_solves.saturating_sub(kept_back);
    let purpose = if sized { Purpose::SizedCheck } else { Purpose::Check };
    let (mut numbers, mut samples): (Vec<usize>, Vec<Sample>) = (Vec::new(), Vec::new());
    loop {
        let count = match (negligible, numbers.is_empty()) {
            (true, _) => FOR_NOTHING,
            (false, true) => FIRST,
            (false, false) => FURTHER,
        };
        let drawn = correction.draw(count.min(most.saturating_sub(record.solved.len())), random);
        let places: Vec<Vec<f64>> = drawn.iter().map(|k| joint.at(&pool.places[*k])).collect();
        samples.extend(record.solve(purpose, &places, ask)?);
        numbers.extend(&drawn);
        let pairs: Vec<(usize, &Sample)> = numbers.iter().copied().zip(&samples).collect();
        let probabilities: Vec<Probability> = (0..events).map(|event| correction.probability(event, &pool, &pairs)).collect();
        let narrow = narrow(plan, &probabilities, sized);
        if narrow || negligible || drawn.len() < count {
            let places: Vec<Vec<f64>> = numbers.iter().map(|k| joint.at(&pool.places[*k])).collect();
            let held_out = (0..plan.limits).map(|k| held_out(learnt, k, &places, &samples)).collect();
            return Ok(Settled { probabilities, narrow, pool, held_out });
        }
    }
}

/// Whether the interval of any failure is narrow enough, and that of each limit that matters in it unless only the whole is asked for.
fn narrow(plan: &Plan, probabilities: &[Probability], whole: bool) -> bool {
    let Some((any, limits)) = probabilities.split_last() else { return false };
    let enough = |p: &Probability| p.half_width() <= plan.interval;
    enough(any) && (whole || limits.iter().filter(|p| p.value > MATTERS * any.value).all(enough))
}

fn held_out(learnt: &Learnt, limit: usize, places: &[Vec<f64>], samples: &[Sample]) -> Option<HeldOut> {
    let missed: Vec<(f64, f64)> = places
        .iter()
        .zip(samples)
        .filter_map(|(x, sample)| {
            let (mean, deviation) = learnt.surrogate.margins(x)[limit];
            Some((sample.margins[limit]? - mean, deviation))
        })
        .collect();
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
