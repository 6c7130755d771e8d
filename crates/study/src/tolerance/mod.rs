//! How often a case will not hold where its inputs scatter: worst case, distribution of the margins, probabilities with their intervals,
//! what matters, and how wide one spread may be.
//!
//! Solves are dear, so the margins are learnt from some of them ([`learn`]), and what is learnt is checked by others ([`settle`]): the
//! error of what was learnt is part of every interval. The study asks for samples and does not know how they are solved; what it asks for
//! next depends on the numbers alone, so that it is the same for any number of threads and after a resume.

pub mod around;
pub mod design_point;
pub mod distribution;
pub mod indices;
pub mod joint;
pub mod kriging;
pub mod learn;
pub mod limits;
pub mod marginal;
pub mod measured;
pub mod pool;
pub mod probability;
pub mod sample;
pub mod samples;
pub mod sequence;
pub mod settle;
mod simplex;
pub mod sizing;
pub mod surrogate;
pub mod worst;

use hoopwright_case::Tolerance;
use rand_pcg::Pcg64;
use rand_pcg::rand_core::SeedableRng;

use design_point::DesignPoint;
use distribution::Distribution;
use indices::Share;
use joint::Joint;
use probability::Probability;
use sample::{Ask, Record};
use settle::HeldOut;
use sizing::Sizing;
use worst::Range;

/// What is to be found out.
#[derive(Clone, Debug)]
pub struct Plan {
    /// How the inputs scatter.
    pub joint: Joint,
    /// Number of limits; every sample has a margin to each.
    pub limits: usize,
    /// Seed of all sampling.
    pub seed: u32,
    /// Half the width that a 95 % interval may have, as a share of its probability.
    pub interval: f64,
    /// Most samples.
    pub most_solves: usize,
    /// Allowed probability of any failure.
    pub target: Option<f64>,
    /// Input whose spread is to be sized for the target.
    pub chosen: Option<usize>,
}

impl Plan {
    /// As a case asks, with so many limits.
    pub fn new(tolerance: &Tolerance, joint: Joint, limits: usize) -> Self {
        Self {
            joint,
            limits,
            seed: tolerance.seed,
            interval: tolerance.interval,
            most_solves: tolerance.most_solves,
            target: tolerance.target,
            chosen: tolerance.chosen,
        }
    }
}

/// What was found out.
#[derive(Clone, Debug)]
pub struct Findings {
    /// Every sample, in the order of asking.
    pub record: Record,
    /// Worst cases: of the margin to each limit, then of each further number.
    pub ranges: Vec<Range>,
    /// Design points of each limit, nearest first.
    pub design_points: Vec<Vec<DesignPoint>>,
    /// Probabilities that each limit is not kept, then that any is not; none where there is no answer at the centre.
    pub probabilities: Vec<Probability>,
    /// Whether their intervals became as narrow as wanted.
    pub narrow: bool,
    /// What the stand-in missed of each margin at samples it had not seen.
    pub held_out: Vec<Option<HeldOut>>,
    /// Distribution of each margin; none where no sample told how large it is.
    pub distributions: Vec<Option<Distribution>>,
    /// For each margin the shares of its variance by the inputs; none where it does not vary.
    pub shares: Vec<Option<Vec<Share>>>,
    /// The sized spread.
    pub sizing: Option<Sizing>,
}

/// Finds it out.
///
/// # Errors
/// What `ask` fails with.
pub fn study<E>(plan: &Plan, ask: Ask<'_, E>) -> Result<Findings, E> {
    let mut record = Record::default();
    let mut random = Pcg64::seed_from_u64(u64::from(plan.seed));
    let ranges = worst::ranges(&plan.joint, plan.limits, &mut record, ask)?;
    let mut findings = Findings {
        record,
        ranges,
        design_points: Vec::new(),
        probabilities: Vec::new(),
        narrow: false,
        held_out: Vec::new(),
        distributions: Vec::new(),
        shares: Vec::new(),
        sizing: None,
    };
    if findings.record.solved.first().is_none_or(|centre| centre.sample.unanswered()) {
        return Ok(findings);
    }
    let learnt = learn::learn(plan, &mut findings.record, ask, &mut random)?;
    let (learnt, settled) = settle::settle(plan, learnt, &mut findings.record, ask, &mut random)?;
    // What follows is told by a stand-in that knows the checks too.
    let learnt = learn::fit(plan, &findings.record, Some(&learnt));
    let margin = |k: usize| {
        let surrogate = &learnt.surrogate;
        move |x: &[f64]| surrogate.margin(k, x)
    };
    findings.distributions =
        (0..plan.limits).map(|k| Distribution::of(&plan.joint, &settled.pool, &margin(k), plan.seed)).collect();
    findings.shares = (0..plan.limits).map(|k| indices::shares(&plan.joint, &margin(k), plan.seed)).collect();
    findings.sizing = sizing::size(plan, &learnt, &mut findings.record, ask, &mut random)?;
    worst::widen(&mut findings.ranges, &plan.joint, &findings.record);
    findings.design_points = learnt.design_points;
    findings.probabilities = settled.probabilities;
    findings.narrow = settled.narrow;
    findings.held_out = settled.held_out;
    Ok(findings)
}
