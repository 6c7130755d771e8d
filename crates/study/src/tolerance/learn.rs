//! How the margins are learnt: evenly spread samples first, then design points and places where the stand-in does not know.

use rand_pcg::Pcg64;

use super::Plan;
use super::around::{by_levels, crossings, nearest, spaced};
use super::design_point::{DesignPoint, design_points, norm};
use super::joint::Joint;
use super::pool::Pool;
use super::probability::Correction;
use super::sample::{Ask, Purpose, Record};
use super::sequence::{normal_points, seed_for};
use super::surrogate::{Surrogate, chances};

/// Evenly spread samples: so many, and so many more for each input; and how much wider than the inputs they scatter.
const SPREAD: [usize; 2] = [8, 4];
const WIDER: f64 = 2.0;
/// Farthest coordinate of a spread sample.
const OUTMOST: f64 = 5.0;
/// Samples of one round of learning, and most rounds.
const ROUND: usize = 8;
const MOST_ROUNDS: u64 = 12;
/// Places of the pool while learning.
const SMALL_POOL: usize = 1 << 13;
/// Learning ends when one drawn place leaves this multiple of the wanted interval unknown.
const ENOUGH: f64 = 2.0;
/// Probabilities below this one are not refined.
pub const NEGLIGIBLE: f64 = 1e-10;
/// A design point counts as solved where a sample lies within so many standard deviations of the inputs.
const NEAR: f64 = 0.2;
/// Most starts of the search for design points, and how far apart.
const STARTS: (usize, f64) = (12, 2.0);
/// Most centres of a pool, and how far apart.
const CENTRES: (usize, f64) = (24, 1.5);

/// The margins as learnt.
pub struct Learnt {
    /// Stand-ins for the margins.
    pub surrogate: Surrogate,
    /// Design points of each limit, nearest first.
    pub design_points: Vec<Vec<DesignPoint>>,
    /// Places of any limit that samples are drawn round: design points, and further ones where a limit runs far at one distance.
    pub centres: Vec<Vec<f64>>,
}

impl Learnt {
    /// Stand-ins with what follows from them under a joint distribution.
    pub fn of(surrogate: Surrogate, joint: &Joint, limits: usize, seed: u32) -> Self {
        let (mut points, mut centres) = (Vec::new(), Vec::<Vec<Vec<f64>>>::new());
        for k in 0..limits {
            let margin = |u: &[f64]| surrogate.margin(k, &joint.at(u));
            let crossings = crossings(&margin, joint.dimensions(), seed_for(seed, 900));
            let deep = by_levels(&margin, joint.dimensions(), seed_for(seed, 901));
            let first = deep.iter().chain(crossings.first()).min_by(|a, b| norm(a).total_cmp(&norm(b)));
            let starts = spaced(deep.as_slice(), &crossings, STARTS);
            let mut found = design_points(&margin, joint.dimensions(), &starts);
            // Gradients need not lead to the nearest place.
            if let Some(first) = first.filter(|first| found.first().is_none_or(|point| point.index.abs() > norm(first))) {
                found.splice(0..0, nearest(&margin, first));
            }
            let own: Vec<Vec<f64>> = found.iter().map(|point| point.u.clone()).collect();
            centres.push(spaced(&own, &crossings, (CENTRES.0.div_ceil(limits), CENTRES.1)));
            points.push(found);
        }
        // A limit that lies far beyond the nearest has no part in any failure; one centre is enough for its own upper bound.
        let least = centres.iter().flatten().map(|c| norm(c)).fold(f64::INFINITY, f64::min);
        let near = |(k, centre): &(usize, Vec<f64>)| norm(centre) < least + 2.5 || *k == 0;
        let kept = |own: Vec<Vec<f64>>| own.into_iter().enumerate().filter(near).map(|(_, centre)| centre).collect::<Vec<_>>();
        let mut centres: Vec<Vec<f64>> = centres.into_iter().flat_map(kept).collect();
        centres.sort_by(|a, b| norm(a).total_cmp(&norm(b)));
        Self { surrogate, design_points: points, centres }
    }
}

/// Learns the margins from samples.
///
/// # Errors
/// What `ask` fails with.
pub fn learn<E>(plan: &Plan, record: &mut Record, ask: Ask<'_, E>, random: &mut Pcg64) -> Result<Learnt, E> {
    let spread = spread_samples(plan, record.solved.len());
    record.solve(Purpose::Learning, &spread, ask)?;
    let learnt = fit(plan, record, None);
    improve(plan, learnt, record, ask, random, 0)
}

/// Learns what was solved since, and more where that is not enough; `pass` counts from one.
///
/// # Errors
/// What `ask` fails with.
pub fn again<E>(
    plan: &Plan,
    before: &Learnt,
    record: &mut Record,
    ask: Ask<'_, E>,
    random: &mut Pcg64,
    pass: u64,
) -> Result<Learnt, E> {
    let learnt = fit(plan, record, Some(before));
    improve(plan, learnt, record, ask, random, pass)
}

/// Solves where the stand-in does not know, in rounds, until that is enough.
fn improve<E>(
    plan: &Plan,
    mut learnt: Learnt,
    record: &mut Record,
    ask: Ask<'_, E>,
    random: &mut Pcg64,
    pass: u64,
) -> Result<Learnt, E> {
    for round in 0..MOST_ROUNDS {
        let seed = seed_for(plan.seed, 100 + pass * MOST_ROUNDS + round);
        let (pool, correction) = survey(&plan.joint, &learnt, SMALL_POOL, seed);
        let open = unsolved(plan, &learnt, record);
        let enough = enough(plan, &correction);
        if (open.is_empty() && enough) || record.solved.len() + ROUND > plan.most_solves / 2 {
            break;
        }
        record.solve(Purpose::DesignPoint, &open, ask)?;
        if !enough {
            let drawn = correction.draw(ROUND.saturating_sub(open.len()), random);
            let places: Vec<Vec<f64>> = drawn.into_iter().map(|k| plan.joint.at(&pool.places[k])).collect();
            record.solve(Purpose::Learning, &places, ask)?;
        }
        learnt = fit(plan, record, Some(&learnt));
    }
    Ok(learnt)
}

/// The chances of failure over a pool round the design points of a joint distribution.
pub fn survey(joint: &Joint, learnt: &Learnt, size: usize, seed: u32) -> (Pool, Correction) {
    let margins = |pool: &Pool| {
        let places: Vec<Vec<f64>> = pool.places.iter().map(|u| joint.at(u)).collect();
        learnt.surrogate.margins(&places)
    };
    // A first pool tells where failures lie, a second one is drawn there.
    let first = Pool::new(&learnt.centres, joint.dimensions(), (size / 2).max(SMALL_POOL / 2), seed_for(seed, 1));
    let found = chances_by_limit(&margins(&first));
    let pool = first.refined(&found, size, seed_for(seed, 2));
    let correction = Correction::new(&pool, &margins(&pool));
    (pool, correction)
}

/// For each limit its chances by the places.
fn chances_by_limit(margins: &[Vec<(f64, f64)>]) -> Vec<Vec<f64>> {
    let rows: Vec<Vec<f64>> = margins.iter().map(|m| chances(m, 1.0)).collect();
    let limits = rows.first().map_or(0, |row| row.len() - 1);
    (0..limits).map(|k| rows.iter().map(|row| row[k]).collect()).collect()
}

/// The stand-in of all that is solved.
pub fn fit(plan: &Plan, record: &Record, before: Option<&Learnt>) -> Learnt {
    let surrogate = Surrogate::fit(&plan.joint, &record.solved, plan.limits, before.map(|b| &b.surrogate));
    Learnt::of(surrogate, &plan.joint, plan.limits, plan.seed)
}

/// Evenly spread over somewhat more than where the inputs usually are.
fn spread_samples(plan: &Plan, solved: usize) -> Vec<Vec<f64>> {
    // Half of all solves are left to check what is learnt.
    let room = (plan.most_solves / 2).saturating_sub(solved);
    let count = (SPREAD[0] + SPREAD[1] * plan.joint.dimensions()).min(room);
    let wide = |u: Vec<f64>| -> Vec<f64> { u.iter().map(|x| (WIDER * x).clamp(-OUTMOST, OUTMOST)).collect() };
    let places = normal_points(count, plan.joint.dimensions(), seed_for(plan.seed, 1));
    places.into_iter().map(|u| plan.joint.at(&wide(u))).collect()
}

/// Design points that matter and lie near no sample.
fn unsolved(plan: &Plan, learnt: &Learnt, record: &Record) -> Vec<Vec<f64>> {
    let deviations: Vec<f64> = plan.joint.marginals().iter().map(|m| m.moments()[1]).collect();
    let near = |x: &[f64], y: &[f64]| {
        let squares: f64 = x.iter().zip(y).zip(&deviations).map(|((a, b), d)| ((a - b) / d).powi(2)).sum();
        squares.sqrt() < NEAR
    };
    let nearest = learnt.design_points.iter().flatten().map(|p| p.index.abs()).fold(f64::INFINITY, f64::min);
    let matter = learnt.design_points.iter().flatten().filter(|p| p.index.abs() < nearest + 2.0);
    let places = matter.map(|point| plan.joint.at(&point.u));
    places.filter(|x| !record.solved.iter().any(|solved| near(x, &solved.x))).take(ROUND).collect()
}

/// Whether every probability that matters is known well enough for the checks to settle it.
fn enough(plan: &Plan, correction: &Correction) -> bool {
    let any = correction.by_stand_in().last().copied().unwrap_or(0.0);
    any < NEGLIGIBLE || correction.open().iter().all(|open| *open <= ENOUGH * plan.interval)
}
