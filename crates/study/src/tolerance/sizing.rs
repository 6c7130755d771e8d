//! How wide one spread may be for the probability of any failure to stay under a target.

use rand_pcg::Pcg64;

use super::Plan;
use super::learn::{Learnt, survey};
use super::probability::Probability;
use super::sample::{Ask, Record};
use super::sequence::seed_for;
use super::settle::settle_sized;

/// Widest spread that is looked at, as a multiple of the stated one, and steps of the curve up to it.
const WIDEST: f64 = 2.0;
const STEPS: usize = 16;
/// Narrowest spread that is told apart from none.
const NARROWEST: f64 = 1.0 / 64.0;
/// Places of the pool behind a point of the curve.
const POOL: usize = 1 << 12;
/// Steps of false position towards the answer, in the logarithm of the probability.
const CLOSER: usize = 4;

/// The sized spread.
#[derive(Clone, Debug, PartialEq)]
pub struct Sizing {
    /// Number of the input.
    pub input: usize,
    /// Multiples of the stated spread, and the probability of any failure at each by the stand-in, corrected like the check.
    pub curve: Vec<(f64, f64)>,
    /// What came out.
    pub outcome: Outcome,
    /// Probability at the multiple in [`Outcome::Meets`], by solved samples; what the curve is corrected by.
    pub check: Option<Probability>,
}

/// Whether a spread meets the target.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Outcome {
    /// Spreads up to the first multiple of the stated one meet the target with the upper end of the interval, up to the second with its middle.
    Meets {
        /// The multiple to rely on.
        safe: f64,
        /// The multiple at the best estimate.
        middle: f64,
    },
    /// Even without any spread of this input the others miss the target.
    Never,
    /// Spreads up to the widest one looked at meet it.
    Always {
        /// The widest multiple looked at.
        widest: f64,
    },
}

/// Sizes the chosen spread of a plan; none where there is no such or no target.
///
/// # Errors
/// What `ask` fails with.
pub fn size<E>(
    plan: &Plan,
    learnt: &Learnt,
    record: &mut Record,
    ask: Ask<'_, E>,
    random: &mut Pcg64,
) -> Result<Option<Sizing>, E> {
    let (Some(input), Some(target)) = (plan.chosen, plan.target) else { return Ok(None) };
    let probability = |multiple: f64| {
        let joint = plan.joint.stretched(input, multiple);
        let learnt = Learnt::of(learnt.surrogate.clone(), &joint, plan.limits, plan.seed);
        let (_, correction) = survey(&joint, &learnt, POOL, seed_for(plan.seed, 700));
        correction.by_stand_in().last().copied().unwrap_or(0.0)
    };
    let mut curve: Vec<(f64, f64)> = std::iter::once(NARROWEST)
        .chain((1..=STEPS).map(|k| WIDEST * k as f64 / STEPS as f64))
        .map(|multiple| (multiple, probability(multiple)))
        .collect();
    let crossing = |wanted: f64| cross(&curve, wanted, &probability);
    let guess = match crossing(target) {
        Outcome::Meets { middle, .. } => middle,
        Outcome::Never => NARROWEST,
        Outcome::Always { widest } => widest,
    };
    // One check where the answer will lie: the curve's error changes slowly along it.
    let joint = plan.joint.stretched(input, guess);
    let there = Learnt::of(learnt.surrogate.clone(), &joint, plan.limits, plan.seed);
    let settled = settle_sized(plan, &joint, &there, record, ask, random)?;
    let Some(check) = settled.probabilities.last().copied() else { return Ok(None) };
    let factor = |value: f64| if check.by_stand_in > 0.0 { value / check.by_stand_in } else { 1.0 };
    let (middle, high) = (factor(check.value), factor(check.high));
    let outcome = match (crossing(target / high.max(f64::MIN_POSITIVE)), crossing(target / middle.max(f64::MIN_POSITIVE))) {
        (Outcome::Meets { middle: safe, .. }, Outcome::Meets { middle, .. }) => Outcome::Meets { safe, middle },
        (Outcome::Meets { middle: safe, .. }, Outcome::Always { widest }) => Outcome::Meets { safe, middle: widest },
        (worst, _) => worst,
    };
    curve.iter_mut().for_each(|(_, p)| *p = (*p * middle).min(1.0));
    Ok(Some(Sizing { input, curve, outcome, check: Some(check) }))
}

/// Where a curve first passes a probability.
fn cross(curve: &[(f64, f64)], wanted: f64, probability: &dyn Fn(f64) -> f64) -> Outcome {
    let Some(beyond) = curve.iter().position(|(_, p)| *p > wanted) else {
        return Outcome::Always { widest: curve.last().map_or(WIDEST, |(multiple, _)| *multiple) };
    };
    if beyond == 0 {
        return Outcome::Never;
    }
    let log = |p: f64| p.max(f64::MIN_POSITIVE).ln() - wanted.ln();
    let (mut low, mut high) = ((curve[beyond - 1].0, log(curve[beyond - 1].1)), (curve[beyond].0, log(curve[beyond].1)));
    let between = |low: (f64, f64), high: (f64, f64)| low.0 + (high.0 - low.0) * (low.1 / (low.1 - high.1)).clamp(0.05, 0.95);
    for _ in 0..CLOSER {
        let middle = between(low, high);
        let there = (middle, log(probability(middle)));
        if there.1 > 0.0 { high = there } else { low = there }
    }
    let middle = between(low, high);
    Outcome::Meets { safe: middle, middle }
}
