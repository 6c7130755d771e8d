//! The probability that a limit is not kept: what a stand-in says of all places, corrected by what it missed at places that were solved.
//!
//! With the chance pi(u) that a stand-in gives to a failure at u, P is the mean of pi plus that of 1 - pi, where 1 is the failure itself: the first mean
//! costs nothing to compute, the second is drawn with probabilities that grow with what the stand-in does not know. Whatever the stand-in, the sum is
//! unbiased, and the spread of its terms tells its error: a control variate with importance sampling (A. Owen, Monte Carlo Theory, Methods and
//! Examples, 2013, ch. 8.9 and 9.10; B. Peherstorfer, K. Willcox and M. Gunzburger, SIAM Review 60 (2018) 550). The solved places must be
//! none that the stand-in was fitted to.

use rand_pcg::Pcg64;
use rand_pcg::rand_core::Rng;

use super::pool::{Pool, REPLICATES};
use super::sample::Sample;
use super::surrogate::chances;
use hoopwright_statistics::normal::half_width_95;

/// Stand-ins know less than they tell: places are drawn as if their deviations were so much wider.
const CAREFUL: f64 = 1.6;
/// Shares of the places that are drawn where the stand-in is sure of a failure, and anywhere in the pool: there is found what it is
/// wrongly sure of.
const SURE: f64 = 0.12;
const ANYWHERE: f64 = 0.08;
/// A limit whose probability is a smaller share of that of any failure is not learnt for its own sake: an upper bound is told.
pub(super) const MATTERS: f64 = 0.01;
/// Deviations of the stand-in by which the margin to such a limit is thought smaller.
const DOUBT: f64 = 2.0;
/// Least weight of a limit's own places beside those of the others.
const LEAST: f64 = 0.02;

/// A probability with its 95 % interval.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Probability {
    /// The estimate, samples without an answer counted as failures.
    pub value: f64,
    /// Lower end, samples without an answer counted as none.
    pub low: f64,
    /// Upper end, samples without an answer counted as failures.
    pub high: f64,
    /// What the stand-in alone says.
    pub by_stand_in: f64,
    /// Solved places that it was corrected by.
    pub checks: usize,
    /// Those of them without an answer.
    pub unanswered: usize,
}

/// Checks below which a probability counts as not known: so few tell nothing of the rare large terms, whatever their spread.
pub const FEWEST_CHECKS: usize = 16;

impl Probability {
    /// Whether it is known at all, if only to a bound.
    pub fn is_known(&self) -> bool {
        self.checks >= FEWEST_CHECKS
    }

    /// Whether no more than an upper bound is known.
    pub fn is_bound(&self) -> bool {
        self.low <= 0.0
    }

    /// Half the interval as a share of the value; infinite for a value of zero.
    pub fn half_width(&self) -> f64 {
        let half = (self.high - self.value).max(self.value - self.low);
        if self.value > 0.0 { half / self.value } else { f64::INFINITY }
    }
}

/// The chances of failures all over a pool, and how places are drawn from it.
#[derive(Clone, Debug)]
pub struct Correction {
    /// For each event its chances by the places.
    chances: Vec<Vec<f64>>,
    /// Sum over the pool and its standard error, for each event.
    sums: Vec<(f64, f64)>,
    /// Probability of drawing each place, and their running sum.
    drawn: Vec<f64>,
    running: Vec<f64>,
    /// What is unknown, as the deviation of one drawn term over the event's probability.
    unknown: Vec<f64>,
    /// For each limit that does not matter the probability that it may have by what the stand-in does not know; none for the others.
    doubted: Vec<Option<f64>>,
}

impl Correction {
    /// From margins and their deviations at every place of the pool. The events are the limits, then any of them.
    ///
    /// Every limit has places of its own, the more the less is known of it: a rare one would get none beside a frequent one if they were
    /// drawn for any failure.
    pub fn new(pool: &Pool, margins: &[Vec<(f64, f64)>]) -> Self {
        let rows: Vec<Vec<f64>> = margins.iter().map(|m| chances(m, 1.0)).collect();
        let wide: Vec<Vec<f64>> = margins.iter().map(|m| chances(m, CAREFUL)).collect();
        let events = rows.first().map_or(0, Vec::len);
        let column = |rows: &[Vec<f64>], event: usize| rows.iter().map(|row| row[event]).collect::<Vec<f64>>();
        let by_event: Vec<Vec<f64>> = (0..events).map(|event| column(&rows, event)).collect();
        let sums: Vec<(f64, f64)> = by_event.iter().map(|chances| pool.mean(chances)).collect();
        let term = |(w, p): (&f64, &f64)| w * (p * (1.0 - p)).max(0.0).sqrt();
        let spread = |chances: &[f64]| pool.weights.iter().zip(chances).map(term).collect::<Vec<f64>>();
        let limits = events.saturating_sub(1);
        let need = |k: usize| {
            let own = spread(&by_event[k]).iter().sum::<f64>() / pool.len() as f64 / sums[k].0.max(f64::MIN_POSITIVE);
            (own * relevance(sums[k].0, sums[limits].0)).powi(2)
        };
        let needs: Vec<f64> = (0..limits).map(need).collect();
        let whole = needs.iter().sum::<f64>().max(f64::MIN_POSITIVE);
        let mut drawn = vec![ANYWHERE / pool.len() as f64; pool.len()];
        for k in 0..limits {
            let share = (needs[k] / whole).max(LEAST);
            let sure: Vec<f64> = pool.weights.iter().zip(&by_event[k]).map(|(w, p)| w * p).collect();
            add(&mut drawn, share * SURE, &sure);
            add(&mut drawn, share * (1.0 - SURE - ANYWHERE), &spread(&column(&wide, k)));
        }
        let whole: f64 = drawn.iter().sum();
        drawn.iter_mut().for_each(|p| *p /= whole);
        let running = drawn
            .iter()
            .scan(0.0, |sum, p| {
                *sum += p;
                Some(*sum)
            })
            .collect();
        let unknown = (0..events).map(|event| {
            let terms = pool.weights.iter().zip(&by_event[event]).zip(&drawn);
            let squares: f64 = terms.map(|((w, p), q)| w * w * p * (1.0 - p) / q).sum();
            squares.max(0.0).sqrt() / pool.len() as f64 / sums[event].0.max(f64::MIN_POSITIVE)
        });
        let unknown = unknown.collect();
        let doubted = |k: usize| {
            let fails = |m: &Vec<(f64, f64)>| f64::from(u8::from(m[k].0 < DOUBT * m[k].1));
            let (sum, error) = pool.mean(&margins.iter().map(fails).collect::<Vec<f64>>());
            (relevance(sums[k].0, sums[limits].0) < 1.0).then_some(sum + 2.0 * error)
        };
        let doubted = (0..limits).map(doubted).chain([None]).collect();
        Self { chances: by_event, sums, drawn, running, unknown, doubted }
    }

    /// What the stand-in alone says of each event.
    pub fn by_stand_in(&self) -> Vec<f64> {
        self.sums.iter().map(|(sum, _)| *sum).collect()
    }

    /// For each event the standard deviation that one drawn place leaves, as a share of its probability, if the stand-in knows its error;
    /// less for a limit that does not matter.
    pub fn open(&self) -> Vec<f64> {
        let any = self.sums.last().map_or(0.0, |(sum, _)| *sum);
        self.unknown.iter().zip(&self.sums).map(|(unknown, (sum, _))| unknown * relevance(*sum, any)).collect()
    }

    /// For each event the standard deviation that one drawn place leaves, as a share of its probability, if the stand-in knows its error.
    pub fn unknown(&self) -> &[f64] {
        &self.unknown
    }

    /// Numbers of drawn places; a place may be drawn again.
    pub fn draw(&self, count: usize, random: &mut Pcg64) -> Vec<usize> {
        let last = self.running.last().copied().unwrap_or(0.0);
        let one = |_| {
            let at = last * (random.next_u64() >> 11) as f64 / (1_u64 << 53) as f64;
            self.running.partition_point(|sum| *sum <= at).min(self.running.len().saturating_sub(1))
        };
        (0..count).map(one).collect()
    }

    /// The probability of an event from the samples at drawn places.
    pub fn probability(&self, event: usize, pool: &Pool, drawn: &[(usize, &Sample)]) -> Probability {
        let (sum, sum_error) = self.sums[event];
        let bound = |open: bool| {
            let term = |(place, sample): &(usize, &Sample)| {
                let fails = f64::from(u8::from(sample.event(event).unwrap_or(open)));
                let scale = pool.weights[*place] / (pool.len() as f64 * self.drawn[*place]);
                scale * (fails - self.chances[event][*place])
            };
            let terms: Vec<f64> = drawn.iter().map(term).collect();
            // One term tells nothing of their spread.
            if terms.len() < 2 {
                return (sum, 1.0);
            }
            let n = terms.len() as f64;
            let mean = terms.iter().sum::<f64>() / n;
            let squares: f64 = terms.iter().map(|t| (t - mean).powi(2)).sum();
            // No less than the stand-in itself expects: few terms may miss the rare large ones.
            let expected = (self.unknown[event] * sum).powi(2) / n;
            let missed = (squares / (n * (n - 1.0))).max(expected);
            ((sum + mean).clamp(0.0, 1.0), half_width(missed, n - 1.0, sum_error * sum_error))
        };
        let ((least, low), (value, high)) = (bound(false), bound(true));
        // Few places, if any, were drawn for a limit that does not matter: their spread tells little.
        let (low, high) = (least - low, value + high);
        let (low, high) = self.doubted[event].map_or((low, high), |doubted| (0.0, high.max(doubted)));
        Probability {
            value,
            low: low.max(0.0),
            high: high.min(1.0),
            by_stand_in: sum,
            checks: drawn.len(),
            unanswered: drawn.iter().filter(|(_, sample)| sample.event(event).is_none()).count(),
        }
    }
}

/// How much the relative error of a limit counts: all if it matters in any failure, else less by its share.
fn relevance(limit: f64, any: f64) -> f64 {
    (limit / (MATTERS * any).max(f64::MIN_POSITIVE)).min(1.0)
}

/// Half a 95 % interval for the sum of a mean of squared error `missed`, told with so many degrees of freedom, and of a sum over a pool
/// (F. Satterthwaite, Biometrics Bulletin 2 (1946) 110).
fn half_width(missed: f64, freedom: f64, pool: f64) -> f64 {
    let both = missed + pool;
    let parts = missed * missed / freedom.max(1.0) + pool * pool / (REPLICATES - 1) as f64;
    half_width_95(if parts > 0.0 { both * both / parts } else { f64::MAX }) * both.sqrt()
}

/// Adds weights, scaled to a sum of `share`.
fn add(drawn: &mut [f64], share: f64, weights: &[f64]) {
    let whole: f64 = weights.iter().sum();
    if whole > 0.0 {
        drawn.iter_mut().zip(weights).for_each(|(p, w)| *p += share * w / whole);
    }
}
