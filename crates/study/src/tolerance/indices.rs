//! Which input matters: shares of a margin's variance.
//!
//! First order: the variance of the mean given the input, the share that would go if the input were known. Total: the mean variance given
//! all others, the share that would stay if all others were known. Without correlation the first do not exceed the second, and both are
//! Sobol' indices (I. Sobol', 1993; T. Homma and A. Saltelli, 1996). With correlation an input also tells of those that go with it, so
//! that its first-order share may exceed its total one, and shares do not add up (S. Kucherenko, S. Tarantola and P. Annoni, Computer
//! Physics Communications 183 (2012) 937).

use nalgebra::{DMatrix, DVector};

use super::joint::Joint;
use super::sequence::{normal_points, seed_for};

/// Points of one estimate, and independent scramblings that tell its error.
const POINTS: usize = 1 << 12;
const REPLICATES: usize = 8;

/// Shares of one input, with their standard errors by sampling.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Share {
    /// First-order share of the variance.
    pub first: f64,
    /// Total share of the variance.
    pub total: f64,
    /// Standard errors of the two.
    pub errors: [f64; 2],
}

/// Shares of the variance of `f` for each input; none where it does not vary.
pub fn shares(joint: &Joint, f: &dyn Fn(&[f64]) -> f64, seed: u32) -> Option<Vec<Share>> {
    (0..joint.dimensions()).map(|i| share(joint, f, i, seed_for(seed, 500 + i as u64))).collect()
}

fn share(joint: &Joint, f: &dyn Fn(&[f64]) -> f64, i: usize, seed: u32) -> Option<Share> {
    let each: Option<Vec<[f64; 2]>> = (0..REPLICATES)
        .map(|r| {
            let points = normal_points(POINTS, 2 * joint.dimensions(), seed_for(seed, r as u64));
            // With the input in the first place the others are drawn anew under it, in the last place it is drawn anew under them.
            Some([kept_in_common(joint, f, i, true, &points)?, 1.0 - kept_in_common(joint, f, i, false, &points)?])
        })
        .collect();
    let each = each?;
    let statistics = |k: usize| {
        let n = each.len() as f64;
        let mean = each.iter().map(|e| e[k]).sum::<f64>() / n;
        let squares: f64 = each.iter().map(|e| (e[k] - mean).powi(2)).sum();
        (mean, (squares / (n * (n - 1.0))).sqrt())
    };
    let ((first, a), (total, b)) = (statistics(0), statistics(1));
    Some(Share { first, total, errors: [a, b] })
}

/// Share of the variance that two draws have in common which share input `i` (`first`), or all inputs but it. Half the mean square of the
/// differences is what they do not share (M. Jansen, Computer Physics Communications 117 (1999) 35).
fn kept_in_common(joint: &Joint, f: &dyn Fn(&[f64]) -> f64, i: usize, first: bool, points: &[Vec<f64>]) -> Option<f64> {
    let (factor, order) = joint.ordered(i, first);
    let n = order.len();
    let shared = if first { 1 } else { n - 1 };
    let (mut sum, mut squares, mut apart) = (0.0, 0.0, 0.0);
    for u in points {
        let one = &u[..n];
        let other: Vec<f64> = (0..n).map(|k| if k < shared { u[k] } else { u[n + k] }).collect();
        let (a, b) = (f(&values(joint, &factor, &order, one)), f(&values(joint, &factor, &order, &other)));
        sum += 0.5 * (a + b);
        squares += 0.5 * (a * a + b * b);
        apart += 0.5 * (a - b) * (a - b);
    }
    let count = points.len() as f64;
    let mean = sum / count;
    let variance = squares / count - mean * mean;
    (variance > 1e-14 * mean * mean && variance.is_finite()).then(|| 1.0 - apart / count / variance)
}

fn values(joint: &Joint, factor: &DMatrix<f64>, order: &[usize], u: &[f64]) -> Vec<f64> {
    let drawn = factor * DVector::from_column_slice(u);
    let mut z = vec![0.0; order.len()];
    order.iter().zip(drawn.iter()).for_each(|(input, value)| z[*input] = *value);
    joint.values(&z)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use crate::tolerance::marginal::Marginal;
    use std::f64::consts::PI;

    /// T. Ishigami and T. Homma's function (1990), a = 7, b = 0.1, inputs uniform on (-pi, pi): variance a^2/8 + b pi^4/5 + b^2 pi^8/18 + 1/2,
    /// of which 1/2 (1 + b pi^4/5)^2 is x1's, a^2/8 x2's, and 8 b^2 pi^8/225 that of x1 and x3 together.
    #[test]
    fn shares_of_a_known_function_are_its_closed_forms() {
        let (a, b) = (7.0, 0.1);
        let f = |x: &[f64]| x[0].sin() + a * x[1].sin().powi(2) + b * x[2].powi(4) * x[0].sin();
        let joint = Joint::new(vec![Marginal::uniform([-PI, PI]); 3], &[]).unwrap();
        let found = shares(&joint, &f, 1).unwrap();
        let variance = a * a / 8.0 + b * PI.powi(4) / 5.0 + b * b * PI.powi(8) / 18.0 + 0.5;
        let alone = [0.5 * (1.0 + b * PI.powi(4) / 5.0).powi(2) / variance, a * a / 8.0 / variance, 0.0];
        let pair = 8.0 * b * b * PI.powi(8) / 225.0 / variance;
        let total = [alone[0] + pair, alone[1], pair];
        for i in 0..3 {
            assert!((found[i].first - alone[i]).abs() < 5e-3, "{i}: {:?} for {}", found[i], alone[i]);
            assert!((found[i].total - total[i]).abs() < 5e-3, "{i}: {:?} for {}", found[i], total[i]);
            assert!(found[i].errors.iter().all(|e| *e < 3e-3), "{:?}", found[i]);
        }
    }

    /// x1 + x2 of correlation rho and equal variances: first order (1 + rho)/2 and total (1 - rho)/2 each; derived.
    #[test]
    fn with_correlation_an_input_tells_of_the_other() {
        let rho = 0.6;
        let joint = Joint::new(vec![Marginal::normal(0.0, 1.0); 2], &[(0, 1, rho)]).unwrap();
        let found = shares(&joint, &|x: &[f64]| x[0] + x[1], 1).unwrap();
        for share in found {
            assert!(
                (share.first - 0.5 * (1.0 + rho)).abs() < 3e-3 && (share.total - 0.5 * (1.0 - rho)).abs() < 3e-3,
                "{share:?}"
            );
        }
        assert!(shares(&joint, &|_: &[f64]| 2.0, 1).is_none());
    }
}
