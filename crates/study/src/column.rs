//! The numbers of a study's row: one list of columns, each with its name, unit, meaning and limit.
//!
//! To add a number, add a [`Column`] to [`COLUMNS`]: file, table, JSON and pictures follow. What is read off a path is one of the solver's
//! [`hoopwright_solver::quantities`].

use hoopwright_case::{Case, Criterion};
use hoopwright_solver::assess::Decision;
use hoopwright_solver::deciding::judged_spoke_loss;
use hoopwright_solver::estimate::Estimate;
use hoopwright_solver::numerical;
use hoopwright_solver::quantities::{self as q, Quantity};
use hoopwright_solver::result::{Assessment, Moment, Release, Retention, RimSection, Run, Verdict};
use hoopwright_solver::rim::stress::RimPart;

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
    /// Where it is read.
    read: Read,
    /// Limit that the case states for it.
    pub limit: Option<Limit>,
}

/// Where a number is read.
#[derive(Clone, Copy, Debug)]
enum Read {
    /// Off the path at the given friction, at a moment; none where that was not reached.
    At(Moment, &'static Quantity),
    /// Out of the answer, in the column's unit.
    Out(Take),
}

impl Column {
    /// Its number in an answer, in its unit; none where there is no such number.
    pub fn value(&self, a: &Answer<'_>) -> Option<Number> {
        match self.read {
            Read::At(moment, quantity) => a.given.at(moment).map(|p| Number::Found((quantity.value)(p))),
            Read::Out(take) => take(a),
        }
    }

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
    /// What it limits, in a few words beside a verdict.
    pub of: &'static str,
    /// Its value in the column's unit; none where the case states none.
    pub value: fn(&Case) -> Option<f64>,
    /// What the number must be found to be, so that it keeps the limit whatever its numerical error.
    pub sure: fn(&Case) -> Option<f64>,
}

/// MPa in bar.
const BAR: f64 = 10.0;
const FITTED: Moment = Moment::Fitted;
const RATED: Moment = Moment::Rated;

type Heads = Option<[&'static str; 2]>;
type Take = fn(&Answer<'_>) -> Option<Number>;

/// What a retention pressure must be found to be, bar, so that the required one is kept whatever its numerical error.
type Asked = fn(&Case) -> Option<f64>;

/// A retention pressure, with what it is called beside a verdict.
const fn retention(name: &'static str, of: &'static str, meaning: &'static str, sure: Asked, take: Take) -> Column {
    let limit = Some(Limit { name: "required", of, value: |case| Some(BAR * case.required_pressure()), sure });
    Column { name, unit: "bar", meaning, brief: None, bounded: true, read: Read::Out(take), limit }
}

/// As [`retention`], of the path without friction.
const fn without_friction(name: &'static str, meaning: &'static str, sure: Asked, take: Take) -> Column {
    retention(name, meaning, meaning, sure, take)
}

/// What a retention pressure of the path with friction must be found to be, bar.
fn asked(case: &Case, of: Criterion) -> Option<f64> {
    Some(BAR * numerical::asked(case, of, case.friction))
}

/// Likewise of the path without.
fn asked_without(case: &Case, of: Criterion) -> Option<f64> {
    Some(BAR * numerical::asked(case, of, 0.0))
}

/// A quantity of the path at a moment.
const fn at(moment: Moment, quantity: &'static Quantity, name: &'static str, meaning: &'static str, brief: Heads) -> Column {
    Column { name, unit: quantity.unit, meaning, brief, bounded: false, read: Read::At(moment, quantity), limit: None }
}

/// A number of its own.
const fn state(name: &'static str, unit: &'static str, meaning: &'static str, brief: Heads, take: Take) -> Column {
    Column { name, unit, meaning, brief, bounded: false, read: Read::Out(take), limit: None }
}

/// As a column with a limit: its value, and what the number must be found to be.
const fn limited(column: Column, of: &'static str, [value, sure]: [fn(&Case) -> Option<f64>; 2]) -> Column {
    Column { limit: Some(Limit { name: "limit", of, value, sure }), ..column }
}

/// The columns in order.
pub static COLUMNS: &[Column] = &[
    retention(
        "first_lift",
        "first lift",
        "first lift at the given friction",
        |case| asked(case, Criterion::FirstLift),
        |a| release(Some(a.given), |r| r.first_lift),
    ),
    retention(
        "off_centre_release",
        "off-centre release",
        "off-centre release at the given friction",
        |case| asked(case, Criterion::OffCentre),
        |a| release(Some(a.given), |r| r.off_centre_release),
    ),
    retention(
        "local_release",
        "local release",
        "local release at the given friction",
        |case| asked(case, Criterion::Local),
        |a| release(Some(a.given), |r| r.local_release),
    ),
    retention(
        "lower_release",
        "lower of local and off-centre release",
        "lower of local and off-centre release at the given friction",
        |case| asked(case, Criterion::Lower),
        |a| lower(Some(a.given)),
    ),
    retention(
        "uniform_blow_off",
        "uniform blow-off",
        "uniform blow-off at the given friction",
        |case| asked(case, Criterion::Uniform),
        |a| release(Some(a.given), |r| r.uniform_blow_off),
    ),
    without_friction(
        "first_lift_frictionless",
        "first lift without friction",
        |case| asked_without(case, Criterion::FirstLift),
        |a| release(a.frictionless, |r| r.first_lift),
    ),
    without_friction(
        "off_centre_release_frictionless",
        "off-centre release without friction",
        |case| asked_without(case, Criterion::OffCentre),
        |a| release(a.frictionless, |r| r.off_centre_release),
    ),
    without_friction(
        "local_release_frictionless",
        "local release without friction",
        |case| asked_without(case, Criterion::Local),
        |a| release(a.frictionless, |r| r.local_release),
    ),
    without_friction(
        "lower_release_frictionless",
        "lower of local and off-centre release without friction",
        |case| asked_without(case, Criterion::Lower),
        |a| lower(a.frictionless),
    ),
    without_friction(
        "uniform_blow_off_frictionless",
        "uniform blow-off without friction",
        |case| asked_without(case, Criterion::Uniform),
        |a| release(a.frictionless, |r| r.uniform_blow_off),
    ),
    Column {
        name: "allowed_pressure",
        unit: "bar",
        meaning: "allowed pressure: the highest rated one at which every limit is kept, rounded down",
        brief: Some(["allowed", "pressure"]),
        bounded: true,
        read: Read::Out(|a| a.verdict.allowed.pressure().map(bounded).map(in_steps)),
        limit: Some(Limit {
            name: "rated",
            of: "allowed pressure",
            value: |case| Some(BAR * case.pressure.rated),
            sure: |case| Some(BAR * case.pressure.rated),
        }),
    },
    at(FITTED, &q::BEAD_TENSION, "bead_tension_fitted", "bead tension, fitted", None),
    at(RATED, &q::BEAD_TENSION, "bead_tension_rated", "bead tension at rated pressure", Some(["tension", "rated"])),
    at(FITTED, &q::SEAT_LOAD, "seat_load_fitted", "seat load, fitted", Some(["seat load", "fitted"])),
    at(RATED, &q::SEAT_LOAD, "seat_load_rated", "seat load at rated pressure", None),
    at(RATED, &q::RIM_HOOP_FORCE, "rim_hoop_force", "rim hoop force at rated pressure", None),
    at(RATED, &q::RIM_DISPLACEMENT, "rim_radial_displacement", "radial displacement of the rim at rated pressure", None),
    limited(
        state("spoke_tension_loss", "N", "mean spoke tension loss at rated pressure", None, |a| spoke_loss(a).map(Number::Found)),
        q::SPOKE_TENSION_LOSS.meaning,
        [
            |case| Some(case.limits.spoke_loss * case.spokes.pretension),
            |case| Some(numerical::load_allowed(case.limits.spoke_loss) * case.spokes.pretension),
        ],
    ),
    limited(
        state(
            "spoke_tension_loss_share",
            "%",
            "mean spoke tension loss at rated pressure over the pretension",
            Some(["spokes", "lose"]),
            |a| spoke_loss(a).map(|loss| Number::Found(100.0 * loss / a.case.spokes.pretension)),
        ),
        q::SPOKE_TENSION_LOSS.meaning,
        [|case| Some(100.0 * case.limits.spoke_loss), |case| Some(100.0 * numerical::load_allowed(case.limits.spoke_loss))],
    ),
    at(RATED, &q::WIDTH, "inflated_width", "width of the tyre at rated pressure", None),
    limited(
        state("mounting_force", "N", "hoop force to mount, limp strip", None, |a| {
            a.estimate.map(|e| Number::Found(e.mounting.limp_force))
        }),
        "hoop force to mount, limp strip",
        [|case| case.limits.mounting_force; 2],
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

/// A number of the rim's meshed section at rated pressure, air and bead together; none for a rim that is a ring.
fn section(a: &Answer<'_>, of: fn(&RimPart) -> Option<f64>) -> Option<Number> {
    let states = &a.rim_section?.states;
    let (_, rated) = states.iter().find(|(moment, _)| *moment == Moment::Rated)?;
    of(&rated.both).map(Number::Found)
}

/// Name of the column of the pressure that is held against the tests: the retention pressure that decides.
pub fn deciding(case: &Case) -> &'static str {
    match case.limits.criterion {
        Criterion::FirstLift => "first_lift",
        Criterion::Lower => "lower_release",
        Criterion::Local => "local_release",
        Criterion::OffCentre => "off_centre_release",
        Criterion::Uniform => "uniform_blow_off",
    }
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
            super::release(
                Some(&Run { friction: 0.3, path, fit: 0, rated: None, retention, slip: None, end, effort, local: None }),
                |r| r.first_lift,
            )
        };
        assert_eq!(number(Release::Above(0.0)), None);
        assert_eq!(number(Release::At(0.0)), Some(Number::Found(0.0)));
        assert_eq!(number(Release::Above(0.5)), Some(Number::Above(5.0)));
    }

    #[test]
    fn the_retention_pressure_that_decides_stands_in_the_short_table_by_its_name() {
        let (mut case, _) = hoopwright_case::read(&hoopwright_case::starter()).unwrap();
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
