//! The fields of a map and the limits that bound its window.

use hoopwright_case::{Case, Criterion};
use hoopwright_solver::estimate::{Estimate, Pressures};
use hoopwright_solver::result::Finding;

use crate::column::{self, COLUMNS, Column};

/// MPa in bar.
const BAR: f64 = 10.0;

/// A number over the whole map.
#[derive(Clone, Copy, Debug)]
pub struct Field {
    /// Its column.
    pub column: &'static Column,
    /// Number of the column among [`COLUMNS`].
    pub index: usize,
    /// The closed-form answer to it, in the column's unit.
    estimate: fn(&Case, &Estimate) -> Option<f64>,
}

/// A limit stated by the case.
#[derive(Clone, Copy, Debug)]
pub struct Limit {
    /// Number of the field among those of the map.
    pub field: usize,
    /// Verdict where it is not kept.
    pub finding: Finding,
    /// Whether the number must reach the limit; it must stay below it otherwise.
    pub at_least: bool,
    /// Its value in the field's unit; none where the case states none.
    value: fn(&Case) -> Option<f64>,
}

impl Field {
    /// The closed-form answer of a case, in the field's unit.
    pub fn estimate(&self, case: &Case, estimate: &Estimate) -> Option<f64> {
        (self.estimate)(case, estimate).filter(|value| value.is_finite())
    }
}

impl Limit {
    /// Its value for a case.
    pub fn value(&self, case: &Case) -> Option<f64> {
        (self.value)(case)
    }

    /// What is left to the limit as a share of it; negative where it is not kept.
    pub fn margin(&self, number: f64, limit: f64) -> f64 {
        let share = number / limit - 1.0;
        if self.at_least { share } else { -share }
    }
}

type Take = fn(&Case, &Estimate) -> Option<f64>;

/// Columns of every map but for the retention pressures, with the closed form's answers. At rated pressure the closed form has a kink
/// where the bead begins to lift, and has it at another place than the finite elements: to carry it over would put it in twice.
const STATES: &[(&str, Take)] = &[
    ("allowed_pressure", |_, _| None),
    ("seat_load_fitted", |_, e| Some(e.fit_seat_load)),
    ("seat_load_rated", |_, _| None),
    ("bead_tension_fitted", |_, e| Some(e.fit_tension)),
    ("bead_tension_rated", |_, _| None),
    ("rim_hoop_force", |_, _| None),
    ("rim_radial_displacement", |_, _| None),
    ("spoke_tension_loss_share", |_, _| None),
    ("mounting_force", |_, e| Some(e.mounting.limp_force)),
];
/// The retention pressures at the given friction, in the order of [`Criterion`], and without. The closed form has no local release; its
/// off-centre release, by which the map corrects for what it misses, goes along with it.
const GIVEN: [(&str, Take); 5] = [
    ("first_lift", |_, e| bar(&e.given, |p| p.first_lift)),
    ("lower_release", |_, e| bar(&e.given, |p| p.off_centre_release)),
    ("local_release", |_, e| bar(&e.given, |p| p.off_centre_release)),
    ("off_centre_release", |_, e| bar(&e.given, |p| p.off_centre_release)),
    ("uniform_blow_off", |_, e| bar(&e.given, |p| p.uniform_blow_off)),
];
const FRICTIONLESS: [(&str, Take); 5] = [
    ("first_lift_frictionless", |_, e| bar(&e.frictionless, |p| p.first_lift)),
    ("lower_release_frictionless", |_, e| bar(&e.frictionless, |p| p.off_centre_release)),
    ("local_release_frictionless", |_, e| bar(&e.frictionless, |p| p.off_centre_release)),
    ("off_centre_release_frictionless", |_, e| bar(&e.frictionless, |p| p.off_centre_release)),
    ("uniform_blow_off_frictionless", |_, e| bar(&e.frictionless, |p| p.uniform_blow_off)),
];

fn bar(pressures: &Pressures, of: fn(&Pressures) -> f64) -> Option<f64> {
    Some(BAR * of(pressures))
}

/// The fields of a case's map: the retention pressures of the path that decides first.
pub fn fields(case: &Case) -> Vec<Field> {
    let deciding = if case.limits.without_friction { &FRICTIONLESS } else { &GIVEN };
    let asks_local = matches!(case.limits.criterion, Criterion::Lower | Criterion::Local);
    let found = deciding
        .iter()
        .filter(|(name, _)| asks_local || !name.starts_with("lower_release") && !name.starts_with("local_release"));
    let named = found.chain(STATES);
    named
        .filter_map(|(name, estimate)| {
            let index = COLUMNS.iter().position(|column| column.name == *name)?;
            Some(Field { column: &COLUMNS[index], index, estimate: *estimate })
        })
        .collect()
}

/// Name of the column of the retention pressure that decides.
pub fn deciding_column(case: &Case) -> String {
    let name = column::deciding(case);
    if case.limits.without_friction { format!("{name}_frictionless") } else { name.to_owned() }
}

/// The limits on these fields: the required pressure first, then those that the case states; each with the numerical error of the number kept
/// back, as a verdict has it.
pub fn limits(case: &Case, fields: &[Field]) -> Vec<Limit> {
    limits_by(case, fields, |limit| limit.sure)
}

/// Likewise as the case states them.
pub fn stated_limits(case: &Case, fields: &[Field]) -> Vec<Limit> {
    limits_by(case, fields, |limit| limit.value)
}

/// A limit of a case.
type Value = fn(&Case) -> Option<f64>;

fn limits_by(case: &Case, fields: &[Field], of: fn(&column::Limit) -> Value) -> Vec<Limit> {
    let limit = |field: usize, finding: Finding| {
        let value = of(fields.get(field)?.column.limit.as_ref()?);
        Some(Limit { field, finding, at_least: finding == Finding::MayRelease, value })
    };
    let named = |name: &str| fields.iter().position(|field| field.column.name == name);
    let spokes = named("spoke_tension_loss_share").and_then(|field| limit(field, Finding::OverloadsRim));
    let mounting = named("mounting_force").and_then(|field| limit(field, Finding::HardToMount));
    let stated = mounting.filter(|limit| limit.value(case).is_some());
    let deciding = named(&deciding_column(case)).and_then(|field| limit(field, Finding::MayRelease));
    deciding.into_iter().chain(spokes).chain(stated).collect()
}
