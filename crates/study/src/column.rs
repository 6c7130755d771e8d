//! The numbers of a study's row: one list of columns, each with its name, unit, meaning and limit.
//!
//! To add a number, add a [`Column`] to [`COLUMNS`]: file, table, JSON and pictures follow.

use crate::calibrate::deciding;
use hoopwright_solver::assess::Decision;
use hoopwright_solver::case::{Case, Criterion};
use hoopwright_solver::estimate::Estimate;
use hoopwright_solver::result::{Assessment, Moment, PathPoint, Release, Retention, RimSection, Run, Verdict};
use hoopwright_solver::rim::stress::RimPart;
use hoopwright_solver::verdict::judged_spoke_loss;

/// One number of a row.
#[derive(Clone, Copy, Debug)]
pub struct Column {
    /// Name in files, in lower case with underscores.
    pub name: &'static str,
    /// Unit of the number, as printed.
    pub unit: &'static str,
    /// What it is, as a phrase.
    pub meaning: &'static str,
    /// Its head in the short table, over two lines; none if it is left out there, and for retention pressures: see [`Column::head`].
    pub brief: Option<[&'static str; 2]>,
    /// Whether the number may be a lower bound only.
    pub bounded: bool,
    /// Takes it out of an answer, in `unit`; none where there is no such number.
    pub value: fn(&Answer<'_>) -> Option<Number>,
    /// Limit that the case states for it.
    pub limit: Option<Limit>,
}

impl Column {
    /// Its head in the short table of a case, over two lines; none if it is left out there. Of the retention pressures the one that decides
    /// has one, with friction and without.
    pub fn head(&self, case: &Case) -> Option<[&'static str; 2]> {
        let decides = [deciding(case), decides_briefly(case.limits.criterion)];
        match self.name.strip_prefix(decides[0]) {
            Some("") => Some([decides[1], "friction"]),
            Some("_frictionless") => Some([decides[1], "none"]),
            _ => self.brief,
        }
    }
}

/// A criterion in one word or two.
pub fn decides_briefly(criterion: Criterion) -> &'static str {
    match criterion {
        Criterion::FirstLift => "first lift",
        Criterion::Lower => "lower",
        Criterion::Local => "local",
        Criterion::OffCentre => "off-centre",
        Criterion::Uniform => "blow-off",
    }
}

/// What numbers are taken out of.
#[derive(Clone, Copy, Debug)]
pub struct Answer<'a> {
    /// The case.
    pub case: &'a Case,
    /// The path at the case's friction.
    pub given: &'a Run,
    /// The path without friction, where it was asked for.
    pub frictionless: Option<&'a Run>,
    /// The closed-form answers, if there are any.
    pub estimate: Option<&'a Estimate>,
    /// The rim's meshed section, where it was asked for.
    pub rim_section: Option<&'a RimSection>,
    /// The verdict.
    pub verdict: &'a Verdict,
}

impl<'a> From<&'a Assessment> for Answer<'a> {
    fn from(a: &'a Assessment) -> Self {
        let rim_section = a.rim_section.as_ref();
        Self {
            case: &a.case,
            given: &a.given,
            frictionless: Some(&a.frictionless),
            estimate: a.estimate.as_ref(),
            rim_section,
            verdict: &a.verdict,
        }
    }
}

impl<'a> Answer<'a> {
    /// Of a decision of a case.
    pub fn decided(case: &'a Case, d: &'a Decision) -> Self {
        let (frictionless, estimate) = (d.frictionless.as_ref(), d.estimate.as_ref());
        Self { case, given: &d.given, frictionless, estimate, rim_section: None, verdict: &d.verdict }
    }
}

/// A number found.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Number {
    /// As found.
    Found(f64),
    /// Not reached up to here.
    Above(f64),
}

impl Number {
    /// The number, or the bound.
    pub fn value(self) -> f64 {
        match self {
            Self::Found(value) | Self::Above(value) => value,
        }
    }
}

/// A limit of a number.
#[derive(Clone, Copy, Debug)]
pub struct Limit {
    /// What it is called beside its line in a picture.
    pub name: &'static str,
    /// Its value in the column's unit; none where the case states none.
    pub value: fn(&Case) -> Option<f64>,
}

/// MPa in bar.
const BAR: f64 = 10.0;

const REQUIRED: Option<Limit> = Some(Limit { name: "required", value: |case| Some(BAR * case.required_pressure()) });

type Heads = Option<[&'static str; 2]>;
type Take = fn(&Answer<'_>) -> Option<Number>;

/// A retention pressure.
const fn retention(name: &'static str, meaning: &'static str, value: Take) -> Column {
    Column { name, unit: "bar", meaning, brief: None, bounded: true, value, limit: REQUIRED }
}

/// A number of an equilibrium.
const fn state(name: &'static str, unit: &'static str, meaning: &'static str, brief: Heads, value: Take) -> Column {
    Column { name, unit, meaning, brief, bounded: false, value, limit: None }
}

const fn limited(column: Column, name: &'static str, value: fn(&Case) -> Option<f64>) -> Column {
    Column { limit: Some(Limit { name, value }), ..column }
}

/// The columns in order.
pub static COLUMNS: &[Column] = &[
    retention("first_lift", "first lift at the given friction", |a| release(Some(a.given), |r| r.first_lift)),
    retention("off_centre_release", "off-centre release at the given friction", |a| {
        release(Some(a.given), |r| r.off_centre_release)
    }),
    retention("local_release", "local release at the given friction", |a| release(Some(a.given), |r| r.local_release)),
    retention("lower_release", "lower of local and off-centre release at the given friction", |a| lower(Some(a.given))),
    retention("uniform_blow_off", "uniform blow-off at the given friction", |a| release(Some(a.given), |r| r.uniform_blow_off)),
    retention("first_lift_frictionless", "first lift without friction", |a| release(a.frictionless, |r| r.first_lift)),
    retention("off_centre_release_frictionless", "off-centre release without friction", |a| {
        release(a.frictionless, |r| r.off_centre_release)
    }),
    retention("local_release_frictionless", "local release without friction", |a| release(a.frictionless, |r| r.local_release)),
    retention("lower_release_frictionless", "lower of local and off-centre release without friction", |a| lower(a.frictionless)),
    retention("uniform_blow_off_frictionless", "uniform blow-off without friction", |a| {
        release(a.frictionless, |r| r.uniform_blow_off)
    }),
    Column {
        name: "allowed_pressure",
        unit: "bar",
        meaning: "allowed pressure: the highest rated one at which every limit is kept, rounded down",
        brief: Some(["allowed", "pressure"]),
        bounded: true,
        value: |a| a.verdict.allowed.pressure().map(bounded).map(in_steps),
        limit: Some(Limit { name: "rated", value: |case| Some(BAR * case.pressure.rated) }),
    },
    state("bead_tension_fitted", "N", "bead tension, fitted", None, |a| fitted(a, |p| p.bead_tension)),
    state("bead_tension_rated", "N", "bead tension at rated pressure", Some(["tension", "rated"]), |a| {
        rated(a, |p| p.bead_tension)
    }),
    state("seat_load_fitted", "N/mm", "seat load, fitted", Some(["seat load", "fitted"]), |a| fitted(a, |p| p.seat_load)),
    state("seat_load_rated", "N/mm", "seat load at rated pressure", None, |a| rated(a, |p| p.seat_load)),
    state("rim_hoop_force", "N", "rim hoop force at rated pressure", None, |a| rated(a, |p| p.rim_hoop_force)),
    state("rim_radial_displacement", "mm", "radial displacement of the rim at rated pressure", None, |a| {
        rated(a, |p| p.rim_displacement)
    }),
    limited(
        state("spoke_tension_loss", "N", "mean spoke tension loss at rated pressure", None, |a| spoke_loss(a).map(Number::Found)),
        "limit",
        |case| Some(case.limits.spoke_loss * case.spokes.pretension),
    ),
    limited(
        state(
            "spoke_tension_loss_share",
            "%",
            "mean spoke tension loss at rated pressure over the pretension",
            Some(["spokes", "lose"]),
            |a| spoke_loss(a).map(|loss| Number::Found(100.0 * loss / a.case.spokes.pretension)),
        ),
        "limit",
        |case| Some(100.0 * case.limits.spoke_loss),
    ),
    state("inflated_width", "mm", "width of the tyre at rated pressure", None, |a| rated(a, |p| p.width)),
    limited(
        state("mounting_force", "N", "hoop force to mount, limp strip", None, |a| {
            a.estimate.map(|e| Number::Found(e.mounting.limp_force))
        }),
        "limit",
        |case| case.limits.mounting_force,
    ),
    // Only a rim whose section is given has these.
    state("rim_mass", "g", "mass of the rim without spokes", None, |a| a.rim_section.map(|s| Number::Found(s.mass))),
    state("flange_spread", "mm", "growth of the distance between the walls at rated pressure", None, |a| {
        section(a, |part| Some(part.flange_spread))
    }),
    state("rim_stress", "MPa", "largest stress in the rim after von Mises at rated pressure", None, |a| {
        section(a, |part| Some(part.anywhere.von_mises))
    }),
    state("rim_stress_share", "%", "largest stress in the rim over its strength at rated pressure", None, |a| {
        section(a, |part| part.anywhere.utilisation.map(|share| 100.0 * share))
    }),
];

/// Place of the column of a name in [`COLUMNS`].
pub fn index(name: &str) -> Option<usize> {
    COLUMNS.iter().position(|column| column.name == name)
}

/// The one that is judged, N.
fn spoke_loss(a: &Answer<'_>) -> Option<f64> {
    judged_spoke_loss(a.case, a.given, a.frictionless).map(|(loss, _)| loss)
}

fn release(run: Option<&Run>, of: fn(&Retention) -> Release) -> Option<Number> {
    number(of(&run?.retention))
}

/// The lower release, where the local one was asked for.
fn lower(run: Option<&Run>) -> Option<Number> {
    run.filter(|run| run.local.is_some()).and_then(|run| number(run.retention.lower_release()))
}

fn number(release: Release) -> Option<Number> {
    release.known().map(bounded)
}

/// A pressure, MPa, and whether it is a lower bound only.
fn bounded((pressure, bound): (f64, bool)) -> Number {
    if bound { Number::Above(BAR * pressure) } else { Number::Found(BAR * pressure) }
}

/// A pressure that is a multiple of a step of 0.001 bar or more, without what the change of its unit left behind the digits.
fn in_steps(pressure: Number) -> Number {
    let rounded = |bar: f64| (1e3 * bar).round() / 1e3;
    match pressure {
        Number::Found(bar) => Number::Found(rounded(bar)),
        Number::Above(bar) => Number::Above(rounded(bar)),
    }
}

/// A number of the fitted bead at the given friction; none where the fit was not reached.
fn fitted(a: &Answer<'_>, of: fn(&PathPoint) -> f64) -> Option<Number> {
    a.given.at(Moment::Fitted).map(|p| Number::Found(of(p)))
}

/// A number at rated pressure and the given friction; none where that was not reached.
fn rated(a: &Answer<'_>, of: fn(&PathPoint) -> f64) -> Option<Number> {
    a.given.at(Moment::Rated).map(|p| Number::Found(of(p)))
}

/// A number of the rim's meshed section at rated pressure, air and bead together; none for a rim that is a ring.
fn section(a: &Answer<'_>, of: fn(&RimPart) -> Option<f64>) -> Option<Number> {
    let states = &a.rim_section?.states;
    let (_, rated) = states.iter().find(|(moment, _)| *moment == Moment::Rated)?;
    of(&rated.both).map(Number::Found)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use hoopwright_solver::result::End;

    #[test]
    fn a_bound_of_no_pressure_is_no_number() {
        let number = |release: Release| {
            let retention =
                Retention { first_lift: release, off_centre_release: release, local_release: release, uniform_blow_off: release };
            let (path, end, effort) = (Vec::new(), End::Failed(String::new()), Default::default());
            super::release(Some(&Run { friction: 0.3, path, fit: 0, rated: None, retention, end, effort, local: None }), |r| {
                r.first_lift
            })
        };
        assert_eq!(number(Release::Above(0.0)), None);
        assert_eq!(number(Release::At(0.0)), Some(Number::Found(0.0)));
        assert_eq!(number(Release::Above(0.5)), Some(Number::Above(5.0)));
    }

    #[test]
    fn the_retention_pressure_that_decides_stands_in_the_short_table_by_its_name() {
        let (mut case, _) = hoopwright_solver::case::read(&hoopwright_solver::case::starter()).unwrap();
        for (criterion, stem, head) in [
            (Criterion::FirstLift, "first_lift", "first lift"),
            (Criterion::Lower, "lower_release", "lower"),
            (Criterion::Local, "local_release", "local"),
            (Criterion::OffCentre, "off_centre_release", "off-centre"),
            (Criterion::Uniform, "uniform_blow_off", "blow-off"),
        ] {
            case.limits.criterion = criterion;
            let shown = COLUMNS.iter().filter(|column| column.unit == "bar").filter_map(|c| Some((c.name, c.head(&case)?)));
            let without = format!("{stem}_frictionless");
            let expected =
                [(stem, [head, "friction"]), (without.as_str(), [head, "none"]), ("allowed_pressure", ["allowed", "pressure"])];
            assert_eq!(shown.collect::<Vec<_>>(), expected);
        }
    }

    #[test]
    fn a_pressure_in_steps_has_their_digits() {
        let bar = in_steps(bounded((0.407, false)));
        assert_eq!((bar.value().to_string(), in_steps(Number::Above(12.3))), ("4.07".to_owned(), Number::Above(12.3)));
    }

    #[test]
    fn names_are_unique_and_fit_for_files() {
        for (i, column) in COLUMNS.iter().enumerate() {
            assert!(column.name.chars().all(|c| c.is_ascii_lowercase() || c == '_'), "{}", column.name);
            assert!(!column.unit.is_empty() && !column.meaning.is_empty(), "{}", column.name);
            assert!(COLUMNS[..i].iter().all(|other| other.name != column.name), "{} stands twice", column.name);
        }
    }
}
