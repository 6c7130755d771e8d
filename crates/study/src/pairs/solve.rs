//! What is solved of a pair: its case as `assess` has it, hot and aged where the rim states its service, and beside it where errors of
//! measurement are told.

use hoopwright_case::units::BAR;
use hoopwright_case::{Case, Condition, HoopLaw, Service};
use hoopwright_solver::allowed::{Allowed, round_down};
use hoopwright_solver::assess::decide;
use hoopwright_solver::result::{Finding, Moment};

use super::pairing::Made;
use crate::column::{Answer, COLUMNS, Number};
use crate::map::field::deciding_column;

/// The conditions in service that a list tells, beside the new one.
pub const CONDITIONS: [Condition; 2] = [Condition::HotNew, Condition::HotAged];

/// What was found of one case.
#[derive(Clone, Debug, PartialEq)]
pub struct CaseAnswer {
    /// One number for each of [`COLUMNS`]; none where it does not exist or was not found.
    pub numbers: Vec<Option<Number>>,
    /// Findings in order of danger; [`Finding::NoAnswer`] where the solve failed.
    pub findings: Vec<Finding>,
    /// The allowed pressure.
    pub allowed: Allowed,
    /// Diameter over the tread at the rated pressure, mm.
    pub outer_diameter: Option<f64>,
}

/// What was found of a pair; pressures in bar unless told.
#[derive(Clone, Debug, PartialEq)]
pub struct Solved {
    /// Cold and new.
    pub new: CaseAnswer,
    /// The conditions in service; empty where the rim states none, none where they could not be told, as the new tyre did not reach its
    /// rated pressure.
    pub service: Option<Vec<Hot>>,
    /// The answers beside the case, where errors of measurement are told.
    pub beside: Vec<Beside>,
}

/// Answers a case: solves it, or knows it.
pub type Answers<'a> = &'a (dyn Fn(&Case) -> CaseAnswer + Sync);

/// A pair under a condition in service.
#[derive(Clone, Debug, PartialEq)]
pub struct Hot {
    /// The condition.
    pub condition: Condition,
    /// The retention pressure that decides, bar.
    pub release: Option<Number>,
    /// The required pressure, bar.
    pub required: f64,
    /// Findings.
    pub findings: Vec<Finding>,
    /// Cold pressure by the gauge up to which every limit is kept under it, MPa; not told beyond the listed one.
    pub allowed: Option<f64>,
}

/// A case beside that of the pair: one measured value larger by its standard error.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Beside {
    /// What is larger.
    pub what: Measure,
    /// The retention pressure that decides, bar.
    pub release: Option<f64>,
    /// Mean spoke tension loss at the listed pressure, per cent of the pretension.
    pub spokes: Option<f64>,
}

/// What is measured with an error.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Measure {
    /// The bead's diameter.
    Diameter,
    /// The bead's stiffness.
    Stiffness,
}

impl CaseAnswer {
    /// Solves a case as `assess` does, as far as that decides.
    pub fn of(case: &Case) -> Self {
        match decide(case, &mut |_| ()) {
            Err(reason) => {
                let reason = reason.to_string();
                let allowed = Allowed::Unknown(reason);
                Self { numbers: vec![None; COLUMNS.len()], findings: vec![Finding::NoAnswer], allowed, outer_diameter: None }
            }
            Ok(found) => Self {
                numbers: numbers(&Answer::decided(case, &found)),
                findings: found.verdict.findings.clone(),
                outer_diameter: found.given.at(Moment::Rated).map(|rated| 2.0 * rated.crown_radius).filter(|d| d.is_finite()),
                allowed: found.verdict.allowed,
            },
        }
    }

    /// A number by the name of its column.
    pub fn number(&self, name: &str) -> Option<Number> {
        COLUMNS.iter().position(|column| column.name == name).and_then(|k| self.numbers.get(k).copied().flatten())
    }

    /// The retention pressure that decides a case, bar.
    pub fn release(&self, case: &Case) -> Option<Number> {
        self.number(&deciding_column(case))
    }

    /// Whether an equilibrium was found for what decides.
    pub fn is_answered(&self) -> bool {
        !self.findings.contains(&Finding::NoAnswer)
    }
}

/// The numbers of an answer. One that is not finite is none.
fn numbers(answer: &Answer<'_>) -> Vec<Option<Number>> {
    COLUMNS.iter().map(|column| column.value(answer).filter(|number| number.value().is_finite())).collect()
}

/// Solves a pair; `errors` are the standard errors of diameter, mm, and stiffness, N.
pub fn solve(made: &Made, errors: [Option<f64>; 2], answers: Answers<'_>) -> Solved {
    let new = answers(&made.case);
    let tension = new.number("bead_tension_rated").map(Number::value);
    let service = match (&made.service, tension) {
        (None, _) => Some(Vec::new()),
        (Some(_), None) => None,
        (Some(service), Some(tension)) => {
            Some(CONDITIONS.iter().map(|condition| hot(*condition, made, (service, tension), answers)).collect())
        }
    };
    let measures = [Measure::Diameter, Measure::Stiffness];
    let told = measures.into_iter().zip(errors).filter_map(|(what, error)| Some((what, error?))).filter(|_| new.is_answered());
    let beside = told.map(|(what, error)| beside(what, error, &made.case, answers)).collect();
    Solved { new, service, beside }
}

fn hot(condition: Condition, made: &Made, (service, tension): (&Service, f64), answers: Answers<'_>) -> Hot {
    let case = condition.of(&made.case, service, tension);
    let found = answers(&case);
    let rated = case.pressure.rated;
    // The bead has crept for the listed pressure: of a higher one nothing is known.
    let working = found.allowed.pressure().map(|(pressure, _)| pressure.min(rated));
    let cold = |hot: f64| (hot + service.atmosphere) * service.cold / service.hot_air - service.atmosphere;
    Hot {
        condition,
        release: found.release(&case),
        required: BAR.value_of(case.required_pressure()),
        allowed: working.map(|hot| if hot >= rated { made.case.pressure.rated } else { round_down(cold(hot)) }),
        findings: found.findings,
    }
}

fn beside(what: Measure, error: f64, case: &Case, answers: Answers<'_>) -> Beside {
    let mut other = case.clone();
    match what {
        Measure::Diameter => other.bead.diameter += error,
        Measure::Stiffness => other.bead.law = stiffer(&case.bead.law, error),
    }
    let found = answers(&other);
    let reached = |number: Number| matches!(number, Number::Found(_)).then(|| number.value());
    let [release, spokes] = [found.release(&other), found.number("spoke_tension_loss_share")];
    Beside { what, release: release.and_then(reached), spokes: spokes.and_then(reached) }
}

/// A hoop law of a stiffness that is larger by so much, N; a curve keeps its form.
fn stiffer(law: &HoopLaw, error: f64) -> HoopLaw {
    match law {
        HoopLaw::Linear(stiffness) => HoopLaw::Linear(stiffness + error),
        HoopLaw::Table(points) => {
            let share = 1.0 + error / law.initial_stiffness();
            HoopLaw::Table(points.iter().map(|(strain, force)| (*strain, share * force)).collect())
        }
    }
}
