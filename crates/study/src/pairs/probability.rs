//! How probable it is that a pair does not keep its limits, by the errors of what was measured on its tyre.
//!
//! First order: each number is taken to change along a straight line with diameter and stiffness, whose errors are normal and independent.
//! The slopes come from solves beside the pair's own, one for each measured value larger by its standard error. Retention and spokes are
//! added up, which is an upper bound (Bonferroni).

use hoopwright_solver::case::Case;

use super::solve::Solved;
use crate::column::Number;
use crate::tolerance::normal;

/// The probability that one of the limits is not kept at a pressure, MPa; none where no errors are told, or where nothing tells a slope.
pub fn of_failing(case: &Case, solved: &Solved, pressure: f64) -> Option<f64> {
    if solved.beside.is_empty() {
        return None;
    }
    let required = 10.0 * case.pressure.test_factor * pressure;
    let retention = match solved.new.release(case)? {
        Number::Above(bound) => {
            if bound > required {
                Some(0.0)
            } else {
                None
            }
        }
        Number::Found(release) => {
            let changes: Option<Vec<f64>> = solved.beside.iter().map(|beside| Some(beside.release? - release)).collect();
            Some(below(release - required, &changes?))
        }
    }?;
    Some((retention + spokes(case, solved, pressure).unwrap_or(0.0)).min(1.0))
}

/// The probability that the spokes lose more than they may; none where that is not told at this pressure.
fn spokes(case: &Case, solved: &Solved, pressure: f64) -> Option<f64> {
    // The loss is known at the listed pressure.
    if (pressure / case.pressure.rated - 1.0).abs() > 1e-6 {
        return None;
    }
    let share = solved.new.number("spoke_tension_loss_share")?.value();
    let changes: Option<Vec<f64>> = solved.beside.iter().map(|beside| Some(beside.spokes? - share)).collect();
    Some(below(100.0 * case.limits.spoke_loss - share, &changes?))
}

/// The probability that a margin whose parts change it by so much each is below zero.
fn below(margin: f64, changes: &[f64]) -> f64 {
    let deviation = changes.iter().map(|change| change * change).sum::<f64>().sqrt();
    if deviation > 0.0 { normal::below(-margin / deviation) } else { f64::from(u8::from(margin < 0.0)) }
}
