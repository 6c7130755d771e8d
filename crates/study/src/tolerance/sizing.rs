//! How wide one spread may be for the probability of any failure to stay under a target.

use rand_pcg::Pcg64;

use super::Plan;
use super::learn::{Learnt, survey};
use super::probability::{FEWEST_CHECKS, Probability};
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
    /// Even without any spread of this input the others miss the target, with the lower end of the interval too.
    Never,
    /// Spreads up to the widest one looked at meet it.
    Always {
        /// The widest multiple looked at.
        widest: f64,
    },
    /// No spread is shown to meet it by the upper end of the interval, nor to miss it by the lower.
    NotShown {
        /// The widest multiple that meets it with the middle of the interval; none where none does.
        middle: Option<f64>,
    },
    /// No solves were left to check it.
    NotKnown,
}

/// Where a curve first passes a probability.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Crossing {
    /// Before its beginning.
    Before,
    /// At this multiple.
    At(f64),
    /// Beyond its end, which this is.
    Beyond(f64),
}

impl Crossing {
    /// The widest multiple of the curve at which the probability is not passed.
    fn widest(self) -> Option<f64> {
        match self {
            Self::Before => None,
            Self::At(multiple) | Self::Beyond(multiple) => Some(multiple),
        }
    }
}

/// Sizes the chosen spread of a plan with the solves that are left; none where there is no such or no target.
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
    if record.solved.len() + FEWEST_CHECKS > plan.most_solves {
        return Ok(Some(Sizing { input, curve: Vec::new(), outcome: Outcome::NotKnown, check: None }));
    }
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
    let guess = crossing(target).widest().unwrap_or(NARROWEST);
    // One check where the answer will lie: the curve's error changes slowly along it.
    let joint = plan.joint.stretched(input, guess);
    let there = Learnt::of(learnt.surrogate.clone(), &joint, plan.limits, plan.seed);
    let settled = settle_sized(plan, &joint, &there, record, ask, random)?;
    let Some(check) = settled.probabilities.last().copied() else { return Ok(None) };
    let factor = |value: f64| if check.by_stand_in > 0.0 { value / check.by_stand_in } else { 1.0 };
    let middle = factor(check.value);
    let meets = |end: f64| crossing(target / factor(end).max(f64::MIN_POSITIVE));
    let outcome = outcome([check.low, check.value, check.high].map(meets));
    curve.iter_mut().for_each(|(_, p)| *p = (*p * middle).min(1.0));
    Ok(Some(Sizing { input, curve, outcome, check: Some(check) }))
}

/// What comes out where the curve crosses the target with the lower end, the middle and the upper end of the interval.
fn outcome([low, middle, high]: [Crossing; 3]) -> Outcome {
    match (high, middle.widest()) {
        (Crossing::Beyond(widest), _) => Outcome::Always { widest },
        (Crossing::At(safe), middle) => Outcome::Meets { safe, middle: middle.unwrap_or(safe) },
        (Crossing::Before, None) if low == Crossing::Before => Outcome::Never,
        (Crossing::Before, middle) => Outcome::NotShown { middle },
    }
}

/// Where a curve first passes a probability.
fn cross(curve: &[(f64, f64)], wanted: f64, probability: &dyn Fn(f64) -> f64) -> Crossing {
    let Some(beyond) = curve.iter().position(|(_, p)| *p > wanted) else {
        return Crossing::Beyond(curve.last().map_or(WIDEST, |(multiple, _)| *multiple));
    };
    if beyond == 0 {
        return Crossing::Before;
    }
    let log = |p: f64| p.max(f64::MIN_POSITIVE).ln() - wanted.ln();
    let (mut low, mut high) = ((curve[beyond - 1].0, log(curve[beyond - 1].1)), (curve[beyond].0, log(curve[beyond].1)));
    let between = |low: (f64, f64), high: (f64, f64)| low.0 + (high.0 - low.0) * (low.1 / (low.1 - high.1)).clamp(0.05, 0.95);
    for _ in 0..CLOSER {
        let middle = between(low, high);
        let there = (middle, log(probability(middle)));
        if there.1 > 0.0 { high = there } else { low = there }
    }
    Crossing::At(between(low, high))
}

#[cfg(test)]
mod tests {
    use super::*;
    use Crossing::{At, Before, Beyond};

    /// That no spread meets a target is told only where the lower end of the interval misses it too.
    #[test]
    fn what_the_interval_does_not_show_is_not_told() {
        for (ends, told) in [
            ([At(1.8), At(1.2), At(0.7)], Outcome::Meets { safe: 0.7, middle: 1.2 }),
            ([Beyond(2.0), Beyond(2.0), At(0.7)], Outcome::Meets { safe: 0.7, middle: 2.0 }),
            ([Beyond(2.0), Beyond(2.0), Beyond(2.0)], Outcome::Always { widest: 2.0 }),
            ([Before, Before, Before], Outcome::Never),
            ([At(0.3), Before, Before], Outcome::NotShown { middle: None }),
            ([Beyond(2.0), At(0.9), Before], Outcome::NotShown { middle: Some(0.9) }),
        ] {
            assert_eq!(outcome(ends), told);
        }
    }
}
