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
///
/// Cold and aged is one of them: a rim that grows with heat may hold better hot than cold.
pub const CONDITIONS: [Condition; 3] = [Condition::Aged, Condition::HotNew, Condition::HotAged];

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
    /// The conditions in service, of the tyre at its listed pressure, or at its allowed one where it did not reach that; empty where the rim
    /// states none, none where they could not be told, as there is no such pressure.
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
    /// Mean spoke tension loss, per cent of the pretension; none where the working pressure was not reached.
    pub spokes: Option<f64>,
    /// The required pressure, bar.
    pub required: f64,
    /// The cold pressure by the gauge that it goes with, MPa.
    pub cold: f64,
    /// By how much the required pressure rises with that.
    pub gain: f64,
    /// Findings.
    pub findings: Vec<Finding>,
    /// Cold pressure by the gauge up to which every limit is kept under it, MPa; not told beyond the listed one.
    pub allowed: Option<f64>,
    /// The limit that decides that, or why there is no such pressure, as a phrase.
    pub decides: String,
}

/// A pair beside that of the list: one measured value larger by its standard error.
#[derive(Clone, Debug, PartialEq)]
pub struct Beside {
    /// What is larger.
    pub what: Measure,
    /// Cold and new.
    pub new: Level,
    /// The conditions in service, in the order of those of the pair.
    pub service: Vec<Level>,
}

/// What is judged of a case, as far as it was found and is no bound.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Level {
    /// The retention pressure that decides, bar.
    pub release: Option<f64>,
    /// Mean spoke tension loss, per cent of the pretension.
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
    let service = service(&made.case, &new, made.service.as_ref(), answers);
    let measures = [Measure::Diameter, Measure::Stiffness];
    let told = measures.into_iter().zip(errors).filter_map(|(what, error)| Some((what, error?))).filter(|_| new.is_answered());
    let beside = told.map(|(what, error)| beside(what, error, made, answers)).collect();
    Solved { new, service, beside }
}

/// The conditions in service of a case that was answered.
fn service(case: &Case, new: &CaseAnswer, service: Option<&Service>, answers: Answers<'_>) -> Option<Vec<Hot>> {
    let Some(service) = service else { return Some(Vec::new()) };
    let tension = |answer: &CaseAnswer| answer.number("bead_tension_rated").map(Number::value);
    if let Some(tension) = tension(new) {
        return Some(CONDITIONS.map(|condition| hot(condition, case, (service, tension), answers)).to_vec());
    }
    // It comes off below its listed pressure: it is known in service at a pressure that it reaches.
    let mut lower = case.clone();
    lower.pressure.rated = new.allowed.pressure()?.0;
    let tension = tension(&answers(&lower))?;
    Some(CONDITIONS.map(|condition| hot(condition, &lower, (service, tension), answers)).to_vec())
}

fn hot(condition: Condition, made: &Case, (service, tension): (&Service, f64), answers: Answers<'_>) -> Hot {
    let case = condition.of(made, service, tension);
    let found = answers(&case);
    let (rated, listed, atmosphere) = (case.pressure.rated, made.pressure.rated, service.atmosphere);
    // The bead has crept for the listed pressure: of a higher one nothing is known.
    let working = found.allowed.pressure().map(|(pressure, _)| pressure.min(rated));
    let warmer = (rated + atmosphere) / (listed + atmosphere);
    Hot {
        condition,
        release: found.release(&case),
        spokes: found.number("spoke_tension_loss_share").map(Number::value),
        required: BAR.value_of(case.required_pressure()),
        cold: listed,
        gain: case.pressure.test_factor * warmer,
        allowed: working.map(|hot| if hot >= rated { listed } else { round_down((hot + atmosphere) / warmer - atmosphere) }),
        decides: found.allowed.decides().to_owned(),
        findings: found.findings,
    }
}

impl Hot {
    /// What is left to the retention limit, as a share of it.
    pub fn margin(&self) -> Option<f64> {
        Some(self.release?.value() / self.required - 1.0)
    }

    /// The required pressure, bar, where the tyre is inflated cold to a pressure, MPa. The bead has crept as for the one it was solved for.
    pub fn required_at(&self, pressure: f64) -> f64 {
        self.required + BAR.value_of(self.gain * (pressure - self.cold))
    }

    fn level(&self) -> Level {
        Level { release: self.release.and_then(reached), spokes: self.spokes }
    }
}

fn reached(number: Number) -> Option<f64> {
    matches!(number, Number::Found(_)).then(|| number.value())
}

fn beside(what: Measure, error: f64, made: &Made, answers: Answers<'_>) -> Beside {
    let mut other = made.case.clone();
    match what {
        Measure::Diameter => other.bead.diameter += error,
        Measure::Stiffness => other.bead.law = stiffer(&made.case.bead.law, error),
    }
    let found = answers(&other);
    let spokes = found.number("spoke_tension_loss_share").and_then(reached);
    let new = Level { release: found.release(&other).and_then(reached), spokes };
    let service = service(&other, &found, made.service.as_ref(), answers);
    Beside { what, new, service: service.iter().flatten().map(Hot::level).collect() }
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

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use hoopwright_case::{Attached, OpenCase};
    use hoopwright_solver::allowed::UpTo;

    /// A case and a service from the example of one.
    fn made() -> Made {
        let open = OpenCase::parse(include_str!("../../../../examples/14_service.toml"), Attached::new()).unwrap();
        Made { case: open.with(&[]).unwrap().0, notes: Vec::new(), service: open.service(&[]).unwrap() }
    }

    /// A tyre that comes off at twice the pressure, MPa, that it is allowed.
    fn coming_off(allowed: f64) -> impl Fn(&Case) -> CaseAnswer + Sync {
        move |case| {
            let mut numbers = vec![None; COLUMNS.len()];
            let mut put = |name: &str, value| numbers[crate::column::index(name).unwrap()] = Some(Number::Found(value));
            put(&deciding_column(case), BAR.value_of(1.5 * allowed));
            if case.pressure.rated < 2.0 * allowed {
                put("bead_tension_rated", 1000.0);
                put("spoke_tension_loss_share", 10.0);
            }
            let kept = case.pressure.rated <= allowed;
            let findings = vec![if kept { Finding::Holds } else { Finding::MayRelease }];
            let allowed = Allowed::UpTo(UpTo { pressure: allowed, lower_bound: false, decides: "release".to_owned() });
            CaseAnswer { numbers, findings, allowed, outer_diameter: None }
        }
    }

    /// A tyre that does not reach its listed pressure is known in service at the pressure that it is allowed.
    #[test]
    fn service_is_asked_at_a_pressure_that_the_tyre_reaches() {
        let made = made();
        let listed = made.case.pressure.rated;
        for (allowed, cold) in [(0.9 * listed, listed), (0.4 * listed, 0.4 * listed)] {
            let solved = solve(&made, [None; 2], &coming_off(allowed));
            let service = solved.service.unwrap();
            assert_eq!(service.iter().map(|hot| hot.condition).collect::<Vec<_>>(), CONDITIONS);
            for hot in &service {
                assert!((hot.cold - cold).abs() < 1e-12);
                // Warm air presses more: less is allowed cold.
                let warm = hot.condition != Condition::Aged;
                assert_eq!(hot.allowed.unwrap() < allowed.min(cold) - 1e-4, warm, "{hot:?}");
                let service = made.service.as_ref().unwrap();
                let warmer = if warm { service.hot_air / service.cold } else { 1.0 };
                let by_gas = |cold: f64| 1.5 * BAR.value_of((cold + service.atmosphere) * warmer - service.atmosphere);
                for cold in [cold, 0.5 * cold] {
                    assert!((hot.required_at(cold) - by_gas(cold)).abs() < 1e-6, "{} {}", hot.required_at(cold), by_gas(cold));
                }
            }
        }
    }

    /// Each condition is solved beside the pair as well.
    #[test]
    fn slopes_are_those_of_each_condition() {
        let solved = solve(&made(), [Some(0.05), Some(8e3)], &coming_off(0.6));
        let counts: Vec<usize> = solved.beside.iter().map(|beside| beside.service.len()).collect();
        assert_eq!(counts, [CONDITIONS.len(); 2]);
    }
}
