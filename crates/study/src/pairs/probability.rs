//! How probable it is that a pair does not keep its limits, by the errors of what was measured on its tyre.
//!
//! First order: each number is taken to change along a straight line with diameter and stiffness, whose errors are normal and independent.
//! The slopes come from solves beside the pair's own, one for each measured value larger by its standard error, new and in service.
//! Retention and spokes under each condition are added up, which is an upper bound (Bonferroni).

use hoopwright_case::Case;
use hoopwright_case::units::BAR;

use super::solve::{Beside, Level, Solved};
use crate::column::Number;
use hoopwright_statistics::normal;

/// The least probability that is told: of tails beyond it a normal distribution of the errors says nothing.
pub const LEAST_TOLD: f64 = 1e-6;

/// The probability that one of the limits is not kept at a pressure, MPa, or [`LEAST_TOLD`] if it is less; none where no errors are told, or
/// where a number that decides is a bound or was not found, so that nothing tells its slope.
pub fn of_failing(case: &Case, solved: &Solved, pressure: f64) -> Option<f64> {
    if solved.beside.is_empty() {
        return None;
    }
    let Number::Found(release) = solved.new.release(case)? else { return None };
    let share = solved.new.number("spoke_tension_loss_share").map(Number::value);
    let limit = 100.0 * case.limits.spoke_loss;
    let required = BAR.value_of(case.pressure.test_factor * pressure);
    let of = |level: &dyn Fn(&Beside) -> Option<Level>| solved.beside.iter().map(level).collect::<Option<Vec<Level>>>();
    let mut sum = failing([release, share?], [required, limit], &of(&|beside| Some(beside.new))?)?;
    for (k, hot) in solved.service.as_ref()?.iter().enumerate() {
        let Number::Found(release) = hot.release? else { return None };
        let beside = of(&|beside| beside.service.get(k).copied())?;
        sum += failing([release, hot.spokes?], [hot.required_at(pressure), limit], &beside)?;
    }
    Some(sum.clamp(LEAST_TOLD, 1.0))
}

/// The probability that retention, bar, or spokes, per cent, do not keep their limits. The spokes are known at the listed pressure: at a
/// lower one, as their loss rises with the pressure, it is no higher; none where the listed pressure itself is too high for them, which tells
/// nothing of a lower one.
fn failing([release, share]: [f64; 2], [required, limit]: [f64; 2], beside: &[Level]) -> Option<f64> {
    let changes = |of: &dyn Fn(&Level) -> Option<f64>, from: f64| {
        beside.iter().map(|level| Some(of(level)? - from)).collect::<Option<Vec<f64>>>()
    };
    let by_release = below(release - required, &changes(&|level| level.release, release)?);
    let by_spokes = below(limit - share, &changes(&|level| level.spokes, share)?);
    (share <= limit).then_some(by_release + by_spokes)
}

/// The probability that a margin whose parts change it by so much each is below zero.
fn below(margin: f64, changes: &[f64]) -> f64 {
    let deviation = changes.iter().map(|change| change * change).sum::<f64>().sqrt();
    if deviation > 0.0 { normal::below(-margin / deviation) } else { f64::from(u8::from(margin < 0.0)) }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use crate::column::{COLUMNS, index};
    use crate::map::field::deciding_column;
    use crate::pairs::solve::{Beside, CaseAnswer, Hot, Measure};
    use hoopwright_case::Condition;
    use hoopwright_solver::allowed::Allowed;

    /// A release one standard deviation over what is required, spokes far from their limit: the normal tail, 15.87 % (any table).
    #[test]
    fn one_deviation_of_margin_is_the_normal_tail_and_a_bound_tells_nothing() {
        let case = hoopwright_case::read(&hoopwright_case::starter()).unwrap().0;
        let (required, limit) = (BAR.value_of(case.required_pressure()), 100.0 * case.limits.spoke_loss);
        let solved = |release: Number, share: f64, hot: &[Hot]| {
            let mut numbers = vec![None; COLUMNS.len()];
            numbers[index(&deciding_column(&case)).unwrap()] = Some(release);
            numbers[index("spoke_tension_loss_share").unwrap()] = Some(Number::Found(share));
            let new = CaseAnswer { numbers, findings: Vec::new(), allowed: Allowed::Never(String::new()), outer_diameter: None };
            let level = |change| Level { release: Some(release.value() + change), spokes: Some(share) };
            let beside = |what, change| Beside { what, new: level(change), service: vec![level(change); hot.len()] };
            let beside = vec![beside(Measure::Diameter, -0.3), beside(Measure::Stiffness, 0.4)];
            Solved { new, service: Some(hot.to_vec()), beside }
        };
        let of = |release, share| of_failing(&case, &solved(release, share, &[]), case.pressure.rated);
        let found = of(Number::Found(required + 0.5), 0.5 * limit).unwrap();
        assert!((found - 0.158_655).abs() < 1e-5, "{found}");
        // As far from its limit hot: both are added up.
        let hot = Hot {
            condition: Condition::HotNew,
            release: Some(Number::Found(required + 0.5)),
            spokes: Some(0.5 * limit),
            required,
            cold: case.pressure.rated,
            gain: 1.0,
            findings: Vec::new(),
            allowed: None,
            decides: String::new(),
        };
        let both = of_failing(&case, &solved(Number::Found(required + 0.5), 0.5 * limit, &[hot]), case.pressure.rated).unwrap();
        assert!((both - 2.0 * found).abs() < 1e-9, "{both}");
        assert_eq!(of(Number::Above(2.0 * required), 0.5 * limit), None);
        assert_eq!(of(Number::Found(required + 0.5), 1.1 * limit), None, "the spokes at a lower pressure are not known");
    }
}
