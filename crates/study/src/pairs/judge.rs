//! The finding of a pair: what the calculation says, what tests say, and which limit decides.
//!
//! The calculation's word is that of `assess` on the pair. It is told as it is but where it lies within the error of the model: there a
//! test of the very pair comes first. Tests and calculation are never averaged: where they disagree both are told, and the lower pressure
//! stands.

use hoopwright_solver::allowed::{Allowed, round_down};
use hoopwright_solver::case::Case;
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
        tests.iter().map(|test| Tested { test: test.clone(), against: against(test, release, terms) }).collect();
    let cold = calculated(solved);
    let in_service = solved.service.iter().fold(cold, |so_far, hot| under(hot, so_far.0).unwrap_or(so_far));
    let (allowed, decides) = tests.iter().fold(in_service, |so_far, test| by_test(case, test, so_far.0).unwrap_or(so_far));
    let required = 10.0 * case.required_pressure();
    let margin = release.map(|release| release.value() / required - 1.0);
    let finding = finding(case, solved, (allowed, margin), tests, terms);
    Judged { finding, allowed, decides, margin, tests: tested }
}

/// The allowed pressure, MPa, and the limit that decides, by the calculation cold and new.
fn calculated(solved: &Solved) -> (Option<f64>, String) {
    match &solved.new.allowed {
        Allowed::UpTo(found) => (Some(found.pressure), found.decides.clone()),
        Allowed::Never(reason) | Allowed::Unknown(reason) => (None, reason.clone()),
    }
}

/// What a condition in service lowers the pressure to, if it does.
fn under(hot: &Hot, allowed: Option<f64>) -> Option<(Option<f64>, String)> {
    let allowed = allowed?;
    let holds = hot.findings == [Word::Holds];
    let told = |pressure| (pressure, format!("the limits when {}", hot.condition.name()));
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

fn against(test: &Test, release: Option<Number>, terms: &Terms) -> Against {
    let Some(release) = release else { return Against::Unknown };
    let (calculated, bound) = (release.value(), matches!(release, Number::Above(_)));
    let error = terms.model_error;
    match test.outcome {
        Outcome::Released(tested) if calculated > (1.0 + error) * 10.0 * tested => Against::CameOffBelow,
        Outcome::Released(_) if bound => Against::Unknown,
        Outcome::Released(tested) if calculated < (1.0 - error) * 10.0 * tested => Against::StayedBeyond,
        Outcome::Held(tested) if !bound && calculated < (1.0 - error) * 10.0 * tested => Against::StayedBeyond,
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
    if matches!(solved.new.allowed, Allowed::Unknown(_)) || solved.new.findings.contains(&Word::NoAnswer) {
        return Finding::NoAnswer;
    }
    let Some(allowed) = allowed.filter(|pressure| *pressure >= terms.least) else { return Finding::DoesNotFit };
    let required = case.required_pressure();
    let came_off = tests.iter().any(|test| matches!(test.outcome, Outcome::Released(p) if p < required));
    let held = tests.iter().any(|test| matches!(test.outcome, Outcome::Held(p) if p >= required - 1e-9));
    let retention = margin.is_some_and(|margin| margin.abs() <= terms.model_error) && !held;
    let share = solved.new.number("spoke_tension_loss_share").map(|share| share.value() / (100.0 * case.limits.spoke_loss) - 1.0);
    let spokes = share.is_some_and(|share| share.abs() <= terms.model_error);
    let far_off = margin.is_some_and(|m| m < -terms.model_error) || share.is_some_and(|s| s > terms.model_error);
    if (retention || spokes) && !far_off && !came_off && in_service(solved) {
        Finding::TestFirst
    } else if solved.new.findings == [Word::Holds] && !came_off && in_service(solved) {
        Finding::Fits
    } else {
        Finding::FitsUpTo(allowed)
    }
}

/// Whether every condition in service that was solved keeps its limits.
fn in_service(solved: &Solved) -> bool {
    solved.service.iter().all(|hot| hot.findings == [Word::Holds])
}
