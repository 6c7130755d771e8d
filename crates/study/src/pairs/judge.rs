//! The finding of a pair: what the calculation says, what tests say, and which limit decides.
//!
//! The calculation's word is that of `assess` on the pair. It is told as it is but where it lies within the error of the model: there a
//! test of the very pair comes first. Tests and calculation are never averaged: where they disagree both are told, and the lower pressure
//! stands.

use hoopwright_case::Case;
use hoopwright_case::units::BAR;
use hoopwright_solver::allowed::{Allowed, round_down};
use hoopwright_solver::result::Finding as Word;

use super::solve::{Hot, Solved};
use super::tyres::{Outcome, Test};
use crate::column::Number;

/// What a list goes by.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Terms {
    /// Error of the model as a share of a retention pressure or of a spoke tension loss.
    pub model_error: f64,
    /// Least pressure at which a pair is of use, MPa.
    pub least: f64,
}

/// Error of the model, where none is told: an assumption.
pub const MODEL_ERROR: f64 = 0.1;
/// Least pressure of use, MPa, where none is told: 1.5 bar, the least minimum pressure of older text of ISO 5775 as read in an encyclopedia
/// copy.
pub const LEAST: f64 = 0.15;

/// The finding of a pair.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Finding {
    /// Every limit is kept at the listed pressure.
    Fits,
    /// Every limit is kept up to a lower pressure, MPa.
    FitsUpTo(f64),
    /// What decides lies within the error of the model about its limit.
    TestFirst,
    /// There is no pressure of use at which every limit is kept.
    DoesNotFit,
    /// No equilibrium was found for what decides.
    NoAnswer,
}

/// A pair as judged.
#[derive(Clone, Debug, PartialEq)]
pub struct Judged {
    /// The finding.
    pub finding: Finding,
    /// Highest pressure at which every limit is kept, MPa; none where there is none, or where it is not known.
    pub allowed: Option<f64>,
    /// The limit that decides, or why there is no pressure, as a phrase.
    pub decides: String,
    /// What is left to the retention limit at the listed pressure, as a share of it.
    pub margin: Option<f64>,
    /// What each test of the pair says beside the calculation.
    pub tests: Vec<Tested>,
}

/// A test beside the calculation.
#[derive(Clone, Debug, PartialEq)]
pub struct Tested {
    /// The test.
    pub test: Test,
    /// How the two stand to each other.
    pub against: Against,
}

/// How a test stands to the calculation.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Against {
    /// Within the error of the model.
    Agrees,
    /// It came off below what was calculated, by more than the error of the model.
    CameOffBelow,
    /// It stayed on beyond what was calculated, by more than the error of the model.
    StayedBeyond,
    /// Nothing was calculated to hold it against.
    Unknown,
}

/// Judges a pair. `tests` are those of the very pair.
pub fn judge(case: &Case, solved: &Solved, tests: &[Test], terms: &Terms) -> Judged {
    let release = solved.new.release(case);
    let tested: Vec<Tested> =
        tests.iter().map(|test| Tested { test: test.clone(), against: against(case, test, release, terms) }).collect();
    let cold = calculated(solved);
    let in_service = match unknown_in_service(solved) {
        // What is of no use when new needs no answer in service.
        Some(_) if of_no_use(cold.0, terms) => cold,
        Some(reason) => (None, reason),
        None => solved.service.iter().flatten().fold(cold, |so_far, hot| under(hot, so_far.0).unwrap_or(so_far)),
    };
    let (allowed, decides) = tests.iter().fold(in_service, |so_far, test| by_test(case, test, so_far.0).unwrap_or(so_far));
    let required = BAR.value_of(case.required_pressure());
    let margin = release.map(|release| release.value() / required - 1.0);
    let finding = finding(case, solved, (allowed, margin), tests, terms);
    Judged { finding, allowed, decides, margin, tests: tested }
}

/// The allowed pressure, MPa, and the limit that decides, by the calculation cold and new.
fn calculated(solved: &Solved) -> (Option<f64>, String) {
    let allowed = &solved.new.allowed;
    (allowed.pressure().map(|(pressure, _)| pressure), allowed.decides().to_owned())
}

/// What a condition in service lowers the pressure to, if it does.
fn under(hot: &Hot, allowed: Option<f64>) -> Option<(Option<f64>, String)> {
    let allowed = allowed?;
    let holds = hot.findings == [Word::Holds];
    let told = |pressure| (pressure, format!("when {}: {}", hot.condition.name(), hot.decides));
    match hot.allowed {
        None => Some(told(None)),
        Some(pressure) if !holds && pressure < allowed => Some(told(Some(pressure))),
        Some(_) => None,
    }
}

/// What a test lowers the pressure to, if it does: what came off is required to hold a test factor more than it is rated for.
fn by_test(case: &Case, test: &Test, allowed: Option<f64>) -> Option<(Option<f64>, String)> {
    let Outcome::Released(pressure) = test.outcome else { return None };
    let most = round_down(pressure / case.pressure.test_factor);
    (most < allowed?).then(|| (Some(most), "release in a test".to_owned()))
}

fn against(case: &Case, test: &Test, release: Option<Number>, terms: &Terms) -> Against {
    let Some(release) = release else { return Against::Unknown };
    let (calculated, bound) = (release.value(), matches!(release, Number::Above(_)));
    let error = terms.model_error;
    match test.outcome {
        Outcome::Released(tested) if calculated > (1.0 + error) * BAR.value_of(tested) => Against::CameOffBelow,
        Outcome::Released(_) if bound => Against::Unknown,
        // Nobody rides on a test bench: without the load the calculation lies above this one, it is not known by how much.
        _ if case.local.rider.is_some() => Against::Unknown,
        Outcome::Released(tested) if calculated < (1.0 - error) * BAR.value_of(tested) => Against::StayedBeyond,
        Outcome::Held(tested) if !bound && calculated < (1.0 - error) * BAR.value_of(tested) => Against::StayedBeyond,
        Outcome::Released(_) | Outcome::Held(_) => Against::Agrees,
    }
}

fn finding(
    case: &Case,
    solved: &Solved,
    (allowed, margin): (Option<f64>, Option<f64>),
    tests: &[Test],
    terms: &Terms,
) -> Finding {
    if matches!(solved.new.allowed, Allowed::Unknown(_)) || !solved.new.is_answered() {
        return Finding::NoAnswer;
    }
    if unknown_in_service(solved).is_some() && !of_no_use(calculated(solved).0, terms) {
        return Finding::NoAnswer;
    }
    let Some(allowed) = allowed.filter(|pressure| *pressure >= terms.least) else { return Finding::DoesNotFit };
    let required = case.required_pressure();
    let came_off = tests.iter().any(|test| matches!(test.outcome, Outcome::Released(p) if p < required));
    let held = tests.iter().any(|test| matches!(test.outcome, Outcome::Held(p) if p >= required - 1e-9));
    let over = |share: f64| 1.0 - share / (100.0 * case.limits.spoke_loss);
    let spokes = solved.new.number("spoke_tension_loss_share").map(|share| over(share.value()));
    let hot = || solved.service.iter().flatten();
    // What is left to each limit, as a share of it. A test of the new tyre that held settles its retention, and nothing hot or aged.
    let others = hot().flat_map(|hot| [hot.margin(), hot.spokes.map(over)]).chain([spokes]).flatten();
    let margins: Vec<f64> = others.chain(margin.filter(|margin| !held || *margin < -terms.model_error)).collect();
    let far_off = margins.iter().any(|margin| *margin < -terms.model_error);
    let near = margins.iter().any(|margin| margin.abs() <= terms.model_error);
    if near && !far_off && !came_off {
        Finding::TestFirst
    } else if !came_off && [&solved.new.findings].into_iter().chain(hot().map(|hot| &hot.findings)).all(|f| *f == [Word::Holds]) {
        Finding::Fits
    } else {
        Finding::FitsUpTo(allowed)
    }
}

/// Whether there is no pressure of use, MPa.
fn of_no_use(allowed: Option<f64>, terms: &Terms) -> bool {
    allowed.is_none_or(|pressure| pressure < terms.least)
}

/// Why nothing is known of the pair in service, if so: a condition that failed tells neither that the pair fits nor that it does not.
fn unknown_in_service(solved: &Solved) -> Option<String> {
    let Some(service) = &solved.service else {
        return Some(
            "the bead's tension at a pressure that it keeps was not found, so that nothing is known of it in service".to_owned(),
        );
    };
    let failed = service.iter().find(|hot| hot.findings.contains(&Word::NoAnswer))?;
    Some(format!("no equilibrium was found when {}", failed.condition.name()))
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use crate::column::{COLUMNS, index};
    use crate::map::field::deciding_column;
    use crate::pairs::solve::CaseAnswer;
    use hoopwright_case::{Condition, read, starter};
    use hoopwright_solver::allowed::UpTo;

    const TERMS: Terms = Terms { model_error: MODEL_ERROR, least: LEAST };

    fn case() -> Case {
        read(&starter()).unwrap().0
    }

    /// A pair whose deciding release lies so much over the required one, with half of the spokes' loss that is allowed.
    fn solved(case: &Case, margin: f64, findings: &[Word]) -> Solved {
        let mut numbers = vec![None; COLUMNS.len()];
        numbers[index(&deciding_column(case)).unwrap()] =
            Some(Number::Found(BAR.value_of((1.0 + margin) * case.required_pressure())));
        numbers[index("spoke_tension_loss_share").unwrap()] = Some(Number::Found(50.0 * case.limits.spoke_loss));
        let pressure = (1.0 + margin) * case.pressure.rated;
        let allowed = Allowed::UpTo(UpTo { pressure, lower_bound: false, decides: "release".to_owned() });
        let new = CaseAnswer { numbers, findings: findings.to_vec(), allowed, outer_diameter: None };
        Solved { new, service: Some(Vec::new()), beside: Vec::new() }
    }

    fn hot(findings: &[Word], allowed: Option<f64>) -> Hot {
        let (condition, decides) = (Condition::HotNew, "release".to_owned());
        let (release, spokes, cold, gain) = (None, None, 1.0, 1.0);
        Hot { condition, release, spokes, required: 1.0, cold, gain, findings: findings.to_vec(), allowed, decides }
    }

    fn found(case: &Case, solved: &Solved) -> Finding {
        judge(case, solved, &[], &TERMS).finding
    }

    #[test]
    fn findings_go_by_the_margin_and_the_error_of_the_model() {
        let case = case();
        assert_eq!(found(&case, &solved(&case, 0.2, &[Word::Holds])), Finding::Fits);
        assert_eq!(found(&case, &solved(&case, 0.05, &[Word::Holds])), Finding::TestFirst);
        assert_eq!(found(&case, &solved(&case, -0.05, &[Word::MayRelease])), Finding::TestFirst);
        let below = solved(&case, -0.3, &[Word::MayRelease]);
        assert_eq!(found(&case, &below), Finding::FitsUpTo(0.7 * case.pressure.rated));
        let far = Terms { least: case.pressure.rated, ..TERMS };
        assert_eq!(judge(&case, &below, &[], &far).finding, Finding::DoesNotFit);
    }

    /// A solve that failed in service is no reason to say that a pair does not fit, nor one that it does.
    #[test]
    fn what_failed_in_service_is_no_finding() {
        let case = case();
        let with = |service| Solved { service, ..solved(&case, 0.2, &[Word::Holds]) };
        assert_eq!(found(&case, &with(Some(vec![hot(&[Word::Holds], Some(1.0))]))), Finding::Fits);
        assert_eq!(found(&case, &with(Some(vec![hot(&[Word::MayRelease], Some(0.3))]))), Finding::FitsUpTo(0.3));
        assert_eq!(found(&case, &with(Some(vec![hot(&[Word::MayRelease], None)]))), Finding::DoesNotFit);
        for unknown in [None, Some(vec![hot(&[Word::NoAnswer], None)])] {
            let judged = judge(&case, &with(unknown), &[], &TERMS);
            assert_eq!((judged.finding, judged.allowed), (Finding::NoAnswer, None));
            assert!(judged.decides.contains("known") || judged.decides.contains("when hot"), "{}", judged.decides);
        }
    }

    /// A limit that is only just kept hot lies within the error of the model as one that is just kept cold.
    #[test]
    fn what_is_near_its_limit_in_service_is_tested_first() {
        let case = case();
        let near = |margin: f64, spokes: f64, word: Word| {
            let hot = Hot { release: Some(Number::Found(1.0 + margin)), spokes: Some(spokes), ..hot(&[word], Some(0.3)) };
            found(&case, &Solved { service: Some(vec![hot]), ..solved(&case, 0.2, &[Word::Holds]) })
        };
        assert_eq!(near(0.2, 10.0, Word::Holds), Finding::Fits);
        assert_eq!(near(0.05, 10.0, Word::Holds), Finding::TestFirst);
        assert_eq!(near(-0.05, 10.0, Word::MayRelease), Finding::TestFirst);
        assert_eq!(near(-0.15, 10.0, Word::MayRelease), Finding::FitsUpTo(0.3));
        let limit = 100.0 * case.limits.spoke_loss;
        assert_eq!(near(0.2, 0.95 * limit, Word::Holds), Finding::TestFirst);
        assert_eq!(near(0.05, 1.2 * limit, Word::OverloadsRim), Finding::FitsUpTo(0.3));
    }

    /// What does not fit new needs no answer in service.
    #[test]
    fn no_pressure_new_is_none_in_service() {
        let case = case();
        let never = CaseAnswer { allowed: Allowed::Never("so".to_owned()), ..solved(&case, -0.3, &[Word::OverloadsRim]).new };
        let judged = judge(&case, &Solved { new: never, service: None, beside: Vec::new() }, &[], &TERMS);
        assert_eq!((judged.finding, judged.decides.as_str()), (Finding::DoesNotFit, "so"));
    }

    /// A test came off a little above what is calculated with a rider, who is not on the bench: no agreement.
    #[test]
    fn a_test_agrees_with_no_calculation_that_a_rider_lowers() {
        let mut case = case();
        let solved = solved(&case, 0.3, &[Word::Holds]);
        let test = |share: f64| Test {
            rim: None,
            outcome: Outcome::Released(share * case.required_pressure()),
            from: "a log".to_owned(),
        };
        let [near, below] = [test(1.31), test(0.8)];
        let against = |case: &Case, test: &Test| judge(case, &solved, std::slice::from_ref(test), &TERMS).tests[0].against;
        assert_eq!(against(&case, &near), Against::Agrees);
        case.local.rider = Some(hoopwright_case::RiderLoad { radial: 700.0, lateral: 0.0, length: None, station: None });
        assert_eq!(against(&case, &near), Against::Unknown);
        assert_eq!(against(&case, &below), Against::CameOffBelow);
    }

    #[test]
    fn a_test_that_came_off_lowers_the_pressure_and_disagrees() {
        let (case, rim) = (case(), None);
        let solved = solved(&case, 0.3, &[Word::Holds]);
        let outcome = Outcome::Released(0.8 * case.required_pressure());
        let judged = judge(&case, &solved, &[Test { rim, outcome, from: "a log".to_owned() }], &TERMS);
        assert_eq!(judged.tests[0].against, Against::CameOffBelow);
        assert!(
            matches!(judged.finding, Finding::FitsUpTo(p) if p <= 0.8 * case.pressure.rated && p > 0.79 * case.pressure.rated)
        );
    }
}
