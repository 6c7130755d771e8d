//! The main job: fit, inflate and blow off one tyre on one rim, at the given friction and without.

use crate::case::Case;
use crate::estimate::estimate;
use crate::model::{Model, ModelError};
use crate::result::{Assessment, End, Release, Run, SectionMesh};
use crate::stages::{self, Keep, Listener};
use crate::verdict::verdict;

/// How far finite elements and closed form may differ without a note. The closed form knows neither the crest that the sidewall leans
/// on nor the bead's rotation.
const BAND: f64 = 0.35;

/// Assesses a case. `notes` are passed on to the result.
///
/// # Errors
/// [`ModelError`] when the case's geometry does not fit together.
pub fn assess(case: &Case, mut notes: Vec<String>, listener: Listener<'_>) -> Result<Assessment, ModelError> {
    let (given, model) = stages::run(case, case.friction, Keep::Fields, listener)?;
    let frictionless = if case.friction == 0.0 { given.clone() } else { stages::run(case, 0.0, Keep::Numbers, listener)?.0 };
    let estimate = estimate(case).ok();
    let verdict = verdict(case, &given, &frictionless, estimate.as_ref().map(|e| e.mounting.limp_force));
    match &estimate {
        None => {
            notes.push("The casing has no closed-form membrane shape on this rim: no estimate stands beside the result.".into());
        }
        Some(e) => notes.extend(
            apart(&given, e.given.off_centre_release).into_iter().chain(apart(&frictionless, e.frictionless.off_centre_release)),
        ),
    }
    notes.extend(lives_on_friction(case, &given, &frictionless));
    if given.path.get(given.fit).is_some_and(|p| p.seat_load <= 0.0) {
        notes.push(
            "The unstretched bead is larger than the seat: it does not press on it, and first lift is at no pressure.".into(),
        );
    }
    Ok(Assessment {
        case: case.clone(),
        mesh: section(&model),
        rim_outline: model.contact.profile().polyline(),
        given,
        frictionless,
        estimate,
        verdict,
        notes,
    })
}

/// A note where the required pressure is reached with friction only.
fn lives_on_friction(case: &Case, given: &Run, frictionless: &Run) -> Option<String> {
    let reached = |run: &Run| match run.retention.off_centre_release {
        Release::At(p) => p >= case.required_pressure(),
        Release::Above(_) => true,
    };
    (reached(given) && !reached(frictionless)).then(|| {
        format!(
            "The joint lives on friction: it keeps the required pressure at friction {} and would not without. Lubricant, heat and wear \
             take friction away.",
            given.friction
        )
    })
}

/// A note where finite elements and estimate lie further apart than the band. Where either found no hold worth a number, there is
/// nothing to compare.
fn apart(run: &Run, estimate: f64) -> Option<String> {
    if estimate < 1e-6 || matches!(run.end, End::Failed(_)) {
        return None;
    }
    let (Release::At(found) | Release::Above(found)) = run.retention.off_centre_release;
    let far = match run.retention.off_centre_release {
        Release::At(_) => (found / estimate - 1.0).abs() > BAND,
        Release::Above(_) => found > (1.0 + BAND) * estimate,
    };
    far.then(|| {
        format!(
            "At friction {} the off-centre release pressures by finite elements ({found:.3} MPa) and by the closed form ({estimate:.3} MPa) \
             lie more than {:.0} % apart: look at both before you rely on either.",
            run.friction,
            100.0 * BAND
        )
    })
}

fn section(model: &Model) -> SectionMesh {
    let tyre = &model.tyre;
    let chain =
        |edges: &[[usize; 3]]| edges.iter().flat_map(|e| [e[0], e[2]]).chain(edges.last().map(|e| e[1])).collect::<Vec<_>>();
    SectionMesh {
        nodes: tyre.mesh.nodes.clone(),
        quads: tyre.mesh.quads.clone(),
        regions: tyre.regions.clone(),
        outer_face: chain(&tyre.outer_edges),
        inner_face: chain(&tyre.inner_edges),
    }
}
