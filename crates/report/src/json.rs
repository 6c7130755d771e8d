//! `result.json`: schema `hoopwright/assessment/1.0`. Units are the suffixes of the keys; pressures are gauge.
//!
//! | key | holds |
//! |---|---|
//! | `verdict`, `checks` | findings in order of danger; every limit with what was found (`value`, null where that is not known); `lower_bound` where it was looked for up to there only; `error` is the number's numerical error, null where it has none; `kept` null where a failed solve leaves it open |
//! | `allowed_pressure_mpa`, `allowed_pressure` | highest rated pressure at which every limit is kept, rounded down; null where there is none (`reason`) or where it is not known (`known` false); `decides` names the limit, `lower_bound` where that was not reached, `kept_back` is the share that the pressure found was lowered by |
//! | `retention`, `retention_frictionless` | `first_lift_mpa`, `local_release_mpa`, `off_centre_release_mpa`, `uniform_blow_off_mpa`, null where not reached; then `*_above_mpa` tells how far it was looked for, null where nothing is known, and `*_error_mpa` the numerical error; `local` tells of the local release (`json_local`) |
//! | `bead`, `rim`, `tyre`, `balance` | state at rated pressure and the given friction (null if it was not reached) |
//! | `rim_section` | area, mass, shrinkage, spread and stresses of a meshed rim by cause (null for a ring) |
//! | `local_release_band` | what plausible changes do to the local release: each change with both releases, and the bands (null unless `--band` was given) |
//! | `estimate` | the closed-form answers (null where the casing has no membrane shape) |
//! | `fit` | the same blocks at the end of the fit, without pressure (null if the fit was not reached) |
//! | `path`, `path_frictionless` | one array along the loading path for each of the solver's [`QUANTITIES`] |
//! | `inputs` | every input as resolved: `input` by its table and key, `value` with its unit |
//! | `effort` | unknowns, steps and Newton iterations of both paths together |
//!
//! The document holds no time and no date: the same case gives the same bytes.

use crate::allowed::{self, AllowedBlock};
use crate::band::{self, BandBlock};
use crate::json_local::{self, LocalBlock};
use crate::json_rim::{self, RimSectionBlock};
use crate::meant::errors;
use crate::words;
use hoopwright_case::{Case, Row, resolved};
use hoopwright_solver::estimate::{Estimate, Pressures};
use hoopwright_solver::quantities::{QUANTITIES, Quantity};
use hoopwright_solver::result::{Assessment, Check, Moment, PathPoint, Release, Run, Verdict};
use serde::{Serialize, Serializer};

/// Why no JSON can be written.
#[derive(Debug, thiserror::Error)]
pub enum JsonError {
    /// A number is not finite.
    #[error("the result holds a number that is not finite ({0}): it is not written")]
    NotFinite(String),
    /// The serialiser failed.
    #[error("the result cannot be written as JSON: {0}")]
    Serde(#[from] serde_json::Error),
}

/// Schema of the document.
pub(crate) const SCHEMA: &str = "hoopwright/assessment/1.0";

#[derive(Serialize)]
struct Document {
    schema: &'static str,
    program: &'static str,
    version: &'static str,
    title: String,
    verdict: Vec<&'static str>,
    deciding_criterion: &'static str,
    checks: Vec<CheckBlock>,
    required_pressure_mpa: f64,
    rated_pressure_mpa: f64,
    allowed_pressure_mpa: Option<f64>,
    allowed_pressure: AllowedBlock,
    friction: f64,
    retention: RetentionBlock,
    retention_frictionless: RetentionBlock,
    #[serde(flatten)]
    rated: StateBlock,
    fit: Option<StateBlock>,
    rim_section: Option<RimSectionBlock>,
    local_release_band: Option<BandBlock>,
    estimate: Option<EstimateBlock>,
    path: PathBlock,
    path_frictionless: PathBlock,
    inputs: Vec<InputBlock>,
    notes: Vec<String>,
    cautions: [&'static str; 4],
    effort: EffortBlock,
}

#[derive(Serialize)]
struct InputBlock {
    input: String,
    value: String,
}

#[derive(Serialize)]
struct CheckBlock {
    what: String,
    value: Option<f64>,
    lower_bound: bool,
    error: Option<f64>,
    limit: f64,
    unit: &'static str,
    kept: Option<bool>,
    finding: &'static str,
}

#[derive(Serialize)]
struct RetentionBlock {
    first_lift_mpa: Option<f64>,
    first_lift_above_mpa: Option<f64>,
    first_lift_error_mpa: Option<f64>,
    off_centre_release_mpa: Option<f64>,
    off_centre_release_above_mpa: Option<f64>,
    off_centre_release_error_mpa: Option<f64>,
    local_release_mpa: Option<f64>,
    local_release_above_mpa: Option<f64>,
    local_release_error_mpa: Option<f64>,
    uniform_blow_off_mpa: Option<f64>,
    uniform_blow_off_above_mpa: Option<f64>,
    uniform_blow_off_error_mpa: Option<f64>,
    local: Option<LocalBlock>,
    end: String,
}

/// The rated state; its keys stand with null where it was not reached.
#[derive(Default, Serialize)]
struct StateBlock {
    bead: Option<BeadBlock>,
    rim: Option<RimBlock>,
    tyre: Option<TyreBlock>,
    balance: Option<BalanceBlock>,
}

#[derive(Serialize)]
struct BeadBlock {
    tension_n: f64,
    strain: f64,
    lift_mm: f64,
    rotation_rad: f64,
    utilisation: Option<f64>,
}

#[derive(Serialize)]
struct RimBlock {
    seat_load_n_per_mm: f64,
    flange_load_n_per_mm: f64,
    radial_reaction_n_per_mm: f64,
    hoop_force_n: f64,
    radial_displacement_mm: f64,
    spoke_tension_loss_n: f64,
    spoke_tension_loss_share: f64,
    flange_spread_mm: f64,
    seal_margin: Option<f64>,
    leaks: bool,
}

#[derive(Serialize)]
struct TyreBlock {
    width_mm: f64,
    outer_diameter_mm: f64,
    largest_cord_force_n: f64,
    cord_utilisation: Option<f64>,
}

#[derive(Serialize)]
struct BalanceBlock {
    axle_cut: f64,
    axial: f64,
}

#[derive(Serialize)]
struct EstimateBlock {
    fit_tension_n: f64,
    fit_seat_load_n_per_mm: f64,
    fit_spoke_tension_loss_n: f64,
    clearance_mm: f64,
    membrane_tension_n_per_mpa: f64,
    with_friction: PressuresBlock,
    frictionless: PressuresBlock,
    mounting_force_limp_n: f64,
    mounting_force_stiff_n: f64,
}

#[derive(Serialize)]
struct PressuresBlock {
    first_lift_mpa: f64,
    local_release_mpa: f64,
    local_arc_deg: f64,
    off_centre_release_mpa: f64,
    uniform_blow_off_mpa: f64,
    rated_tension_n: f64,
    rated_lift_mm: f64,
    rated_spoke_tension_loss_n: f64,
}

#[derive(Serialize)]
struct PathBlock {
    friction: f64,
    fit_index: usize,
    rated_index: Option<usize>,
    stage: Vec<&'static str>,
    #[serde(flatten)]
    quantities: Arrays,
}

/// Each of [`QUANTITIES`] along the path, by its key.
struct Arrays(Vec<Vec<f64>>);

impl Serialize for Arrays {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_map(QUANTITIES.iter().map(|quantity| quantity.key()).zip(&self.0))
    }
}

#[derive(Serialize)]
struct EffortBlock {
    unknowns: usize,
    steps: usize,
    iterations: usize,
}

/// The document.
///
/// # Errors
/// [`JsonError::NotFinite`] rather than a null or a string in place of a number.
pub fn assessment(a: &Assessment) -> Result<Vec<u8>, JsonError> {
    check_finite(a)?;
    let (allowed_pressure_mpa, allowed_pressure) = allowed::block(&a.verdict.allowed);
    let document = Document {
        schema: SCHEMA,
        program: "hoopwright",
        version: env!("CARGO_PKG_VERSION"),
        title: a.case.title.clone(),
        verdict: a.verdict.findings.iter().map(|f| words::finding(*f)).collect(),
        deciding_criterion: words::criterion(a.verdict.criterion),
        checks: a.verdict.checks.iter().map(|c| check(&a.verdict, c)).collect(),
        required_pressure_mpa: a.case.required_pressure(),
        rated_pressure_mpa: a.case.pressure.rated,
        allowed_pressure_mpa,
        allowed_pressure,
        friction: a.case.friction,
        retention: retention(&a.case, &a.given),
        retention_frictionless: retention(&a.case, &a.frictionless),
        rated: a.given.at(Moment::Rated).map(|p| state(a, p)).unwrap_or_default(),
        fit: a.given.at(Moment::Fitted).map(|p| state(a, p)),
        rim_section: json_rim::block(a),
        local_release_band: band::block(a),
        estimate: a.estimate.as_ref().map(estimate),
        path: path(&a.given),
        path_frictionless: path(&a.frictionless),
        inputs: inputs(&a.case),
        notes: a.notes.clone(),
        cautions: words::cautions(),
        effort: effort(a),
    };
    let mut bytes = serde_json::to_vec_pretty(&document)?;
    bytes.push(b'\n');
    Ok(bytes)
}

fn check_finite(a: &Assessment) -> Result<(), JsonError> {
    for (name, run) in [("path", &a.given), ("frictionless path", &a.frictionless)] {
        if run.local.as_ref().is_some_and(|local| !json_local::is_finite(local)) {
            return Err(JsonError::NotFinite(format!("{name}, local release")));
        }
        for (i, p) in run.path.iter().enumerate() {
            if let Some(wrong) = QUANTITIES.iter().find(|quantity| !(quantity.value)(p).is_finite()) {
                return Err(JsonError::NotFinite(format!("{name}, point {i}, {}", wrong.meaning)));
            }
        }
    }
    Ok(())
}

fn check(verdict: &Verdict, c: &Check) -> CheckBlock {
    CheckBlock {
        what: c.what.clone(),
        value: c.found(),
        lower_bound: c.lower_bound,
        error: c.error,
        limit: c.limit,
        unit: c.judged.unit(),
        kept: verdict.kept(c),
        finding: words::finding(c.finding),
    }
}

/// Every input as resolved, with its unit.
fn inputs(case: &Case) -> Vec<InputBlock> {
    let block = |(table, key, value): Row| {
        let input = if table.is_empty() { key.to_owned() } else { format!("{table}.{key}") };
        InputBlock { input, value }
    };
    resolved(case).into_iter().map(block).collect()
}

fn retention(case: &Case, run: &Run) -> RetentionBlock {
    let r = &run.retention;
    let split = |release: Release| match release.known() {
        Some((p, false)) => (Some(p), None),
        Some((p, true)) => (None, Some(p)),
        None => (None, None),
    };
    let (first_lift_mpa, first_lift_above_mpa) = split(r.first_lift);
    let (off_centre_release_mpa, off_centre_release_above_mpa) = split(r.off_centre_release);
    let (local_release_mpa, local_release_above_mpa) = split(r.local_release);
    let (uniform_blow_off_mpa, uniform_blow_off_above_mpa) = split(r.uniform_blow_off);
    let [first_lift_error_mpa, local_release_error_mpa, off_centre_release_error_mpa, uniform_blow_off_error_mpa] = errors(run);
    RetentionBlock {
        first_lift_mpa,
        first_lift_above_mpa,
        first_lift_error_mpa,
        off_centre_release_mpa,
        off_centre_release_above_mpa,
        off_centre_release_error_mpa,
        local_release_mpa,
        local_release_above_mpa,
        local_release_error_mpa,
        uniform_blow_off_mpa,
        uniform_blow_off_above_mpa,
        uniform_blow_off_error_mpa,
        local: run.local.as_ref().map(|local| json_local::block(case, local)),
        end: words::end(&run.end),
    }
}

fn state(a: &Assessment, p: &PathPoint) -> StateBlock {
    StateBlock {
        bead: Some(BeadBlock {
            tension_n: p.bead_tension,
            strain: p.bead_strain,
            lift_mm: p.lift,
            rotation_rad: p.bundle_rotation,
            utilisation: a.case.bead.breaking_force.map(|limit| p.bead_tension / limit),
        }),
        rim: Some(RimBlock {
            seat_load_n_per_mm: p.seat_load,
            flange_load_n_per_mm: p.flange_load,
            radial_reaction_n_per_mm: p.radial_reaction,
            hoop_force_n: p.rim_hoop_force,
            radial_displacement_mm: p.rim_displacement,
            spoke_tension_loss_n: p.spoke_loss,
            spoke_tension_loss_share: p.spoke_loss / a.case.spokes.pretension,
            flange_spread_mm: p.flange_spread,
            seal_margin: p.seal_margin,
            leaks: p.leaks,
        }),
        tyre: Some(TyreBlock {
            width_mm: p.width,
            outer_diameter_mm: 2.0 * p.crown_radius,
            largest_cord_force_n: p.cord_force,
            cord_utilisation: a.case.casing.cord_breaking_force.map(|limit| p.cord_force / limit),
        }),
        balance: Some(BalanceBlock { axle_cut: p.balance.axle_cut, axial: p.balance.axial }),
    }
}

/// The closed-form answers alone, as the document has them under `estimate`.
///
/// # Errors
/// The serialiser fails.
pub fn of_estimate(e: &Estimate) -> Result<serde_json::Value, JsonError> {
    Ok(serde_json::to_value(estimate(e))?)
}

fn estimate(e: &Estimate) -> EstimateBlock {
    let pressures = |p: &Pressures| PressuresBlock {
        first_lift_mpa: p.first_lift,
        local_release_mpa: p.local_release,
        local_arc_deg: p.local_arc.to_degrees(),
        off_centre_release_mpa: p.off_centre_release,
        uniform_blow_off_mpa: p.uniform_blow_off,
        rated_tension_n: p.rated_tension,
        rated_lift_mm: p.rated_lift,
        rated_spoke_tension_loss_n: p.rated_spoke_loss,
    };
    EstimateBlock {
        fit_tension_n: e.fit_tension,
        fit_seat_load_n_per_mm: e.fit_seat_load,
        fit_spoke_tension_loss_n: e.fit_spoke_loss,
        clearance_mm: e.clearance,
        membrane_tension_n_per_mpa: e.casing.membrane.tension,
        with_friction: pressures(&e.given),
        frictionless: pressures(&e.frictionless),
        mounting_force_limp_n: e.mounting.limp_force,
        mounting_force_stiff_n: e.mounting.stiff_force,
    }
}

fn path(run: &Run) -> PathBlock {
    let along = |quantity: &&Quantity| run.path.iter().map(quantity.value).collect();
    PathBlock {
        friction: run.friction,
        fit_index: run.fit,
        rated_index: run.rated,
        stage: run.path.iter().map(|p| words::stage(p.stage)).collect(),
        quantities: Arrays(QUANTITIES.iter().map(along).collect()),
    }
}

fn effort(a: &Assessment) -> EffortBlock {
    let (given, frictionless) = (&a.given.effort, &a.frictionless.effort);
    // Without friction both runs are one.
    let both = usize::from(a.given.friction != 0.0);
    EffortBlock {
        unknowns: given.dofs,
        steps: given.steps + both * frictionless.steps,
        iterations: given.iterations + both * frictionless.iterations,
    }
}
