//! The main job: fit, inflate and blow off one tyre on one rim, at the given friction and without.

use crate::beside::KeyStates;
use crate::estimate::{Estimate, estimate};
use crate::first_lift::first_lift;
use crate::local;
use crate::model::ModelError;
use crate::observe::section;
use crate::path::Release;
use crate::remarks::{beyond_strength, remarks};
use crate::result::{Assessment, Moment, RimSection, Run, Verdict};
use crate::rim::RimModel;
use crate::rim::error::RimError;
use crate::slip::slip_by_friction;
use crate::stages::{self, Keep, Listener, Ran};
use crate::verdict::verdict;
use hoopwright_case::{Case, Criterion};
use std::sync::Arc;

/// What decides a case, without fields and without the path that does not decide.
#[derive(Clone, Debug)]
pub struct Decision {
    /// The path at the case's friction.
    pub given: Run,
    /// The path without friction where that decides.
    pub frictionless: Option<Run>,
    /// The closed-form answers, where the casing has a membrane shape.
    pub estimate: Option<Estimate>,
    /// Verdict.
    pub verdict: Verdict,
}

/// Decides a case: the numbers and the verdict are those of [`assess`]. Where the local release plays no part in the verdict it is not
/// looked for, at a quarter of the cost, and nothing is known of the first lift with friction unless it decides.
///
/// # Errors
/// [`ModelError`] when the case's geometry does not fit together.
pub fn decide(case: &Case, listener: Listener<'_>) -> Result<Decision, ModelError> {
    let rim = Arc::new(RimModel::new(case).map_err(ModelError::from)?);
    let asks_local = matches!(case.limits.criterion, Criterion::Lower | Criterion::Local);
    let mut given = stages::run(case, &rim, case.friction, Keep::Numbers, listener)?;
    let mut frictionless = None;
    let asks_first_lift = case.limits.criterion == Criterion::FirstLift;
    if case.friction > 0.0 && (case.limits.without_friction || asks_local || asks_first_lift) {
        frictionless = Some(stages::run(case, &rim, 0.0, Keep::Numbers, listener)?);
    }
    if case.friction > 0.0 {
        let known = frictionless.as_ref().map(|other| first_lift(case, &given.run, &other.run));
        given.run.retention.first_lift = known.unwrap_or(Release::Above(0.0));
        given.run.slip = slip_by_friction(&given.run.path, frictionless.as_ref().map_or(&[], |other| &other.run.path));
    }
    if asks_local {
        match &mut frictionless {
            Some(frictionless) => local::add(case, Some(&mut given), frictionless),
            None => local::add(case, None, &mut given),
        }
    }
    let given = given.run;
    let frictionless = match (case.limits.without_friction, frictionless) {
        (true, None) => Some(given.clone()),
        (_, other) => other.map(|ran| ran.run),
    };
    let estimate = estimate(case).ok();
    let mounting = estimate.as_ref().map(|e| e.mounting.limp_force);
    let verdict = verdict(case, &given, frictionless.as_ref().unwrap_or(&given), mounting);
    Ok(Decision { given, frictionless, estimate, verdict })
}

/// How the path at the case's friction and the one without are run.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Paths {
    /// One after the other on the caller's thread; the listener hears both.
    InTurn,
    /// At once, on two threads; the listener hears the one at the case's friction.
    SideBySide,
}

/// Assesses a case. `notes` are passed on to the result, which is the same however the `paths` are run.
///
/// # Errors
/// [`ModelError`] when the case's geometry does not fit together.
pub fn assess(case: &Case, notes: Vec<String>, paths: Paths, listener: Listener<'_>) -> Result<Assessment, ModelError> {
    Ok(assess_with_states(case, notes, paths, listener)?.0)
}

/// As [`assess`], with the key states of the path at the case's friction, from which cases beside it are reached; none where the fit was not
/// reached.
///
/// # Errors
/// As [`assess`].
pub fn assess_with_states(
    case: &Case,
    mut notes: Vec<String>,
    paths: Paths,
    listener: Listener<'_>,
) -> Result<(Assessment, Option<KeyStates>), ModelError> {
    let rim = Arc::new(RimModel::new(case).map_err(ModelError::from)?);
    let (given, frictionless) = both_paths(case, &rim, paths, listener)?;
    let states = KeyStates::of(case, &given);
    let Ran { run: given, model, .. } = given;
    let rim_section = rim_section(case, &rim, &given)?;
    let estimate = estimate(case).ok();
    let verdict = verdict(case, &given, &frictionless, estimate.as_ref().map(|e| e.mounting.limp_force));
    notes.extend(beyond_strength(case, &rim, &given, rim_section.as_ref())?);
    notes.extend(remarks(case, &given, &frictionless, estimate.as_ref()));
    let assessment = Assessment {
        case: case.clone(),
        mesh: section(&model),
        rim_outline: model.contact.profile().polyline(),
        rim_profile: model.contact.profile().clone(),
        rim_section,
        given,
        frictionless,
        estimate,
        verdict,
        band: None,
        notes,
    };
    Ok((assessment, states))
}

/// The path at the case's friction with its model and states, and the one without friction, both with their local release.
fn both_paths(case: &Case, rim: &Arc<RimModel>, paths: Paths, listener: Listener<'_>) -> Result<(Ran, Run), ModelError> {
    if case.friction == 0.0 {
        let mut ran = stages::run(case, rim, 0.0, Keep::Fields, listener)?;
        local::add(case, None, &mut ran);
        let frictionless = ran.run.clone();
        return Ok((ran, frictionless));
    }
    let without = |listener: Listener<'_>| stages::run(case, rim, 0.0, Keep::Numbers, listener);
    let (mut given, mut frictionless): (Ran, Ran) = if paths == Paths::InTurn {
        (stages::run(case, rim, case.friction, Keep::Fields, listener)?, without(listener)?)
    } else {
        std::thread::scope(|scope| {
            let other = scope.spawn(|| without(&mut |_| ()));
            let given = stages::run(case, rim, case.friction, Keep::Fields, listener)?;
            let frictionless = other.join().unwrap_or_else(|panic| std::panic::resume_unwind(panic))?;
            Ok::<_, ModelError>((given, frictionless))
        })?
    };
    given.run.retention.first_lift = first_lift(case, &given.run, &frictionless.run);
    given.run.slip = slip_by_friction(&given.run.path, &frictionless.run.path);
    local::add(case, Some(&mut given), &mut frictionless);
    Ok((given, frictionless.run))
}

fn rim_section(case: &Case, rim: &RimModel, given: &Run) -> Result<Option<RimSection>, ModelError> {
    let (Some(body), Some(section)) = (&rim.body, &case.section) else { return Ok(None) };
    let mut states = Vec::new();
    for moment in Moment::ALL {
        if let Some(state) = given.at(moment).map(|point| rim.state(case, point)).transpose().map_err(RimError::from)?.flatten() {
            states.push((moment, state));
        }
    }
    Ok(Some(RimSection {
        mesh: body.mesh.clone(),
        area: 2.0 * body.area(),
        mass: 2.0 * body.volume() * section.density,
        modes: rim.modes.len(),
        states,
    }))
}
